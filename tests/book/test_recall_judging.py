"""Judging readings of a recall again where something of them is not on record, and in a recall of many."""

from collections.abc import Sequence
from fractions import Fraction

import pytest

from tests.support.story import WHEEL, Story
from torquelog.book import recall_judging
from torquelog.book.recall_doubts import Doubts
from torquelog.book.recall_items import Gathered, how_many, readings_of
from torquelog.book.recall_judging import Judge, Scope
from torquelog.facts import recall_causes
from torquelog.facts.readings import Reading
from torquelog.rules.recall_item import Where
from torquelog.torque.units import Torque

NOWHERE = Where("", "", "", None, "")


@pytest.fixture
def scope(story: Story) -> Scope:
    """Three bolts tightened with W-0417, and a recall that goes by it."""
    story.bench(WHEEL)
    for item in (1, 2, 3):
        story.take(f"tie-bolt:{item}", "100 N·m")
    return Scope("wrench", "W-0417", "", "", 0, story.clock.moment)


def readings(story: Story, scope: Scope) -> Sequence[Reading]:
    """The readings that a recall names."""
    return [each.reading for each in readings_of(story.book.connection, scope)]


def test_what_is_not_on_record_of_a_reading_changes_nothing(story: Story, scope: Scope) -> None:
    """Its job and so its card, its pass, its entry, or a run-on torque that it never had."""
    connection, scope = story.book.connection, scope._replace(subject="", name="")
    run_on = frozenset({"wrench", "run-on-wrench"})
    first = readings(story, scope)[0]
    usual = Judge(connection, scope).judged(first, frozenset({"wrench"}), {})
    assert (usual.answer, usual.limits.high) == ("within", Fraction(105))
    for strange in (
        first,
        first._replace(job="J-NONE"),
        first._replace(pass_=9),
        first._replace(number=9999),
    ):
        judge = Judge(connection, scope)
        assert judge.judged(strange, run_on, {}) == usual
        assert judge._highest(strange) == Fraction(105)


def test_a_run_on_torque_that_is_not_on_record_changes_nothing(story: Story) -> None:
    """Of a group that no card describes nobody can say what it is added to; without its entry there is none."""
    story.bench({**WHEEL, "torque": "95..100 N·m", "basis": "above-run-on"})
    story.take("tie-bolt:1", "120 N·m", run_on=("20 N·m", "W-0417"))
    connection, roles = story.book.connection, frozenset({"wrench", "run-on-wrench"})
    scope = Scope("", "", "", "", 0, story.clock.moment)
    (reading,) = readings(story, scope)
    limits = Judge(connection, scope).judged(reading, roles, {}).limits
    assert (limits.low, limits.high) == (Fraction(115), Fraction(120))
    low = reading._replace(low=Fraction(90), job="J-NONE")
    gone = Judge(connection, scope).judged(low._replace(job="J-1", number=9999), roles, {})
    assert gone.limits.low == Fraction(90)
    assert "run-on-unknown" not in gone.reasons
    assert Judge(connection, scope).judged(low, roles, {}).limits.low == Fraction(90)
    assert Judge(connection, scope).judged(low._replace(job="J-1"), roles, {}).limits.low == Fraction(115)


def test_a_recall_of_many_readings_is_judged_as_one_of_few(
    story: Story, scope: Scope, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found before is forgotten where it becomes too much, and found again."""
    connection = story.book.connection
    few = Judge(connection, scope)
    many = Judge(connection, scope)
    shown = zip(readings(story, scope), ("100", "101", "102"), strict=True)
    given = [each._replace(indicated=Torque(value, "N·m")) for each, value in shown]
    expected = [few.judged(each, frozenset(), {}) for each in given]
    monkeypatch.setattr(recall_judging, "MOST", 0)
    assert [many.judged(each, frozenset(), {}) for each in given] == expected
    assert (len(few._verdicts), len(many._verdicts)) == (3, 1)


def test_an_open_end_is_not_taken_for_the_other_one(story: Story) -> None:
    """At least 95 N·m and at most 95 N·m are two questions, also one after the other."""
    story.bench({**WHEEL, "torque": "min 95 N·m"})
    story.take("tie-bolt:1", "100 N·m")
    scope = Scope("", "", "", "", 0, story.clock.moment)
    (least,) = readings(story, scope)
    most = least._replace(low=None, high=least.low)
    judge = Judge(story.book.connection, scope)
    sides = [judge.judged(each, frozenset(), {}).side for each in (least, most)]
    assert sides == ["within", "above"]


def test_how_far_a_recall_is_is_told_of_all_its_readings(story: Story, scope: Scope) -> None:
    """So many are there in the end."""
    connection, told = story.book.connection, []
    Gathered(connection, scope).items(lambda _: NOWHERE, lambda done, total: told.append((done, total)))
    assert told[-1] == (3, 3)
    assert how_many(connection, scope) == 3


def test_adapters_are_named_from_the_wrench_outwards(story: Story) -> None:
    """Those of the torque and those of the run-on torque apart; of a wrench what it measured besides."""
    story.bench({**WHEEL, "torque": "95..100 N·m", "basis": "above-run-on"})
    for name in ("A-1", "A-2", "A-3"):
        story.adapter(name, "1 in")
    story.take("tie-bolt:1", "100 N·m", adapters=("A-2", "A-1"), run_on=("20 N·m", "W-0417", "A-3"))
    story.wrench("W-0402")
    story.take("tie-bolt:2", "100 N·m", run_on=("20 N·m", "W-0402"))
    connection, window = story.book.connection, (0, story.clock.moment)
    entries = [(each.station, each.number) for each in readings(story, Scope("", "", "", "", *window))]
    assert [recall_causes.adapters_in(connection, *entry) for entry in entries] == [
        {"adapter": ["A-2", "A-1"], "run-on-adapter": ["A-3"]}, {},
    ]  # fmt: skip
    assert recall_causes.run_on_uses(connection, "W-0417", *window) == {entries[0]}
    assert recall_causes.run_on_uses(connection, "W-0402", *window) == {entries[1]}
    assert recall_causes.run_on_uses(connection, "W-0402", 0, window[1] - 1) == set()


def test_doubts_about_several_tools_are_gathered_once(story: Story, scope: Scope) -> None:
    """Asked about a second tool, the testers are not gone through again."""
    story.report("W-0417", "dropped")
    doubts, at = Doubts(story.book.connection), scope.until
    assert doubts.about("W-0402", at) == []
    gathered = doubts._badly
    assert doubts.about("W-0417", story.clock.moment) == [story.book.station + f"-{story.entries():06d}"]
    assert gathered is not None
    assert doubts._badly is gathered
