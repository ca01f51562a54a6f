"""Days in the sentences of a judgement, which stay true however long they are kept: never "ago", never "today"."""

from datetime import date
from typing import Final

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_name(day: date) -> str:
    """A date: "Mon 23 Nov 2026", in every locale."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def relative(day: date, to: date) -> str:
    """How far a day lies from another: "2 days before", "the day before", "the same day", "1 day after"."""
    days = (day - to).days
    if days == 0:
        return "the same day"
    if days == -1:
        return "the day before"
    return f"{-days:,} days before" if days < 0 else f"{days:,} day{'' if days == 1 else 's'} after"


def day_before(day: date, to: date) -> str:
    """A date with its distance from the day of use: "Mon 23 Nov 2026, 2 days before"."""
    return f"{day_name(day)}, {relative(day, to)}"
