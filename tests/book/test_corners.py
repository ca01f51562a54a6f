"""Seldom met: what is no record, texts that are none, keys that nobody introduced, and two who do the same at once."""

import errno
import sqlite3
from contextlib import closing

import pytest

from tests.book.elsewhere import other_station
from tests.book.tampering import found, tamper, verified
from tests.support.books import DAY, NOON
from tests.support.story import content
from torquelog.book import (
    backup,
    exporting,
    particulars,
    rebuilding,
    replaying,
    restoring,
    takein,
    verification,
    writing,
)
from torquelog.book.authorisation import authorise
from torquelog.book.enrolled import passphrase_key
from torquelog.book.sign_ins import introduce
from torquelog.book.walking import Walk
from torquelog.clock import SetClock
from torquelog.crib import register
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts.assemblies import Assembly
from torquelog.ledger import placing, store
from torquelog.ledger.form import entry_text, parse_entry
from torquelog.quality.people import add_person
from torquelog.work import aircraft, assemblies, cards


def refusal(code, act, *arguments, **named):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments, **named)
    assert caught.value.code == code, caught.value
    return caught.value


def exported(book):
    return list(exporting.lines(book.connection, exporting.parts(book.connection)))


# Files


def test_a_text_that_is_no_utf_8_is_told(worked):
    """In an entry and in a register, without showing what stands there."""
    path = worked.book.path
    worked.close_book()
    tamper(
        path, "UPDATE aircraft SET type = CAST(x'ff' AS TEXT)", "UPDATE tool SET maker = CAST(x'ff' AS TEXT)"
    )
    finding = found(path)
    assert (finding.table, finding.code) == ("tool", "register")
    assert finding.message == "The register tool cannot be read: its text is not UTF-8."
    tamper(path, "UPDATE entry SET text = CAST(x'ff' AS TEXT) WHERE number = 7")
    assert (found(path).entry, found(path).code) == ("QHR-000007", "damaged")


def test_a_record_without_a_home_is_none(worked, tmp_path):
    """The file says no more which chain is its own: nothing can be done with it but look at its entries."""
    path = worked.book.path
    worked.close_book()
    tamper(path, "DELETE FROM home")
    refusal("not-a-ledger", verification.verify_file, path)
    refusal("not-a-ledger", rebuilding.rebuild, path, SetClock(NOON))
    refusal("not-a-ledger", restoring.Restoring, path, str(tmp_path / "new.db"), SetClock(NOON))
    assert not (tmp_path / "new.db").exists()


def test_a_file_that_sqlite_finds_damaged_is_told(worked, monkeypatch):
    """By verification as a finding, by a backup as a refusal; also where SQLite cannot even look."""

    class Damaged(sqlite3.Connection):
        answer: object = "row 3 missing from index"

        def execute(self, text, *rest):
            if "integrity_check" in text:
                if isinstance(self.answer, Exception):
                    raise self.answer
                return super().execute("SELECT ?", (self.answer,))
            return super().execute(text, *rest)

    with closing(sqlite3.connect(worked.book.path, factory=Damaged, isolation_level=None)) as connection:
        report = verification.verify(connection, "QHR")
        assert not report.holds
        assert report.chains == ()
        assert report.findings[0].code == "damaged"
        assert "row 3 missing" in report.findings[0].message
        refusal("damaged", backup._demand_whole, connection, "copy.db")
        Damaged.answer = sqlite3.DatabaseError("database disk image is malformed")
        assert "malformed" in verification.verify(connection, "QHR").findings[0].message


@pytest.mark.parametrize("act", ["backup", "rebuild", "restore"])
def test_trouble_of_the_disk_has_its_name(worked, tmp_path, monkeypatch, act):
    """Where the finished file cannot get its name: disk-full, and no half file is left."""
    backup.backup(worked.book, str(tmp_path / "kept.db"))
    put = restoring.Restoring(str(tmp_path / "kept.db"), str(tmp_path / "new.db"), worked.clock)

    def full(*_, **__):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(placing, "give_name", full)
    if act == "backup":
        refusal("disk-full", backup.backup, worked.book, str(tmp_path / "copy.db"))
    elif act == "restore":
        refusal("disk-full", put.go_on, worked.own["TK"], "the disk died")
    else:
        worked.close_book()
        refusal("disk-full", rebuilding.rebuild, worked.book.path, worked.clock)
    put.abandon()
    names = [path.name for path in tmp_path.iterdir() if not path.name.startswith("xdg")]
    assert not [name for name in names if name.endswith((".new", ".rebuilt", ".restored"))]


def test_entries_that_nobody_took_in_are_not_left_out_of_a_rebuilding(worked, tmp_path):
    """Laid beside the own chain by hand: the rebuilding stops, and nothing is changed."""
    other = other_station(tmp_path, "LGW")
    path = worked.book.path
    worked.close_book()
    for number, text, entry_id, signature in other.book.connection.execute(
        "SELECT number, CAST(text AS BLOB), id, signature FROM entry"
    ):
        values = f"'LGW', {number}, x'{entry_id.hex()}', CAST(x'{text.hex()}' AS TEXT), x'{signature.hex()}'"
        tamper(path, f"INSERT INTO entry VALUES ({values})")
    refusal("not-held", rebuilding.rebuild, path, worked.clock)
    other.book.close()


# Keys


def test_a_key_that_nobody_introduced_signs_nothing(story):
    """Neither in an act nor on a walk along the chain."""
    refusal("key-unknown", authorise, story.book.connection, "QHR", "report", "TK", 9999, NOON, {})
    walk = Walk("QHR")
    refusal("key-unknown", walk.key, 3)
    assert walk.number == 0


def test_a_walk_takes_entries_of_its_own_chain_only(story, tmp_path):
    """An entry of LGW is none of QHR; a key signs for its owner alone."""
    other = other_station(tmp_path, "LGW")
    (first, *_) = store.entries(other.book.connection, "LGW")
    refusal("chain", Walk("QHR").step, first.text, first.signature)
    walk = Walk("LGW")
    walk.step(first.text, first.signature)
    owners = walk.key(1)._replace(owner="ZZ")
    walk._keys[1] = owners
    second = list(store.entries(other.book.connection, "LGW"))[1]
    refusal("key-owner", walk.step, second.text, second.signature)
    other.book.close()


def test_a_key_has_to_be_written_as_one(story):
    """On a walk along a chain, where somebody signed that theirs is anything else."""
    first, second = list(store.entries(story.book.connection, "QHR"))[:2]
    walk = Walk("QHR", lambda *_: None)
    walk.step(first.text, first.signature)
    entry = parse_entry(second.text)
    broken = entry._replace(kind="key", body={**entry.body, "public_key": "no key"})
    refusal("body-form", walk.step, entry_text(broken), second.signature)


def test_a_card_that_is_not_on_record_is_approved_by_nobody(story):
    """Whatever its digest says."""
    key = passphrase_key(story.book.connection, "QHR", "MS")
    body = {"digest": "ab" * 32, "why": "checked"}
    refusal(
        "signer-bounds",
        particulars.check, story.book.connection, "QHR", "card-approval", "MS", key, NOON, body,
    )  # fmt: skip


def test_somebody_of_another_station_is_told_where_they_are_enrolled(story, tmp_path):
    """Each station has its own keys."""
    other = other_station(tmp_path, "LGW")
    takein.take_in(story.book, story.signed["TK"], exported(other.book))
    error = refusal("not-enrolled", passphrase_key, story.book.connection, "QHR", "AB")
    assert error.why == "They are enrolled at LGW; each station has its own keys."
    refusal("not-here", _change, story, "AB")
    taken = add_person(story.book, story.own["TK"], "AB", "Ann Bold", ("crib",))
    assert taken.name == "Ann Bold"
    other.book.close()


def _change(story, person):
    from torquelog.quality.people import change_role

    return change_role(story.book, story.own["TK"], person, "crib", add=True)


def test_an_id_of_another_station_under_another_name_is_a_question(story, tmp_path):
    """AB is Ann Bold at LGW; nobody else can be AB here."""
    other = other_station(tmp_path, "LGW")
    takein.take_in(story.book, story.signed["TK"], exported(other.book))
    with story.refused("exists") as caught:
        add_person(story.book, story.own["TK"], "AB", "Abel Brand", ("crib",))
    assert "LGW enrolled AB as Ann Bold" in caught.value.what
    other.book.close()


def test_a_fresh_key_is_never_printed(story):
    """Not even by a debugger's look at it."""
    with writing.writing(story.book) as w:
        fresh = introduce(w, story.own["TK"])
    assert fresh.seed.hex() not in repr(fresh)


# A second person


def test_a_confirmation_that_comes_before_its_entry_is_taken(story):
    """Chains merge in any order; what cannot be compared yet is compared where it can."""
    key = passphrase_key(story.book.connection, "QHR", "MS")
    for kind in ("confirmation", "strike"):
        body = {"entry": "LGW-000007", "why": "the worksheet shows it"}
        particulars.check(story.book.connection, "QHR", kind, "MS", key, NOON, body)


def test_the_performer_confirms_nothing_where_another_could(worked, monkeypatch):
    """Written by a changed program, the confirmation is found."""
    late = worked.take("tie-bolt:1", "100 N·m", loosened=True, at="2026-11-25T12:01", why="told late")
    monkeypatch.setattr(writing, "authorise", lambda *_: None)
    entry = worked.says("confirmation", {"entry": late.reference, "why": "I was there"}, own=True)
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (entry, "needs-another")


def test_a_failed_certificate_that_was_struck_is_found(worked, monkeypatch):
    """Results outside the tool's accuracy stay on record."""
    bad = worked.results_of("20", "150", "N·m")
    bad = (bad[0], bad[1]._replace(reference=bad[1].reference._replace(value="120")))
    entry = worked.calibrate("W-0402", "2026-11-24", accept=False, points=bad)
    monkeypatch.setattr(writing, "authorise", lambda *_: None)
    strike = worked.says("strike", {"entry": entry, "why": "away with it"})
    assert (found(worked.book.path).entry, found(worked.book.path).code) == (strike, "signer-bounds")


# Several at once


def test_two_who_take_in_the_same_at_once(story, tmp_path, monkeypatch):
    """The second finds it on record: nothing is new, and the own chain says so once."""
    other = other_station(tmp_path, "LGW")
    lines = exported(other.book)
    real = takein._Reader.read

    def meanwhile(reader, given):
        walks = real(reader, given)
        monkeypatch.setattr(takein._Reader, "read", real)
        takein.take_in(story.book, story.signed["TK"], lines)
        return walks

    monkeypatch.setattr(takein._Reader, "read", meanwhile)
    (taken,) = takein.take_in(story.book, story.signed["TK"], lines)
    assert (taken.new, taken.reference) == (0, "")
    assert verified(story.book.path).holds
    other.book.close()


def test_an_export_that_says_an_entry_twice_is_refused(story, tmp_path):
    """The second time it does not follow."""
    other = other_station(tmp_path, "LGW")
    lines = exported(other.book)
    refusal("chain", takein.take_in, story.book, story.signed["TK"], [*lines, lines[-1]])
    other.book.close()


def test_an_export_ends_where_it_was_said_to(worked):
    """Entries that are recorded while it is written are left to the next one."""
    parts = exporting.parts(worked.book.connection)
    worked.says("report", {"tool": "W-0402", "what": "found"})
    lines = list(exporting.lines(worked.book.connection, parts))
    assert len(lines) == worked.entries() - 1


def test_another_stations_account_of_a_third_may_reach_further(story, tmp_path):
    """LGW holds more of FAO than this file: nothing is wrong with that."""
    lgw, fao = other_station(tmp_path, "LGW"), other_station(tmp_path, "FAO")
    takein.take_in(lgw.book, lgw.signer, exported(fao.book))
    own = list(
        exporting.lines(
            lgw.book.connection,
            tuple(part for part in exporting.parts(lgw.book.connection) if part.station == "LGW"),
        )
    )
    takein.take_in(story.book, story.signed["TK"], own)
    assert verified(story.book.path).holds
    for each in (lgw, fao):
        each.book.close()


def test_names_for_other_things_are_questions(story, tmp_path):
    """A wrench of another make, an aircraft of another type, an assembly of another kind."""
    fao = other_station(tmp_path, "FAO", SetClock(NOON - DAY))
    story.wrench("W-0417", maker="Invented Tools", serial="17")
    story.aircraft("QQ-HLB", "1001")
    story.assembly("WH-2231", "wheel")
    tool = NewTool(tool="W-0417", sort="wrench", type="setting", scales=(parse_scale("20..150 N·m by 0.5"),))
    register.register(fao.book, fao.signer, tool)
    aircraft.add(fao.book, fao.signer, "QQ-XYZ", msn="1001", type="EX-300")
    assemblies.add(fao.book, fao.signer, Assembly("EX-4410-1", "WH-2231", "brake"))
    (taken,) = takein.take_in(story.book, story.signed["TK"], exported(fao.book))
    assert [question.partition(" with ")[0] for question in taken.questions] == [
        "FAO registered W-0417", "FAO registered 1001", "FAO registered EX-4410-1 WH-2231",
    ]  # fmt: skip
    assert "lever none; on record is Invented Tools, 17, 10 in" in taken.questions[0]
    fao.book.close()


def test_a_member_that_only_looks_like_a_kind(worked):
    """A card of the kind "taken-in" is not an entry that took anything in."""
    group = {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"}
    cards.load(worked.book, worked.signed["TK"], {**content("ODD", "A", group), "kind": "taken-in"})
    entries = list(replaying.in_order(worked.book.connection, "QHR"))
    assert len(entries) == worked.entries()
    assert verified(worked.book.path).holds


def test_progress_is_told_to_the_end(worked):
    """The last call says that all is done."""
    told = []
    verification.verify_file(worked.book.path, None, lambda *counts: told.append(counts))
    assert told[-1] == (worked.entries(), worked.entries())
