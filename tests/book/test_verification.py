"""Verification: what holds, holds; every change of what is on record is found and named."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.book.tampering import as_text, change_text, flipped, found, other_id, tamper, trouble, verified
from tests.support.books import HOUR, NOON, new_book
from torquelog.book import checkpointing, exporting, replaying, signatures, takein, verification, writing
from torquelog.book.verification import verify, verify_file
from torquelog.book.walking import Walk
from torquelog.errors import CODES, TorquelogError
from torquelog.facts import registry
from torquelog.ledger import database, keys, store
from torquelog.ledger.form import parse_entry
from torquelog.work import record

FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(name="path")
def _path(worked):
    """The file of a record at rest."""
    worked.book.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    worked.close_book()
    return worked.book.path


@pytest.fixture(name="unbound")
def _unbound(monkeypatch):
    """A changed program, which asks for no authority."""
    monkeypatch.setattr(writing, "authorise", lambda *_: None)


def rows(path, sql):
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(sql).fetchall()


def sql(cell):
    """A cell as SQL writes it."""
    return "NULL" if cell is None else str(cell) if isinstance(cell, int) else as_text(cell.encode())


def at(entry):
    """The number of an entry by its name."""
    return int(entry.rpartition("-")[2])


def test_a_record_that_nobody_touched_holds(path):
    """Every entry stands, every reading is judged as it was, and the registers are as the entries give them."""
    report = verified(path)
    assert report.holds
    assert report.compared
    (chain,) = report.chains
    assert (chain.station, chain.through) == ("QHR", chain.held)
    assert report.judged == 6
    assert len(chain.identity) == len(chain.digest) == 64


def test_verification_writes_nothing(path):
    """The file is the same, byte for byte."""
    before = Path(path).read_bytes()
    verified(path)
    assert Path(path).read_bytes() == before


def test_what_others_write_meanwhile_is_not_seen(worked):
    """A verification shows the record of one moment."""
    entries = worked.entries()

    def write(_done, _total):
        worked.says("report", {"tool": "W-0402", "what": "dropped"})

    connection = database.connect(worked.book.path, "read")
    with closing(connection):
        report = verify(connection, "QHR", write)
    assert report.holds
    assert report.chains[0].through == entries
    assert worked.entries() > entries


@pytest.mark.long
@FEW
@given(data=st.data())
def test_one_flipped_bit_of_a_text_is_found(path, data):
    """Anywhere in any entry; the entry is named, and what stands is everything before it."""
    entries = rows(path, "SELECT number, CAST(text AS BLOB) FROM entry ORDER BY number")
    number, text = data.draw(st.sampled_from(entries))
    bit = data.draw(st.integers(0, len(text) * 8 - 1))
    where = f"WHERE number = {number}"
    tamper(path, f"UPDATE entry SET text = {as_text(flipped(text, bit))} {where}")
    try:
        finding = found(path)
        assert at(finding.entry) in (number, number + 1)
        assert verified(path).chains[0].through in (number - 1, number)
    finally:
        tamper(path, f"UPDATE entry SET text = {as_text(text)} {where}")
    assert verified(path).holds


@pytest.mark.long
@FEW
@given(data=st.data())
def test_one_flipped_bit_of_a_signature_is_found(path, data):
    """Anywhere in any signature."""
    entries = rows(path, "SELECT number, signature FROM entry ORDER BY number")
    number, signature = data.draw(st.sampled_from(entries))
    bit = data.draw(st.integers(0, len(signature) * 8 - 1))
    where = f"WHERE number = {number}"
    tamper(path, f"UPDATE entry SET signature = x'{flipped(signature, bit).hex()}' {where}")
    try:
        finding = found(path)
        assert (at(finding.entry), finding.code) == (number, "signature")
    finally:
        tamper(path, f"UPDATE entry SET signature = x'{signature.hex()}' {where}")


def test_a_changed_id_is_found(path):
    """The id beside the text is compared with the one inside it."""
    tamper(path, "UPDATE entry SET id = x'00112233445566778899aabbccddeeff' WHERE number = 4")
    assert (found(path).entry, found(path).table) == ("QHR-000004", "entry")


def test_swapped_entries_are_found(path):
    """Two entries under each other's number."""
    tamper(
        path,
        "UPDATE entry SET number = 1000 WHERE number = 9",
        "UPDATE entry SET number = 9 WHERE number = 10",
        "UPDATE entry SET number = 10 WHERE number = 1000",
    )
    assert (found(path).entry, found(path).code) == ("QHR-000009", "chain")


def test_a_removed_entry_is_found(path):
    """Out of the middle: the next one does not follow."""
    tamper(path, "DELETE FROM entry WHERE number = 12")
    assert (found(path).entry, found(path).code) == ("QHR-000013", "chain")
    assert verified(path).chains[0].through == 11


def test_an_entry_twice_is_found(path):
    """The same text and signature again under the next number."""
    (last,) = rows(path, "SELECT max(number) FROM entry")[0]
    tamper(
        path,
        f"INSERT INTO entry SELECT station, number + 1, randomblob(16), text, signature FROM entry WHERE number = {last}",
    )
    assert (at(found(path).entry), found(path).code) == (last + 1, "chain")


def test_an_entry_of_another_record_is_found(path, stations):
    """Signed well, by a station's own people, in a record of the same code: another chain all the same."""
    other = stations("QHR")
    text, signature = rows(other.book.path, "SELECT text, signature FROM entry WHERE number = 2")[0]
    tamper(
        path,
        f"UPDATE entry SET text = {as_text(text.encode())}, signature = x'{signature.hex()}' WHERE number = 2",
    )
    assert (found(path).entry, found(path).code) == ("QHR-000002", "chain")


def test_a_text_written_otherwise_is_found(path):
    """The same members with a blank between them: not the canonical text."""
    change_text(path, 3, lambda text: text.replace('","', '", "', 1))
    assert (found(path).entry, found(path).code) == ("QHR-000003", "entry-form")


def test_a_tail_cut_off_is_not_found_without_a_checkpoint(path):
    """A shorter chain verifies by itself, once its registers are cut as well: said in the docs, and shown here."""
    (last,) = rows(path, "SELECT max(number) FROM entry")[0]
    tables = [
        name
        for (name,) in rows(path, "SELECT name FROM sqlite_schema WHERE type = 'table'")
        if name not in ("home", "cycle_tally") and not name.startswith("sqlite")
    ]
    tamper(path, *(f"DELETE FROM {name} WHERE number = {last}" for name in tables))
    assert verified(path).holds


FACT_TABLES = sorted(
    {
        line.split()[2]
        for line in registry.schema().splitlines()
        if line.startswith("CREATE TABLE") and "cycle_tally" not in line
    }
)


def test_every_register_with_rows_is_compared(path):
    """A row removed from any of them is found, with the table and the entry that gives it."""
    held = [(name, rows(path, f"SELECT station, number FROM {name} LIMIT 1")) for name in FACT_TABLES]
    filled = [(name, row[0]) for name, row in held if row]
    assert len(filled) > 12
    for name, (station, number) in filled:
        one = f"WHERE station = '{station}' AND number = {number}"
        kept = rows(path, f"SELECT * FROM {name} {one}")
        tamper(path, f"DELETE FROM {name} {one}")
        finding = found(path)
        assert (finding.table, finding.code) == (name, "register")
        assert finding.entry == f"{station}-{number:06d}"
        tamper(path, *(f"INSERT INTO {name} VALUES ({', '.join(map(sql, row))})" for row in kept))
    assert verified(path).holds


def test_a_row_that_no_entry_gives_is_found(path):
    """A role that nobody granted."""
    tamper(
        path,
        "INSERT INTO role_change SELECT station, number + 1, at, recorded, known, 7, 'IK', 'quality', 1, since, until, "
        "inspects, why FROM role_change WHERE person = 'IK' LIMIT 1",
    )
    assert (found(path).table, found(path).code) == ("role_change", "register")
    assert "no entry gives" in found(path).message


def test_a_changed_cell_is_found(path):
    """The message names register, column, what it reads and what the entry gives."""
    tamper(path, "UPDATE tool SET cycles = 9000 WHERE tool = 'W-0417'")
    finding = found(path)
    assert finding.table == "tool"
    assert 'cycles reads "9000", and the entry gives "5000"' in finding.message


def test_a_changed_tally_is_found(path):
    """The running count of cycles is compared as well."""
    tamper(path, "UPDATE cycle_tally SET uses = uses - 1 WHERE tool = 'W-0417'")
    assert found(path).table == "cycle_tally"


def test_a_register_edited_and_edited_back_around_a_reading_is_found(worked):
    """The wrench was good only while its due date read otherwise: judged again, the reading is refused."""
    path = worked.book.path
    (due, number) = rows(path, "SELECT due, number FROM calibration WHERE tool = 'W-0402'")[0]
    change = "UPDATE calibration SET due = {} WHERE number = " + str(number)
    tamper(path, change.format("'2027-11-20'"), "UPDATE tool SET every = NULL WHERE tool = 'W-0402'")
    taken = worked.take("tie-bolt:1", "100 N·m", wrench="W-0402", loosened=True)
    assert taken.outcome == "within"
    quoted = "NULL" if due is None else f"'{due}'"
    tamper(path, change.format(quoted), "UPDATE tool SET every = '12 months' WHERE tool = 'W-0402'")
    assert (found(path).entry, found(path).code) == (taken.reference, "judgement")


def test_a_reading_that_a_changed_program_let_through_is_found(worked, monkeypatch):
    """The signature is good and the chain whole; the wrench was overdue."""
    real = record.judge

    def lenient(*arguments):
        return real(*arguments)._replace(outcome="within", grounds=())

    monkeypatch.setattr(record, "judge", lenient)
    taken = worked.take("tie-bolt:1", "100 N·m", wrench="W-0402", loosened=True)
    monkeypatch.setattr(record, "judge", real)
    finding = found(worked.book.path)
    assert (finding.entry, finding.code) == (taken.reference, "judgement")
    assert "comes out as refused" in finding.message


@pytest.mark.parametrize("change", ["limits", "gain", "specified", "tools"])
def test_limits_and_tools_that_a_changed_program_made_up_are_found(worked, monkeypatch, change):
    """Wider limits, another gain, another specification, another certificate."""
    real = record.judged_member

    def made_up(judged):
        member = real(judged)
        others = {
            "limits": {"low": "1", "high": "500", "unit": "N·m"},
            "gain": "2",
            "specified": "1..500 N·m",
            "tools": [{**member["tools"][0], "certificate": "C-BETTER"}],
        }
        return member | {change: others[change]}

    monkeypatch.setattr(record, "judged_member", made_up)
    taken = worked.take("tie-bolt:1", "100 N·m", loosened=True, at="2026-11-25T12:01", why="told late")
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (taken.reference, "judgement")


FORGED = {
    "role by an inspector": (
        "role",
        {"person": "MS", "role": "quality", "change": "add"},
        "MS",
        True,
        "no-role",
    ),
    "role by quality's sign-in": (
        "role",
        {"person": "IK", "role": "crib", "change": "add"},
        "TK",
        False,
        "key-level",
    ),
    "role to oneself": (
        "role",
        {"person": "TK", "role": "inspector", "change": "add"},
        "TK",
        True,
        "own-grant",
    ),
    "report by passphrase": ("report", {"tool": "W-0417", "what": "dropped"}, "TK", True, "key-level"),
    "calibration by a technician": (
        "acceptance",
        {"calibration": "QHR-000012"},
        "IK",
        False,
        "no-role",
    ),
    "sign-in without an end": (
        "sign-in",
        {"public_key": keys.public_key(bytes(32)), "until": "2099-01-01T00:00:00.000+00:00"},
        "TK",
        True,
        "signer-bounds",
    ),
    "code for a year": (
        "code",
        {
            "person": "IK",
            "code_key": keys.public_key(bytes(32)),
            "code_until": "2027-11-25T00:00:00.000+00:00",
        },
        "TK",
        True,
        "signer-bounds",
    ),
    "person once more": (
        "person",
        {
            "person": "MS",
            "name": "Mira Solheim",
            "roles": ["quality"],
            "code_key": keys.public_key(bytes(32)),
            "code_until": "2026-11-27T00:00:00.000+00:00",
        },
        "TK",
        True,
        "signer-bounds",
    ),
    "another's sign-out": ("sign-out", {"sign_in": "QHR-000002"}, "IK", False, "signer-bounds"),
    "strike of another's entry": (
        "strike",
        {"entry": "QHR-000010", "why": "not mine"},
        "IK",
        False,
        "key-level",
    ),
}


@pytest.mark.parametrize("forged", FORGED)
@pytest.mark.usefixtures("unbound")
def test_an_entry_that_its_signer_may_not_make_is_found(worked, forged):
    """Well signed and well linked, written by a changed program that asks for no authority."""
    kind, body, person, own, code = FORGED[forged]
    entry = worked.says(kind, body, by=person, own=own)
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, code)


@pytest.mark.parametrize("what", ["refused", "report", "strike", "station"])
@pytest.mark.usefixtures("unbound")
def test_a_strike_of_what_is_never_struck_is_found(worked, what):
    """A refusal, a report, a strike, the first entry: each is answered by another entry, whoever signs."""
    entries = [parse_entry(stored.text) for stored in store.entries(worked.book.connection, "QHR")]
    target = next(each for each in entries if what in (each.kind, each.body.get("outcome")))
    entry = worked.says("strike", {"entry": f"QHR-{target.number:06d}", "why": "away with it"})
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "signer-bounds")


@pytest.mark.usefixtures("unbound")
def test_a_second_person_who_is_none_is_found(worked, monkeypatch):
    """The drafter approves the card though an inspector is there, and the entry does not say so."""
    monkeypatch.setattr("torquelog.work.cards.second_person", lambda *_: "")
    worked.own["MS"] = worked.own["TK"]
    worked.card("OTHER", {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"})
    assert found(worked.book.path).code == "needs-another"


def test_a_station_accepted_under_another_identity_is_found(worked, stations, monkeypatch):
    """What was accepted is a record of one identity, not a name."""
    other = stations("LGW")
    lines = exporting.lines(other.book.connection, exporting.parts(other.book.connection))
    takein.take_in(worked.book, worked.signed["TK"], lines)
    monkeypatch.setattr(writing, "authorise", lambda *_: None)
    body = {"code": "LGW", "identity": "ab" * 32, "why": "same company"}
    entry = worked.says("station-accepted", body, own=True)
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "signer-bounds")


@pytest.mark.usefixtures("unbound")
def test_an_entry_signed_by_a_stolen_sign_in_key_after_its_end_is_found(worked):
    """One millisecond before the end it would have counted."""
    stolen = worked.signed["IK"]
    worked.clock.moment = NOON + 20 * HOUR
    worked.signed["IK"] = stolen
    entry = worked.says("report", {"tool": "W-0417", "what": "dropped"}, by="IK")
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "key-ended")


@pytest.mark.usefixtures("unbound")
def test_a_taken_in_part_that_is_not_here_is_found(worked):
    """An own entry claims that a chain is held which nobody ever saw."""
    entry = worked.says("taken-in", {"code": "LGW", "through": "3", "digest": "ab" * 32})
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "chain")


def test_entries_of_another_chain_that_nobody_took_in_are_found(path, stations):
    """Laid beside the own chain by hand: the own chain does not account for them."""
    other = stations("LGW")
    entries = rows(other.book.path, "SELECT station, number, CAST(text AS BLOB), id, signature FROM entry")
    for station, number, text, entry_id, signature in entries:
        values = f"'{station}', {number}, x'{entry_id.hex()}', {as_text(text)}, x'{signature.hex()}'"
        tamper(path, f"INSERT INTO entry VALUES ({values})")
    assert (found(path).entry, found(path).code) == ("LGW-000001", "not-held")


@pytest.mark.usefixtures("unbound")
def test_what_a_newer_program_wrote_is_checked_as_far_as_it_can_be(worked, monkeypatch):
    """Links and signatures to the end; authority and judgements up to there. A change behind it is found."""
    monkeypatch.setattr(registry, "check", lambda *_: None)
    monkeypatch.setattr(registry, "add_rows", lambda *_: None)
    newer = worked.says("weather", {"sky": "grey"})
    worked.says("weather", {"sky": "blue"})
    monkeypatch.undo()
    report = verified(worked.book.path)
    assert (report.holds, report.newer, report.compared) == (True, newer, False)
    assert report.chains[0].through == report.chains[0].held
    change_text(worked.book.path, at(newer) + 1, lambda text: text.replace("blue", "pink"))
    assert (at(found(worked.book.path).entry), found(worked.book.path).code) == (at(newer) + 1, "signature")


@pytest.mark.parametrize(
    "surroundings",
    [
        {"PYTHONHASHSEED": "1", "TZ": "Asia/Tokyo"},
        {"PYTHONHASHSEED": "99", "TZ": "America/St_Johns", "LC_ALL": "tr_TR.UTF-8"},
    ],
)
def test_replay_gives_the_same_rows_in_other_surroundings(path, surroundings):
    """Another hash seed, time zone and locale: rows and judgements come out as they are on record."""
    program = f"from torquelog.book.verification import verify_file; print(verify_file({path!r})[0].holds)"
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | surroundings,
    )
    assert done.stdout == "True\n"


def test_a_changed_guard_is_found_at_the_door(path):
    """A trigger that is missing, or one more, is told before anything is read."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
    with pytest.raises(TorquelogError) as caught:
        verify_file(path)
    assert caught.value.code == "schema-changed"


def test_a_damaged_file_is_told_from_a_changed_one(path):
    """A page of an index that no longer fits its table is SQLite's to find."""
    with open(path, "r+b") as file:
        file.seek(-4096, 2)
        page = file.read(4096)
        file.seek(-4096, 2)
        file.write(bytes(255 - byte for byte in page))
    assert trouble(path) in ("damaged", "storage", "not-a-ledger")


def test_every_code_that_verification_gives_is_listed():
    """Codes are stable names, each with its exit."""
    assert {
        "chain",
        "signature",
        "register",
        "judgement",
        "not-held",
        "damaged",
        "entry-form",
    } <= CODES.keys()


def test_a_body_that_is_built_otherwise_is_found_not_stumbled_over(tmp_path: Path) -> None:
    """A key that may sign can sign nonsense inside a member; verification names the entry and goes no further."""
    kept = new_book(tmp_path)
    signer = kept.signer
    body = {
        "job": "J-1",
        "fastener": "tie-bolt:1",
        "assembly": "EX-1 WH-1",
        "reading": {"value": "1", "unit": "N·m"},
    }
    rest = {
        "wrench": "W-1", "pass": "1", "act": "tighten", "performed_by": "TK", "outcome": "within",
        "performed_at": "2026-11-25T12:00:00.000+00:00", "grounds": [{"code": "x"}], "remarks": [],
        "judged": {"tools": [{"tool": "W-1"}], "gain": "1", "limits": {}, "specified": "", "direction": "cw"},
    }  # fmt: skip
    with writing.writing(kept.book) as w:
        w.append(signer, "reading", body | rest)
    report = verify(kept.book.connection, kept.book.station)
    assert [finding.entry for finding in report.findings] == ["QHR-000003"]


# How verification goes on its way


def test_progress_is_told_now_and_then(path, monkeypatch):
    """Every so many entries, and all of them at the end."""
    monkeypatch.setattr(verification, "STRIDE", 10)
    told = []
    verify_file(path, progress=lambda done, total: told.append((done, total)))
    (held,) = {total for _, total in told}
    assert [done for done, _ in told] == [*range(10, held + 1, 10), held]


def test_behind_a_signature_that_does_not_hold_nothing_is_looked_at(path, monkeypatch):
    """What came before it stands; a judgement behind it, which is wrong as well, is not reached."""
    monkeypatch.setattr(signatures, "BATCH", 1)
    monkeypatch.setattr(signatures, "WAITING", 0)
    judged = []
    monkeypatch.setattr(verification, "misjudged", lambda _, __, entry: judged.append(entry.number) or "")
    change_text(path, 5, other_id)
    tamper(path, f"UPDATE entry SET signature = x'{'00' * 64}' WHERE number = 3")
    report = verified(path)
    assert [(finding.entry, finding.code) for finding in report.findings] == [("QHR-000003", "signature")]
    assert report.chains[0].through == 2
    assert judged == [1, 2, 3]


def test_what_cannot_be_read_and_is_no_entry_is_told_at_the_entry_that_comes_next(path, monkeypatch):
    """A database that answers no more, although each chain's next entry can be read."""

    def broken(*_):
        raise sqlite3.DatabaseError("database disk image is malformed")

    monkeypatch.setattr(replaying, "in_order", broken)
    assert (found(path).entry, found(path).code) == ("QHR-000001", "damaged")
    assert found(path).message == "It cannot be read: SQLite says: database disk image is malformed."


@pytest.mark.parametrize(
    ("where", "trouble"), [((Walk, "step"), AttributeError), ((replaying, "add"), KeyError)]
)
def test_an_entry_whose_inner_parts_bring_trouble_is_named(path, monkeypatch, where, trouble):
    """Whatever it is that reading them brings, on the way along the chain or where its rows are made."""
    real, number = getattr(*where), [0]

    def troubled(*given):
        number[0] += 1
        if number[0] == 4:
            raise trouble
        return real(*given)

    monkeypatch.setattr(*where, troubled)
    finding = found(path)
    assert (finding.entry, finding.code) == ("QHR-000004", "body-form")


def test_a_body_that_is_none_of_its_kind_is_found(worked, monkeypatch):
    """Written and signed by a changed program."""
    monkeypatch.setattr(registry, "check", lambda *_: None)
    monkeypatch.setattr(registry, "add_rows", lambda *_: None)
    monkeypatch.setattr(writing, "authorise", lambda *_: None)
    entry = worked.says("report", {"tool": "W-0417"})
    monkeypatch.undo()
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "body-form")


class TestSinceACheckpoint:
    """Looking only at what came after the last checkpoint."""

    @pytest.fixture(name="noted")
    def _noted(self, worked):
        """The entry that notes a checkpoint, with a reading before it and one behind."""
        noted = checkpointing.make(worked.book, worked.signed["TK"]).reference
        worked.take("tie-bolt:1", "100 N·m")
        worked.close_book()
        return noted

    def since(self, path):
        """What is found by looking from there on."""
        report, _, _ = verify_file(path, since_checkpoint=True)
        return report

    def test_only_what_comes_behind_it_is_judged(self, worked, noted):
        """Links and registers are looked at all the same."""
        report = self.since(worked.book.path)
        assert (report.holds, report.since, report.judged, report.compared) == (True, noted, 1, True)
        assert report.chains[0].through == report.chains[0].held
        assert verified(worked.book.path).judged == 7

    def test_a_signature_before_it_is_trusted_and_one_behind_it_is_not(self, worked, noted):
        """From its own entry on, signatures have to hold."""
        path = worked.book.path
        tamper(path, f"UPDATE entry SET signature = x'{'00' * 64}' WHERE number = {at(noted) - 1}")
        assert self.since(path).holds
        assert found(path).entry == f"QHR-{at(noted) - 1:06d}"
        tamper(path, f"UPDATE entry SET signature = x'{'00' * 64}' WHERE number = {at(noted)}")
        assert [finding.entry for finding in self.since(path).findings] == [noted]

    def test_without_one_everything_is_looked_at(self, path):
        """And nothing is said of a checkpoint."""
        report = self.since(path)
        assert (report.holds, report.since, report.judged) == (True, "", 6)

    @pytest.mark.parametrize(
        "text", ['{"kind":"checkpoint","number":', '\udcff"kind":"checkpoint","number":']
    )
    def test_where_one_cannot_be_read_everything_is_looked_at(self, worked, noted, text):
        """A signature before it is found, which would have been trusted."""
        path = worked.book.path
        cell = as_text(text.encode("utf-8", "surrogateescape"))
        tamper(
            path,
            f"UPDATE entry SET text = {cell} WHERE number = {at(noted)}",
            f"UPDATE entry SET signature = x'{'00' * 64}' WHERE number = {at(noted) - 1}",
        )
        report = self.since(path)
        assert (report.since, report.findings[0].entry) == ("", f"QHR-{at(noted) - 1:06d}")
