"""Recording a reading: judged inside the write transaction, kept whatever the verdict, a refusal included."""

import sqlite3
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.book.asked import Asked, RunOn, asked_of, torque_of
from torquelog.book.curves import as_left, left_by
from torquelog.book.judging import Judged, judge, judged_member
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.used_tools import through
from torquelog.book.writing import Appended, Writing, writing
from torquelog.clock import Moment, from_offset_text, from_utc_text, offset_text
from torquelog.errors import TorquelogError
from torquelog.facts.readings import owner_text
from torquelog.kept import kept
from torquelog.ledger.form import Entry, reference
from torquelog.ledger.storage import nothing_saved
from torquelog.rules import fastener
from torquelog.rules.grounds import REMARKS, Ground, Remark
from torquelog.torque.limits import Limits
from torquelog.torque.number import exact
from torquelog.torque.units import Torque

MARKS: Final = ("beyond", "worn", "awaits")
"""What a reading may bear beside its outcome; see `facts.readings`."""


class Recorded(NamedTuple):
    """A reading on record.

    Attributes:
        reference: its entry, `QHR-000123`.
        asked: what the person reported, with job, step and pass as resolved.
        outcome: within, below, above or refused.
        act: tighten or check.
        grounds, remarks: of the judgement.
        applied: torque at the fastener in N·m: what was indicated, through the adapters.
        limits: at the fastener in N·m, run-on torque and pass included.
        specified: the specification as on the card; unit: its unit.
        performed_at, recorded_at: milliseconds since 1970 UTC.
        gain: torque at the fastener per torque indicated; direction: cw or ccw.
        calibration, certificate, due: of the wrench at that time (calibration: the certificate's entry), text,
            or "" where it had none.
        owner: whose fastener.
        actual: what the fastener got by the wrench's error curve as left, in N·m; nothing without a curve.
        marks: those of `beyond`, `worn` and `awaits` that the entry bears.
        repeated: whether this id was on record before, so that this is the first answer again.
    """

    reference: str
    asked: Asked
    outcome: str
    act: str
    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]
    applied: Fraction
    limits: Limits
    specified: str
    unit: str
    performed_at: Moment
    recorded_at: Moment
    gain: Fraction
    direction: str
    calibration: str
    certificate: str
    due: str
    owner: str
    actual: Fraction | None = None
    marks: frozenset[str] = frozenset()
    repeated: bool = False


def record(
    book: Book, signer: Signer, asked: Asked, *, entry_id: str | None = None, corrects: str | None = None,
    new_id: bool = False,
) -> Recorded:  # fmt: skip
    """Record one reading in a transaction of its own.

    Args:
        book: the record, open for writing.
        signer: who signs.
        asked: the reading.
        entry_id: 32 hex digits given by the client, so that asking again gives the first answer.
        corrects: the struck entry that this one replaces.
        new_id: whether the id was drawn just now, so that nothing can bear it yet.

    Raises:
        TorquelogError: where the words name nothing that is there, or a demanded value is missing; then
            nothing is on record. A tool that may not be used gives a refusal on record, no error.
    """
    with writing(book) as w:
        return record_in(w, book, signer, asked, entry_id=entry_id, corrects=corrects, new_id=new_id)


def look_up(book: Book, entry_id: str) -> Recorded | None:
    """What an id stands for on record, read on a connection of its own; None where it is not on record."""
    from torquelog.book.opening import open_book
    from torquelog.ledger.form import parse_entry
    from torquelog.ledger.store import entry_by_id

    with open_book(book.path, "read", book.clock) as fresh:
        stored = entry_by_id(fresh.connection, fresh.station, entry_id)
        return _answered(fresh.connection, parse_entry(stored.text)) if stored else None


def surely(book: Book, act: Callable[[], Recorded], entry_id: str) -> Recorded:
    """Do what records a reading under an id; where the commit itself went wrong, look whether it is on record.

    Raises:
        TorquelogError: what `act` raises; for `commit-unclear` the storage trouble behind it, once nothing was found on
            record, so that a full disk is told as one.
    """
    try:
        return act()
    except TorquelogError as error:
        if error.code != "commit-unclear":
            raise
        try:
            again = look_up(book, entry_id)
        except TorquelogError:
            raise error from None  # the record cannot be read just now either: it stays unclear
        if again is None:
            raise nothing_saved(error) from error
        return again


def record_in(
    w: Writing,
    book: Book,
    signer: Signer,
    asked: Asked,
    *,
    entry_id: str | None = None,
    corrects: str | None = None,
    new_id: bool = False,
) -> Recorded:
    """Record one reading inside a transaction that is open; see `record`."""
    earlier = None if new_id else w.repeated(entry_id)
    if earlier is not None:
        return _first_answer(w.connection, earlier, asked)
    now = w.time()
    judged, body = judged_body(w, book, signer, asked, now, corrects)
    appended = w.append(signer, "reading", body, id=entry_id, at=now)
    wrench = judged.tools[0].fitness.calibration
    left = left_by(wrench.points, judged.group.direction, asked.reading) if wrench else None
    return _just_recorded(appended, asked, judged, left)


def judged_body(
    w: Writing, book: Book, signer: Signer, asked: Asked, now: Moment, corrects: str | None
) -> tuple[Judged, dict[str, Any]]:
    """The judgement of a reading, and the body of its entry.

    Args:
        w: the right to write; book: the record.
        signer: who signs.
        asked: the reading; corrects: the struck entry that it replaces.
        now: the time of the entry.

    Raises:
        TorquelogError: what `record` raises.
    """
    judged = _with_performer(judge(w.connection, w.station, book.zone, asked, now, w.recent), signer, asked)
    if judged.awaits and not asked.why:
        raise _why_missing(judged)
    return judged, _body(book, asked, judged, corrects)


def _just_recorded(appended: Appended, asked: Asked, judged: Judged, left: Fraction | None) -> Recorded:
    """The answer to what was just recorded, from what is at hand; `_recorded` tells the same from the entry."""
    wrench = judged.tools[0].fitness
    paper = wrench.calibration
    by_itself = any(each.code in fastener.CHECK_REMARKS for each in judged.remarks)
    slot = judged.slot
    as_resolved = Asked(
        asked.job, asked.group, asked.item, asked.reading, asked.wrench, asked.adapters, asked.performed_by,
        judged.at, slot.step or None, None if slot.step else slot.pass_, asked.run_on, asked.loosened,
        "check" if judged.act == "check" and not by_itself else None, asked.why, asked.lots,
    )  # fmt: skip
    marks = frozenset[str]()
    if judged.beyond or judged.worn or judged.awaits:
        holds = zip(MARKS, (judged.beyond, judged.worn, judged.awaits), strict=True)
        marks = frozenset(name for name, held in holds if held)
    return Recorded(
        reference=appended.reference, asked=as_resolved, outcome=judged.outcome, act=judged.act, grounds=judged.grounds,
        remarks=judged.remarks, applied=judged.applied, gain=judged.gain,
        direction=judged.group.direction, limits=_limits(appended.body["judged"]), specified=judged.specified,
        unit=judged.unit,
        calibration=paper.reference if paper else "", certificate=paper.certificate if paper else "",
        due=wrench.due.isoformat() if wrench.due else "", performed_at=judged.at, recorded_at=appended.recorded,
        owner=judged.owner,
        actual=None if left is None or judged.outcome == "refused" else through(left, judged.gain), marks=marks,
    )  # fmt: skip


def _with_performer(judged: Judged, signer: Signer, asked: Asked) -> Judged:
    """The judgement with a remark where somebody else signs than the one who did the work."""
    if signer.person == asked.performed_by:
        return judged
    told = Remark("performed-by-other", f"{asked.performed_by} did the work, {signer.person} signs for it.")
    return judged._replace(remarks=(*judged.remarks, told))


def _why_missing(judged: Judged) -> TorquelogError:
    return TorquelogError(
        "why-missing",
        f"At the time you name {judged.tools[0].tool.tool} could be used; now it could not. Nothing was recorded.",
        why="A reason is needed, and a second person confirms the entry.",
        hint="Add --why with the reason.",
    )


def _body(book: Book, asked: Asked, judged: Judged, corrects: str | None) -> dict[str, Any]:
    body: dict[str, Any] = {"job": asked.job, "fastener": f"{judged.group.id}:{judged.item}"}
    body |= owner_members(judged.owner)
    body["reading"], body["wrench"] = _member(asked.reading), asked.wrench
    if asked.adapters:
        body["adapter"] = list(asked.adapters)
    if asked.run_on is not None:
        body["run_on"] = _run_on_member(asked.run_on)
    if judged.slot.step:
        body["step"] = judged.slot.step
    body["pass"], body["act"] = str(judged.slot.pass_), judged.act
    marks = (asked.loosened, judged.beyond, judged.worn, judged.awaits)
    if any(marks):
        body |= {name: "yes" for name, holds in zip(("loosened", *MARKS), marks, strict=True) if holds}
    if asked.lots:
        body["lot"] = list(asked.lots)
    if asked.why:
        body["why"] = asked.why
    if corrects:
        body["corrects"] = corrects
    body["performed_by"], body["performed_at"] = asked.performed_by, offset_text(judged.at, book.zone)
    body["judged"], body["outcome"] = judged_member(judged), judged.outcome
    body["grounds"] = [each._asdict() for each in judged.grounds]
    body["remarks"] = list(dict.fromkeys(each.code for each in judged.remarks))
    return body


def _member(torque: Torque) -> dict[str, str]:
    return {"value": torque.value, "unit": torque.unit}


def _run_on_member(run_on: RunOn) -> dict[str, Any]:
    member: dict[str, Any] = {"torque": _member(run_on.torque), "wrench": run_on.wrench}
    if run_on.adapters:
        member["adapter"] = list(run_on.adapters)
    return member


def owner_members(owner: str) -> dict[str, str]:
    """The body members that say whose fastener it is."""
    kind, _, name = owner.partition(" ")
    if kind == "assembly":
        return {"assembly": name}
    msn, _, position = name.partition(" ")
    return {"aircraft": msn, "position": position}


def _first_answer(connection: sqlite3.Connection, entry: Entry, asked: Asked) -> Recorded:
    """The answer that this id got before; raises `id-reused` where it was asked for something else."""
    if entry.kind != "reading" or not _same(asked_of(entry.body), asked):
        raise TorquelogError(
            "id-reused",
            f"The id of this reading is on record already, as {reference(entry.station, entry.number)}, "
            "with other fields. Nothing was recorded.",
            hint="Give every reading an id of its own.",
        )
    return _answered(connection, entry)


def _answered(connection: sqlite3.Connection, entry: Entry) -> Recorded:
    body = entry.body
    remarks = tuple(Remark(code, REMARKS[code].capitalize() + ".") for code in body["remarks"])
    wrench = body["judged"]["tools"][0].get("calibration")
    left = (
        as_left(connection, wrench, body["judged"]["direction"], torque_of(body["reading"]))
        if wrench
        else None
    )
    found = _recorded(
        reference(entry.station, entry.number), body, from_utc_text(entry.recorded_at), remarks, left
    )
    return found._replace(repeated=True)


def _same(stored: Asked, asked: Asked) -> bool:
    """Whether a repeated request says the same; what it leaves open is not compared."""
    resolved = stored._replace(
        performed_at=stored.performed_at if asked.performed_at is not None else None,
        step=stored.step if asked.step is not None else None,
        pass_=stored.pass_ if asked.pass_ is not None else None,
        act=asked.act if (asked.act or "tighten") == (stored.act or "tighten") else stored.act,
    )
    return resolved == asked


def _recorded(
    entry: str,
    body: Mapping[str, Any],
    recorded_at: Moment,
    remarks: tuple[Remark, ...],
    left: Fraction | None,
) -> Recorded:
    """The answer for an entry; `left` is what the wrench gave by its error curve, in N·m."""
    judged = body["judged"]
    asked = asked_of(body)
    wrench, gain = judged["tools"][0], exact(judged["gain"])
    return Recorded(
        reference=entry, asked=asked, outcome=body["outcome"], act=body["act"],
        grounds=tuple(Ground(**each) for each in body["grounds"]), remarks=remarks,
        applied=through(asked.reading.newton_metres, gain), gain=gain,
        direction=judged["direction"], calibration=wrench.get("calibration", ""),
        limits=_limits(judged), specified=judged["specified"],
        unit=body["judged"]["unit"], performed_at=from_offset_text(body["performed_at"]), recorded_at=recorded_at,
        certificate=wrench.get("certificate", ""), due=wrench.get("due", ""), owner=owner_text(body),
        actual=None if left is None or body["outcome"] == "refused" else through(left, gain),
        marks=frozenset(name for name in MARKS if name in body),
    )  # fmt: skip


@kept
def _limits(judged: Mapping[str, Any]) -> Limits:
    """The limits as they are on record: rounded, where they have more digits than anybody reads."""
    ends = judged["limits"]
    return Limits(_end(ends, "low"), _end(ends, "high"))


def _end(limits: Mapping[str, str], name: str) -> Fraction | None:
    return exact(limits[name]) if name in limits else None
