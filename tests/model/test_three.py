"""A crib, a wheel shop and a line exchange their records in any order and end with equal facts and equal answers."""

import contextlib
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.model.three import CODES, MOVES, WHEELS, WRENCHES, Place, Three, facts
from tests.support.measure import measured
from tests.support.story import PASSES, content
from torquelog.book.verification import verify
from torquelog.errors import TorquelogError
from torquelog.facts import assemblies, tools
from torquelog.facts.calibrations import calibrations
from torquelog.facts.custody import whereabouts
from torquelog.facts.uses import uses_between
from torquelog.quality.trace import trace
from torquelog.work import cards

MODEST = settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.generate])
THOROUGH = settings(MODEST, max_examples=measured(300))
PAIRS = list(permutations(CODES, 2))
ROUND = [(a, b) for _ in range(2) for a, b in PAIRS]

BEGUN = [
    ("CRB", "wrench", 0), ("CRB", "wrench", 1), ("WSH", "wheel", 0), ("WSH", "wheel", 1),
    ("WSH", "card", 0), ("LIN", "aircraft", 0),
]  # fmt: skip
"""What each has before any file goes."""

MOVE = st.tuples(st.sampled_from(CODES), st.sampled_from([*MOVES, *["reading"] * 6]), st.integers(0, 11))
FILE = st.tuples(st.sampled_from(PAIRS), st.booleans())
STORIES = st.lists(st.one_of(MOVE, MOVE, MOVE, FILE), min_size=6, max_size=36)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR"):
        (tmp_path / name.lower()).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(tmp_path / name.lower()))


@contextlib.contextmanager
def gaps() -> Iterator[None]:
    """What is sent since then may begin after what never came; nothing else is wrong with it."""
    try:
        yield
    except TorquelogError as error:
        if error.code != "gap":
            raise


def played(three: Three, story: list[Any]) -> None:
    """Let it happen, after a first exchange half of the time that the story says so."""
    for code, what, number in BEGUN:
        three.move(code, what, number)
    for told in story:
        if len(told) == 3:
            three.move(*told)
        else:
            (sender, receiver), everything = told
            with contextlib.nullcontext() if everything else gaps():
                three.send(sender, receiver, everything=everything)


def answers(place: Place) -> list[Any]:
    """What the record says of each wrench and wheel, whoever asks."""
    connection = place.book.connection
    said: list[Any] = []
    for name in WRENCHES:
        if tools.tool(connection, name) is None:
            said.append(None)
            continue
        at = place.clock.moment
        traced = trace(place.book, "wrench", name)
        said += [
            [(row.reading, row.state, row.location) for row in traced.rows],
            calibrations(connection, name), whereabouts(connection, name), uses_between(connection, name, 0, at),
        ]  # fmt: skip
    said += [assemblies.place(connection, f"EX-4410-1 {serial}") for serial in WHEELS]
    return said


def ends_equal(story: list[Any], order: list[tuple[str, str]]) -> Three:
    """Play it, let everything reach everybody in that order, and compare the three."""
    with TemporaryDirectory() as folder:
        three = Three(Path(folder))
        try:
            played(three, story)
            three.meet([*order, *ROUND])
            crib, *others = three.places.values()
            expected, said = facts(crib), answers(crib)
            for other in others:
                found = facts(other)
                for name, rows in expected.items():
                    assert found[name] == rows, (name, other.code)
                assert answers(other) == said, other.code
            assert all(verify(place.book.connection, place.code).holds for place in three.places.values())
        finally:
            three.close()
    return three


@MODEST
@given(STORIES, st.permutations(PAIRS))
def test_three_records_end_with_equal_facts(story: list[Any], order: list[tuple[str, str]]) -> None:
    """Whatever each did, whatever was sent meanwhile, in whatever order the files go in the end; and each verifies."""
    ends_equal(story, order)


@pytest.mark.long
@THOROUGH
@given(STORIES, st.permutations(PAIRS))
def test_three_records_end_with_equal_facts_in_many_stories(
    story: list[Any], order: list[tuple[str, str]]
) -> None:
    """The same, many times."""
    ends_equal(story, order)


def test_a_story_that_reaches_every_act() -> None:
    """The moves are carried out and not only refused: a wheel is built, flown, its reading struck, its wrench dropped."""
    story: list[Any] = [
        *((pair, True) for pair in PAIRS), ("WSH", "job", 0), ("CRB", "issue", 0), ("CRB", "back", 0),
        *(("WSH", "reading", number) for number in (0, 4, 8, 5, 9)), ("WSH", "strike", 0), ("WSH", "reading", 9),
        ("CRB", "certificate", 3), ("CRB", "dropped", 0), (("WSH", "LIN"), False), ("LIN", "fit", 0),
        ("LIN", "remove", 0), ("WSH", "shop", 1), ("WSH", "apart", 1), ("LIN", "accept", 1),
    ]  # fmt: skip
    assert set(ends_equal(story, PAIRS).done) == set(MOVES)


def test_what_rests_on_a_third_station_comes_behind_it(three: Three) -> None:
    """The line approved a card that the shop had drafted; one file brings both to the crib, whatever their codes."""
    crib, shop, line = (three.places[code] for code in CODES)
    three.send("WSH", "LIN", everything=True)
    cards.load(line.book, line.signed["TK"], content("BUILD", "B", PASSES))
    line.clock.moment += 1000
    cards.approve(line.book, line.own["TK"], "BUILD", why="checked against the document")
    three.send("LIN", "CRB", everything=True)
    assert verify(crib.book.connection, "CRB").holds
    assert facts(crib)["card_approval"]
    three.send("CRB", "WSH", everything=True)
    assert verify(shop.book.connection, "WSH").holds


def test_the_comparison_finds_what_did_not_arrive() -> None:
    """One entry that one of them does not hold is a difference."""
    with TemporaryDirectory() as folder:
        three = Three(Path(folder))
        played(three, [])
        three.meet(ROUND)
        three.move("CRB", "dropped", 0)
        three.send("CRB", "WSH", everything=True)
        assert facts(three.places["CRB"]) == facts(three.places["WSH"])
        assert facts(three.places["CRB"]) != facts(three.places["LIN"])
        three.close()


@pytest.fixture
def three(tmp_path: Path) -> Iterator[Three]:
    """The three, with what each begins with."""
    made = Three(tmp_path)
    played(made, [])
    yield made
    made.close()


def test_an_answer_says_whose_facts_it_rests_on(three: Three) -> None:
    """The shop uses the crib's wrench by what it holds of the crib's record, and says how old that is."""
    shop = three.places["WSH"]
    three.send("CRB", "WSH", everything=True)
    shop.job("J-WSH", "BUILD", "WH-1")
    three.clock.moment += 2 * 3_600_000
    found = shop.take("tie-bolt:1", "36 N·m", "W-1", by="WA", job="J-WSH")
    (remark,) = [each for each in found.remarks if each.code == "crib-facts"]
    assert remark.message == (
        "What is known of W-1 comes from CRB, as of Wed 25 Nov 2026 12:00, 2 hours before."
    )


def test_own_facts_need_no_such_words(three: Three) -> None:
    """The crib's own wrench, used at the crib."""
    crib = three.places["CRB"]
    three.send("WSH", "CRB", everything=True)
    crib.accept("WSH")
    crib.job("J-CRB", "BUILD", "WH-1")
    found = crib.take("tie-bolt:1", "36 N·m", "W-1", by="CA", job="J-CRB")
    assert "crib-facts" not in [each.code for each in found.remarks]


def test_a_refusal_rests_on_them_as_well(three: Three) -> None:
    """The wrench was dropped, says the crib; a later file says that it is well again."""
    shop, crib = three.places["WSH"], three.places["CRB"]
    crib.report("W-1", "dropped")
    three.send("CRB", "WSH", everything=True)
    shop.job("J-WSH", "BUILD", "WH-1")
    found = shop.take("tie-bolt:1", "36 N·m", "W-1", by="WA", job="J-WSH")
    assert found.outcome == "refused"
    assert "crib-facts" in [each.code for each in found.remarks]
    three.clock.moment += 3_600_000
    crib.calibrate("W-1", "2026-11-25")
    three.send("CRB", "WSH", everything=False)
    assert shop.take("tie-bolt:1", "36 N·m", "W-1", by="WA", job="J-WSH").outcome == "within"
