"""Card files: what they say on the record, and what is said about those that cannot be read."""

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import AIRCRAFT, card_from, digest_of
from torquelog.ledger.form import canonical
from torquelog.work.card_keys import CARD, CHECK, GROUP, HARDWARE, STEP
from torquelog.work.card_template import template, written
from torquelog.work.cardfile import MOST_CONTENT, examine, read_card

HOSTILE = sorted(Path(__file__).with_name("cards").glob("*.toml"))
SAMPLES = sorted((Path(__file__).parents[2] / "sample_data").glob("*.toml"))

WHOLE = """
[card]
id = "mw-build"
title = "Main wheel, build-up"
document = "CMM 32-40-EX"
revision = "B"
date = 2026-11-02
kind = "wheel"
fits = ["EX-4410-1"]
cautions = ["Keep the bead clean."]

[[group]]
id = "tie-bolt"
name = "tie bolt nut"
count = 4
thread = "1/2-20"
torque = "72.0 N·m"
tolerance = "5 %"
basis = "above-run-on-from 1/3"
run-on = "min 11 lbf·in"
direction = "ccw"
turned = "head"
castellated = true
condition = "clean and dry"
order = "star"
passes = ["50 %", "100 %"]
last-round = true
hardware = [{ part = "EX-77", lot = true, serial = false, reuse = "run-on" }]
locking = ["Locking  wire"]
inspection = "independent"
hold = true
above = "replace"
neighbours = "all"
recheck = "after first flight"
continue = true

[[group]]
id = "axle-nut"
on = "aircraft"
holds = "wheel"
count = 1
steps = [
  { id = "seat", torque = "200..220 N·m", wheel-turning = true },
  { id = "back-off", turn = "60 deg" },
  { id = "final", title = "Final", torque = "90 N·m ± 5 N·m", wheel-turning = true },
]

[[check]]
id = "leak-check"
title = "No leak at the fitting under pressure"
"""


@pytest.mark.parametrize("path", HOSTILE, ids=lambda path: path.stem)
def test_a_hostile_card_is_told_by_file_table_and_key(path: Path) -> None:
    """Each of these cards has one thing wrong; the error has its code, its place, and what to do."""
    text = path.read_text(encoding="utf-8")
    code, place = (line.partition(":")[2].strip() for line in text.splitlines()[:2])
    found, problems = examine(text, path.name)
    assert found is None
    assert problems[0].code == code
    assert problems[0].exit == 2
    assert problems[0].what.startswith(f"{path.name}, {place}: " if place else path.name)
    assert len(problems) == (5 if path.stem == "no_card" else 1)


def test_every_key_reaches_the_card() -> None:
    """A card with every key of the format, read back as it is worked by."""
    card = read_card(WHOLE, "whole.toml").card
    bolt, nut = card.groups
    assert (card.card, card.revision, card.date, card.kind) == ("MW-BUILD", "B", "2026-11-02", "wheel")
    assert (card.fits, card.cautions) == (("EX-4410-1",), ("Keep the bead clean.",))
    assert bolt.on == "wheel"
    assert bolt.spec is not None
    assert bolt.spec.text == "72.0 N·m ± 5 %"
    assert bolt.spec.limits == (Fraction("68.4"), Fraction("75.6"))
    assert (bolt.basis, bolt.basis_from) == ("above-run-on-from", Fraction(1, 3))
    assert bolt.run_on is not None
    assert bolt.run_on.text == "min 11 lbf·in"
    assert (bolt.direction, bolt.turned, bolt.castellated) == ("ccw", "head", True)
    assert (bolt.order, bolt.ordered) == ((1, 3, 2, 4), True)
    assert (bolt.passes, bolt.last_round) == ((Fraction(1, 2), Fraction(1)), True)
    assert bolt.hardware[0]._asdict() == {
        "part": "EX-77", "name": "", "lot": True, "serial": False, "reuse": "run-on",
    }  # fmt: skip
    assert (bolt.locking, bolt.inspection, bolt.hold) == (("locking wire",), "independent", True)
    assert (bolt.above, bolt.neighbours, bolt.recheck, bolt.continues) == (
        "replace", 3, "after first flight", True,
    )  # fmt: skip
    assert (nut.on, nut.holds, nut.spec) == (AIRCRAFT, "wheel", None)
    assert [(step.id, step.turn, step.wheel_turning) for step in nut.steps] == [
        ("seat", "", True), ("back-off", "60°", False), ("final", "", True),
    ]  # fmt: skip
    assert card.checks[0].title == "No leak at the fitting under pressure"
    assert (bolt.readings, nut.readings, card.readings) == (12, 2, 14)


def test_every_known_key_is_in_that_card() -> None:
    """The card above leaves no key of the format out, so a key added later has to be read in it."""
    for keys in (CARD, GROUP, STEP, HARDWARE, CHECK):
        assert all(f"{key} =" in WHOLE for key in keys)


def test_what_a_card_does_not_say_is_not_invented() -> None:
    """Without the optional keys there is one pass, no order, no inspection, no thread, and no recheck."""
    text = written(
        {"id": "EX-1", "title": "x", "document": "d", "revision": "B", "date": date(2026, 11, 2)},
        [{"id": "nut", "count": 3, "torque": "68..76 N·m"}],
    )
    group = read_card(text, "x.toml").card.groups[0]
    assert (group.on, group.basis, group.direction, group.passes) == ("", "total", "cw", (Fraction(1),))
    assert (group.order, group.ordered, group.neighbours) == ((1, 2, 3), False, 0)
    assert not any((group.thread, group.inspection, group.hold, group.above, group.recheck, group.continues))


def test_the_content_holds_text_lists_and_objects_only() -> None:
    """What goes on record is canonical JSON without numbers or booleans; a no is absent, a yes is the word."""
    content = read_card(WHOLE, "whole.toml").content
    assert canonical(content)
    assert content["groups"][0]["last-round"] == "yes"
    assert "serial" not in content["groups"][0]["hardware"][0]
    assert content["groups"][0]["count"] == "4"
    assert "tolerance" not in content["groups"][0]


def test_the_digest_names_the_card_and_nothing_else() -> None:
    """Comments and blanks do not change it, one digit of a torque does."""
    one = read_card(WHOLE, "a.toml")
    assert one.card.digest == digest_of(one.content) == card_from(one.content).digest
    assert read_card("# copied by hand\n" + WHOLE, "b.toml").card.digest == one.card.digest
    assert read_card(WHOLE.replace("72.0", "72"), "c.toml").card.digest != one.card.digest


def test_a_torque_about_twelve_times_off_its_thread_is_questioned() -> None:
    """500 to 600 lbf·in written as lbf·ft on a 1/2-20: a question beside the card, no refusal."""
    doubtful = read_card(WHOLE.replace("72.0 N·m", "560 lbf·ft"), "x.toml")
    assert [question.group for question in doubtful.questions] == ["tie-bolt"]
    assert "?" in doubtful.questions[0].text
    assert read_card(WHOLE, "x.toml").questions == ()
    unknown = WHOLE.replace("72.0 N·m", "560 lbf·ft").replace('"1/2-20"', '"M12x1.5"')
    assert read_card(unknown, "x.toml").questions == ()


def test_all_problems_are_told_at_once() -> None:
    """`examine` gives each, the error of `read_card` the first and how many more there are."""
    text = WHOLE.replace("count = 4", "count = 0").replace('"72.0 N·m"', '"72.0 lb"')
    _, problems = examine(text, "x.toml")
    assert [problem.code for problem in problems] == ["card-value", "unit-ambiguous"]
    with pytest.raises(TorquelogError) as caught:
        read_card(text, "x.toml")
    assert "one more problem" in caught.value.hint


def test_a_misspelt_key_shows_the_one_that_was_meant() -> None:
    """The hint names a key; nothing is taken for it."""
    _, problems = examine(WHOLE.replace("passes =", "pases ="), "x.toml")
    assert problems[0].hint == "Did you mean passes?"


def test_a_card_larger_than_an_entry_is_refused() -> None:
    """Nine hundred long cautions do not fit into the body of one entry."""
    cautions = ", ".join(f'"{number} {"x" * 1900}"' for number in range(90))
    text = WHOLE.replace('cautions = ["Keep the bead clean."]', f"cautions = [{cautions}]")
    assert examine(text, "x.toml")[0] is not None
    groups = "".join(
        WHOLE[WHOLE.index("[[group]]") :]
        .replace('"tie-bolt"', f'"g{n}"')
        .replace('"axle-nut"', f'"h{n}"')
        .replace("leak-check", f"c{n}")
        for n in range(150)
    )
    _, problems = examine(text[: text.index("[[group]]")] + groups, "x.toml")
    assert [problem.code for problem in problems] == ["card-large"]
    assert str(MOST_CONTENT >> 10) in problems[0].what


def test_a_byte_of_an_editor_does_not_matter() -> None:
    """Line ends of other systems read the same."""
    assert read_card(WHOLE.replace("\n", "\r\n"), "x.toml").card == read_card(WHOLE, "x.toml").card


def test_the_template_supplies_no_value() -> None:
    """Filled in as it stands it is refused for each demanded value, and every key is in it."""
    text = template("MY-WHEEL")
    _, problems = examine(text, "my-wheel.toml")
    places = {problem.what.partition(":")[0].rpartition(", ")[2] for problem in problems}
    assert places == {"title", "document", "revision", "date", "id", "count", "torque"}
    assert all(f"{key} =" in text for keys in (CARD, GROUP, CHECK) for key in keys)


def test_the_template_with_its_comments_taken_away_is_read() -> None:
    """Every example in it has the form that its key takes; only what stands in capitals is missing."""
    lines = [line.removeprefix("# ") for line in template("MY-WHEEL").splitlines()[6:]]
    _, problems = examine("\n".join(lines), "my-wheel.toml")
    fill_in = {"title", "document", "revision", "date", "id", "count", "torque", "tolerance", "run-on"}
    places = {problem.what.partition(":")[0].rpartition(", ")[2] for problem in problems}
    assert problems
    assert places <= fill_in | {"passes", "holds"}  # these two conflict with other examples beside them


words = st.text("ab \"'\\#[]{}=é·±", min_size=1, max_size=20).filter(lambda text: text.strip())


@settings(max_examples=60, deadline=None)
@given(title=words, names=st.lists(words, min_size=1, max_size=3))
def test_a_written_card_reads_back(title: str, names: list[str]) -> None:
    """Whatever marks the words hold, the file that is written says the same when it is read."""
    card = {"id": "EX-1", "title": title, "document": "d", "revision": "B", "date": date(2026, 11, 2)}
    text = written(
        card | {"cautions": names}, [{"id": "nut", "count": 3, "torque": "68..76 N·m", "hold": False}]
    )
    found = read_card(text, "x.toml").card
    assert found.title == title.strip()
    assert found.cautions == tuple(name.strip() for name in names)


@settings(max_examples=100, deadline=None)
@given(text=st.text(max_size=200) | st.binary(max_size=100).map(lambda raw: raw.decode("latin-1")))
def test_no_text_ends_in_a_fault(text: str) -> None:
    """Anything at all in place of a card gives problems of ours."""
    found, problems = examine(WHOLE[:200] + text, "x.toml")
    assert found is not None or all(isinstance(problem, TorquelogError) for problem in problems)


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.dates(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text("ab", min_size=1, max_size=3), inner, max_size=3)
    ),
    max_leaves=4,
)


@settings(max_examples=100, deadline=None)
@given(value=values)
def test_no_value_of_any_type_ends_in_a_fault(value: object) -> None:
    """Each key takes what it takes, and answers anything else with an error of ours."""
    for keys in (CARD, GROUP, STEP, HARDWARE, CHECK):
        for name, key in keys.items():
            try:
                read = key.read(value)
            except TorquelogError as error:
                read = str(error)
            assert read is None or isinstance(read, str | list | Fraction), name
