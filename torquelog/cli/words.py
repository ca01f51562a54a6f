"""Dates, times, counts and names as people say them.

Every function gives one line of plain text. Days are local days, counted in the station's zone; the caller
turns a moment into a day with `torquelog.clock.local_date`.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.clock import EPOCH, Moment

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SECOND: Final = 1000
MINUTE: Final = 60 * SECOND
HOUR: Final = 60 * MINUTE
DAY: Final = 24 * HOUR


def day(when: date) -> str:
    """A date: "Mon 23 Nov 2026"."""
    return f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]} {when.year}"


def day_distance(when: date, today: date) -> str:
    """How far a day is from today, in whole days: "today", "yesterday", "2 days ago", "in 349 days"."""
    days = (when - today).days
    near = {0: "today", -1: "yesterday", 1: "tomorrow"}.get(days)
    if near is not None:
        return near
    return f"in {count(days, 'day')}" if days > 0 else f"{count(-days, 'day')} ago"


def day_and_distance(when: date, today: date) -> str:
    """A date and how far it is: "Mon 23 Nov 2026, 2 days ago"."""
    return f"{day(when)}, {day_distance(when, today)}"


def local(moment: Moment, zone: ZoneInfo) -> datetime:
    """The wall clock of a zone at a moment."""
    return (EPOCH + timedelta(milliseconds=moment)).astimezone(zone)


def time(moment: Moment, zone: ZoneInfo, *, seconds: bool = False) -> str:
    """A time of day: "14:07", with seconds "14:07:31"."""
    return _time(local(moment, zone), seconds=seconds)


def _time(when: datetime, *, seconds: bool) -> str:
    return f"{when.hour:02}:{when.minute:02}" + (f":{when.second:02}" if seconds else "")


def day_and_time(moment: Moment, zone: ZoneInfo, *, seconds: bool = False) -> str:
    """A moment: "Wed 25 Nov 2026 14:07 Lisbon"."""
    when = local(moment, zone)
    return f"{day(when.date())} {_time(when, seconds=seconds)} {city(zone)}"


def short_time(moment: Moment, zone: ZoneInfo) -> str:
    """A moment beside others of its year, which is said above them: "16 Nov 09:44"."""
    when = local(moment, zone)
    return f"{when.day} {MONTHS[when.month - 1]} {_time(when, seconds=False)}"


def time_near(moment: Moment, now: Moment, zone: ZoneInfo) -> str:
    """A moment near now: "14:07 today", "18:05 yesterday", else with its date: "13:10 on Wed 18 Nov 2026"."""
    when = local(moment, zone).date()
    distance = day_distance(when, local(now, zone).date())
    if distance not in {"today", "yesterday", "tomorrow"}:
        distance = f"on {day(when)}"
    return f"{time(moment, zone)} {distance}"


def city(zone: ZoneInfo) -> str:
    """The city a zone is named after: "Lisbon" for Europe/Lisbon."""
    return zone.key.rpartition("/")[2].replace("_", " ")


def span(milliseconds: int) -> str:
    """A length of time, in its largest unit, rounded down: "8 hours", "9 min", "31 s", "2 days"."""
    length = abs(milliseconds)
    if length >= DAY:
        return count(length // DAY, "day")
    if length >= HOUR:
        return count(length // HOUR, "hour")
    return f"{length // MINUTE} min" if length >= MINUTE else f"{length // SECOND} s"


def distance(moment: Moment, now: Moment) -> str:
    """How far a moment is from now: "9 min ago", "in 8 hours", "now"."""
    if abs(moment - now) < SECOND:
        return "now"
    return f"in {span(moment - now)}" if moment > now else f"{span(now - moment)} ago"


def number(value: int) -> str:
    """A count with its thousands parted: "5,000"."""
    return f"{value:,}"


def count(value: int, thing: str, things: str = "") -> str:
    """A count of things: "1 reading", "24 readings"; the plural is given where it is not made with an s."""
    return f"{number(value)} {thing if value == 1 else things or plural(thing)}"


def plural(thing: str) -> str:
    """The plural of a name of a thing: "tie bolts", "torque checks", "bushes", "assemblies"."""
    if thing.endswith(("s", "x", "ch", "sh")):
        return thing + "es"
    if thing.endswith("y") and thing[-2:-1] not in tuple("aeiou"):
        return thing[:-1] + "ies"
    return thing + "s"


def group(name: str) -> str:
    """A group of fasteners as it is printed: "tie bolt" for tie-bolt."""
    return name.replace("-", " ")


def fastener(name: str) -> str:
    """A fastener as it is printed: "tie bolt 7" for tie-bolt:7."""
    return " ".join(group(name).split(":"))


def listing(parts: Sequence[str], last: str = "and") -> str:
    """Several things in one sentence: "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def numbers(values: Sequence[int]) -> str:
    """Numbers with their runs folded: "1 to 4, 7 and 9" for 1, 2, 3, 4, 7, 9."""
    runs: list[list[int]] = []
    for value in sorted(set(values)):
        if runs and value == runs[-1][1] + 1:
            runs[-1][1] = value
        else:
            runs.append([value, value])
    return listing([run_text(first, last) for first, last in runs])


def runs(values: Sequence[int]) -> str:
    """Numbers as they are typed, with their runs folded: "1-4,7,9" for 1, 2, 3, 4, 7, 9."""
    from torquelog.rules.names import runs as folded

    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in folded(values))


def run_text(first: int, last: int) -> str:
    """A run of numbers: "7", "7 and 8" as "7, 8", "7 to 9"."""
    if first == last:
        return str(first)
    return f"{first} to {last}" if last > first + 1 else f"{first}, {last}"


def sentence(text: str) -> str:
    """The text with a capital in front, for the beginning of a sentence: "Tie bolt 7"."""
    return text[:1].upper() + text[1:]
