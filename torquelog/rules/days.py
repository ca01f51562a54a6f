"""Days in the sentences of a judgement, which stay true however long they are kept: never "ago", never "today"."""

from datetime import UTC, date, datetime
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.clock import Moment

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_name(day: date) -> str:
    """A date: "Mon 23 Nov 2026", in every locale."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def moment_name(moment: Moment, zone: ZoneInfo) -> str:
    """A moment to the minute in a zone: "Wed 25 Nov 2026 14:07"."""
    local = datetime.fromtimestamp(moment // 1000, UTC).astimezone(zone)
    return f"{day_name(local.date())} {local:%H:%M}"


def length_name(milliseconds: int) -> str:
    """A length of time in its largest unit, rounded down: "3 days", "2 hours", "1 minute", "0 minutes"."""
    minutes = max(0, milliseconds // 60_000)
    for size, unit in ((24 * 60, "day"), (60, "hour")):
        if minutes >= size:
            return _counted(minutes // size, unit)
    return _counted(minutes, "minute")


def _counted(count: int, unit: str) -> str:
    return f"{count:,} {unit}{'' if count == 1 else 's'}"


def relative(day: date, to: date) -> str:
    """How far a day lies from another: "2 days before", "the day before", "the same day", "1 day after"."""
    days = (day - to).days
    if days > 0:
        return f"{_counted(days, 'day')} after"
    if days < -1:
        return f"{_counted(-days, 'day')} before"
    return "the day before" if days else "the same day"


def day_before(day: date, to: date) -> str:
    """A date with its distance from the day of use: "Mon 23 Nov 2026, 2 days before"."""
    return f"{day_name(day)}, {relative(day, to)}"
