"""Whether a tool may take a reading: each ground at its edges, and all of them together."""

from fractions import Fraction

import pytest

from tests.support.tools import (
    case,
    certificate,
    condition,
    grounds,
    judged,
    moment,
    old,
    points,
    remarks,
    scale,
    wrench,
)
from torquelog.clock import Period
from torquelog.facts.custody import Whereabouts
from torquelog.rules.fitness import Use, judge, needs_calibration, until_when
from torquelog.rules.grounds import GROUNDS, REMARKS
from torquelog.torque.units import Length, Torque


def test_a_good_wrench_is_fit_and_says_what_it_stands_by():
    """Its certificate, its due date by the interval, the cycles left, and the calibrated range."""
    fitness = judged(case(uses=130), torque="53 ft-lb", direction="cw", person="TK")
    assert grounds(fitness) == []
    assert remarks(fitness) == []
    assert fitness.calibration is not None
    assert fitness.calibration.certificate == "C-10"
    assert str(fitness.due) == "2027-01-12"
    assert fitness.valid_until == moment("2027-01-13T00:00")
    assert fitness.cycles_left == 4870
    assert fitness.calibrated == (Torque("20", "lbf·ft").newton_metres, Torque("100", "lbf·ft").newton_metres)


def test_without_any_certificate_it_is_not_calibrated():
    """A tool just registered may not be used."""
    fitness = judged(case(calibrations=()))
    assert grounds(fitness) == ["not-calibrated"]
    assert fitness.grounds[0].message == "W-0402 has no calibration on record."
    assert grounds(judged(case(calibrations=()), torque="53 ft-lb", direction="cw")) == ["not-calibrated"]


def test_before_its_first_calibration_day_it_is_not_calibrated():
    """A first certificate counts from the start of its day, not from before."""
    known = case(calibrations=(certificate("2026-06-01", "2026-06-03T10:00"),))
    assert grounds(judged(known, "2026-05-31T23:59:59")) == ["not-calibrated"]
    assert grounds(judged(known, "2026-06-01T00:00")) == []


class TestDue:
    """The due date, by the station's policy and in the station's zone."""

    def test_fit_to_the_last_second_of_the_due_day_and_not_the_next(self):
        """The due day is a day of use, to its end."""
        assert grounds(judged(case(), "2027-01-12T23:59:59.999")) == []
        fitness = judged(case(), "2027-01-13T00:00")
        assert grounds(fitness) == ["past-due"]
        assert fitness.grounds[0].message == "W-0402 was due Tue 12 Jan 2027, the day before."

    def test_the_day_ends_where_the_station_is(self):
        """The same instant is a day of use in Lisbon and past it on Kiritimati, fourteen hours ahead."""
        from tests.support.tools import KIRITIMATI, LISBON

        at = "2027-01-12T12:00+00:00"
        assert grounds(judged(case(zone=LISBON), at)) == []
        assert grounds(judged(case(zone=KIRITIMATI), at)) == ["past-due"]

    def test_end_of_month_policy(self):
        """Through the due month where the station's rule says so, and the sentence tells both days."""
        assert grounds(judged(case(due_through="month"), "2027-01-31T23:59:59.999")) == []
        fitness = judged(case(due_through="month"), "2027-02-02T10:00")
        assert grounds(fitness) == ["past-due"]
        assert fitness.grounds[0].message == (
            "W-0402 was due Tue 12 Jan 2027 and could be used through Sun 31 Jan 2027, 2 days before."
        )

    @pytest.mark.parametrize(
        ("on", "every", "due"),
        [
            ("2024-02-29", Period(12, "month"), "2025-02-28"),
            ("2026-08-31", Period(6, "month"), "2027-02-28"),
            ("2027-08-31", Period(6, "month"), "2028-02-29"),
            ("2026-01-31", Period(6, "month"), "2026-07-31"),
        ],
    )
    def test_intervals_are_calendar_months(self, on, every, due):
        """31 Aug + 6 months is the last of February, 29 Feb + 12 months the 28th."""
        known = case(tool=wrench(every=every), calibrations=(certificate(on, f"{on}T08:00"),))
        assert str(judged(known, f"{on}T09:00").due) == due

    def test_a_due_date_on_the_certificate_only_shortens(self):
        """An earlier one counts, a later one does not."""
        from datetime import date

        sooner = case(calibrations=(certificate(due=date(2026, 7, 1)),))
        later = case(calibrations=(certificate(due=date(2028, 7, 1)),))
        assert str(judged(sooner).due) == "2026-07-01"
        assert str(judged(later).due) == "2027-01-12"

    def test_without_interval_and_due_date_nothing_ends_it(self):
        """No date is made up."""
        known = case(tool=wrench(every=None))
        assert judged(known, "2030-01-01T00:00").due is None
        assert grounds(judged(known, "2030-01-01T00:00")) == []


class TestCycles:
    """Uses since the certificate began to count."""

    def test_the_last_cycle_and_the_next(self):
        """The 5,000th use is fine, the 5,001st is not."""
        assert grounds(judged(case(uses=4999))) == []
        fitness = judged(case(uses=5000))
        assert grounds(fitness) == ["cycles-used"]
        assert fitness.cycles_left == 0
        assert fitness.grounds[0].message == "W-0402 has used all of its 5,000 cycles."

    def test_no_limit_no_end(self):
        """Without a limit uses do not matter."""
        fitness = judged(case(tool=wrench(cycles=None), uses=99_999))
        assert (grounds(fitness), fitness.cycles_left) == ([], None)


class TestEvents:
    """Dropped, overloaded, damaged, repaired: a calibration ends with it."""

    @pytest.mark.parametrize("what", ["dropped", "overloaded", "damaged", "repaired"])
    def test_an_event_after_a_good_calibration_ends_it(self, what):
        """It says what and when, and until when the calibration was good."""
        fitness = judged(case(conditions=[condition(what, "2026-05-30T16:00")]))
        assert grounds(fitness) == [what]
        assert fitness.grounds[0].message == (
            f"W-0402 was {what} Sat 30 May 2026, 2 days before, and was not calibrated since."
        )
        assert fitness.valid_until == moment("2026-05-30T16:00")

    def test_a_later_calibration_clears_it(self):
        """Its day not before the event's, its counting after the event."""
        event = condition("dropped", "2026-05-30T16:00")
        known = case(calibrations=(old(), certificate("2026-05-30", "2026-06-02T08:00")), conditions=[event])
        assert grounds(judged(known, "2026-06-03T08:00")) == []

    def test_a_certificate_of_an_earlier_day_does_not_clear_it(self):
        """Accepted after the drop, but calibrated before it."""
        event = condition("dropped", "2026-05-30T16:00")
        known = case(calibrations=(old(), certificate("2026-05-29", "2026-06-02T08:00")), conditions=[event])
        assert grounds(judged(known, "2026-06-03T08:00")) == ["dropped"]

    def test_a_certificate_that_counted_before_does_not_clear_it(self):
        """Accepted in the morning, dropped in the afternoon of the same day."""
        event = condition("dropped", "2026-05-30T16:00")
        known = case(calibrations=(old(), certificate("2026-05-30", "2026-05-30T09:00")), conditions=[event])
        assert grounds(judged(known, "2026-06-03T08:00")) == ["dropped"]

    def test_several_events_of_one_kind_are_told_once(self):
        """The last one of each kind."""
        events = [
            condition("dropped", "2026-05-28"),
            condition("dropped", "2026-05-30"),
            condition("damaged", "2026-05-29"),
        ]
        assert grounds(judged(case(conditions=events))) == ["dropped", "damaged"]

    def test_each_kind_of_event_is_told_with_its_own_last_day(self):
        """Dropped before it was damaged, it was dropped on that day and damaged on the other."""
        events = [condition("dropped", "2026-05-28"), condition("damaged", "2026-05-29")]
        assert [ground.message for ground in judged(case(conditions=events)).grounds] == [
            "W-0402 was dropped Thu 28 May 2026, 4 days before, and was not calibrated since.",
            "W-0402 was damaged Fri 29 May 2026, 3 days before, and was not calibrated since.",
        ]

    def test_an_event_at_the_very_moment_a_certificate_begins_to_count_ends_it_there(self):
        """One that befell it a moment before is told, and had ended nothing of that certificate."""
        begins = moment("2026-01-14T09:00")
        dropped = condition("dropped", "2026-01-14T09:00")
        assert judged(case(conditions=[dropped])).valid_until == begins
        before = dropped._replace(at=begins - 1)
        fitness = judged(case(conditions=[before]))
        assert (grounds(fitness), fitness.valid_until) == (["dropped"], moment("2027-01-13T00:00"))

    def test_without_a_certificate_nothing_is_ended(self):
        """A tool that was dropped before it was ever calibrated has no day until which it was good."""
        fitness = judged(case(calibrations=(), conditions=[condition("dropped", "2026-05-28")]))
        assert grounds(fitness) == ["dropped", "not-calibrated"]
        assert fitness.valid_until is None

    def test_a_certificate_without_a_due_date_is_ended_by_an_event_alone(self):
        """Good until it was dropped; without that, without an end."""
        endless = wrench(every=None)
        assert judged(case(tool=endless)).valid_until is None
        dropped = case(tool=endless, conditions=[condition("dropped", "2026-05-28T07:00")])
        assert judged(dropped).valid_until == moment("2026-05-28T07:00")

    def test_lost_until_found(self):
        """A finding ends the loss, whatever else befell it."""
        lost, found = condition("lost", "2026-05-20"), condition("found", "2026-05-28")
        assert grounds(judged(case(conditions=[lost]))) == ["lost"]
        assert grounds(judged(case(conditions=[lost, found]))) == []

    def test_quarantined_until_released(self):
        """One release ends every quarantine before it; a later one begins anew."""
        first, second = (
            condition("quarantined", "2026-05-20", why="odd click"),
            condition("quarantined", "2026-05-21"),
        )
        release = condition("released", "2026-05-25")
        assert grounds(judged(case(conditions=[first, second]))) == ["quarantined"]
        assert grounds(judged(case(conditions=[first, second, release]))) == []
        assert grounds(judged(case(conditions=[first, release, condition("quarantined", "2026-05-26")]))) == [
            "quarantined"
        ]
        assert judged(case(conditions=[first])).grounds[0].message == (
            "W-0402 has been in quarantine since Wed 20 May 2026, 12 days before: odd click"
        )


class TestAcceptance:
    """A certificate counts from its acceptance; the first one from its day."""

    def test_calibrated_and_used_on_one_day(self):
        """Before its certificate is told the old one counts, then none does until the new one is accepted."""
        known = case(
            calibrations=(
                old(),
                certificate(),
                certificate("2026-06-01", "2026-06-01T12:00", "2026-06-01T10:00", 20),
            )
        )
        assert judged(known, "2026-06-01T09:00").calibration.certificate == "C-10"
        assert grounds(judged(known, "2026-06-01T09:00")) == []
        assert grounds(judged(known, "2026-06-01T11:00")) == ["not-accepted"]
        assert grounds(judged(known, "2026-06-01T12:00")) == []
        assert judged(known, "2026-06-01T12:00").calibration.certificate == "C-20"

    def test_a_first_certificate_that_waits(self):
        """On record but not accepted: that alone is the ground."""
        known = case(calibrations=(certificate("2026-05-29", None, "2026-05-30T08:00"),))
        fitness = judged(known)
        assert grounds(fitness) == ["not-accepted"]
        assert fitness.grounds[0].message == (
            "Certificate C-10 of W-0402, Fri 29 May 2026, was not accepted here yet."
        )

    def test_a_first_certificate_told_late_counts_from_its_day(self):
        """With a remark, for it was not known then."""
        known = case(calibrations=(certificate("2026-05-20", "2026-06-05T10:00"),))
        fitness = judged(known, "2026-05-25T10:00", person="TK")
        assert grounds(fitness) == []
        assert remarks(fitness) == ["first-certificate"]
        assert remarks(judged(known, "2026-06-05T10:00", person="TK")) == []

    def test_an_older_certificate_entered_later_does_not_replace_a_newer_one(self):
        """The newest by its day counts, not the one told last."""
        late = certificate("2025-11-01", "2026-05-01T10:00", number=30)
        assert judged(case(calibrations=(old(), certificate(), late))).calibration.certificate == "C-10"

    def test_of_two_on_one_day_the_later_entry_counts(self):
        """A corrected certificate replaces the one of the same day."""
        again = certificate("2026-01-12", "2026-01-20T10:00", number=30)
        assert judged(case(calibrations=(old(), certificate(), again))).calibration.certificate == "C-30"

    def test_as_left_outside_its_accuracy(self):
        """One single reading outside decides, on the limit is inside: 104 shown at 100 is 4 %."""
        edge = case(calibrations=(old(), certificate(points=points("20 20", "104 100"))))
        assert "as-left-failed" not in grounds(judged(edge))
        bad = case(calibrations=(old(), certificate(points=points("20 20", "100 100", "100 96.1"))))
        fitness = judged(bad)
        assert grounds(fitness) == ["as-left-failed"]
        assert fitness.grounds[0].message == (
            "Certificate C-10 of Mon 12 Jan 2026 leaves W-0402 outside its 4 %: 100 lbf·ft shown was 96.1 lbf·ft."
        )

    def test_of_several_readings_outside_the_first_is_named(self):
        """One ground says that the certificate leaves it outside, however often it does."""
        bad = certificate(points=points("20 25", "60 70", "100 100"))
        fitness = judged(case(calibrations=(old(), bad)))
        assert grounds(fitness) == ["as-left-failed"]
        assert fitness.grounds[0].message.endswith("20 lbf·ft shown was 25 lbf·ft.")

    def test_as_found_outside_does_not_make_it_unfit(self):
        """Fitness looks at how it was left; how it was found is the recall's."""
        both = points("60 50", state="as-found") + points("20 20", "60 60", "100 100")
        assert grounds(judged(case(calibrations=(old(), certificate(points=both))))) == []

    def test_a_failed_certificate_that_waits_is_told_too(self):
        """Not accepted, and it could not be."""
        failed = certificate("2026-05-29", None, number=20, points=points("60 50"))
        known = case(calibrations=(old(), certificate(), failed))
        assert grounds(judged(known)) == ["not-accepted", "as-left-failed"]

    def test_without_a_stated_accuracy_no_reading_is_bad(self):
        """Nothing is assumed."""
        known = case(
            tool=wrench(accuracy=None), calibrations=(old(), certificate(points=points("60 30", "80 80")))
        )
        assert grounds(judged(known)) == []


class TestReach:
    """Scale, range, calibrated range, direction: by the indicated value, exactly."""

    @pytest.mark.parametrize(
        ("torque", "found"),
        [
            ("20 ft-lb", []),
            ("100 ft-lb", []),
            ("100.000000000001 ft-lb", ["outside-range", "outside-calibrated-range"]),
        ],
    )
    def test_both_ends_belong_to_the_range(self, torque, found):
        """And nothing beyond them, however little."""
        assert grounds(judged(case(), torque=torque, direction="cw")) == found

    def test_inside_the_range_but_outside_the_calibrated_one(self):
        """A certificate from 40 on says nothing of 30."""
        known = case(calibrations=(old(), certificate(points=points("40 40", "100 100"))))
        fitness = judged(known, torque="30 ft-lb", direction="cw")
        assert grounds(fitness) == ["outside-calibrated-range"]
        assert fitness.grounds[0].message == (
            "30 lbf·ft lies outside what certificate C-10 covers clockwise, 40 to 100 lbf·ft."
        )

    def test_a_preset_tool_is_calibrated_at_its_point_only(self):
        """One point, no range."""
        preset = wrench(type="preset", scales=(scale("40", "60", "N·m", None),))
        known = case(tool=preset, calibrations=(old(), certificate(points=points("50 50.4", unit="N·m"))))
        assert grounds(judged(known, torque="50 Nm", direction="cw")) == []
        assert grounds(judged(known, torque="51 Nm", direction="cw")) == ["outside-calibrated-range"]

    def test_counter_clockwise_on_a_clockwise_certificate(self):
        """A direction that was not calibrated is refused, and no range is made up for it."""
        fitness = judged(case(), torque="53 ft-lb", direction="ccw")
        assert grounds(fitness) == ["direction"]
        assert fitness.calibrated is None

    def test_each_direction_has_its_own_range(self):
        """Clockwise 20 to 100, counter-clockwise 40 to 60."""
        both = points("20 20", "100 100") + points("40 40", "60 60", direction="ccw")
        known = case(calibrations=(old(), certificate(points=both)))
        assert grounds(judged(known, torque="80 ft-lb", direction="cw")) == []
        assert grounds(judged(known, torque="80 ft-lb", direction="ccw")) == ["outside-calibrated-range"]

    def test_results_as_found_cover_nothing(self):
        """Only how it was left counts."""
        known = case(calibrations=(old(), certificate(points=points("20 20", "100 100", state="as-found"))))
        fitness = judged(known, torque="53 ft-lb", direction="cw")
        assert grounds(fitness) == ["as-left-missing"]
        assert fitness.grounds[0].message.endswith("says how W-0402 was found, not how it was left.")
        assert grounds(judged(known)) == ["as-left-missing"], "nor is it handed out"

    def test_found_and_left_unchanged_covers(self):
        """One set of results for both."""
        known = case(calibrations=(old(), certificate(points=points("20 20", "100 100", state="unchanged"))))
        assert grounds(judged(known, torque="53 ft-lb", direction="cw")) == []

    def test_a_unit_without_a_scale(self):
        """640 lbf·in are 53.3 lbf·ft, but nobody can read that off this wrench; its ranges are not asked."""
        fitness = judged(case(), torque="640 in-lb", direction="cw")
        assert grounds(fitness) == ["no-scale"]
        assert fitness.grounds[0].message == "W-0402 has no scale in lbf·in; it shows lbf·ft."

    def test_two_scales(self):
        """Each reading is checked on its own scale."""
        double = wrench(scales=(scale("20", "100", "lbf·ft"), scale("30", "130", "N·m")))
        known = case(tool=double)
        assert grounds(judged(known, torque="130 Nm", direction="cw")) == []
        assert grounds(judged(known, torque="135 Nm", direction="cw")) == ["outside-range"]

    def test_a_certificate_in_another_unit_does_not_cut_the_ends_by_its_rounding(self):
        """20 lbf·ft are 27.116 N·m, printed 27.2; 100 are 135.58, printed 135. Half a percent is explained, no more."""
        rounded = case(calibrations=(old(), certificate(points=points("27.2 27.2", "135 135.6", unit="N·m"))))
        assert grounds(judged(rounded, torque="20 ft-lb", direction="cw")) == []
        assert grounds(judged(rounded, torque="100 ft-lb", direction="cw")) == []
        coarse = case(calibrations=(old(), certificate(points=points("27.3 27.3", "134 134", unit="N·m"))))
        assert grounds(judged(coarse, torque="20 ft-lb", direction="cw")) == ["outside-calibrated-range"]
        assert grounds(judged(coarse, torque="100 ft-lb", direction="cw")) == ["outside-calibrated-range"]

    def test_in_its_own_unit_nothing_is_explained_away(self):
        """A certificate from 20.1 to 99.9 covers neither 20 nor 100."""
        known = case(calibrations=(old(), certificate(points=points("20.1 20.1", "99.9 99.9"))))
        assert grounds(judged(known, torque="20 ft-lb", direction="cw")) == ["outside-calibrated-range"]
        assert grounds(judged(known, torque="100 ft-lb", direction="cw")) == ["outside-calibrated-range"]

    def test_without_a_torque_no_range_is_judged(self):
        """The question at the counter, before anybody set anything."""
        assert grounds(judged(case(), direction="")) == []

    def test_without_a_direction_the_one_that_is_covered_counts(self):
        """A wrench calibrated counter-clockwise only can be asked about without saying where it turns."""
        known = case(calibrations=(old(), certificate(points=points("40 40", "60 60", direction="ccw"))))
        assert grounds(judged(known, torque="50 ft-lb")) == []
        assert grounds(judged(known, torque="70 ft-lb")) == ["outside-calibrated-range"]

    def test_a_tester_of_which_no_scale_was_told_has_no_unit_to_miss(self):
        """It is held against no range then; one with a scale is."""
        tester = wrench("T-01", sort="tester", type="", scales=())
        assert grounds(judged(case(tool=tester), torque="300 Nm", direction="cw")) == []
        told = tester._replace(scales=(scale("10", "200", "N·m"),))
        assert "outside-range" in grounds(judged(case(tool=told), torque="300 Nm", direction="cw"))


class TestRestriction:
    """Limited use, by quality."""

    def test_bounds_and_direction(self):
        """Up to 80 clockwise only, both ends inside."""
        limit = condition(
            "restricted", "2026-03-01", why="worn spring", high=Torque("80", "lbf·ft"), direction="cw",
            detail="up to 80 lbf·ft, clockwise only",
        )  # fmt: skip
        known = case(conditions=[limit])
        assert grounds(judged(known, torque="80 ft-lb", direction="cw")) == []
        assert grounds(judged(known, torque="80.5 ft-lb", direction="cw")) == ["restricted"]
        assert grounds(judged(known, torque="50 ft-lb", direction="ccw")) == ["direction", "restricted"]
        assert judged(known, torque="90 ft-lb").grounds[0].message == (
            "W-0402 is restricted to use up to 80 lbf·ft, clockwise only: worn spring"
        )

    def test_a_lower_bound_in_another_unit_is_compared_exactly(self):
        """30 N·m are 22.13 lbf·ft."""
        known = case(conditions=[condition("restricted", "2026-03-01", low=Torque("30", "N·m"))])
        assert grounds(judged(known, torque="22 ft-lb", direction="cw")) == ["restricted"]
        assert grounds(judged(known, torque="22.5 ft-lb", direction="cw")) == []

    def test_both_bounds_belong_to_what_is_allowed(self):
        """From 30 to 80: either is fine, a tenth beyond it is not."""
        limit = condition("restricted", "2026-03-01", low=Torque("30", "lbf·ft"), high=Torque("80", "lbf·ft"))
        known = case(conditions=[limit])
        found = {
            each: grounds(judged(known, torque=f"{each} ft-lb")) for each in ("29.9", "30", "80", "80.1")
        }
        assert found == {"29.9": ["restricted"], "30": [], "80": [], "80.1": ["restricted"]}

    def test_what_is_not_told_yet_is_not_held_against_it(self):
        """At the counter, before a torque or a direction is said, a restricted tool is handed out."""
        both = condition(
            "restricted",
            "2026-03-01",
            low=Torque("30", "lbf·ft"),
            high=Torque("80", "lbf·ft"),
            direction="cw",
        )
        assert grounds(judged(case(conditions=[both]))) == []

    def test_lifted(self):
        """One lifting ends all of them."""
        ones = [
            condition("restricted", "2026-03-01", high=Torque("30", "lbf·ft")),
            condition("unrestricted", "2026-04-01"),
        ]
        assert grounds(judged(case(conditions=ones), torque="50 ft-lb")) == []


class TestPlaceAndUse:
    """Where it is, and what it is for."""

    def test_away_and_retired(self):
        """Sent to a laboratory, or out of use for good."""
        away = Whereabouts("away", place="Lab", since=moment("2026-05-20"))
        fitness = judged(case(whereabouts=away))
        assert grounds(fitness) == ["away"]
        assert (
            fitness.grounds[0].message
            == "W-0402 was sent to Lab Wed 20 May 2026, 12 days before, and is not received back."
        )
        retired = Whereabouts("retired", since=moment("2026-05-31"))
        assert grounds(judged(case(whereabouts=retired))) == ["retired"]

    def test_gone_without_a_known_day_it_is_told_from_the_day_of_use(self):
        """Nothing earlier is made up."""
        fitness = judged(case(whereabouts=Whereabouts("retired")))
        assert fitness.grounds[0].message == "W-0402 was retired Mon 1 Jun 2026, the same day."

    def test_for_no_job_in_particular_it_is_fit_though_it_is_out_for_one(self):
        """Who asks without a job is told nothing of another."""
        for_job = Whereabouts("person", "TK", job="J-2", since=moment("2026-05-31"))
        use = Use(at=moment("2026-06-01"), now=moment("2026-06-01"), person="TK")
        assert judge(case(whereabouts=for_job), use).remarks == ()

    def test_in_the_future(self):
        """Work dated a moment later than now."""
        assert grounds(judged(case(), now=moment("2026-06-01T09:59:59.999"))) == ["in-the-future"]

    def test_indication_only(self):
        """Such a tool takes no demanded torque."""
        assert grounds(judged(case(tool=wrench(use="indication-only")))) == ["indication-only"]

    def test_checked_before_use(self):
        """On the day of use, not the day before."""
        tool = wrench(use="before-use")
        assert grounds(judged(case(tool=tool))) == ["needs-check"]
        assert grounds(judged(case(tool=tool, checked=moment("2026-05-31T23:00")))) == ["needs-check"]
        assert grounds(judged(case(tool=tool, checked=moment("2026-06-01T07:00")))) == []

    def test_every_ground_that_applies_is_reported(self):
        """Nobody comes back with the next reason after the first is cured."""
        everything = case(
            tool=wrench(use="indication-only"),
            calibrations=(old(), certificate(points=points("20 20", "90 99"))),
            conditions=[
                condition("dropped", "2026-05-01"), condition("quarantined", "2026-05-02"),
                condition("lost", "2026-05-03"), condition("restricted", "2026-05-04", high=Torque("50", "lbf·ft")),
            ],
            whereabouts=Whereabouts("away", place="Lab", since=moment("2026-05-05")),
            uses=5000,
        )  # fmt: skip
        fitness = judged(
            everything, "2027-03-01", torque="101 ft-lb", direction="cw", now=moment("2027-01-01")
        )
        assert grounds(fitness) == [
            "in-the-future", "away", "quarantined", "lost", "dropped", "indication-only", "as-left-failed", "past-due",
            "cycles-used", "outside-range", "outside-calibrated-range", "restricted",
        ]  # fmt: skip


class TestAdapters:
    """Judged by the same function."""

    def adapter(self, **changes):
        """An adapter 2 in long that needs no calibration."""
        plain = wrench("A-03", sort="adapter", type="", scales=(), accuracy=None, every=None, cycles=None)
        return plain._replace(**{"length": Length("2", "in"), **changes})

    def test_a_plain_length_needs_no_certificate(self):
        """Its length is as registered."""
        fitness = judged(case(tool=self.adapter(), calibrations=()))
        assert grounds(fitness) == []
        assert fitness.length is None

    def test_with_an_interval_it_needs_one(self):
        """And falls due."""
        tool = self.adapter(every=Period(12, "month"))
        assert grounds(judged(case(tool=tool, calibrations=()))) == ["not-calibrated"]
        assert grounds(judged(case(tool=tool), "2027-02-01")) == ["past-due"]

    def test_with_a_cycle_limit_it_needs_one(self):
        """The uses are counted from a certificate."""
        tool = self.adapter(cycles=200)
        assert needs_calibration(tool)
        assert not needs_calibration(self.adapter())
        assert grounds(judged(case(tool=tool, calibrations=()))) == ["not-calibrated"]

    def test_a_wrench_always_needs_one(self):
        """Also without interval and cycle limit, which it may be registered without."""
        free = wrench(every=None, cycles=None)
        assert needs_calibration(free)
        assert grounds(judged(case(tool=free, calibrations=()))) == ["not-calibrated"]

    def test_a_certificate_of_an_adapter_has_no_results_to_miss(self):
        """It indicates nothing: no direction, no range, nothing as left."""
        measured = certificate(points=(), length=Length("2.01", "in"))
        known = case(tool=self.adapter(every=Period(12, "month")), calibrations=(old(), measured))
        assert grounds(judged(known, torque="50 ft-lb", direction="cw")) == []

    def test_an_adapter_is_held_against_no_direction(self):
        """Whatever its certificates say, it gives a length."""
        known = case(tool=self.adapter(), calibrations=(old(), certificate()))
        assert grounds(judged(known, direction="ccw")) == []

    def test_a_multiplier_needs_one(self):
        """Its ratio is certified, not computed."""
        tool = self.adapter(multiplier=Fraction(19, 5))
        assert grounds(judged(case(tool=tool, calibrations=()))) == ["not-calibrated"]

    def test_the_newest_measured_length_that_counts(self):
        """A certificate without a length leaves the last measured one in force."""
        measured = certificate("2025-02-01", "2025-02-01T10:00", number=5, length=Length("2.25", "in"))
        later = certificate("2026-02-01", "2026-02-01T10:00", number=6)
        fitness = judged(case(tool=self.adapter(), calibrations=(measured, later)))
        assert fitness.length == Length("2.25", "in")
        not_yet = certificate("2026-03-01", None, number=7, length=Length("2.5", "in"))
        assert judged(case(tool=self.adapter(), calibrations=(measured, not_yet))).length == Length(
            "2.25", "in"
        )

    def test_of_two_measured_lengths_and_ratios_the_newest_counts(self):
        """What was measured before has worn since."""
        first = certificate("2025-02-01", "2025-02-01T10:00", number=5)
        second = certificate("2026-02-01", "2026-02-01T10:00", number=6)
        lengths = (first._replace(length=Length("2", "in")), second._replace(length=Length("2.25", "in")))
        assert judged(case(tool=self.adapter(), calibrations=lengths)).length == Length("2.25", "in")
        ratios = (first._replace(multiplier=Fraction(4)), second._replace(multiplier=Fraction(19, 5)))
        gear = self.adapter(length=None, multiplier=Fraction(4))
        assert judged(case(tool=gear, calibrations=ratios)).multiplier == Fraction(19, 5)
        unsaid = (ratios[0], second)
        assert judged(case(tool=gear, calibrations=unsaid)).multiplier == Fraction(4)

    def test_a_length_is_measured_of_adapters_only(self):
        """A certificate of a wrench that names one, from elsewhere, gives it none."""
        odd = certificate(length=Length("2.25", "in"), multiplier=Fraction(4))
        fitness = judged(case(calibrations=(old(), odd)))
        assert (fitness.length, fitness.multiplier) == (None, None)

    def test_conditions_and_custody_count(self):
        """A dropped adapter is out of use like a dropped wrench."""
        assert grounds(
            judged(
                case(tool=self.adapter(), calibrations=(), conditions=[condition("dropped", "2026-05-01")])
            )
        ) == ["dropped"]


def test_codes_are_listed():
    """Whatever a judgement names is in the published tables."""
    codes = {"not-issued", "coarse-graduation", "accuracy-share", "runs-out", "first-certificate"}
    assert codes <= REMARKS.keys()
    assert {"in-the-future", "away", "retired", "not-accepted", "needs-check"} <= GROUNDS.keys()


def test_how_long_a_judgement_may_be_kept():
    """To the end of the day, to the shift before its end of use and to that end itself, whichever comes next."""

    def until(at, **changes):
        known, when = case()._replace(**changes), moment(at)
        use = Use(at=when, now=changes.get("now", when))
        return until_when(known, use, judge(known, use))

    assert until("2026-06-01T10:00") == moment("2026-06-02T00:00")
    assert until("2027-01-12T10:00") == moment("2027-01-12T12:00")
    assert until("2027-01-12T12:00") == moment("2027-01-13T00:00")


def test_a_judgement_on_a_use_to_come_is_not_kept():
    """Nor one without a certificate beyond its day."""
    known, at = case(), moment("2026-06-01T10:00")
    use = Use(at=at, now=at - 1)
    assert until_when(known, use, judge(known, use)) == at
    bare = case(calibrations=())
    use = Use(at=at, now=at)
    told = known._replace(elsewhere=(("OPO", at - 1),))
    assert until_when(told, use, judge(told, use)) == at, "how long ago is told in its remark"
    assert until_when(bare, use, judge(bare, use)) == moment("2026-06-02T00:00")
