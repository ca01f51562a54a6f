"""Taking in what other stations exported: their chains are kept verbatim beside the own one.

Lines are read and checked first: form, links, signatures. Then, in one transaction, each entry's authority
is judged in its own chain, its rows are written, and entries of the own chain say how far the others are held now.
"""

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing
from typing import Final, NamedTuple

from torquelog.book import replaying
from torquelog.book.authorisation import authorise
from torquelog.book.clashes import clash
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.walking import Introduced, Walk
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, from_utc_text
from torquelog.counted import Progress, counted
from torquelog.errors import TorquelogError
from torquelog.facts import inner, people, registry, stations
from torquelog.ledger import database, store
from torquelog.ledger.form import BODY_BYTES, Entry, digest, is_hex, parse_entry, reference, strict_json
from torquelog.ledger.store import Stored
from torquelog.ledger.tables import LEDGER_SCHEMA

LONGEST: Final = 4 * BODY_BYTES
"""Bytes of the longest line of an export: an entry's text, with every sign of it escaped once."""


class Taken(NamedTuple):
    """What was taken in of one station.

    Attributes:
        station: its code.
        identity: the digest of its first entry.
        new: how many entries were new.
        through: up to which number its chain is held now.
        reference: the entry that says so, or "" where nothing was new.
        accepted: whether its signatures count here.
        questions: names that it uses for something else than is on record here, a sentence each.
    """

    station: str
    identity: str
    new: int
    through: int
    reference: str
    accepted: bool
    questions: tuple[str, ...]


def take_in(
    book: Book, signer: Signer, lines: Iterable[str], progress: Progress | None = None
) -> tuple[Taken, ...]:
    """Take in an export; lines of the own chain and what is held already are compared and passed over.

    Args:
        book: the record, open for writing.
        signer: the crib, signed in.
        lines: of the export, without their ends.
        progress: told how many entries were written, of those that are new.

    Returns:
        For each station of the export but the own one, what was taken in; by code.

    Raises:
        TorquelogError: line-form, entry-form, chain, signature, and what authority brings (each says which line or
            entry); fork; gap; identity-differs; older-copy, where the export holds more of the own chain than this file.
    """
    with closing(database.scratch(LEDGER_SCHEMA.partition("CREATE TRIGGER")[0], on_disk=True)) as waiting:
        waiting.execute("BEGIN")
        reader = _Reader(book, waiting)
        walks = reader.read(lines)
        with writing(book) as w:
            known = w.time()
            found = _write(w, waiting, walks, known, lambda each: counted(each, reader.new, progress))
            return tuple(_tell(w, signer, walk, found, known) for _, walk in sorted(walks.items()))


class _Reader:
    """Reads an export, checks what stands in it by itself, and lays what is new aside."""

    def __init__(self, book: Book, waiting: sqlite3.Connection) -> None:
        self._connection, self._own, self._waiting = book.connection, book.station, waiting
        self._walks: dict[str, Walk] = {}
        self.new = 0

    def read(self, lines: Iterable[str]) -> dict[str, Walk]:
        """How far each other station's chain reaches with what is new."""
        for number, line in enumerate(lines, start=1):
            if line.strip():
                try:
                    self._line(line)
                except TorquelogError as error:
                    raise TorquelogError(
                        error.code,
                        f"Line {number} of the export: {error.what}",
                        why=error.why,
                        hint=error.hint,
                    ) from None
        if not self._walks:
            raise TorquelogError(
                "export-empty",
                "There is nothing in it of another station.",
                hint="torquelog export FILE   makes one.",
            )
        return {station: walk for station, walk in self._walks.items() if station != self._own}

    def _line(self, line: str) -> None:
        text, signature = parse_line(line)
        entry = parse_entry(text)
        walk = self._walks.get(entry.station) or self._begin(entry)
        held = store.entry_at(self._connection, entry.station, entry.number)
        if held is not None:
            _demand_same(entry, text, held.text)
        elif entry.station == self._own:
            raise _older_copy(entry)
        elif entry.number > walk.number + 1:
            raise _gap(entry, walk.number)
        elif entry.number <= walk.number:
            raise TorquelogError("chain", f"{reference(entry.station, entry.number)} stands in it twice.")
        else:
            walk.step(text, signature)
            store.insert_entry(self._waiting, text, entry.station, entry.number, entry.id, signature)
            self.new += 1

    def _begin(self, entry: Entry) -> Walk:
        """The chain of a station of which the first line comes, as far as it is held already."""
        walk = Walk(entry.station)
        head = store.head(self._connection, entry.station)
        station = stations.station(self._connection, entry.station)
        if head is not None and station is not None and entry.station != self._own:
            held = people.signing_keys(self._connection, entry.station)
            known = ((key.number, Introduced(key.public_key, key.person)) for key in held)
            walk.go_on(parse_entry(head.text), head.text, station.identity, known)
        self._walks[entry.station] = walk
        return walk


class _Counted(NamedTuple):
    """What was new of each chain, and the questions that came up."""

    new: Counter[str]
    questions: dict[str, list[str]]


def _write(
    w: Writing,
    waiting: sqlite3.Connection,
    walks: Mapping[str, Walk],
    known: Moment,
    told: Callable[[Iterator[Stored]], Iterator[Stored]],
) -> _Counted:
    """Write what is new of the chains, each entry behind those that its chain had taken in before."""
    found = _Counted(Counter(), defaultdict(list))
    held: dict[str, int] = {}
    through = {station: walk.number for station, walk in walks.items()}
    every = (
        stored
        for station in sorted(walks)
        for stored in replaying.interleaved(waiting, station, through, held)
    )
    for stored in told(every):
        entry = parse_entry(stored.text)
        there = store.entry_at(w.connection, entry.station, entry.number)
        if there is not None:  # somebody else took it in meanwhile
            _demand_same(entry, stored.text, there.text)
            continue
        _authorised(w.connection, entry)
        found.questions[entry.station] += filter(None, [clash(w.connection, entry)])
        _add(w.connection, entry, stored, known)
        found.new[entry.station] += 1
    return found


def _tell(w: Writing, signer: Signer, walk: Walk, found: _Counted, known: Moment) -> Taken:
    """Say how far a chain is held now."""
    head, new = "", found.new[walk.station]
    if new and walk.last is not None:
        body = {"code": walk.station, "through": str(walk.number), "digest": walk.last.digest}
        head = w.append(signer, "taken-in", body, at=known).reference
    accepted = stations.accepted(w.connection, w.station, walk.station)
    questions = tuple(found.questions[walk.station])
    return Taken(walk.station, walk.identity, new, walk.number, head, accepted, questions)


def _add(connection: sqlite3.Connection, entry: Entry, stored: Stored, known: Moment) -> None:
    try:
        replaying.add(connection, entry, stored.text, stored.signature, known)
    except inner.MISSHAPEN as broken:
        name = reference(entry.station, entry.number)
        raise TorquelogError("body-form", f"{name} is not built as its kind asks.") from broken


def _authorised(connection: sqlite3.Connection, entry: Entry) -> None:
    try:
        registry.check(entry.kind, entry.body)
        inner.check(entry.kind, entry.body)
        if entry.kind != "station":
            recorded = from_utc_text(entry.recorded_at)
            authorise(connection, entry.station, entry.kind, entry.signer, entry.key, recorded, entry.body)
    except TorquelogError as error:
        name = reference(entry.station, entry.number)
        raise TorquelogError(
            error.code if error.exit != 3 else "authority",
            f"{name} does not hold. {error.what}",
            why=error.why,
            hint=f"Where it rests on what {entry.station} took in elsewhere, ask there for an export of everything.",
        ) from None


def parse_line(line: str) -> tuple[str, str]:
    """The text and the signature of a line of an export.

    Raises:
        TorquelogError: line-form.
    """
    try:
        members = strict_json(line, longest=LONGEST)
    except TorquelogError as error:
        raise _line_form(error.why or error.what) from None
    if type(members) is not dict or members.keys() != {"text", "signature"}:
        raise _line_form("It does not have the members text and signature.")
    text, signature = members["text"], members["signature"]
    if type(text) is not str or not is_hex(signature, 128):
        raise _line_form("Its text is no text, or its signature is not 128 hex digits.")
    return text, signature


def _line_form(why: str) -> TorquelogError:
    return TorquelogError("line-form", "It is no line of an export.", why=why)


def _demand_same(entry: Entry, text: str, held: str) -> None:
    if text != held and entry.number == 1:
        raise TorquelogError(
            "fork",
            f"The {entry.station} in it is another record than the {entry.station} that is held here.",
            why=f"Its identity there is {digest(text)[:16]}…, here {digest(held)[:16]}…. Nothing was taken in.",
            hint="A station's code names one record. Quality has to find out which of the two is in use.",
        )
    if text != held:
        raise TorquelogError(
            "fork",
            f"{reference(entry.station, entry.number)} is another entry there than here: {digest(text)[:16]}… there, "
            f"{digest(held)[:16]}… here.",
            why="Two records have grown from one. Nothing was taken in.",
            hint="Keep both files. Quality has to find out which copies of the record are in use.",
        )


def _older_copy(entry: Entry) -> TorquelogError:
    return TorquelogError(
        "older-copy",
        f"The export holds {reference(entry.station, entry.number)} of this very station, which this file does not have.",
        why="Entries are missing here: this looks like an older copy. Nothing was taken in.",
        hint="Look for the newer file.",
    )


def _gap(entry: Entry, number: int) -> TorquelogError:
    return TorquelogError(
        "gap",
        f"After {reference(entry.station, number)} it goes on with {reference(entry.station, entry.number)}."
        if number
        else f"The first entry of {entry.station} in it is {reference(entry.station, entry.number)}.",
        why="What lies between is missing. Nothing was taken in.",
        hint=f"Ask {entry.station} for an export that begins earlier.",
    )


def exported_lines(chunks: Iterable[bytes]) -> Iterator[str]:
    """The lines of a file that is read piece by piece; one longer than `LONGEST` is not kept in memory.

    Raises:
        TorquelogError: line-form for a line that is too long, file-encoding for one that is not UTF-8.
    """
    rest = b""
    for chunk in chunks:
        *whole, rest = (rest + chunk).split(b"\n")
        for line in whole:
            yield _decoded(line)
        if len(rest) > LONGEST:
            raise _line_form(f"It is longer than {LONGEST:,} bytes.")
    if rest.strip():
        yield _decoded(rest)


def _decoded(line: bytes) -> str:
    try:
        return line.decode("utf-8").removesuffix("\r")
    except UnicodeDecodeError:
        raise TorquelogError("file-encoding", "A line of it is not UTF-8 text.") from None
