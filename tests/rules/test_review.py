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


def test_what_a_review_asks() -> None:
    """Nine questions, by code, as the reference lists them."""
    assert review.QUESTIONS == {
        "close-readings": "readings closer to one another than hands allow",
        "inspected-at-once": "an inspection right after the work it looks at",
        "long-after": "entries long after the work",
        "not-issued": "a wrench used by somebody it was not issued to",
        "own-work": "a disposition by somebody who did the work it decides on",
        "revived": "an earlier time that changed a verdict",
        "signed-in-a-burst": "many signatures of one person within a short time",
        "too-fine": "readings finer than the graduation they were read on",
        "two-places": "one wrench in two places",
    }


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

    def test_a_second_later_is_entered_at_once(self):
        """Entering takes its time: at one second it still is, beyond it is not."""
        assert len(asked_of(review.CloseReadings(4), [work(1, 0), work(2, 1, late=SECOND)])) == 1
        assert asked_of(review.CloseReadings(4), [work(1, 0), work(2, 1, late=SECOND + 1)]) == []

    def test_a_run_is_told_by_its_first_and_its_last(self):
        """From the first at ten seconds to the last: a run at one moment took a second, one alone is none."""
        run = [work(1, 10 * SECOND), work(2, 12 * SECOND), work(3, 13 * SECOND, late=1)]
        assert asked_of(review.CloseReadings(4), run) == [
            review.Question(
                "close-readings",
                "TK recorded 3 readings within 3 seconds, from tie bolt 1 of J-1 to tie bolt 3 of J-1.",
                ("QHR-000001", "QHR-000002", "QHR-000003"), ("TK",), 10 * SECOND, 13 * SECOND + 1,
            )
        ]  # fmt: skip
        (at_once,) = asked_of(review.CloseReadings(4), [work(1, 10 * SECOND), work(2, 10 * SECOND)])
        assert "2 readings within 1 second, from" in at_once.message
        (hardly,) = asked_of(review.CloseReadings(4), [work(1, 10 * SECOND), work(2, 10 * SECOND + 1)])
        assert "2 readings within 1 second, from" in hardly.message
        assert asked_of(review.CloseReadings(4), run[:1]) == []

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

    def test_it_is_told_from_the_first_use_to_the_second(self):
        """Who, where, and how long after; a long time in minutes, rounded down."""
        one, two = work(1, HOUR), work(2, HOUR + 179 * SECOND, job="J-2", performed_by="IK")
        assert asked_of(review.TwoPlaces(5), [one, two]) == [
            review.Question(
                "two-places",
                "W-1 was used by TK on tie bolt 1 of J-1, and 2 minutes later by IK on tie bolt 2 of J-2.",
                ("QHR-000001", "QHR-000002"), ("IK", "TK"), HOUR, HOUR + 179 * SECOND,
            )
        ]  # fmt: skip

    def test_two_people_at_one_job_pass_the_wrench_on(self):
        """They stand beside one another."""
        assert asked_of(review.TwoPlaces(5), [work(1, 0), work(2, 1, performed_by="IK")]) == []

    def test_two_assemblies_lie_on_one_bench(self):
        """Whatever their types: one person takes the next one."""
        one, two = work(1, 0), work(2, MINUTE, owner="assembly EX-2 BR-1", job="J-2")
        assert asked_of(review.TwoPlaces(5), [one, two]) == []
        assert asked_of(review.TwoPlaces(5), [one._replace(owner="aircraft 1001 main 1"), two]) == []

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
    wrench(
        "W-4", type="indicating", scales=(scale("15", "75", "lbf·ft", "1"), scale("20", "100", "N·m", "2"))
    ),
    wrench("W-5", type="indicating", scales=(scale("20", "100", "N·m", "0"),)),
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

    def test_below_the_first_mark_nothing_can_be_read_either(self):
        """Between zero and the first mark; zero itself is where the pointer rests."""
        assert (self.asked("0.25"), self.asked("0"), self.asked("0.5")) == (1, 0, 0)

    def test_a_graduation_of_nothing_says_nothing(self):
        """Another station's record may have one."""
        assert self.asked("45.37", "W-5") == 0

    def test_it_is_told_with_the_graduation_of_the_scale_that_was_read(self):
        """By wrench, job and person: how many readings, and the first of them."""
        read = [
            work(1, HOUR, wrench="W-4", value="45"),
            work(2, HOUR + 1, wrench="W-4", value="46"),
            work(3, HOUR + 2, wrench="W-4", value="47"),
        ]
        asked = asked_of(review.TooFine(TOOLS), read)
        assert asked == [
            review.Question(
                "too-fine", "TK read 45 N·m on W-4 (2 readings of J-1); its graduation is 2 N·m.",
                ("QHR-000001", "QHR-000003"), ("TK",), HOUR, HOUR + 2,
            )
        ]  # fmt: skip
        (one,) = asked_of(review.TooFine(TOOLS), read[:2])
        assert "(1 reading of J-1)" in one.message

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

    def test_what_nobody_ever_had_was_issued_to_nobody(self):
        """It is told so: before its first issue, and when it lies in the crib again."""
        never = review.Question(
            "not-issued", "TK used W-1 on J-1, 1 reading; it was not issued to anybody.",
            ("QHR-000001",), ("TK",), 7, 9,
        )  # fmt: skip
        used = [work(1, 7, late=2)]
        assert asked_of(self.issued(), used) == [never]
        assert asked_of(self.issued((8, "issue", "TK", "", "")), used) == [never]
        assert asked_of(self.issued((5, "issue", "TK", "", ""), (6, "return", "", "", "")), used) == [never]

    def test_it_is_issued_from_that_very_moment(self):
        """A reading in the same millisecond is after it, one before is not."""
        issued = (10, "issue", "TK", "", "")
        assert asked_of(self.issued(issued), [work(1, 10)]) == []
        assert len(asked_of(self.issued(issued), [work(1, 9)])) == 1

    def test_for_another_job_it_is_not_issued_for_this_one(self):
        """To IK for J-2, and used by TK on J-1."""
        (asked,) = asked_of(self.issued((0, "issue", "IK", "", "J-2")), [work(1, 10)])
        assert asked.message == "TK used W-1 on J-1, 1 reading; it was issued to IK."


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

    def test_a_burst_is_told_from_its_first_signature_to_its_last(self):
        """Fifty seconds from an hour on; at one moment it took a second."""
        near = [signature(number, HOUR + number * 25 * SECOND) for number in (1, 2, 3)]
        assert list(review.bursts(near, 3, 2)) == [
            review.Question(
                "signed-in-a-burst", "MS signed 3 inspections or approvals within 50 seconds.",
                ("QHR-000001", "QHR-000002", "QHR-000003"), ("MS",), HOUR + 25 * SECOND, HOUR + 75 * SECOND,
            )
        ]  # fmt: skip
        (at_once,) = review.bursts([signature(number, HOUR) for number in (1, 2, 3)], 3, 2)
        assert at_once.message == "MS signed 3 inspections or approvals within 1 second."


def test_an_inspection_right_after_the_work():
    """Within two minutes of the last reading; at two minutes it is none."""
    seen = Inspection("QHR", 9, MINUTE, MINUTE, "MS", "J-1", "tie-bolt", 0)
    (asked,) = review.inspected_at_once([seen], 2)
    assert asked.message == "MS inspected the tie bolts of J-1 60 seconds after the last reading."
    assert list(review.inspected_at_once([seen._replace(at=2 * MINUTE)], 2)) == []
    later = seen._replace(at=HOUR + 2 * MINUTE - 1, recorded=HOUR + 2 * MINUTE, worked=HOUR)
    assert list(review.inspected_at_once([later], 2)) == [
        review.Question(
            "inspected-at-once", "MS inspected the tie bolts of J-1 2 minutes after the last reading.",
            ("QHR-000009",), ("MS",), HOUR + 2 * MINUTE - 1, HOUR + 2 * MINUTE,
        )
    ]  # fmt: skip
    assert list(review.inspected_at_once([later._replace(at=HOUR + 2 * MINUTE)], 2)) == []


def test_long_after_and_revived():
    """More than 24 hours after the work, folded by person and job; and each time that changed a verdict."""
    day = 24 * HOUR
    late = [work(1, 0, late=day + 1), work(2, 5, late=2 * day), work(3, 9, late=day)]
    (asked,) = asked_of(review.LongAfter(24), late)
    assert asked.entries == ("QHR-000001", "QHR-000002")
    assert "up to 48 hours after the work" in asked.message
    (again,) = asked_of(review.Revived(), [work(1, 0), work(2, 0, late=HOUR, awaits=1)])
    assert again.entries == ("QHR-000002",)


def test_what_was_entered_late_is_told_with_the_longest_delay():
    """In whole hours since the work, which is not the hour of the day; one reading is one."""
    day = 24 * HOUR
    assert asked_of(review.LongAfter(24), [work(1, day, late=day + HOUR)]) == [
        review.Question(
            "long-after", "1 reading of J-1 by TK, entered up to 25 hours after the work.",
            ("QHR-000001",), ("TK",), day, 2 * day + HOUR,
        )
    ]  # fmt: skip


def test_a_disposition_by_somebody_who_did_the_work():
    """Each is asked about, with the recall it was decided in."""
    decided = review.Decided("QHR-000050", HOUR, "RS", "R-1")
    assert list(review.own_work([decided])) == [
        review.Question(
            "own-work", "RS decided in R-1 on fasteners that RS tightened.", ("QHR-000050",), ("RS",), HOUR, HOUR
        )
    ]  # fmt: skip


def test_an_answer_in_the_moment_of_the_last_entry_knew_it():
    """Moments are milliseconds, and two entries may share one; a millisecond earlier it did not know it."""
    (question,) = asked_of(review.LongAfter(24), [work(1, 0, late=25 * HOUR)])
    told = Answered("QHR", 50, "QHR-000001", 25 * HOUR, "RS", "from the worksheet", own=False)
    assert review.answer_of(question, [told]) == told
    assert review.answer_of(question, [told._replace(recorded=25 * HOUR - 1)]) is None


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
