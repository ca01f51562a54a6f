"""Moments, local days and calendar months."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.clock import (
    Period,
    SetClock,
    SystemClock,
    add_period,
    day_end,
    day_start,
    from_offset_text,
    from_utc_text,
    local_date,
    month_end,
    offset_text,
    parse_date,
    parse_moment,
    parse_period,
    utc_text,
    zone,
)
from torquelog.errors import TorquelogError

LISBON = zone("Europe/Lisbon")
ZONES = st.sampled_from(
    [
        "UTC",
        "Africa/Monrovia",  # 44 minutes and 30 seconds behind until 1972
        "America/Havana",  # falls back to midnight
        "America/Sao_Paulo",  # put forward at midnight
        "America/Toronto",  # put forward from 23:30 in 1919
        "Asia/Kathmandu",
        "Australia/Lord_Howe",  # half an hour of summer time
        "Europe/Lisbon",
        "Pacific/Apia",  # left out 30 December 2011
        "Pacific/Chatham",
    ]
).map(ZoneInfo)
DAYS = st.dates(date(1910, 1, 1), date(2150, 12, 31))
MOMENTS = st.integers(from_utc_text("1910-01-01T00:00:00.000Z"), from_utc_text("2150-01-01T00:00:00.000Z"))
FEW = settings(max_examples=60, deadline=None)


def code_of(act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    return caught.value.code


def test_utc_text_has_three_decimals_and_a_z():
    """A moment of whole seconds still shows its milliseconds."""
    moment = from_utc_text("2026-11-25T14:07:31.000Z")
    assert moment == int(datetime(2026, 11, 25, 14, 7, 31, tzinfo=UTC).timestamp()) * 1000
    assert utc_text(moment) == "2026-11-25T14:07:31.000Z"
    assert utc_text(0) == "1970-01-01T00:00:00.000Z"
    assert utc_text(-1) == "1969-12-31T23:59:59.999Z"


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-25T",
        "2026-11-25T14:07:31Z",
        "2026-11-25T14:07:31.00Z",
        "2026-11-25 14:07:31.000Z",
        "2026-11-25T14:07:31.000+00:00",
        "2026-11-25T14:07:31.000z",
        "2026-11-25T24:00:00.000Z",
        "2026-11-25T14:07:60.000Z",
        "20261125T140731.000Z",
        "9999-11-25T14:07:31.000Z",
        "0026-11-25T14:07:31.000Z",
        "1899-12-31T23:59:59.999Z",
        "9999-01-01T00:00:00.000Z",
        "2026-02-29T10:00:00.000Z",
        "2026-11-25T14:07:31.000Z\n",
        "٢026-11-25T14:07:31.000Z",
    ],
)
def test_only_the_exact_utc_form_is_taken(text):
    """The record's own times have one spelling."""
    assert code_of(from_utc_text, text) == "time-form"


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        # RFC 3339 section 5.8, its examples; from memory of the text.
        ("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520Z"),
        ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57.000Z"),
        ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.870Z"),
        # Section 4.3: -00:00 is UTC whose local offset is unknown. Section 5.6: t and z may be small.
        ("2026-11-25T14:07:31-00:00", "2026-11-25T14:07:31.000Z"),
        ("2026-11-25t14:07:31z", "2026-11-25T14:07:31.000Z"),
        ("2026-11-25T14:07:31+00:59", "2026-11-25T13:08:31.000Z"),
    ],
)
def test_rfc_3339_examples_are_read(text, utc):
    """The published examples name the moments that the standard says."""
    assert utc_text(from_offset_text(text)) == utc


@pytest.mark.parametrize("text", ["1990-12-31T23:59:60Z", "1990-12-31T15:59:60-08:00"])
def test_leap_seconds_are_refused_with_their_reason(text):
    """RFC 3339 5.8 has two leap seconds; both are refused, and the reason names them."""
    with pytest.raises(TorquelogError, match="leap second") as caught:
        from_offset_text(text)
    assert caught.value.code == "time-form"
    assert "86,400" in caught.value.why


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-25T14:07:31.1234Z",
        "2026-11-25T14:07:31",
        "2026-11-25T14:07Z",
        "2026-11-25T14:07:31+0100",
        "2026-11-25T14:07:31+01",
        "2026-11-25T14:07:31+24:00",
        "2026-11-25T14:07:31+01:60",
        "2026-11-25T14:60:00Z",
    ],
)
def test_other_spellings_of_a_full_time_are_refused(text):
    """A time with offset has one form, and none that would be cut or shifted."""
    assert code_of(from_offset_text, text) == "time-form"


@pytest.mark.parametrize("text", ["0001-01-01T00:00:00Z", "9999-12-31T23:59:59-23:00"])
def test_years_that_no_record_has_are_refused(text):
    """The calendar's ends are not read: no zone could be applied to them."""
    assert code_of(from_offset_text, text) == "date-form"


def test_a_year_that_no_record_has_is_refused_although_its_text_was_just_written():
    """What was written is not read back unseen where it could not be read at all."""
    long_ago = (datetime(1850, 3, 1, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(
        milliseconds=1
    )
    for text, read in (
        (utc_text(long_ago), from_utc_text),
        (offset_text(long_ago, zone("UTC")), from_offset_text),
    ):
        with pytest.raises(TorquelogError) as caught:
            read(text)
        assert caught.value.code in ("time-form", "date-form")


def test_the_first_and_the_last_year_are_read():
    """1900 to 9998, both in."""
    for text in ("1900-01-01T00:00:00.000Z", "9998-12-31T23:59:59.999Z"):
        assert utc_text(from_utc_text(text)) == utc_text(from_offset_text(text)) == text


@FEW
@given(MOMENTS)
def test_utc_text_round_trip(moment):
    """Text and moment name each other."""
    assert from_utc_text(utc_text(moment)) == moment


@FEW
@given(MOMENTS, ZONES)
def test_offset_text_round_trip(moment, place):
    """The text with a place's offset names the same moment, in every zone and year."""
    text = offset_text(moment, place)
    assert from_offset_text(text) == moment
    assert len(text) == len("2026-11-25T14:07:31.000+00:00")


@FEW
@given(MOMENTS, ZONES)
def test_offset_text_shows_local_time(moment, place):
    """Where the offset has whole minutes, the text shows what the clock on the wall shows."""
    local = datetime.fromtimestamp(moment // 1000, place)
    if local.utcoffset() % timedelta(minutes=1) == timedelta(0):
        assert offset_text(moment, place)[:19] == local.isoformat()[:19]


def test_offset_text_of_summer_and_winter():
    """The offset is the place's at that moment."""
    assert offset_text(from_utc_text("2026-11-25T14:07:31.000Z"), LISBON) == "2026-11-25T14:07:31.000+00:00"
    assert offset_text(from_utc_text("2026-07-25T14:07:31.000Z"), LISBON) == "2026-07-25T15:07:31.000+01:00"
    newfoundland = zone("America/St_Johns")
    assert offset_text(from_utc_text("2026-11-25T14:07:31.000Z"), newfoundland).endswith(
        "T10:37:31.000-03:30"
    )


@FEW
@given(DAYS, ZONES)
def test_a_day_starts_with_its_first_millisecond(day, place):
    """The millisecond before a day's start still shows an earlier date; it begins where the last ended."""
    start = day_start(day, place)
    assert local_date(start, place) >= day
    assert local_date(start - 1, place) < day
    assert start == day_end(day - timedelta(days=1), place)


@FEW
@given(MOMENTS, ZONES)
def test_every_moment_lies_in_its_own_day(moment, place):
    """A moment is at or after the start of its local day and before its end."""
    day = local_date(moment, place)
    assert day_start(day, place) <= moment < day_end(day, place)


def test_days_at_changes_of_the_clock():
    """A day of 23 hours, one of 25, one that starts at 1 o'clock, one that a zone left out."""
    hour = 3_600_000

    def length(day, place):
        return (day_end(day, place) - day_start(day, place)) / hour

    assert length(date(2026, 3, 29), LISBON) == 23
    assert length(date(2026, 10, 25), LISBON) == 25
    assert utc_text(day_start(date(2018, 11, 4), zone("America/Sao_Paulo"))) == "2018-11-04T03:00:00.000Z"
    assert length(date(2018, 11, 4), zone("America/Sao_Paulo")) == 23
    assert length(date(2026, 11, 1), zone("America/Havana")) == 25
    assert length(date(2011, 12, 30), zone("Pacific/Apia")) == 0
    assert utc_text(day_start(date(1919, 3, 31), zone("America/Toronto"))) == "1919-03-31T04:30:00.000Z"


@pytest.mark.parametrize(
    "name",
    ["Europe/Lisboa", "posix/Europe/Lisbon", "right/UTC", "localtime", "../etc/passwd", "", "Europe", "ü"],
)
def test_unknown_zones_are_refused(name):
    """Only names of the zone list are taken, and none that means another place on another computer."""
    assert code_of(zone, name) == "zone-unknown"


def test_a_misspelt_zone_is_guessed():
    """The nearest name is offered."""
    with pytest.raises(TorquelogError) as caught:
        zone("Europe/Lisboa")
    assert caught.value.hint == 'Did you mean "Europe/Lisbon"?'


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-11-25T14:07", "2026-11-25T14:07:00.000Z"),
        ("2026-11-25 14:07:31", "2026-11-25T14:07:31.000Z"),
        ("2026-07-25 14:07:31.25", "2026-07-25T13:07:31.250Z"),
        ("2026-11-25T14:07Z", "2026-11-25T14:07:00.000Z"),
        ("2026-11-25T14:07+01:00", "2026-11-25T13:07:00.000Z"),
        ("2026-10-25T01:30+01:00", "2026-10-25T00:30:00.000Z"),
        ("2026-10-25T01:30+00:00", "2026-10-25T01:30:00.000Z"),
        ("2026-10-25T00:59:59.999", "2026-10-24T23:59:59.999Z"),
        ("2026-10-25T02:00", "2026-10-25T02:00:00.000Z"),
    ],
)
def test_times_are_read_in_the_station_s_zone(text, utc):
    """Without an offset the station's zone counts; with one, the offset."""
    assert utc_text(parse_moment(text, LISBON)) == utc


@pytest.mark.parametrize(
    ("text", "happens"), [("2026-10-25T01:30", "comes twice"), ("2026-03-29 01:30", "does not exist")]
)
def test_unclear_hours_are_refused_with_both_offsets(text, happens):
    """An hour that comes twice or never is asked back, with both spellings to choose from."""
    with pytest.raises(TorquelogError, match=happens) as caught:
        parse_moment(text, LISBON)
    assert caught.value.code == "hour-unclear"
    stamp = text.replace(" ", "T")
    assert f'"{stamp}+01:00"' in caught.value.hint
    assert f'"{stamp}+00:00"' in caught.value.hint


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("2026-11-25", "time-form"),
        ("14:07", "time-form"),
        ("2026-11-25T14", "time-form"),
        ("2026-11-25T24:00", "time-form"),
        ("2026-11-25T14:07 EST", "time-form"),
        ("2026-11-25T14:07:60", "time-form"),
        ("2026-02-30T14:07", "date-form"),
        ("1899-12-31T14:07", "date-form"),
        ("now", "time-form"),
    ],
)
def test_times_that_are_refused(text, code):
    """Nothing is filled in or guessed."""
    assert code_of(parse_moment, text, LISBON) == code


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-09",
        "9 nov 2026",
        "9 November 2026",
        "9. Nov. 2026",
        "09-NOV-2026",
        "Nov 9, 2026",
        "nov 9 2026",
    ],
)
def test_dates_are_read_in_clear_forms_only(text):
    """ISO dates, and dates with a month's name."""
    assert parse_date(text) == date(2026, 11, 9)


@pytest.mark.parametrize("text", ["03/04/26", "03/04/2026", "3.4.2026", "3-4-2026", "03 04 26", "9 nov 26"])
def test_unclear_dates_are_refused(text):
    """Two readings of one date: which was meant is asked."""
    assert code_of(parse_date, text) == "date-unclear"


@pytest.mark.parametrize(
    "text",
    [
        "20261109",
        "2026-W46-1",
        "2026-11-31",
        "31 feb 2026",
        "9 xyz 2026",
        "2026/11/09",
        "tomorrow",
        "",
        "0 nov 2026",
        "٠٩ nov 2026",
        "9 nov 0026",
    ],
)
def test_dates_that_are_refused(text):
    """Forms that no one writes by hand, days no calendar has, other digits."""
    assert code_of(parse_date, text) == "date-form"


@FEW
@given(st.dates(date(1900, 1, 1), date(9998, 12, 31)))
def test_dates_round_trip(day):
    """A date shown in either form is read as itself."""
    assert parse_date(day.isoformat()) == day
    assert parse_date(f"{day.day} {day:%b} {day.year}") == day


@pytest.mark.parametrize(
    ("text", "period"),
    [
        ("12 months", Period(12, "month")),
        ("1 year", Period(1, "year")),
        ("90days", Period(90, "day")),
        ("2 Weeks", Period(2, "week")),
    ],
)
def test_periods_are_read(text, period):
    """A count and a unit."""
    assert parse_period(text) == period
    assert parse_period(str(period)) == period


def test_periods_are_shown_as_people_write_them():
    """One day, two days."""
    assert [str(Period(count, "day")) for count in (1, 2)] == ["1 day", "2 days"]


@pytest.mark.parametrize(
    "text", ["12", "months", "1.5 years", "-3 days", "0 days", "12 moons", "99999 days", "1_0 days"]
)
def test_periods_that_are_refused(text):
    """No parts, no nothing, no other units."""
    assert code_of(parse_period, text) == "period-form"


@pytest.mark.parametrize(
    ("day", "period", "later"),
    [
        # Calendar months, clipped to the month's last day.
        (date(2025, 8, 31), Period(6, "month"), date(2026, 2, 28)),
        (date(2027, 8, 31), Period(6, "month"), date(2028, 2, 29)),
        (date(2024, 2, 29), Period(12, "month"), date(2025, 2, 28)),
        (date(2024, 2, 29), Period(4, "year"), date(2028, 2, 29)),
        (date(2026, 1, 31), Period(6, "month"), date(2026, 7, 31)),
        (date(2026, 12, 31), Period(2, "month"), date(2027, 2, 28)),
        (date(2026, 11, 25), Period(2, "week"), date(2026, 12, 9)),
        (date(2026, 11, 25), Period(90, "day"), date(2027, 2, 23)),
        (date(9997, 12, 31), Period(1, "year"), date(9998, 12, 31)),
    ],
)
def test_periods_end_on_calendar_days(day, period, later):
    """The published examples of months, and the plain ones."""
    assert add_period(day, period) == later


def test_a_period_beyond_the_calendar_is_refused():
    """No sum of days ends in an error of the calendar."""
    for unit in ("day", "week", "month", "year"):
        assert code_of(add_period, date(9998, 12, 31), Period(9999, unit)) == "period-form"


@FEW
@given(DAYS, st.integers(1, 240))
def test_months_count_the_calendar(day, count):
    """The month is so many further on, and the day is the same or the month's last."""
    later = add_period(day, Period(count, "month"))
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == count
    assert later.day == min(day.day, month_end(later).day)


@FEW
@given(DAYS)
def test_the_day_after_a_month_s_end_is_a_first(day):
    """The last day of a month is in it and the next day is not."""
    end = month_end(day)
    assert (end.year, end.month) == (day.year, day.month)
    assert (end + timedelta(days=1)).day == 1


def test_clocks_tell_what_they_are_set_to():
    """A set clock stands still until it is set; the computer's clock agrees with its own seconds."""
    clock = SetClock(5)
    assert clock.now() == clock.now() == 5
    clock.moment = 7
    assert clock.now() == 7
    assert abs(SystemClock().now() - datetime.now(UTC).timestamp() * 1000) < 60_000
