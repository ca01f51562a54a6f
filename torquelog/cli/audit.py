"""`audit`: the lists that an audit asks for, each as of a moment and as CSV."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for
from torquelog.clock import Moment, add_period, day_start, offset_text, parse_date, parse_moment, parse_period
from torquelog.ledger.form import reference

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.quality.audit import Window

SINCE: Final = click.option("--since", metavar="DATE", help="From the start of this day.")
UNTIL: Final = click.option("--until", metavar="DATE", help="Through this day.")
AS_OF: Final = click.option("--as-of", metavar="TIME", help="By what was on record then; now if not given.")
DAY: Final = parse_period("1 day")
Rows = Sequence[Mapping[str, Json]]


def window(book: "Book", since: str | None, until: str | None, as_of: str | None) -> "Window":
    """What the options ask for."""
    from torquelog.quality.audit import ALL

    return ALL._replace(
        since=day_start(parse_date(since), book.zone) if since else ALL.since,
        until=day_start(add_period(parse_date(until), DAY), book.zone) if until else ALL.until,
        known=moment(book, as_of) if as_of else ALL.known,
    )


def moment(book: "Book", as_of: str | None) -> Moment:
    """The moment that is asked about: a time, the end of a day, or now."""
    if not as_of:
        return book.clock.now()
    if ":" not in as_of:
        return day_start(add_period(parse_date(as_of), DAY), book.zone) - 1
    return parse_moment(as_of, book.zone)


def answer(
    name: str, one: str, rows: Rows, cells: Sequence[tuple[str, ...]], heads: Sequence[Column], following: str
) -> Answer:
    """A list: how many there are, the table, and the same for programs."""
    count = words.count(len(rows), one)
    return Answer(
        headline=f"{count[:1].upper()}{count[1:]}." if rows else f"No {one} is on record.",
        table=Table(tuple(heads), tuple(cells), tuple(rows)) if rows else None,
        next=(f"torquelog {following}",),
        data={name: list(rows)},
    )


@command(
    "overdue",
    short="List the uses of tools while past due or out of cycles.",
    examples=(
        Example("torquelog audit overdue --since 2026-11-01"),
        Example("torquelog audit overdue --as-of 2026-11-20 --csv", "by what was on record then"),
    ),
    csv=True,
)
@SINCE
@UNTIL
@AS_OF
def overdue(context: Context, since: str | None, until: str | None, as_of: str | None) -> Answer:
    """By what is known now: also what was told only after the use, such as a withdrawn certificate, late uses or cycles
    elsewhere. Refused attempts are among them, with their outcome.
    """
    from torquelog.quality.overdue import overdue_uses

    with open_for(context, "read") as book:
        asked = window(book, since, until, as_of)
        found = overdue_uses(book, since=asked.since, until=asked.until, as_of=asked.known)
        rows: list[dict[str, Json]] = [
            {
                "entry": reference(each.use.station, each.use.number),
                "performed_at": offset_text(each.use.at, book.zone),
                "tool": each.tool.tool,
                "role": each.use.role,
                "person": each.reading.performed_by,
                "job": each.reading.job,
                "fastener": f"{each.reading.group}:{each.reading.item}",
                "outcome": each.reading.outcome,
                "grounds": [{"code": ground.code, "message": ground.message} for ground in each.grounds],
            }
            for each in found
        ]
        cells = [
            (
                str(row["entry"]), words.day_and_time(each.use.at, book.zone), each.tool.tool,
                each.reading.performed_by, f"{each.reading.job} {words.fastener(str(row['fastener']))}",
                each.reading.outcome,
                " ".join(ground.message for ground in each.grounds),
            )
            for row, each in zip(rows, found, strict=True)
        ]  # fmt: skip
        heads = [Column(name) for name in ("entry", "performed", "tool", "by", "fastener", "outcome")]
        return answer("overdue", "use", rows, cells, [*heads, Column("why", fold=True)], "refused")


@command(
    "struck",
    short="List the entries that were struck, by whom and why.",
    examples=(Example("torquelog audit struck"), Example("torquelog audit struck --since 2026-11-01 --csv")),
    csv=True,
)
@SINCE
@UNTIL
@AS_OF
def struck(context: Context, since: str | None, until: str | None, as_of: str | None) -> Answer:
    """A struck entry stays on record. Where the strike took away what left a fastener open, a second person
    confirms it."""
    from torquelog.quality.audit import struck as act

    with open_for(context, "read") as book:
        found = act(book, window(book, since, until, as_of))
        rows: list[dict[str, Json]] = [
            {
                "entry": each.name,
                "kind": each.struck.kind if each.struck else None,
                "signed_by": each.struck.signer if each.struck else None,
                "struck_by": each.signer,
                "struck_at": offset_text(each.strike.recorded, book.zone),
                "strike": reference(each.strike.station, each.strike.number),
                "why": each.strike.why,
                "awaits": each.strike.awaits and not each.confirmed,
            }
            for each in found
        ]
        cells = [
            (
                each.name, str(row["kind"] or "not held here"), str(row["signed_by"] or ""),
                each.signer, words.day_and_time(each.strike.recorded, book.zone),
                each.strike.why + (" (waits for a second person)" if row["awaits"] else ""),
            )
            for row, each in zip(rows, found, strict=True)
        ]  # fmt: skip
        heads = [Column(name) for name in ("entry", "what", "signed by", "struck by", "struck")]
        return answer(
            "struck", "struck entry", rows, cells, [*heads, Column("why", fold=True)], "audit overdue"
        )


@command(
    "intervals",
    short="List the changes of intervals and cycle limits.",
    examples=(Example("torquelog audit intervals"),),
    csv=True,
)
@SINCE
@UNTIL
@AS_OF
def intervals(context: Context, since: str | None, until: str | None, as_of: str | None) -> Answer:
    """Each with what was before; what a tool was registered with stands in "wrench show"."""
    from torquelog.quality.audit import limits_changed

    with open_for(context, "read") as book:
        found = limits_changed(book, window(book, since, until, as_of))
        rows: list[dict[str, Json]] = [
            {
                "entry": reference(each.told.station, each.told.number),
                "from": offset_text(each.told.at, book.zone),
                "tool": each.told.tool,
                "every_before": str(each.before.every) if each.before.every else None,
                "every": str(each.after.every) if each.after.every else None,
                "cycles_before": None if each.before.cycles is None else str(each.before.cycles),
                "cycles": None if each.after.cycles is None else str(each.after.cycles),
                "by": each.told.signer,
                "why": each.told.why,
            }
            for each in found
        ]
        cells = [
            (
                str(row["entry"]), words.day_and_time(each.told.at, book.zone), each.told.tool,
                _change(row["every_before"], row["every"]), _change(row["cycles_before"], row["cycles"]),
                each.told.signer, each.told.why,
            )
            for row, each in zip(rows, found, strict=True)
        ]  # fmt: skip
        heads = [Column(name) for name in ("entry", "from", "tool", "interval", "cycles", "by")]
        return answer("intervals", "change", rows, cells, [*heads, Column("why", fold=True)], "wrench list")


def _change(before: Json, after: Json) -> str:
    return str(after or "none") if before == after else f"{before or 'none'} to {after or 'none'}"


@command(
    "people",
    short="List who was authorised for what, on a day.",
    examples=(
        Example("torquelog audit people"), Example("torquelog audit people --as-of 2026-11-25 --csv"),
    ),
    csv=True,
)  # fmt: skip
@AS_OF
def people(context: Context, as_of: str | None) -> Answer:
    """By what was on record at the end of that day, or at that time: the roles that counted for work then."""
    from torquelog.quality.audit import authorised

    with open_for(context, "read") as book:
        at = moment(book, as_of)
        found = authorised(book, at)
        rows: list[dict[str, Json]] = [
            {
                "person": each.person.person,
                "name": each.person.name,
                "licence": each.person.licence,
                "station": each.station,
                "role": each.role,
                "since": None if each.since is None else offset_text(each.since, book.zone),
                "until": None if each.until is None else offset_text(each.until, book.zone),
                "told_at": offset_text(each.told, book.zone),
                "inspects": each.inspects or None,
                "signs": each.signs,
            }
            for each in found
        ]
        cells = [
            (
                each.person.person, each.person.name, each.person.licence or "", each.station, each.role,
                "the beginning" if each.since is None else words.day_and_time(each.since, book.zone),
                "" if each.until is None else words.day_and_time(each.until, book.zone), each.inspects,
            )
            for each in found
        ]  # fmt: skip
        heads = [
            Column(name)
            for name in ("person", "name", "licence", "station", "role", "since", "until", "inspects")
        ]
        shown = answer("people", "authorisation", rows, cells, heads, "person list")
        return shown._replace(facts=(("As of", words.day_and_time(at, book.zone)),))


@command(
    "certificates",
    short="List the certificates, and who accepted which.",
    examples=(Example("torquelog audit certificates"), Example("torquelog audit certificates --csv")),
    csv=True,
)
@SINCE
@UNTIL
@AS_OF
def certificates(context: Context, since: str | None, until: str | None, as_of: str | None) -> Answer:
    """Accepted or not, of wrenches, adapters and testers; withdrawn ones as well."""
    from torquelog.quality.audit import certificates as act

    with open_for(context, "read") as book:
        found = act(book, window(book, since, until, as_of))
        rows: list[dict[str, Json]] = [
            {
                "entry": each.reference,
                "tool": each.tool,
                "certificate": each.certificate,
                "laboratory": each.laboratory or None,
                "on": str(each.on),
                "due": str(each.due) if each.due else None,
                "recorded_at": offset_text(each.recorded, book.zone),
                "accepted_at": None if each.accepted is None else offset_text(each.accepted, book.zone),
                "accepted_by": each.accepted_by or None,
                "withdrawn_at": None if each.withdrawn is None else offset_text(each.withdrawn, book.zone),
                "file": each.file or None,
            }
            for each in found
        ]
        cells = [
            (
                each.reference, each.tool, each.certificate, each.laboratory, words.day(each.on),
                "not accepted" if each.accepted is None
                else f"{each.accepted_by}, {words.day_and_time(each.accepted, book.zone)}",
                "" if each.withdrawn is None else words.day_and_time(each.withdrawn, book.zone),
            )
            for each in found
        ]  # fmt: skip
        heads = [
            Column(name)
            for name in (
                "entry",
                "tool",
                "certificate",
                "laboratory",
                "calibrated",
                "accepted by",
                "withdrawn",
            )
        ]
        return answer("certificates", "certificate", rows, cells, heads, "wrench list")
