"""What is said beside a judgement: it never refuses, and is silent where there is nothing to say."""

from fractions import Fraction

import pytest

from tests.support.tools import case, certificate, condition, grounds, judged, moment, remarks, scale, wrench
from torquelog.clock import Period
from torquelog.facts.custody import Whereabouts
from torquelog.rules.grounds import Remark
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
        (Whereabouts("person", "IK"), "TK", "", "W-0402 is issued to IK, not to TK."),
        (Whereabouts("person", "IK", job="J-2"), "TK", "", "W-0402 is issued to IK, not to TK."),
        (Whereabouts("person", "TK", job="J-2"), "TK", "", ""),
    ],
)
def test_not_issued(place, person, job, said):
    """Issued to the person, to the job, or to a place where anybody works, is issued."""
    fitness = judged(case(whereabouts=place), person=person, job=job)
    assert fitness.remarks == ((Remark("not-issued", said),) if said else ())
    assert fitness.grounds == ()


@pytest.mark.parametrize("kind", ["away", "retired"])
def test_of_what_is_gone_nobody_hears_that_it_is_not_issued(kind):
    """That it is gone is the ground; to whom it might be issued is beside the point."""
    gone = Whereabouts(kind, place="Lab", since=moment("2026-05-20"))
    fitness = judged(case(whereabouts=gone), person="TK")
    assert (grounds(fitness), fitness.remarks) == ([kind], ())


def test_what_another_station_told_is_as_old_as_its_last_entry():
    """Two days here and five minutes there, each by its own station."""
    now = moment("2026-06-01T10:00")
    told = (("OPO", moment("2026-05-30T09:00")), ("FAO", moment("2026-06-01T09:55")))
    fitness = judged(case()._replace(elsewhere=told), now=now)
    assert fitness.remarks == (
        Remark(
            "crib-facts",
            "What is known of W-0402 comes from OPO, as of Sat 30 May 2026 09:00, 2 days before.",
        ),
        Remark(
            "crib-facts",
            "What is known of W-0402 comes from FAO, as of Mon 1 Jun 2026 09:55, 5 minutes before.",
        ),
    )


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


def test_the_graduation_of_the_scale_that_is_read_is_looked_at():
    """Five newton metres on the other scale make half a pound-foot no coarser."""
    double = wrench(scales=(scale("30", "130", "N·m", "5"), scale("20", "100", "lbf·ft")))
    known = case(tool=double, accuracy_share="999")
    assert remarks(judged(known, torque="53 ft-lb", width=5 * LBF_FT)) == []
    assert remarks(judged(known, torque="70 Nm", width=5 * LBF_FT)) == ["coarse-graduation"]


def test_without_a_torque_or_a_scale_no_graduation_is_coarse():
    """Before anything is set, and of a tester whose scale was not told."""
    assert remarks(judged(case(), width=LBF_FT)) == []
    assert remarks(judged(case(), torque="53 ft-lb")) == []
    tester = wrench("T-01", sort="tester", type="", scales=())
    assert remarks(judged(case(tool=tester, accuracy_share="999"), torque="53 ft-lb", width=LBF_FT)) == []


def test_where_the_limits_are_one_torque_the_accuracy_is_all_of_them():
    """No share of nothing is worked out."""
    fitness = judged(case(), torque="50 ft-lb", width=Fraction(0))
    assert [remark.message for remark in fitness.remarks][1:] == [
        "The accuracy of W-0402, 4 % either way, is all of the tolerance."
    ]


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
    last = Remark("runs-out", "This is the last cycle of W-0402 before it has to be calibrated.")
    assert judged(case(uses=4999)).remarks == (last,)
    assert judged(case(uses=4998)).remarks == ()
    one = Remark("runs-out", "W-0402 has 1 cycle left after this one; this job needs 2 more.")
    assert judged(case(uses=4998), ahead=2).remarks == (one,)


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
