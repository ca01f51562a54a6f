"""Moments, local days and calendar months.

A moment is a whole number of milliseconds since 1970-01-01T00:00:00Z. Below the command line every time is a
moment; text in and out of it is made here only. A day is a station's local day, a month a calendar month.
Like the computer's own clock, the count knows no leap seconds.
"""

import re
import time
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import Final, NamedTuple, Protocol, TypeAlias
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from torquelog.errors import TorquelogError

Moment: TypeAlias = int

EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
FIRST_YEAR: Final = 1900
LAST_YEAR: Final = 9998
"""The years that are read: a day on either side can still be computed in every zone."""
YEARS: Final = f"The year must lie between {FIRST_YEAR} and {LAST_YEAR}."
MILLISECOND: Final = timedelta(milliseconds=1)
TIME_HINT: Final = 'Write it like "2026-11-25T14:07" or, with its offset, "2026-11-25T14:07+01:00".'
DATE_HINT: Final = 'Write it like "2026-11-09" or "9 nov 2026".'
PERIOD_HINT: Final = 'Write it like "12 months", "90 days", "2 weeks" or "1 year".'
# Patterns are kept as text: most commands use none of them, and compiling all would cost milliseconds.
TIME_FORM: Final = (
    r"(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ](?P<minute>[0-9]{2}:[0-9]{2})"
    r"(?::(?P<second>[0-9]{2})(?:\.(?P<fraction>[0-9]+))?)?"
    r"(?P<offset>[Zz]|[+-][0-9]{2}:[0-9]{2})?"
)
DATE_FORM: Final = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
DAY_FIRST: Final = r"(?P<day>[0-9]{1,2})[. -]+(?P<month>[A-Za-z]{3,9})[. -]+(?P<year>[0-9]{4})"
MONTH_FIRST: Final = r"(?P<month>[A-Za-z]{3,9})[. -]+(?P<day>[0-9]{1,2})[, -]+(?P<year>[0-9]{4})"
UNCLEAR_DATE: Final = r"([0-9]{1,2})[/. -]+([0-9]{1,2}|[A-Za-z]{3,9})[/., -]+([0-9]{2}|[0-9]{4})"
PERIOD_FORM: Final = r"(?P<count>[0-9]{1,4}) *(?P<unit>day|week|month|year)s?"

NOT_ZONES: Final = ("localtime", "posixrules", "Factory")
"""Names in a zone folder that mean another place on each computer, or none."""


class Clock(Protocol):
    """What tells the time. Handed in as an argument, never read from the surroundings."""

    def now(self) -> Moment:
        """The present moment in milliseconds."""
        ...


class SystemClock:
    """The computer's clock."""

    def now(self) -> Moment:
        """The present moment in milliseconds, as the computer has it."""
        return time.time_ns() // 1_000_000


class SetClock:
    """A clock that stands where it was set, for demonstrations and tests.

    Attributes:
        moment: what `now` answers, in milliseconds; may be set anew.
    """

    def __init__(self, moment: Moment) -> None:
        self.moment = moment

    def now(self) -> Moment:
        """The moment it was set to, in milliseconds."""
        return self.moment


class Period(NamedTuple):
    """A length of calendar time: a count, and "day", "week", "month" or "year"."""

    count: int  # type: ignore[assignment]  # hides the tuple's method of that name, which nothing here calls
    unit: str

    def __str__(self) -> str:
        return f"{self.count} {self.unit}" + ("" if self.count == 1 else "s")


def _moment(instant: datetime) -> Moment:
    return (instant - EPOCH) // MILLISECOND


def _instant(moment: Moment) -> datetime:
    return EPOCH + moment * MILLISECOND


# One entry asks for the text of its moment, and for the moment of that text, several times: a few are kept.

KEPT: Final = 64
_OF_UTC: Final[dict[str, Moment]] = {}
_OF_OFFSET: Final[dict[str, Moment]] = {}
"""Moments by their texts, whichever of the two was asked for first."""


def _keep(known: dict[str, Moment], text: str, moment: Moment) -> None:
    if len(known) >= KEPT:
        known.clear()
    if FIRST_YEAR <= int(text[:4]) <= LAST_YEAR:
        known[text] = moment


@lru_cache(maxsize=KEPT)
def utc_text(moment: Moment) -> str:
    """A moment as UTC with exactly three decimals and Z: "2026-11-25T14:07:31.000Z"."""
    text = _instant(moment).isoformat(timespec="milliseconds")[:-6] + "Z"
    _keep(_OF_UTC, text, moment)
    return text


def from_utc_text(text: str) -> Moment:
    """The moment of a text in exactly the form that `utc_text` writes.

    Raises:
        TorquelogError: time-form for any other form, a day or an hour that no calendar has.
    """
    known = _OF_UTC.get(text)
    return _utc_moment(text) if known is None else known


def _utc_moment(text: str) -> Moment:
    try:
        moment = _moment(datetime.fromisoformat(text[:-1] + "+00:00"))
    except (ValueError, TypeError):  # the latter where no hour stands between day and offset
        moment = None
    # Of all the spellings that fromisoformat takes, the one that is written back the same is meant.
    if moment is None or utc_text(moment) != text:
        raise _time_form(text, "It must be UTC with three decimals and a Z.")
    if not FIRST_YEAR <= int(text[:4]) <= LAST_YEAR:
        raise _time_form(text, YEARS)
    return moment


WHOLE_MINUTES: Final = len("2026-11-25T14:07:31.000+00:00")
"""How long the text of a moment is where the offset has no seconds."""


@lru_cache(maxsize=KEPT)
def offset_text(moment: Moment, zone: ZoneInfo) -> str:
    """A moment as RFC 3339 with the offset of the place: "2026-11-25T14:07:31.000+00:00".

    RFC 3339 offsets have whole minutes. Local times of long ago that were off by odd seconds are shown with
    the offset rounded down to the minute, so that the text still names the same moment.
    """
    instant = _instant(moment)
    there = instant.astimezone(zone)
    text = there.isoformat(timespec="milliseconds")
    if len(text) != WHOLE_MINUTES:
        minutes = _offset(there) // timedelta(minutes=1)
        local = (instant + timedelta(minutes=minutes)).isoformat(timespec="milliseconds")[:-6]
        text = local + _offset_words(minutes)
    _keep(_OF_OFFSET, text, moment)
    return text


def from_offset_text(text: str) -> Moment:
    """The moment of an RFC 3339 date-time, which has seconds and an offset; -00:00 is read as UTC.

    Raises:
        TorquelogError: time-form, also for a leap second and for parts of a millisecond, which are not kept.
    """
    known = _OF_OFFSET.get(text)
    if known is not None:
        return known
    found = re.fullmatch(TIME_FORM, text)
    if not found or not found["second"] or not found["offset"]:
        raise _time_form(text, "It must have seconds and an offset, as in RFC 3339.")
    moment = _moment(_read_parts(found, text))
    _keep(_OF_OFFSET, text, moment)
    return moment


def zone(name: str) -> ZoneInfo:
    """The time zone of an IANA name such as "Europe/Lisbon".

    Raises:
        TorquelogError: zone-unknown.
    """
    if name in NOT_ZONES or not name.isascii() or name.startswith(("posix/", "right/")):
        raise _zone_unknown(name)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise _zone_unknown(name) from None


@lru_cache(maxsize=256)
def local_date(moment: Moment, zone: ZoneInfo) -> date:
    """The calendar day of a moment in a zone."""
    return _instant(moment).astimezone(zone).date()


@lru_cache(maxsize=256)
def day_start(day: date, zone: ZoneInfo) -> Moment:
    """The first millisecond of a local day.

    Where the clocks are put forward over midnight, the day starts when its date is first shown. A day that a
    zone left out altogether starts, and ends, where the next one starts.
    """
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    early, late = sorted(
        (_moment(midnight.astimezone(UTC)), _moment(midnight.replace(fold=1).astimezone(UTC)))
    )
    if local_date(early, zone) >= day:
        return early
    while late - early > 1:
        middle = (early + late) // 2
        early, late = (early, middle) if local_date(middle, zone) >= day else (middle, late)
    return late


def day_end(day: date, zone: ZoneInfo) -> Moment:
    """The first millisecond after a local day: it ends before this moment."""
    return day_start(day + timedelta(days=1), zone)


def parse_moment(text: str, zone: ZoneInfo) -> Moment:
    """The moment that a person wrote: `YYYY-MM-DD(T| )HH:MM[:SS[.mmm]][Z|±HH:MM]`.

    Args:
        text: what was written; without an offset it is local time.
        zone: the station's zone, for a time without offset.

    Raises:
        TorquelogError: time-form, date-form (a day no calendar has), hour-unclear (a local time that does not
            exist or comes twice; both offsets are shown).
    """
    found = re.fullmatch(TIME_FORM, text.strip(" "))
    if not found:
        raise _time_form(text)
    instant = _read_parts(found, text)
    return _moment(instant) if found["offset"] else _local_moment(instant, zone)


def parse_date(text: str) -> date:
    """The day that a person wrote: `YYYY-MM-DD`, or with a month's English name, which is shown back.

    Raises:
        TorquelogError: date-form; date-unclear where day, month and year could be told apart in two ways.
    """
    written = text.strip(" ")
    if re.fullmatch(DATE_FORM, written):
        return _checked_date(text, written)
    named = re.fullmatch(DAY_FIRST, written) or re.fullmatch(MONTH_FIRST, written)
    if named:
        return _checked_date(text, f"{named['year']}-{_month(text, named['month'])}-{named['day']:0>2}")
    if re.fullmatch(UNCLEAR_DATE, written):
        raise TorquelogError(
            "date-unclear", f'The date "{text}" can be read in more than one way.', hint=DATE_HINT
        )
    raise _date_form(text)


def parse_period(text: str) -> Period:
    """A length of time such as "12 months", at least one and at most 9999 of its unit.

    Raises:
        TorquelogError: period-form.
    """
    found = re.fullmatch(PERIOD_FORM, text.strip(" "), re.IGNORECASE)
    if not found or int(found["count"]) == 0:
        raise TorquelogError("period-form", f'The length of time "{text}" cannot be read.', hint=PERIOD_HINT)
    return Period(int(found["count"]), found["unit"].lower())


def add_period(day: date, period: Period) -> date:
    """The day a period later. Months are calendar months: 31 August and 6 months is the last day of February.

    Raises:
        TorquelogError: period-form where that lies beyond the years that are kept.
    """
    try:
        if period.unit in ("day", "week"):
            later = day + timedelta(days=period.count * (7 if period.unit == "week" else 1))
        else:
            later = _add_months(day, period.count * (12 if period.unit == "year" else 1))
    except (OverflowError, ValueError):
        later = date.max
    if later.year > LAST_YEAR:
        raise TorquelogError(
            "period-form", f"{period} after {day} is beyond the year {LAST_YEAR}.", hint=PERIOD_HINT
        )
    return later


def month_end(day: date) -> date:
    """The last day of the month that a day lies in."""
    return (day.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)


def _add_months(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    first = date(year, month + 1, 1)
    return first.replace(day=min(day.day, month_end(first).day))


def _read_parts(found: re.Match[str], text: str) -> datetime:
    """The instant of a matched time: aware where an offset was written, else naive local time."""
    second, fraction, offset = found["second"] or "00", found["fraction"] or "", found["offset"] or ""
    _refuse_leap_second(text, second)
    if len(fraction) > 3:
        raise _time_form(text, "Times are kept to the millisecond, three decimals.")
    if int(offset[-2:] if ":" in offset else 0) > 59:
        raise _time_form(text, "An offset has at most 59 minutes.")
    _checked_date(text, found["day"])
    return _read_instant(text, f"{found['day']}T{found['minute']}:{second}.{fraction:0<3}{offset.upper()}")


def _read_instant(text: str, exact: str) -> datetime:
    try:
        return datetime.fromisoformat(exact)
    except ValueError:
        raise _time_form(text) from None


def _refuse_leap_second(text: str, second: str) -> None:
    if second == "60":
        raise TorquelogError(
            "time-form",
            f'The time "{text}" is a leap second.',
            why="Computers and this record count days of 86,400 seconds and have no place for it.",
            hint="Write second 59, or second 00 of the next minute.",
        )


def _local_moment(local: datetime, zone: ZoneInfo) -> Moment:
    first, second = local.replace(tzinfo=zone), local.replace(tzinfo=zone, fold=1)
    before, after = _offset(first), _offset(second)
    if before != after:
        raise _hour_unclear(local, zone, before, after)
    return _moment(first.astimezone(UTC))


def _hour_unclear(local: datetime, zone: ZoneInfo, before: timedelta, after: timedelta) -> TorquelogError:
    shown = local.isoformat(sep=" ", timespec="minutes")
    offsets = [_offset_words(offset // timedelta(minutes=1)) for offset in (before, after)]
    # PEP 495: of the two offsets the first is the one before the change. Put forward: the hour is left out.
    happens = "does not exist" if after > before else "comes twice"
    stamp = local.isoformat(timespec="minutes")
    return TorquelogError(
        "hour-unclear",
        f"{shown} {happens} in {zone.key}.",
        why=f"The clocks changed there from {offsets[0]} to {offsets[1]}.",
        hint=f'Write the offset that was meant: "{stamp}{offsets[0]}" or "{stamp}{offsets[1]}".',
    )


def _offset(instant: datetime) -> timedelta:
    return instant.utcoffset() or timedelta(0)


def _offset_words(minutes: int) -> str:
    hours, rest = divmod(abs(minutes), 60)
    return f"{'-' if minutes < 0 else '+'}{hours:02}:{rest:02}"


def _checked_date(text: str, exact: str) -> date:
    try:
        day = date.fromisoformat(exact)
    except ValueError:
        raise _date_form(text, "The calendar has no such day.") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise _date_form(text, YEARS)
    return day


def _month(text: str, name: str) -> str:
    # Only the table of names is asked: dateutil's parser would fill in what is missing from today.
    from dateutil.parser import parserinfo

    number = parserinfo().month(name)
    if number is None:
        raise _date_form(text, f'"{name}" is not the English name of a month.')
    return f"{number:02}"


def _date_form(text: str, why: str = "") -> TorquelogError:
    return TorquelogError("date-form", f'The date "{text}" cannot be read.', why=why, hint=DATE_HINT)


def _time_form(text: str, why: str = "") -> TorquelogError:
    return TorquelogError("time-form", f'The time "{text}" cannot be read.', why=why, hint=TIME_HINT)


def _zone_unknown(name: str) -> TorquelogError:
    import difflib
    from zoneinfo import available_timezones

    near = difflib.get_close_matches(name, sorted(available_timezones()), n=1)
    return TorquelogError(
        "zone-unknown",
        f'There is no time zone "{name}".',
        why="A zone is named by continent and city." if not near else "",
        hint=f'Did you mean "{near[0]}"?' if near else 'Write it like "Europe/Lisbon".',
    )
