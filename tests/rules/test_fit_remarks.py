"""What is said beside a judgement: it never refuses, and is silent where there is nothing to say."""

from fractions import Fraction

import pytest

from tests.support.tools import case, certificate, condition, judged, moment, remarks, scale, wrench
from torquelog.clock import Period
from torquelog.facts.custody import Whereabouts
from torquelog.torque.units import Torque

LBF_FT = Torque("1", "lbf·ft").newton_metres


@pytest.mark.parametrize(
    ("place", "person", "job", "said"),
    [
        (Whereabouts("person", "TK"), "TK", "J-1", ""),
        (Whereabouts("person", "TK", job="J-1"), "TK", "J-1", ""),
        (Whereabouts("person", "IK", job="J-1"), "TK", "J-1", ""),
        (Whereabouts("place", place="wheel shop"), "TK", "J-1", ""),
        (Whereabouts("person", "IK"), "TK", "J-1", "W-0402 is issued to IK, not to TK."),
        (Whereabouts("person", "TK", job="J-2"), "TK", "J-1", "W-0402 is issued for J-2, not for J-1."),
        (Whereabouts("crib"), "TK", "J-1", "W-0402 is not issued to TK: by the record it lies in the crib."),
        (Whereabouts("crib"), "", "", ""),
    ],
)
def test_not_issued(place, person, job, said):
    """Issued to the person, to the job, or to a place where anybody works, is issued."""
    fitness = judged(case(whereabouts=place), person=person, job=job)
    assert [remark.message for remark in fitness.remarks] == ([said] if said else [])
    assert fitness.grounds == ()


def test_graduation_against_the_tolerance():
    """Half a pound-foot is a tenth of five: on the tenth it is fine enough, below it is coarse."""
    assert "coarse-graduation" not in remarks(
        judged(case(accuracy_share="999"), torque="53 ft-lb", width=5 * LBF_FT)
    )
    assert remarks(judged(case(accuracy_share="999"), torque="53 ft-lb", width=4 * LBF_FT)) == [
        "coarse-graduation"
    ]
    preset = wrench(scales=(scale("20", "100", "lbf·ft", None),))
    assert remarks(judged(case(tool=preset, accuracy_share="999"), torque="53 ft-lb", width=LBF_FT)) == []


def test_accuracy_against_the_limits():
    """4 % either way of 50 lbf·ft are 4 lbf·ft: half of 8 is not more than half, more than half of 7."""
    assert remarks(judged(case(), torque="50 ft-lb", width=8 * LBF_FT)) == []
    fitness = judged(case(), torque="50 ft-lb", width=7 * LBF_FT)
    assert remarks(fitness) == ["accuracy-share"]
    assert fitness.remarks[0].message == "The accuracy of W-0402, 4 % either way, is 57 % of the tolerance."
    assert remarks(judged(case(accuracy_share="60"), torque="50 ft-lb", width=7 * LBF_FT)) == []


def test_a_wrench_whose_accuracy_nobody_knows_is_not_held_against_the_limits():
    """Of its graduation something is said all the same."""
    unknown = wrench(accuracy=None)
    assert remarks(judged(case(tool=unknown), torque="50 ft-lb", width=4 * LBF_FT)) == ["coarse-graduation"]
    assert remarks(judged(case(), torque="50 ft-lb", width=4 * LBF_FT)) == [
        "coarse-graduation",
        "accuracy-share",
    ]


def test_cycles_within_this_job():
    """Ten cycles left serve a reading and nine more, not ten."""
    assert remarks(judged(case(uses=4990), ahead=9)) == []
    fitness = judged(case(uses=4990), ahead=10)
    assert remarks(fitness) == ["runs-out"]
    assert fitness.remarks[0].message == "W-0402 has 9 cycles left after this one; this job needs 10 more."
    assert judged(case(uses=4999)).remarks[0].message == (
        "This is the last cycle of W-0402 before it has to be calibrated."
    )


def test_due_within_a_shift():
    """Twelve hours before the end of its last day, by the station's shift; a moment earlier it is silent."""
    assert remarks(judged(case(), "2027-01-12T11:59:59.999")) == []
    fitness = judged(case(), "2027-01-12T12:00")
    assert remarks(fitness) == ["runs-out"]
    assert fitness.remarks[0].message == "W-0402 runs out at the end of Tue 12 Jan 2027."


def test_a_refused_tool_is_not_remarked_on_but_for_its_issue():
    """Whoever cannot use it need not hear that it runs out."""
    fitness = judged(
        case(uses=5000, whereabouts=Whereabouts("crib")),
        "2027-02-01",
        torque="53 ft-lb",
        width=LBF_FT,
        person="TK",
    )
    assert remarks(fitness) == ["not-issued"]


def test_first_certificate_is_remarked_on_until_it_was_accepted():
    """For work that was done before anybody here knew of the certificate."""
    tool = wrench(every=Period(12, "month"))
    known = case(tool=tool, calibrations=(certificate("2026-05-20", "2026-06-05T10:00"),))
    assert judged(known, "2026-05-21").remarks[0].message == (
        "Certificate C-10 of W-0402 was told later; as its first one it counts from Wed 20 May 2026."
    )


def test_remarks_never_hide_a_ground():
    """An event is a ground whatever the width."""
    known = case(conditions=[condition("dropped", "2026-05-01")])
    fitness = judged(known, torque="53 ft-lb", width=Fraction(0), now=moment("2026-06-01"))
    assert [ground.code for ground in fitness.grounds] == ["dropped"]
