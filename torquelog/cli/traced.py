"""The rows of a trace: folded where they read alike, in columns, or stacked where a terminal is too narrow for them."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Final

from torquelog.cli import words
from torquelog.cli.answer import Column, Each, Json, Stack, Stacked, Table
from torquelog.cli.torques import limits_data, read_data, torque_data
from torquelog.clock import offset_text
from torquelog.facts.readings import Reading
from torquelog.ledger.form import reference
from torquelog.rules.names import fasteners_name, runs
from torquelog.torque.limits import Limits, parse_spec

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.quality.trace import Location, Row, Trace

FIELDS: Final = (
    "entry", "performed_at", "job", "person", "fastener", "assembly", "wrench", "indicated_value", "indicated_unit",
    "applied_value", "applied_unit", "limits_low", "limits_high", "limits_unit", "outcome", "certificate", "state",
    "now_on", "place",
)  # fmt: skip
"""The heading as CSV."""

COLUMNS: Final = (
    Column("fastener"),
    Column("set", right=True),
    Column("limits"),
    Column("outcome"),
    Column("state"),
    Column("by"),
    Column("wrench"),
    Column("performed"),
    Column("entries"),
)
STACKED: Final = (
    Column("fastener", fold=True),
    Column("set", right=True),
    Column("limits"),
    Column("by"),
    Column("performed"),
    Column("entries", fold=True),
)
PLAIN: Final = "Each is within its limits and tight, unless a line below it says otherwise."
OUTCOMES: Final = {"within": "within its limits", "below": "below its limits", "above": "above its limits"}
ENDED: Final = {"loosened": "loosened since", "apart": "taken apart since", "struck": "struck"}


def table(book: "Book", found: "Trace", *, each: bool) -> Table:
    """The readings of a trace, oldest first."""
    title = f"{words.count(len(found.rows), 'reading')}, oldest first"
    many = found.kind != "wrench"
    return Table(
        columns=tuple(column for column in COLUMNS if many or column.title != "wrench"),
        rows=Each(found.rows, lambda rows: (_cells(book, run, many) for run in folded(rows, each=each))),
        records=records(book, found),
        fields=FIELDS,
        title=title,
        stacked=Stacked(
            columns=STACKED,
            rows=Each(
                found.rows, lambda rows: (_stack(book, found.kind, run) for run in folded(rows, each=each))
            ),
            title=f"{title}; times of {words.city(book.zone)}. {PLAIN}",
        ),
    )


def folded(rows: Iterable["Row"], *, each: bool) -> Iterator[Sequence["Row"]]:
    """Readings that read alike and follow on one another; each on its own where that is asked."""
    if each:
        return ((row,) for row in rows)
    key: Callable[[Row], object] = lambda row: (  # noqa: E731  a key
        row.reading.owner, row.reading.group, row.reading.step, row.reading.pass_, row.reading.indicated,
        row.reading.low, row.reading.high, row.reading.performed_by, row.reading.wrench, row.reading.act, row.state,
        row.reading.outcome,
    )  # fmt: skip
    return (tuple(run) for _, run in groupby(rows, key=key))


def _cells(book: "Book", run: Sequence["Row"], many: bool) -> tuple[str, ...]:
    """A row for the whole table; with its wrench where there may be many."""
    first: Reading = run[0].reading
    name, indicated, limits = _what(run)
    wrench = (first.wrench,) if many else ()
    return (
        f"{_owner(first)} {name}", indicated, limits, first.outcome, run[0].state, first.performed_by, *wrench,
        words.day_and_time(first.at, book.zone), _entries([row.reading for row in run]),
    )  # fmt: skip


def _what(run: Sequence["Row"]) -> tuple[str, str, str]:
    """The fasteners, what was set, and the limits."""
    first: Reading = run[0].reading
    return (
        fasteners_name(first.group, [row.reading.item for row in run]),
        str(first.indicated),
        Limits(first.low, first.high).words(_unit(first)),
    )


def _stack(book: "Book", kind: str, run: Sequence["Row"]) -> Stack:
    first: Reading = run[0].reading
    name, indicated, limits = _what(run)
    numbers = ", ".join(_run(one) for one in runs([row.reading.number for row in run]))
    year = words.local(first.at, book.zone).year
    tool = "" if kind == "wrench" else f"with {first.wrench}, "
    return Stack(
        over=f"{_whose(run[0])}, {tool}{year}, entries of {first.station}",
        cells=(name, indicated, limits, first.performed_by, words.short_time(first.at, book.zone), numbers),
        below=became(run[0]),
    )


def _run(ends: tuple[int, int]) -> str:
    return str(ends[0]) if ends[0] == ends[1] else f"{ends[0]}-{ends[1]}"


def _owner(reading: Reading) -> str:
    """Whose fastener: the assembly's serial number, or the position on the aircraft."""
    return reading.owner.partition(" ")[2].partition(" ")[2]


def _whose(row: "Row") -> str:
    """The same with where it is: "WH-7104 (QQ-ULM right main)", "QQ-TAN left main"."""
    where = row.location
    if row.reading.owner.startswith("aircraft "):
        return f"{where.registration} {_owner(row.reading)}"
    return (
        f"{_owner(row.reading)} ({f'{where.registration} {where.position}' if where.flying else where.text})"
    )


def became(row: "Row") -> str:
    """What became of a reading; nothing where it is within its limits and its fastener still tight."""
    reading: Reading = row.reading
    plain = reading.outcome == "within" and row.state == "tight" and reading.act == "tighten"
    if plain:
        return ""
    parts = ["a check"] if reading.act == "check" else []
    parts.append(OUTCOMES.get(reading.outcome, reading.outcome))
    parts += [ENDED[row.state]] if row.state in ENDED else []
    return ", ".join(parts)


def _entries(readings: Sequence[Reading]) -> str:
    """The entries of some readings, those without a gap between them as "QHR-000019 to 000020"."""
    found: list[list[Reading]] = []
    for one in readings:
        before = found[-1][-1] if found else None
        if before and (before.station, before.number + 1) == (one.station, one.number):
            found[-1].append(one)
        else:
            found.append([one])
    return ", ".join(
        reference(run[0].station, run[0].number) + (f" to {run[-1].number:06d}" if run[1:] else "")
        for run in found
    )


def _unit(reading: Reading) -> str:
    return parse_spec(reading.specified).unit if reading.specified else "N·m"


def records(book: "Book", found: "Trace") -> Each[dict[str, Json]]:
    """The readings as programs get them."""
    return Each(found.rows, lambda rows: (_record(book, row) for row in rows))


def _record(book: "Book", row: "Row") -> dict[str, Json]:
    reading: Reading = row.reading
    unit = _unit(reading)
    kind, _, owner = reading.owner.partition(" ")
    return {
        "entry": reference(reading.station, reading.number),
        "performed_at": offset_text(reading.at, book.zone),
        "job": reading.job,
        "person": reading.performed_by,
        "assembly": owner if kind == "assembly" else None,
        "fastener": f"{reading.group}:{reading.item}",
        "wrench": reading.wrench,
        "indicated": read_data(reading.indicated),
        "applied": torque_data(reading.applied, unit),
        "limits": limits_data(Limits(reading.low, reading.high), unit),
        "outcome": reading.outcome,
        "certificate": reading.certificate,
        "state": row.state,
        "now_on": _now_on(book, row.location),
        "place": row.location.text,
    }


def _now_on(book: "Book", location: "Location") -> list[Json]:
    if not location.flying:
        return []
    since = None if location.since is None else offset_text(location.since, book.zone)
    return [{"aircraft": location.registration, "position": location.position, "since": since}]
