"""Verifying a whole record: every entry, every link, every signature and its authority, every judgement, every row.

The entries are read once, in the order in which this file came to know them. Each is checked against what the
ones before it say, and its rows are written into a scratch record. At the end the registers of the file are compared with
that scratch record row by row. Verification writes nothing into the file and needs no passphrase.

Signatures are checked on every core while the judging goes on; an entry counts as standing once both are done.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import Final

from torquelog.book import replaying
from torquelog.book.authorisation import authorise
from torquelog.book.checkpointing import compare
from torquelog.book.comparing import differences, unreadable
from torquelog.book.elsewhere import judged_elsewhere
from torquelog.book.format import SCHEMA_DIGEST
from torquelog.book.founding import schema
from torquelog.book.links import linked
from torquelog.book.rejudging import JUDGED, misjudged
from torquelog.book.replaying import Placed
from torquelog.book.signatures import Check, Signatures, Signed, wrong_of
from torquelog.book.verified import Chain, Finding, Report
from torquelog.book.walking import Walk
from torquelog.clock import from_utc_text
from torquelog.counted import STRIDE, Progress
from torquelog.errors import MISUSE, TorquelogError
from torquelog.facts import registry
from torquelog.ledger import database, store
from torquelog.ledger.checkpoint import Checkpoint, parse_line
from torquelog.ledger.form import Entry, digest, parse_entry, parse_reference, reference

NEWER = frozenset({"newer-entry", "body-newer"})
"""Codes of what only a newer program knows: its links and signatures are checked all the same."""

MISSHAPEN: Final = (LookupError, TypeError, ValueError, AttributeError)
"""What reading a body brings whose inner parts are of another shape than its kind asks for."""


def verify(
    connection: sqlite3.Connection,
    home: str,
    progress: Progress | None = None,
    *,
    since_checkpoint: bool = False,
) -> Report:
    """Verify everything that lies in a record.

    Args:
        connection: the record; what others write meanwhile is not seen.
        home: the file's own chain.
        progress: called with the number of entries checked and of all that will be, now and then.
        since_checkpoint: whether signatures, authority and judgements are looked at only from the last entry of kind
            `checkpoint` on, where the own chain has one.
    """
    with _at_rest(connection), closing(database.scratch(schema(), on_disk=True)) as scratch:
        scratch.execute("BEGIN")  # one transaction, never committed: nothing of it shall last
        damage = tuple(_damage(connection))
        if damage:
            return Report(home, (), 0, damage, "", compared=False)
        since = _last_checkpoint(connection, home) if since_checkpoint else 0
        try:
            verifier = _Verifier(connection, scratch, home, progress, since)
        except sqlite3.DatabaseError as trouble:
            told = f"The stations of its entries cannot be read: {unreadable(trouble)}"
            return Report(home, (), 0, (Finding("", "damaged", told, "entry"),), "", compared=False)
        finding = verifier.walk()
        if finding is not None:
            return verifier.report((finding,), compared=False)
        if verifier.newer:
            return verifier.report((), compared=False)
        wrong = None if since else verifier.elsewhere()
        return verifier.report(wrong or tuple(_registers(connection, scratch)), compared=wrong is None)


def verify_file(
    path: str,
    checkpoint: str | None = None,
    progress: Progress | None = None,
    *,
    since_checkpoint: bool = False,
) -> tuple[Report, Checkpoint | None, TorquelogError | None]:
    """Verify the record at a path, and compare it with a checkpoint.

    Args:
        path: the record.
        checkpoint: the line that was kept, or nothing.
        progress, since_checkpoint: see `verify`.

    Returns:
        What was found; the checkpoint, where the record holds it; else what keeps it from that.

    Raises:
        TorquelogError: not-a-ledger, schema-changed, checkpoint-form, other-ledger; and what storage brings.
    """
    parse = parse_line(checkpoint) if checkpoint is not None else None
    with closing(database.connect(path, "read", schema_digest=SCHEMA_DIGEST)) as connection:
        home = store.own_station(connection)
        if home is None:
            raise TorquelogError("not-a-ledger", f"{path} holds no station's record.")
        report = verify(connection, home, progress, since_checkpoint=since_checkpoint)
        if checkpoint is None or parse is None or report.findings:
            return report, None, None
        try:
            return report, compare(connection, checkpoint), None
        except TorquelogError as error:
            if error.exit == MISUSE:
                raise
            return report, None, error


def _unknown_shape() -> TorquelogError:
    """What is wrong with a body whose inner parts are not those of its kind, although its members are."""
    return TorquelogError("body-form", "Its body is not built as its kind asks.")


class _Verifier:
    """One verification at work."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        scratch: sqlite3.Connection,
        home: str,
        progress: Progress | None,
        since: int,
    ) -> None:
        self._connection, self._scratch, self._home, self._progress = connection, scratch, home, progress
        self._held = store.counts(connection)
        self._checks: list[Check] = []
        self._walks = {station: Walk(station, self._later) for station in {home: 0} | self._held}
        self._judged = 0
        self._standing = dict.fromkeys(self._walks, (0, ""))
        self._since, self._trusted = since, since > 0
        self._stopped: list[str] = []
        self.newer = ""
        store.set_home(scratch, home)

    def _later(self, public_key: str, message: bytes, signature: str) -> None:
        """Keep a signature of the entry at hand, to be checked once everything else of it holds."""
        self._checks.append(Check(public_key, message, signature))

    def walk(self) -> Finding | None:
        """Check every entry; the first thing that does not hold, or nothing."""
        with Signatures(self._stands) as signatures:
            finding = self._each(signatures)
            signatures.finish()
        if signatures.bad is not None:  # it lies before whatever else was found
            entry, error = signatures.bad
            return Finding(reference(entry.station, entry.number), error.code, error.message)
        return finding or self._left_over()

    def _each(self, signatures: Signatures) -> Finding | None:
        total, done = self._total(), 0
        station, number = self._home, 1
        try:
            for placed in replaying.in_order(self._connection, self._home):
                station, number = placed.stored.station, placed.stored.number
                self._check(placed, signatures)
                if signatures.bad is not None:
                    return None
                done += 1
                if self._progress is not None and done % STRIDE == 0:
                    self._progress(done, total)
                station, number = self._home, self._walks[self._home].number + 1
        except TorquelogError as error:
            return Finding(reference(station, number), error.code, error.message)
        except sqlite3.DatabaseError as trouble:
            name = self._unreadable() or reference(station, number)
            return Finding(name, "damaged", f"It cannot be read: {unreadable(trouble)}")
        if self._progress is not None:
            self._progress(total, total)
        return None

    def _unreadable(self) -> str:
        """The entry at which reading stopped: the next one of one of the chains."""
        for station, walk in self._walks.items():
            try:
                store.entry_at(self._connection, station, walk.number + 1)
            except sqlite3.DatabaseError:
                return reference(station, walk.number + 1)
        return ""

    def _total(self) -> int:
        """How many entries will be checked: of each chain as many as their links hold, and the one that breaks them."""
        through = {station: linked(self._connection, station).through for station in self._held}
        return sum(min(through[station] + 1, held) for station, held in self._held.items())

    def _check(self, placed: Placed, signatures: Signatures) -> None:
        stored = placed.stored
        walk = self._walks[stored.station]
        self._checks = []
        try:
            entry = walk.step(stored.text, stored.signature)
        except MISSHAPEN as broken:
            raise _unknown_shape() from broken
        signed = Signed(
            stored.station, walk.number, walk.last.digest if walk.last else "", tuple(self._checks)
        )
        if self._trusted and (entry.station, entry.number) == (self._home, self._since):
            self._trusted = False
        try:
            if entry.kind in ("taken-in", "checkpoint", "resumed") and not self._trusted:
                self._check_named_head(entry)
            if not self.newer:
                self._replay(placed, entry)
        except TorquelogError as error:
            raise wrong_of(signed) or error from None
        except MISSHAPEN as broken:
            raise wrong_of(signed) or _unknown_shape() from broken
        if self._trusted:
            self._stands(signed)
        else:
            signatures.add(signed)

    def _stands(self, entry: Signed) -> None:
        self._standing[entry.station] = (entry.number, entry.digest)

    def _replay(self, placed: Placed, entry: Entry) -> None:
        try:
            registry.check(entry.kind, entry.body)
        except TorquelogError as error:
            if error.code not in NEWER:
                raise
            self.newer = reference(entry.station, entry.number)
            return
        if entry.kind != "station" and not self._trusted:
            recorded = from_utc_text(entry.recorded_at)
            authorise(self._scratch, entry.station, entry.kind, entry.signer, entry.key, recorded, entry.body)
        if placed.known is None and not self._trusted:
            self._judge(entry)
        stored = placed.stored
        replaying.add(self._scratch, entry, stored.text, stored.signature, placed.known)

    def _judge(self, entry: Entry) -> None:
        wrong = misjudged(self._connection, self._scratch, entry)
        if wrong:
            raise TorquelogError("judgement", wrong)
        self._judged += entry.kind in JUDGED

    def _check_named_head(self, entry: Entry) -> None:
        """Check that an entry's digest is the one of the entry that it names."""
        registry.check(entry.kind, entry.body)
        code = str(entry.body.get("code", entry.station))
        number = int(entry.body.get("through", entry.body.get("head", 0)))
        stored = store.entry_at(self._connection, code, number)
        if stored is None and entry.station not in (self._home, code):
            return  # what another station took in need not lie here
        if stored is None or digest(stored.text) != entry.body.get("digest"):
            raise TorquelogError(
                "chain",
                f"It names {reference(code, number)} by a digest that is not that entry's.",
                why="The entry it names is missing or another one.",
            )

    def elsewhere(self) -> tuple[Finding, ...] | None:
        """Judge again what the other stations judged; what does not hold, or nothing."""
        for station in sorted(self._held.keys() - {self._home}):
            found = judged_elsewhere(self._connection, station)
            self._judged += found.judged
            if found.wrong:
                self._standing[station] = self._before(found.wrong)
                return (Finding(found.wrong, "judgement", found.message),)
            if found.stopped:
                self._stopped.append(found.stopped)
        return None

    def _before(self, entry: str) -> tuple[int, str]:
        """The number and the digest of the entry before one."""
        station, number = parse_reference(entry)
        stored = store.entry_at(self._connection, station, number - 1)
        return (stored.number, digest(stored.text)) if stored else (0, "")

    def _left_over(self) -> Finding | None:
        for station, held in self._held.items():
            through = self._walks[station].number
            if through < held:
                return Finding(
                    reference(station, through + 1),
                    "not-held",
                    f"The file holds {held} entries of {station}; its own chain says that it took in {through}.",
                )
        return None

    def report(self, findings: tuple[Finding, ...], *, compared: bool) -> Report:
        """What was found."""
        others = sorted(station for station in self._walks if station != self._home)
        chains = tuple(
            Chain(
                station, self._walks[station].identity, *self._standing[station], self._held.get(station, 0)
            )
            for station in (self._home, *others)
        )
        since = reference(self._home, self._since) if self._since else ""
        stopped = tuple(self._stopped)
        return Report(self._home, chains, self._judged, findings, self.newer, compared, since, stopped)


def _last_checkpoint(connection: sqlite3.Connection, home: str) -> int:
    """The number of the last entry of kind checkpoint in the own chain; 0 for none."""
    rows = connection.execute(
        "SELECT number, text FROM entry WHERE station = ? AND instr(text, ?) ORDER BY number DESC",
        (home, '"kind":"checkpoint","number":'),
    )
    try:
        return next((number for number, text in rows if parse_entry(text).kind == "checkpoint"), 0)
    except (TorquelogError, sqlite3.DatabaseError):
        return 0  # something was changed: everything is looked at


def _registers(connection: sqlite3.Connection, scratch: sqlite3.Connection) -> Iterator[Finding]:
    for each in differences(connection, scratch):
        yield Finding(each.entry, "register", each.message, each.table)


def _damage(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What SQLite itself finds wrong in the file."""
    try:
        (first,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    except sqlite3.DatabaseError as trouble:
        first = str(trouble)
    if first != "ok":
        yield Finding("", "damaged", f"The database file is damaged. SQLite says: {first}")


@contextmanager
def _at_rest(connection: sqlite3.Connection) -> Iterator[None]:
    """See the record as it is now, whatever others write meanwhile."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        connection.execute("ROLLBACK")
