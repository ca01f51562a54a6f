"""What a review asks, and what it does not: each question at its threshold."""

from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.tools import scale, wrench
from torquelog.facts.custody import Move
from torquelog.facts.review import Answered, Inspection, Signature, Work
from torquelog.rules import review

SECOND = 1000
MINUTE = 60_000
HOUR = 60 * MINUTE


def work(number: int, at: int, *, late: int = 0, **more: Any) -> Work:
    """A reading made at a moment in milliseconds, entered so much later."""
    found = Work(
        "QHR", number, at, at + late, "J-1", "assembly EX-1 WH-1", "tie-bolt", number, "W-1", "100", "N·m",
        "TK", "within", awaits=0,
    )  # fmt: skip
    return found._replace(**more)


def asked_of(rule: review.Rule, mine: Iterable[Work]) -> list[review.Question]:
    """What one rule asks about readings."""
    return list(review.raised(mine, [rule]))


class TestCloseReadings:
    def test_at_its_threshold(self):
        """4 seconds apart is no question, 3.999 is; a run is one question."""
        assert asked_of(review.CloseReadings(4), [work(1, 0), work(2, 4 * SECOND)]) == []
        (one,) = asked_of(
            review.CloseReadings(4), [work(1, 0), work(2, 3999), work(3, 7998), work(4, 20_000)]
        )
        assert one.entries == ("QHR-000001", "QHR-000002", "QHR-000003")
        assert (
            one.message
            == "TK recorded 3 readings within 8 seconds, from tie bolt 1 of J-1 to tie bolt 3 of J-1."
        )

    def test_back_filled_ones_are_not_asked_about(self):
        """What was copied from paper has times of its own making."""
        assert asked_of(review.CloseReadings(4), [work(1, 0, late=HOUR), work(2, 1, late=HOUR)]) == []
        assert asked_of(review.CloseReadings(4), [work(1, 0), work(2, 1, late=2 * SECOND)]) == []

    def test_two_people_have_four_hands(self):
        """Only one person's readings are compared."""
        assert asked_of(review.CloseReadings(4), [work(1, 0), work(2, 1, performed_by="IK")]) == []

    def test_nothing_is_asked_where_the_rule_is_zero(self):
        """A station that does not want the question."""
        assert asked_of(review.CloseReadings(0), [work(1, 0), work(2, 0)]) == []

    @settings(max_examples=80)
    @given(st.lists(st.integers(0, 60), min_size=1, max_size=20), st.integers(1, 10))
    def test_each_reading_near_another_is_in_one_question(self, seconds, threshold):
        """And no other is."""
        mine = [work(number, at * SECOND) for number, at in enumerate(sorted(seconds), start=1)]
        named = [name for each in asked_of(review.CloseReadings(threshold), mine) for name in each.entries]
        near = {
            each.reference
            for one, two in pairwise(mine)
            for each in (one, two)
            if two.at - one.at < threshold * SECOND
        }
        assert sorted(named) == sorted(near)


class TestTwoPlaces:
    def test_two_people_in_two_jobs(self):
        """Within five minutes; at five it is none."""
        other = {"job": "J-2", "performed_by": "IK"}
        (asked,) = asked_of(review.TwoPlaces(5), [work(1, 0), work(2, 90 * SECOND, **other)])
        assert "W-1 was used by TK on tie bolt 1 of J-1, and 90 seconds later by IK" in asked.message
        assert asked.people == ("IK", "TK")
        assert asked_of(review.TwoPlaces(5), [work(1, 0), work(2, 5 * MINUTE, **other)]) == []

    def test_one_person_on_two_aircraft(self):
        """A wrench does not fly; on two assemblies of one bench it may well be."""
        there = work(1, 0, owner="aircraft 1001 main 1")
        here = work(2, MINUTE, owner="aircraft 1002 main 1", job="J-2")
        assert len(asked_of(review.TwoPlaces(5), [there, here])) == 1
        assert asked_of(review.TwoPlaces(5), [there, here._replace(owner="aircraft 1001 main 2")]) == []
        assert asked_of(review.TwoPlaces(5), [work(1, 0), work(2, MINUTE, job="J-2")]) == []
        assert asked_of(review.TwoPlaces(5), [there, here._replace(wrench="W-2")]) == []


TOOLS = (
    wrench("W-1", type="indicating", scales=(scale("20", "100", "N·m"),)),
    wrench("W-2", type="setting", scales=(scale("20", "100", "N·m"),)),
    wrench("W-3", type="indicating", scales=(scale("20", "100", "N·m", None),)),
)


class TestTooFine:
    def asked(self, value: str, tool: str = "W-1", unit: str = "N·m") -> int:
        return len(asked_of(review.TooFine(TOOLS), [work(1, 0, wrench=tool, value=value, unit=unit)]))

    def test_between_two_marks(self):
        """In steps of 0.5: 45.5 can be read, 45.37 cannot; what is set is no question, nor an unknown scale."""
        assert (self.asked("45.5"), self.asked("45.50"), self.asked("45.37")) == (0, 0, 1)
        assert (self.asked("45.37", "W-2"), self.asked("45.37", "W-3"), self.asked("45.37", "W-9")) == (
            0,
            0,
            0,
        )
        assert self.asked("45.37", unit="lbf·ft") == 0

    @settings(max_examples=50)
    @given(st.integers(40, 200))
    def test_every_mark_can_be_read(self, mark):
        """Whatever the number of steps."""
        value = Fraction(mark, 2)
        assert self.asked(f"{float(value):.1f}") == 0


class TestNotIssued:
    def issued(self, *told: Any) -> review.NotIssued:
        moves = [
            Move("QHR", number, "W-1", act, person, place, job, 0, at, at, "BA", "")
            for number, (at, act, person, place, job) in enumerate(told, start=100)
        ]
        return review.NotIssued({"W-1"}, moves)

    def test_to_another_person(self):
        """Issued to IK and used by TK; to TK, for the job, or to a place is none."""
        used = [work(1, 10), work(2, 20)]
        (asked,) = asked_of(self.issued((0, "issue", "IK", "", "")), used)
        assert asked.message == "TK used W-1 on J-1, 2 readings; it was issued to IK."
        assert asked.entries == ("QHR-000001", "QHR-000002")
        for person, place, job in (("TK", "", ""), ("IK", "", "J-1"), ("", "wheel shop", "")):
            assert asked_of(self.issued((0, "issue", person, place, job)), used) == []

    def test_before_and_after(self):
        """In the crib it is issued to nobody; a wrench of which no issue is kept is not asked about."""
        moved = self.issued((5, "issue", "TK", "", ""), (15, "return", "", "", ""))
        (asked,) = asked_of(moved, [work(1, 1), work(2, 10), work(3, 16)])
        assert asked.entries == ("QHR-000001", "QHR-000003")
        assert asked_of(review.NotIssued((), ()), [work(1, 1)]) == []


def signature(number: int, at: int, person: str = "MS") -> Signature:
    return Signature("QHR", number, at, person, "inspection")


class TestBursts:
    def test_at_its_threshold(self):
        """Three within two minutes; the third at two minutes is none; one question for a longer run."""
        near = [signature(1, 0), signature(2, MINUTE), signature(3, 2 * MINUTE - 1)]
        (asked,) = review.bursts(near, 3, 2)
        assert asked.message == "MS signed 3 inspections or approvals within 2 minutes."
        assert list(review.bursts([*near[:2], signature(3, 2 * MINUTE)], 3, 2)) == []
        (longer,) = review.bursts([*near, signature(4, 2 * MINUTE + 1)], 3, 2)
        assert len(longer.entries) == 4

    def test_people_by_themselves_and_runs_by_themselves(self):
        """Two runs an hour apart are two questions."""
        first = [signature(number, number * SECOND) for number in (1, 2, 3)]
        second = [signature(number, HOUR + number * SECOND) for number in (4, 5, 6)]
        assert len(list(review.bursts([*first, *second], 3, 2))) == 2
        assert list(review.bursts([first[0], first[1], first[2]._replace(person="TK")], 3, 2)) == []


def test_an_inspection_right_after_the_work():
    """Within two minutes of the last reading; at two minutes it is none."""
    seen = Inspection("QHR", 9, MINUTE, MINUTE, "MS", "J-1", "tie-bolt", 0)
    (asked,) = review.inspected_at_once([seen], 2)
    assert asked.message == "MS inspected the tie bolts of J-1 60 seconds after the last reading."
    assert list(review.inspected_at_once([seen._replace(at=2 * MINUTE)], 2)) == []


def test_long_after_and_revived():
    """More than 24 hours after the work, folded by person and job; and each time that changed a verdict."""
    day = 24 * HOUR
    late = [work(1, 0, late=day + 1), work(2, 5, late=2 * day), work(3, 9, late=day)]
    (asked,) = asked_of(review.LongAfter(24), late)
    assert asked.entries == ("QHR-000001", "QHR-000002")
    assert "up to 48 hours after the work" in asked.message
    (again,) = asked_of(review.Revived(), [work(1, 0), work(2, 0, late=HOUR, awaits=1)])
    assert again.entries == ("QHR-000002",)


def test_an_answer_holds_until_something_is_added():
    """It names any of the entries, and was recorded after all of them."""
    (question,) = asked_of(review.LongAfter(24), [work(1, 0, late=25 * HOUR)])
    told = Answered("QHR", 50, "QHR-000001", 30 * HOUR, "RS", "from the worksheet", own=False)
    assert review.answer_of(question, [told]) == told
    assert review.answer_of(question, [told._replace(entry="QHR-000002")]) is None
    (grown,) = asked_of(review.LongAfter(24), [work(1, 0, late=25 * HOUR), work(2, 0, late=31 * HOUR)])
    assert review.answer_of(grown, [told]) is None


def test_one_walk_answers_every_rule():
    """Readings that can be walked through but once are seen by all the rules, each as if it were alone."""
    mine = [work(1, 0), work(2, 1), work(3, 2, late=25 * HOUR, awaits=1, job="J-2", performed_by="IK")]

    def rules() -> list[review.Rule]:
        return [review.CloseReadings(4), review.TwoPlaces(5), review.Revived(), review.LongAfter(24)]

    together = list(review.raised(iter(mine), rules()))
    assert sorted(each.code for each in together) == ["close-readings", "long-after", "revived", "two-places"]
    alone = [question for rule in rules() for question in asked_of(rule, mine)]
    assert sorted(together) == sorted(alone)
