"""What the views for other programs say, beside what the project's own questions answer about the same record."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from fractions import Fraction
from typing import Any

from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at
from torquelog.clock import utc_text
from torquelog.facts import (
    acts,
    aircraft,
    assemblies,
    calibrations,
    cards,
    conditions,
    custody,
    inspections,
    jobs,
    limits_told,
    people,
    readings,
    recalls,
    stations,
    strikes,
    tested,
    tools,
    uses,
)  # fmt: skip
from torquelog.facts.people import role_changes, signing_roles
from torquelog.facts.rows import END_OF_TIME
from torquelog.facts.tracing import of_fastener, traced
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry, reference
from torquelog.quality import audit, refusals
from torquelog.quality.recall import show
from torquelog.rules import validity
from torquelog.torque.number import display

BEGINNING = -62_135_596_800_000

Row = dict[str, Any]


def rows(book: Book, view: str) -> list[Row]:
    """A view as another program reads it: over a connection of its own, with nothing of ours."""
    with closing(sqlite3.connect(f"file:{book.path}?mode=ro", uri=True)) as connection:
        connection.execute("PRAGMA trusted_schema = OFF")
        cursor = connection.execute(f"SELECT * FROM {view}")
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]


def chosen(row: Row, *names: str) -> tuple[Any, ...]:
    """Some columns of a row."""
    return tuple(row[name] for name in names)


def when(moment: int | None) -> str | None:
    return None if moment is None else utc_text(moment)


def yes(fact: object) -> str:
    return "yes" if fact else "no"


def strike(book: Book, station: str, number: int) -> str | None:
    found = strikes.strike_of(book.connection, station, number)
    return found and reference(found.station, found.number)


def decimal(value: Fraction | None) -> str | None:
    """With at most six decimals."""
    if value is None:
        return None
    return display(Fraction(round(value * 1_000_000), 1_000_000))


def every_reading(book: Book) -> Iterator[tuple[readings.Reading, bool]]:
    for each in traced(book.connection, "window", "", BEGINNING, END_OF_TIME):
        yield each.reading, each.struck


def body(book: Book, station: str, number: int) -> dict[str, Any]:
    stored = store.entry_at(book.connection, station, number)
    assert stored is not None
    return dict(parse_entry(stored.text).body)


def public_readings(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        (
            *chosen(row, "entry", "job", "fastener", "fastener_group", "fastener_number", "act", "performed_at"),
            *chosen(row, "recorded_at", "performed_by", "signer", "wrench", "indicated", "unit", "gain", "applied_nm"),
            *chosen(row, "low_nm", "high_nm", "specified", "direction", "outcome", "loosened_first", "above_all"),
            *chosen(row, "worn", "certificate", "calibration", "needs_confirmation", "struck_by"),
            row["step"] or "", row["pass"] or 0, owner(row), row["adapters"], row["grounds"], row["remarks"],
            row["why"], row["corrects"], bool(row["confirmed_by"]),
        )
        for row in rows(book, "public_readings")
    ]  # fmt: skip
    answered = []
    for each, _ in every_reading(book):
        full = body(book, each.station, each.number)
        answered.append(
            (
                reference(each.station, each.number), each.job, f"{each.group}:{each.item}", each.group, each.item,
                each.act, when(each.at), when(each.recorded), each.performed_by, each.signer, each.wrench,
                each.indicated.value, each.indicated.unit, str(each.gain), decimal(each.applied), decimal(each.low),
                decimal(each.high), each.specified, each.direction, each.outcome, yes(each.loosened), yes(each.over),
                yes(each.worn), each.certificate, each.calibration, yes(each.awaits),
                strike(book, each.station, each.number), each.step, each.pass_, each.owner,
                ", ".join(full.get("adapter", ())) or None,
                ", ".join(ground["code"] for ground in full["grounds"]) or None, ", ".join(full["remarks"]) or None,
                full.get("why"), full.get("corrects"),
                strikes.confirmed(book.connection, each.station, each.number),
            )
        )  # fmt: skip
    return told, answered


def owner(row: Row) -> str:
    if row["serial"] is not None:
        assert row["msn"] is None
        return f"assembly {row['part_number']} {row['serial']}"
    return f"aircraft {row['msn']} {row['position']}"


def public_refusals(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "entry",
        "performed_at",
        "performed_by",
        "job",
        "fastener",
        "wrench",
        "ground",
        "tool",
        "message",
    )
    told = [
        chosen(row, *names)
        for row in rows(book, "public_refusals") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (reference(each.reading.station, each.reading.number), when(each.reading.at), each.reading.performed_by,
         each.reading.job, f"{each.reading.group}:{each.reading.item}", each.reading.wrench, code, tool, message)
        for each in refusals.refusals(book) if strike(book, each.reading.station, each.reading.number) is None
        for code, tool, message in each.grounds
    ]  # fmt: skip
    return told, answered


def public_fasteners(book: Book) -> tuple[list[Any], list[Any]]:
    connection = book.connection
    names = ("last_reading", "last_outcome", "last_job", "last_wrench", "last_performed_at", "tightened")
    more = ("tightened_at", "last_refusal", "last_inspection")
    told = [
        (owner(row), *chosen(row, "fastener_group", "fastener_number", *names, *more))
        for row in rows(book, "public_fasteners")
    ]
    fasteners = {(each.owner, each.group, each.item) for each, _ in every_reading(book)}
    fasteners |= {
        (owner(row), row["fastener_group"], row["fastener_number"])
        for row in rows(book, "public_fastener_acts")
    }
    answered = []
    for whose, group, item in fasteners:
        life = [each.reading for each in of_fastener(connection, whose, group, item) if not each.struck]
        taken = [each for each in life if each.outcome != "refused"]
        good = [each for each in taken if each.outcome == "within" and each.act == "tighten"]
        refused = [each for each in life if each.outcome == "refused"]
        seen = list(inspections.of_group(connection, whose, group, item))
        last = taken[-1] if taken else None
        answered.append(
            (
                whose, group, item, named(last), last and last.outcome, last and last.job, last and last.wrench,
                when(last and last.at), named(good[-1] if good else None), when(good[-1].at) if good else None,
                named(refused[-1] if refused else None), seen[-1].outcome if seen else None,
            )
        )  # fmt: skip
    return told, answered


def named(each: Any) -> str | None:
    return None if each is None else reference(each.station, each.number)


def _owners(book: Book) -> set[tuple[str, str]]:
    found = {(each.owner, each.group) for each, _ in every_reading(book)}
    return found | {(owner(row), row["fastener_group"]) for row in rows(book, "public_fasteners")}


def public_fastener_acts(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "entry",
        "job",
        "fastener",
        "act",
        "what",
        "fitted_part",
        "fitted_serial",
        "fitted_lots",
        "performed_at",
    )
    told = [
        (owner(row), *chosen(row, *names, "performed_by", "recorded_at", "why"))
        for row in rows(book, "public_fastener_acts") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (each.owner, named(each), each.job, f"{each.group}:{each.item}", each.act, each.what, each.hardware,
         each.serial, each.lot, when(each.at), each.performed_by, when(each.recorded), each.why)
        for whose, group in _owners(book) for each in acts.on_fastener(book.connection, whose, group, None)
    ]  # fmt: skip
    return told, answered


def public_steps(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "entry",
        "job",
        "fastener_group",
        "fastener_number",
        "step",
        "value",
        "performed_at",
        "performed_by",
    )
    told = [chosen(row, *names, "why") for row in rows(book, "public_steps") if row["struck_by"] is None]
    answered = [
        (named(each), each.job, each.group, each.item, each.step, each.value, when(each.at), each.performed_by, each.why)
        for job in jobs.names(book.connection) for each in acts.steps_of_job(book.connection, job)
    ]  # fmt: skip
    return told, answered


def public_parts(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "job", "change", "part_number", "serial", "lot", "performed_at", "performed_by", "why")
    told = [chosen(row, *names) for row in rows(book, "public_parts") if row["struck_by"] is None]
    answered = [
        (named(each), each.job, each.change, each.part, each.serial, each.lot, when(each.at), each.performed_by, each.why)
        for job in jobs.names(book.connection) for each in acts.parts_of_job(book.connection, job)
    ]  # fmt: skip
    return told, answered


def public_inspections(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "job", "fastener", "outcome", "own", "performed_at", "recorded_at", "performed_by")
    told = [
        (*chosen(row, *names), row["why"] or "")
        for row in rows(book, "public_inspections") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), each.job, f"{each.group}:{each.item}", each.outcome, yes(each.own), when(each.at),
         when(each.recorded), each.performed_by, each.why)
        for whose, group in _owners(book) for each in inspections.of_group(book.connection, whose, group, None)
    ]  # fmt: skip
    return told, answered


def public_tester_checks(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "at", "indicated", "unit", "reference", "reference_unit", "outcome", "signer")
    told = [
        (*chosen(row, *names), row["direction"] or "", Fraction(row["accuracy"]) / 100)
        for row in rows(book, "public_tester_checks") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), when(each.at), pair.reading.value, pair.reading.unit, pair.reference.value, pair.reference.unit,
         each.outcome, each.signer, pair.direction, each.accuracy)
        for tool in _numbers(book) for each in tested.checks(book.connection, tool) for pair in each.pairs
    ]  # fmt: skip
    return told, answered


def public_jobs(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "job",
        "card",
        "revision",
        "msn",
        "position",
        "assemblies",
        "opened_at",
        "opened_by",
        "closed_at",
        "entry",
    )
    told = [chosen(row, *names) for row in rows(book, "public_jobs")]
    answered = [
        (each.job, each.card, each.revision, each.aircraft, each.position,
         ", ".join(f"{kind}={key}" for kind, key in each.assemblies.items()) or None, when(each.opened),
         each.opened_by, when(each.closed), each.reference)
        for each in jobs.Every(book.connection)
    ]  # fmt: skip
    return told, answered


def public_cards(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("card", "revision", "digest", "title", "document", "date", "drafter", "recorded_at")
    told = [
        (*chosen(row, *names), row["approved_at"], row["approved_by"])
        for row in rows(book, "public_cards") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (each.card, each.revision, each.digest, each.title, each.document, each.date, each.drafter, when(each.loaded),
         when(each.approval and each.approval.at), each.approval and each.approval.approver)
        for each in cards.listed(book.connection)
    ]  # fmt: skip
    return told, answered


def public_tools(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "tool",
        "sort",
        "type",
        "every",
        "cycles",
        "owner",
        "whereabouts",
        "with_person",
        "at_place",
        "for_job",
    )
    more = (
        "since",
        "certificate",
        "calibration",
        "calibrated_on",
        "due",
        "quarantined",
        "lost",
        "restricted",
        "entry",
    )
    told = [(*chosen(row, *names, *more), row["scales"]) for row in rows(book, "public_tools")]
    answered = [_tool(book, each) for sort in tools.SORTS for each in tools.tools(book.connection, sort)]
    return told, answered


def _tool(book: Book, tool: tools.Tool) -> tuple[Any, ...]:
    connection, now = book.connection, book.clock.now()
    where = custody.whereabouts(connection, tool.tool)
    governed = validity.governing(calibrations.calibrations(connection, tool.tool), now, book.zone)
    counts = governed.calibration if governed else None
    befell = conditions.conditions(connection, tool.tool)
    states = (("quarantined", "released"), ("lost", "found"), ("restricted", "unrestricted"))
    due = fitness_at(connection, book, tool, now).due
    return (
        tool.tool, tool.sort, tool.type or None, str(tool.every) if tool.every else None, tool.cycles, tool.owner,
        where.kind, where.person or None, where.place or None, where.job or None, when(where.since),
        counts and counts.certificate, counts and counts.reference, counts and str(counts.on), due and str(due),
        *(yes(validity.standing(befell, *state)) for state in states), tool.reference,
        ", ".join(_scale(scale) for scale in tool.scales) or None,
    )  # fmt: skip


def _scale(scale: tools.Scale) -> str:
    span = (
        scale.low.value if scale.low.value == scale.high.value else f"{scale.low.value}..{scale.high.value}"
    )
    return f"{span} {scale.unit}" + (f" by {scale.graduation.value}" if scale.graduation else "")


def public_calibrations(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "tool", "certificate", "laboratory", "made_on", "due", "recorded_at", "accepted_at")
    told = [
        (*chosen(row, *names), row["accepted_by"] or "", row["withdrawn_at"])
        for row in rows(book, "public_calibrations") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (each.reference, each.tool, each.certificate, each.laboratory, str(each.on), each.due and str(each.due),
         when(each.recorded), when(each.accepted), each.accepted_by, when(each.withdrawn))
        for each in audit.certificates(book)
    ]  # fmt: skip
    return told, answered


def public_calibration_points(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "calibration",
        "state",
        "direction",
        "indicated",
        "reference",
        "unit",
        "repeat",
        "uncertainty",
        "k",
    )
    told = [
        chosen(row, *names) for row in rows(book, "public_calibration_points") if row["struck_by"] is None
    ]
    answered = [
        (each.reference, point.state, point.direction, point.indicated.value, point.reference.value,
         point.indicated.unit, point.repeat, point.uncertainty and point.uncertainty.value, point.k)
        for each in audit.certificates(book)
        for found in [calibrations.calibration(book.connection, each.station, each.number)] if found
        for point in found.points
    ]  # fmt: skip
    return told, answered


def public_custody(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "tool", "act", "at", "recorded_at", "signer")
    told = [
        (*chosen(row, *names), row["person"] or "", row["place"] or "", row["job"] or "", row["uses"] or 0)
        for row in rows(book, "public_custody") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), each.tool, each.act, when(each.at), when(each.recorded), each.signer, each.person, each.place,
         each.job, each.uses)
        for tool in _numbers(book) for each in custody.moves(book.connection, tool)
    ]  # fmt: skip
    return told, answered


def _numbers(book: Book) -> list[str]:
    return sorted({each["tool"] for each in _bodies(book, "tool")})


def _bodies(book: Book, kind: str) -> Iterator[dict[str, Any]]:
    """What the entries of a kind hold, struck or not."""
    for station in store.stations(book.connection):
        for stored in store.entries(book.connection, station):
            each = parse_entry(stored.text)
            if each.kind == kind:
                yield dict(each.body)


def public_conditions(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        (*chosen(row, "entry", "what", "at", "recorded_at", "signer", "low", "high"), row["direction"] or "")
        for row in rows(book, "public_conditions") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), each.what, when(each.at), when(each.recorded), each.signer, each.low and str(each.low),
         each.high and str(each.high), each.direction)
        for tool in _numbers(book) for each in conditions.conditions(book.connection, tool)
    ]  # fmt: skip
    return told, answered


def public_tool_uses(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        chosen(row, "entry", "tool", "role", "uses", "at")
        for row in rows(book, "public_tool_uses") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), tool, each.role, each.uses, when(each.at))
        for tool in _numbers(book) for each in uses.uses_of(book.connection, tool, BEGINNING, END_OF_TIME)
    ]  # fmt: skip
    return told, answered


def public_tool_limits(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        chosen(row, "entry", "tool", "every", "cycles", "recorded_at", "signer", "why")
        for row in rows(book, "public_tool_limits") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (named(each), each.tool, each.every and str(each.every), each.cycles, when(each.at), each.signer, each.why)
        for each in limits_told.every_change(book.connection)
    ]  # fmt: skip
    return told, answered


def public_entries(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        chosen(row, "entry", "station", "number", "kind", "signer", "recorded_at", "struck_by")
        for row in rows(book, "public_entries")
    ]
    answered = []
    for station in store.stations(book.connection):
        for stored in store.entries(book.connection, station):
            each = parse_entry(stored.text)
            answered.append(
                (reference(station, each.number), station, each.number, each.kind, each.signer, each.recorded_at,
                 strike(book, station, each.number))
            )  # fmt: skip
    return told, answered


def public_strikes(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        (
            *chosen(row, "entry", "struck", "recorded_at", "why", "needs_confirmation"),
            bool(row["confirmed_by"]),
        )
        for row in rows(book, "public_strikes")
    ]
    answered = [
        (named(each.strike), reference(each.station, each.number), when(each.strike.recorded), each.strike.why,
         yes(each.strike.awaits), strikes.confirmed(book.connection, each.strike.station, each.strike.number))
        for each in strikes.every_strike(book.connection)
    ]  # fmt: skip
    return told, answered


def public_stations(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        chosen(row, "station", "zone", "identity", "own", "counts") for row in rows(book, "public_stations")
    ]
    answered = [
        (each.code, each.zone, each.identity, yes(each.code == book.station),
         yes(each.code == book.station or stations.accepted(book.connection, book.station, each.code)))
        for each in stations.stations(book.connection)
    ]  # fmt: skip
    return told, answered


def public_people(book: Book) -> tuple[list[Any], list[Any]]:
    told = [chosen(row, "person", "name", "licence", "station") for row in rows(book, "public_people")]
    answered = [people.person(book.connection, each) for each in people.ids(book.connection)]
    return told, [tuple(each) for each in answered if each]


def public_roles(book: Book) -> tuple[list[Any], list[Any]]:
    now = book.clock.now()
    told = [
        chosen(row, "station", "person", "role")
        for row in rows(book, "public_roles") if row["until"] is None or row["until"] > utc_text(now)
    ]  # fmt: skip
    answered = [
        (station, person, role)
        for station in store.stations(book.connection)
        for person in people.ids(book.connection)
        for role in signing_roles(role_changes(book.connection, station, person), now)
    ]
    return told, answered


def public_aircraft(book: Book) -> tuple[list[Any], list[Any]]:
    told = [chosen(row, "msn", "type", "registration") for row in rows(book, "public_aircraft")]
    answered = [
        (each.msn, each.type, aircraft.registration(book.connection, each.msn))
        for each in aircraft.fleet(book.connection)
    ]
    return told, answered


def public_registrations(book: Book) -> tuple[list[Any], list[Any]]:
    told = [
        chosen(row, "msn", "registration", "since")
        for row in rows(book, "public_registrations") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (each.msn, each.registration, when(each.since))
        for msn in sorted({each["msn"] for each in _bodies(book, "aircraft")})
        for each in aircraft.registrations(book.connection, msn)
    ]
    return told, answered


def public_assemblies(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("part_number", "serial", "kind", "place", "msn", "position", "since", "held", "held_why")
    told = [
        (*chosen(row, *names), row["other_place"] or "", row["registration"] or row["msn"] or "")
        for row in rows(book, "public_assemblies")
    ]
    answered = []
    for each in assemblies.assemblies(book.connection):
        place = assemblies.place(book.connection, each.key)
        fitted = place.aircraft and (aircraft.registration(book.connection, place.aircraft) or place.aircraft)
        answered.append(
            (each.part, each.serial, each.sort, place.kind, place.aircraft, place.position, when(place.since),
             yes(place.held is not None), place.held, place.text, fitted or "")
        )  # fmt: skip
    return told, answered


def public_placements(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("entry", "act", "msn", "position", "destination", "at", "recorded_at", "why")
    told = [
        (f"{row['part_number']} {row['serial']}", *chosen(row, *names))
        for row in rows(book, "public_placements") if row["struck_by"] is None
    ]  # fmt: skip
    answered = [
        (each.assembly, named(each), each.act, each.aircraft, each.position, each.destination, when(each.at),
         when(each.recorded), each.why)
        for key in sorted({f"{each['part']} {each['serial']}" for each in _bodies(book, "assembly")})
        for each in assemblies.placements(book.connection, key)
    ]  # fmt: skip
    return told, answered


def public_recalls(book: Book) -> tuple[list[Any], list[Any]]:
    names = (
        "station",
        "recall",
        "since",
        "until",
        "opened_at",
        "opened_by",
        "items",
        "closed_at",
        "closed_by",
        "entry",
    )
    told = [
        (*chosen(row, *names), row["subject"] or "", row["name"] or "")
        for row in rows(book, "public_recalls")
    ]
    answered = []
    for each in recalls.recalls(book.connection):
        closed = recalls.closing(book.connection, each)
        answered.append(
            (each.station, each.recall, when(each.since), when(each.until), when(each.opened), each.opened_by,
             len(recalls.order(book.connection, each)), when(closed and closed.closed), closed and closed.signer,
             each.reference, each.subject, each.name)
        )  # fmt: skip
    return told, answered


def public_recall_items(book: Book) -> tuple[list[Any], list[Any]]:
    names = ("recall", "item", "fastener", "decision", "decided_at", "decided_by", "why", "decision_entry")
    told = [
        (owner(row), *chosen(row, *names), row["reading"] or "", row["document"] or "")
        for row in rows(book, "public_recall_items")
    ]
    answered = []
    for recall in recalls.recalls(book.connection):
        numbered = len(recalls.order(book.connection, recall))
        for each in show(book, recall.recall).items:
            owned, group, item = each.fastener
            decided = each.disposition
            if each.number <= numbered:
                answered.append(
                    (owned, recall.recall, each.number, f"{group}:{item}", decided and decided.decision,
                     when(decided and decided.decided), decided and decided.signer, decided and decided.why,
                     decided and decided.reference, decided.reading if decided else "",
                     decided.document if decided else "")
                )  # fmt: skip
    return told, answered


COMPARED: dict[str, Callable[[Book], tuple[list[Any], list[Any]]]] = {
    name: each for name, each in list(globals().items()) if name.startswith("public_")
}
"""Each view with the function that puts what it says beside what the project answers."""


def demand_agreement(book: Book) -> int:
    """Demand that every view says what is answered; gives the number of rows that were compared."""
    counted = 0
    for name, ask in COMPARED.items():
        told, answered = ask(book)
        differ = (
            [each for each in told if each not in answered],
            [each for each in answered if each not in told],
        )
        assert sorted(told, key=repr) == sorted(answered, key=repr), f"{name}: {differ[0]}, not {differ[1]}"
        counted += len(told)
    return counted
