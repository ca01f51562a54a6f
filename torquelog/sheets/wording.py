"""How a sheet says days, times and torques. On paper a date stays true however long it hangs: never "ago"."""

import re
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.clock import EPOCH, Moment, local_date
from torquelog.rules.days import MONTHS, day_name

ROUND: Final = {"cw": "clockwise", "ccw": "counter-clockwise"}


def short_day(when: date) -> str:
    """A date without its weekday: "23 Nov 2026"."""
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def local(moment: Moment, zone: ZoneInfo) -> datetime:
    """The wall clock of a zone at a moment."""
    return (EPOCH + timedelta(milliseconds=moment)).astimezone(zone)


def clock_time(moment: Moment, zone: ZoneInfo) -> str:
    """A time of day: "14:07"."""
    return format(local(moment, zone), "%H:%M")


def day_and_time(moment: Moment, zone: ZoneInfo) -> str:
    """A moment: "Mon 23 Nov 2026 14:07"."""
    return f"{day_name(local_date(moment, zone))} {clock_time(moment, zone)}"


def short_moment(moment: Moment, zone: ZoneInfo) -> str:
    """A moment without its weekday: "23 Nov 2026 14:07"."""
    return f"{short_day(local_date(moment, zone))} {clock_time(moment, zone)}"


def city(zone: ZoneInfo) -> str:
    """The city a zone is named after."""
    return zone.key.rpartition("/")[2].replace("_", " ")


def count(number: int, thing: str, things: str = "") -> str:
    """A count of things: "1 reading", "24 readings"."""
    return f"{number:,} {thing if number == 1 else things or thing + 's'}"


def listing(parts: Iterable[str]) -> str:
    """Several things in one sentence: "a, b and c"."""
    told = list(parts)
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}" if told else ""


def sentence(text: str) -> str:
    """The text with a capital in front."""
    return text[:1].upper() + text[1:]


def signed(share: Fraction) -> str:
    """A deviation in percent with its sign: "+0.35 %", "−1.20 %", "0.00 %"; rounded once, to a hundredth of a percent."""
    hundredths = round(share * 10_000)
    sign = "+" if hundredths > 0 else "−" if hundredths < 0 else ""
    whole, rest = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{rest:02} %"


def natural(text: str) -> list[tuple[bool, int, str]]:
    """A key that sorts "main 2" before "main 10"."""
    return [
        (not part.isdecimal(), int(part) if part.isdecimal() else 0, part)
        for part in re.split(r"(\d+)", text)
    ]
