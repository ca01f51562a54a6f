"""How long a calibration lasts: properties that hold for every certificate, interval, policy and event."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.tools import (
    KIRITIMATI,
    LISBON,
    case,
    certificate,
    condition,
    grounds,
    judged,
    moment,
    old,
    wrench,
)
from torquelog.clock import Period, add_period, day_start, local_date
from torquelog.rules import validity

DAYS = st.dates(date(2024, 3, 1), date(2028, 12, 31))
ZONES = st.sampled_from([LISBON, KIRITIMATI])
PERIODS = st.builds(Period, st.integers(1, 30), st.sampled_from(["day", "week", "month", "year"]))


@settings(max_examples=100)
@given(DAYS, PERIODS, st.none() | DAYS, st.sampled_from(["day", "month"]), ZONES)
def test_end_of_use_is_the_end_of_a_local_day_and_never_later_by_day(on, every, due, policy, zone):
    """The end is a local midnight; by the day it is not later than by the month; a due date only shortens."""
    calibration = certificate(due=due)._replace(on=on)
    found = validity.due_date(calibration, every)
    assert found == min([day for day in (due, add_period(on, every)) if day])
    end = validity.end_of_use(found, policy, zone)
    assert local_date(end - 1, zone) == validity.last_day(found, policy)
    assert local_date(end, zone) == validity.last_day(found, policy) + timedelta(days=1)
    assert validity.end_of_use(found, "day", zone) <= end


@settings(max_examples=100)
@given(st.lists(st.integers(0, 900), min_size=2, max_size=8).map(sorted), st.integers(0, 6000))
def test_once_past_it_stays_past(days, uses):
    """Without a new certificate a tool that is unfit by date, cycles or event never becomes fit by waiting."""
    event = condition("dropped", "2026-09-09")
    unfit = False
    for day in days:
        at = str(date(2026, 1, 20) + timedelta(days=day))
        known = case(conditions=[event] if at >= "2026-09-10" else [], uses=uses)
        found = bool(grounds(judged(known, f"{at}T12:00")))
        assert found or not unfit
        unfit = found


@settings(max_examples=100)
@given(st.permutations(range(4)))
def test_the_governing_certificate_does_not_depend_on_the_order_told(order):
    """Whatever order the facts are read in, the same certificate counts."""
    certificates = [
        old(),
        certificate(),
        certificate("2026-01-12", "2026-01-20T10:00", number=30),
        certificate("2026-05-01", None, number=40),
    ]
    for at in ("2024-01-10T05:00", "2026-01-14T08:59", "2026-01-15T10:00", "2026-06-01T10:00"):
        inorder = validity.governing(certificates, moment(at), LISBON)
        assert validity.governing([certificates[place] for place in order], moment(at), LISBON) == inorder


def test_governing_over_time():
    """The first from its day's start; the next from its acceptance, not a moment before."""
    certificates = (old(), certificate())
    assert validity.governing(certificates, day_start(date(2024, 1, 10), LISBON) - 1, LISBON) is None
    first = validity.governing(certificates, day_start(date(2024, 1, 10), LISBON), LISBON)
    assert first is not None
    assert first.calibration.certificate == "C-3"
    assert (first.since, first.accepted) == (moment("2024-01-10T00:00"), moment("2024-01-10T10:00"))
    before = validity.governing(certificates, moment("2026-01-14T09:00") - 1, LISBON)
    after = validity.governing(certificates, moment("2026-01-14T09:00"), LISBON)
    assert before is not None
    assert after is not None
    assert (before.calibration.certificate, after.calibration.certificate) == ("C-3", "C-10")
    assert after.since == after.accepted == moment("2026-01-14T09:00")


def test_a_second_certificate_never_counts_from_its_day():
    """Told late, it counts from its acceptance: else a lapse could be undone afterwards."""
    late = certificate("2027-01-20", "2027-02-05T10:00", number=30)
    known = case(calibrations=(old(), certificate(), late))
    assert grounds(judged(known, "2027-01-25")) == ["past-due"]
    assert grounds(judged(known, "2027-02-05T10:00")) == []


def test_an_event_at_the_moment_of_acceptance_is_not_cleared():
    """The certificate has to begin after the event."""
    at = "2026-01-12T09:00"
    same_day = certificate("2026-01-12", at)
    known = case(conditions=[condition("damaged", at)], calibrations=(old(), same_day))
    assert grounds(judged(known)) == ["damaged"]
    a_moment_before = condition("damaged", "2026-01-12T08:59:59.999")
    assert grounds(judged(case(conditions=[a_moment_before], calibrations=(old(), same_day)))) == []
    just_before = condition("damaged", "2026-01-12T23:59:59.999")
    assert grounds(judged(case(conditions=[just_before]))) == []


def test_cycles_of_an_unlimited_tool_are_not_counted():
    """A tool without limit has no cycles left to run out of."""
    assert judged(case(tool=wrench(cycles=None))).cycles_left is None


def test_a_due_date_or_an_interval_alone_is_the_due_date():
    """Of both the earlier, of neither none."""
    told, bare = certificate(due=date(2026, 7, 1)), certificate()
    assert validity.due_date(told, None) == date(2026, 7, 1)
    assert validity.due_date(bare, Period(12, "month")) == date(2027, 1, 12)
    assert validity.due_date(told, Period(1, "month")) == date(2026, 2, 12)
    assert validity.due_date(bare, None) is None


def test_a_certificate_waits_from_the_moment_it_is_recorded_to_that_of_its_acceptance():
    """On the first it waits, on the second it does not any more."""
    recorded, accepted = moment("2026-05-01T15:00"), moment("2026-05-02T09:00")
    newer = certificate("2026-05-01", "2026-05-02T09:00", "2026-05-01T15:00", number=40)
    known = (certificate(), newer)
    governed = validity.governing(known, recorded, LISBON)
    assert validity.waiting(known, governed, recorded - 1) is None
    assert validity.waiting(known, governed, recorded) == newer
    assert validity.waiting(known, governed, accepted - 1) == newer
    assert validity.waiting(known, governed, accepted) is None


def test_an_older_certificate_does_not_wait_behind_a_newer_one():
    """Entered late and not accepted it holds nothing up; nor does the one that counts itself."""
    late = certificate("2025-06-01", None, "2026-05-01T15:00", number=40)
    known = (certificate(), late)
    at = moment("2026-06-01T10:00")
    assert validity.waiting(known, validity.governing(known, at, LISBON), at) is None
    bare = certificate("2026-01-12", None, "2026-01-12T10:00")
    governed = validity.Governing(bare, 0, accepted=0)
    assert validity.waiting((bare,), governed, at) is None
    assert validity.waiting((bare,), None, at) == bare


def test_a_certificate_withdrawn_counts_to_the_moment_before():
    """From the withdrawal on none counts, an older one neither."""
    gone = certificate(withdrawn=moment("2026-03-01T10:00"))
    known = (old(), gone)
    before = validity.governing(known, moment("2026-03-01T10:00") - 1, LISBON)
    assert before is not None
    assert before.calibration == gone
    assert validity.governing(known, moment("2026-03-01T10:00"), LISBON) is None


def test_what_starts_twice_is_ended_at_once():
    """One release ends every quarantine, and what comes later stands."""
    first, second, end, third = (
        condition(what, f"2026-05-0{day}")
        for day, what in enumerate(("quarantined", "quarantined", "released", "quarantined"), 1)
    )
    assert validity.standing([first, second], "quarantined", "released") == (first, second)
    assert validity.standing([first, second, end], "quarantined", "released") == ()
    assert validity.standing([first, second, end, third], "quarantined", "released") == (third,)
