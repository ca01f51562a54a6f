"""The recall: opened, shown, decided item by item, closed; or answered where none is needed.

Opening and deciding are entries of quality. What a recall finds is asked of the record each time, so a fact
that arrives late is in it without anybody's doing.
"""

from collections.abc import Sequence
from typing import NamedTuple

from torquelog.book.named import aircraft_named
from torquelog.book.opening import Book
from torquelog.book.recall_causes import Cause, pending
from torquelog.book.recall_items import Gathered, decisions
from torquelog.book.recall_judging import Scope
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import offset_text
from torquelog.counted import Progress
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft, recalls
from torquelog.facts.fastener_runs import runs
from torquelog.facts.readings import reading as reading_at
from torquelog.facts.recalls import Recall
from torquelog.ledger.form import parse_reference
from torquelog.ledger.store import stations
from torquelog.quality.recall_scope import Asked, resolved
from torquelog.quality.recall_view import Listed, Locations, View, listed, view, view_of
from torquelog.rules import disposition as rule
from torquelog.rules.recall_item import Item, decided, numbered
from torquelog.rules.recall_window import Window

LARGEST = 200_000
"""Bytes of the runs that one entry may hold, below what a body can be."""


class Listing(NamedTuple):
    """What calls for a recall, and the recalls that were opened, oldest first."""

    pending: tuple[Cause, ...]
    recalls: tuple[Listed, ...]


class Decided(NamedTuple):
    """A decision on record.

    Attributes:
        entry: the disposition's entry.
        decision: what was decided.
        items: the items it decided.
        view: the recall with it.
    """

    entry: str
    decision: str
    items: tuple[Item, ...]
    view: View


class Answered(NamedTuple):
    """An answer on record: its entry, and what had called for a recall."""

    entry: str
    cause: Cause


def open_recall(book: Book, signer: Signer, asked: Asked, progress: Progress | None = None) -> View:
    """Open a recall.

    Args:
        book: the record, open for writing.
        signer: quality, signed in.
        asked: by what it goes, and where it is bounded.
        progress: told how many readings were judged.

    Raises:
        TorquelogError: `tool-unknown`, `person-unknown`, `card-unknown`, `calibration-unknown`, `recall-window`,
            `recall-empty`, `recall-large`.
    """
    with writing(book) as w:
        tool = asked.name if asked.subject in ("wrench", "adapter", "tester") else ""
        waiting = pending(w.connection, tool=tool) if tool else []
        scope = resolved(w, book, asked, waiting)
        covered = [each for each in waiting if _answers(scope, each)]
        items = Gathered(w.connection, scope).items(Locations(w.connection), progress)
        if not items and not covered:
            raise TorquelogError(
                "recall-empty",
                "No reading on record falls into it. Nothing was recorded.",
                hint="Look at the name and at --since and --until",
            )
        number = _next_number(w)
        appended = w.append(signer, "recall", _body(book, scope, number, covered, items, asked.why))
        mine = recalls.named(w.connection, number)
        opened = next(each for each in mine if each.reference == appended.reference)
        return view_of(book, opened, numbered(items, [each.fastener for each in items]))


def _answers(scope: Scope, cause: Cause) -> bool:
    same = (scope.subject, scope.name) == (cause.sort, cause.tool)
    return same and Window(scope.since, scope.until).covers(cause.window)


def _next_number(w: Writing) -> str:
    taken = [int(name[2:]) for name in recalls.numbers(w.connection, w.station) if name[2:].isdigit()]
    return f"R-{max(taken, default=0) + 1}"


def _body(
    book: Book, scope: Scope, number: str, covered: Sequence[Cause], items: Sequence[Item], why: str
) -> dict[str, object]:
    body: dict[str, object] = {"recall": number}
    if scope.subject:
        body[scope.subject] = scope.name
    for member, text in (("revision", scope.revision), ("calibration", scope.calibration), ("why", why)):
        if text:
            body[member] = text
    if covered:
        body["causes"] = [each.reference for each in covered]
    body["since"], body["until"] = (offset_text(end, book.zone) for end in (scope.since, scope.until))
    body["items"] = _runs(items)
    return body


def _runs(items: Sequence[Item]) -> list[str]:
    found = runs(each.fastener for each in items)
    if sum(len(text.encode()) + 3 for text in found) > LARGEST:
        raise TorquelogError(
            "recall-large",
            f"It would hold {len(items):,} fasteners, more than one entry can name. Nothing was recorded.",
            hint="Open several, each for a part of the time, with --since and --until",
        )
    return found


def show(book: Book, name: str, progress: Progress | None = None) -> View:
    """A recall with everything it finds now; `progress` is told how many readings were judged.

    Raises:
        TorquelogError: `recall-unknown`, `ambiguous`.
    """
    return view(book, recall_named(book, name), progress=progress)


def list_recalls(book: Book) -> Listing:
    """What waits for a recall, and every recall with its state."""
    found = (listed(book.connection, each) for each in recalls.recalls(book.connection))
    return Listing(tuple(pending(book.connection)), tuple(found))


def recall_named(book: Book, name: str) -> Recall:
    """The recall with a number, this station's own before another's, or by the entry that opened it.

    Raises:
        TorquelogError: `recall-unknown`, `ambiguous`.
    """
    every = recalls.recalls(book.connection)
    found = [each for each in every if name in (each.recall, each.reference)]
    own = [each for each in found if each.station == book.station] or found
    if len(own) == 1:
        return own[0]
    if own:
        names = ", ".join(each.reference for each in own)
        raise TorquelogError(
            "ambiguous",
            f"{', '.join(stations(book.connection))} have a recall {name} each.",
            hint=f"Name it by its entry: {names}",
        )
    raise TorquelogError(
        "recall-unknown", f"There is no recall {name}. Nothing was recorded.", hint="torquelog recall list"
    )


def decide(
    book: Book,
    signer: Signer,
    name: str,
    decision: str,
    why: str,
    *,
    items: Sequence[int] = (),
    on: str = "",
    reading: str = "",
    document: str = "",
) -> Decided:
    """Decide about items of a recall.

    Args:
        book, signer: where, and who decides (quality, by passphrase).
        name: the recall.
        decision: one of `facts.recalls.DECISIONS`.
        why: the reason.
        items: the items' numbers.
        on: instead of items, an aircraft: every undecided item that is on it now.
        reading: the reading that tightened again, `QHR-000123`, or "".
        document: the approved data or letter behind it, or "".

    Raises:
        TorquelogError: `recall-unknown`, `recall-closed`, `decision-unknown`, `item-unknown`, `over-torque`,
            `needs-reference`, `not-re-tightened`, `not-replaced`, `aircraft-unknown`.
    """
    rule.known(decision)
    with writing(book) as w:
        recall = recall_named(book, name)
        now = view(book, recall)
        if now.state == "closed":
            raise TorquelogError("recall-closed", f"{recall.recall} is closed. Nothing was recorded.")
        chosen = _on_aircraft(w, now, on) if on else _numbered(now, items)
        _check_reading(w, chosen, reading)
        rule.check(chosen, decision, document=document, reading=reading)
        body: dict[str, object] = {
            "recall": recall.recall, "opened": recall.reference, "items": _runs(chosen), "decision": decision,
            "why": why,
        }  # fmt: skip
        body |= {"reading": reading} if reading else {}
        body |= {"reference": document} if document else {}
        entry = w.append(signer, "disposition", body).reference
        newest = decisions(w.connection, recall)
        after = view_of(book, recall, [decided(each, newest.get(each.fastener)) for each in now.items])
    numbers = {each.number for each in chosen}
    return Decided(entry, decision, tuple(each for each in after.items if each.number in numbers), after)


def _numbered(now: View, numbers: Sequence[int]) -> list[Item]:
    by_number = {each.number: each for each in now.items}
    unknown = [number for number in numbers if number not in by_number]
    if unknown or not numbers:
        raise TorquelogError(
            "item-unknown",
            f"{now.recall.recall} has items 1 to {len(now.items)}; there is no {unknown[0] if unknown else 'such'}. "
            "Nothing was recorded.",
            hint=f"torquelog recall show {now.recall.recall}",
        )
    return [by_number[number] for number in sorted(numbers)]


def _on_aircraft(w: Writing, now: View, on: str) -> list[Item]:
    found = aircraft_named(w.connection, on)
    bears = aircraft.registration(w.connection, found.msn) or found.msn
    chosen = [each for each in now.items if each.where.registration == bears and not each.decided]
    if not chosen:
        raise TorquelogError(
            "item-unknown",
            f"{now.recall.recall} has no undecided item on {bears}. Nothing was recorded.",
            hint=f"torquelog recall show {now.recall.recall}",
        )
    return sorted(chosen, key=lambda each: each.number)


def _check_reading(w: Writing, chosen: Sequence[Item], reading: str) -> None:
    if not reading:
        return
    found = reading_at(w.connection, *parse_reference(reading))
    if found is None or any(each.fastener != (found.owner, found.group, found.item) for each in chosen):
        raise TorquelogError(
            "not-a-reading",
            f"{reading} is no reading of {'this fastener' if len(chosen) == 1 else 'these fasteners'}. "
            "Nothing was recorded.",
            hint="Name one item with its own reading, or leave --reading out",
        )


def close(book: Book, signer: Signer, name: str, why: str = "") -> View:
    """Close a recall on which everything is decided; its counts are frozen in the entry.

    Raises:
        TorquelogError: `recall-unknown`, `recall-closed`, `recall-undecided`.
    """
    with writing(book) as w:
        recall = recall_named(book, name)
        now = view(book, recall)
        if now.state == "closed":
            raise TorquelogError("recall-closed", f"{recall.recall} is closed already. Nothing was recorded.")
        if now.counts.undecided:
            raise _undecided(now)
        counts = now.counts
        body: dict[str, object] = {"recall": recall.recall, "opened": recall.reference}
        body |= {
            name: str(getattr(counts, name))
            for name in ("readings", "items", "outside", "indeterminate", "within")
        }
        w.append(signer, "recall-closed", body | ({"why": why} if why else {}))
        return view_of(book, recall, now.items)


def _undecided(now: View) -> TorquelogError:
    waiting = sorted(each.number for each in now.items if not each.decided)
    few = ", ".join(map(str, waiting[:8])) + (" …" if len(waiting) > 8 else "")
    one = len(waiting) == 1
    return TorquelogError(
        "recall-undecided",
        f"{now.recall.recall} cannot close yet: {len(waiting)} of {len(now.items)} items "
        f"{'is' if one else 'are'} undecided. Nothing was recorded.",
        why=f"{'Item' if one else 'Items'} {few}.",
        hint=f"torquelog recall show {now.recall.recall}",
    )


def answer(book: Book, signer: Signer, entry: str, why: str) -> Answered:
    """Answer what calls for a recall, where none is needed.

    Args:
        book, signer: where, and who answers (quality, by passphrase).
        entry: the entry that calls for it.
        why: the reason.

    Raises:
        TorquelogError: `not-pending`.
    """
    with writing(book) as w:
        cause = next((each for each in pending(w.connection) if each.reference == entry), None)
        if cause is None:
            raise TorquelogError(
                "not-pending",
                f"{entry} waits for no recall. Nothing was recorded.",
                hint="torquelog recall list",
            )
        appended = w.append(signer, "recall-answer", {"entry": entry, "why": why})
    return Answered(appended.reference, cause)
