"""Backups, putting them back, checkpoints, and registers made anew."""

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.book.elsewhere import other_station
from tests.book.tampering import change_text, found, other_id, tamper, verified
from tests.support.books import HOUR, PASSPHRASE
from torquelog.book import backup, checkpointing, exporting, rebuilding, restoring, takein, writing
from torquelog.book.opening import open_book
from torquelog.book.verification import verify_file
from torquelog.clock import SystemClock
from torquelog.errors import TorquelogError
from torquelog.facts import stations
from torquelog.ledger import database, keys, seen, store
from torquelog.quality import people
from torquelog.work import signing

CHEAP = {"scrypt_n": keys.SMALLEST_N}


def refusal(code, act, *arguments, **named):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments, **named)
    assert caught.value.code == code, caught.value
    return caught.value


def report(story, tool="W-0402"):
    story.clock.moment += 1000
    with writing.writing(story.book) as w:
        return w.append(story.signed["TK"], "report", {"tool": tool, "what": "dropped"}).reference


def beside(folder):
    """Every name in a folder but those of the tests' own folders."""
    return sorted(name for name in os.listdir(folder) if not name.startswith("xdg"))


# Backups


def test_a_backup_is_the_record_of_one_moment(worked, tmp_path):
    """One file, private, that verifies; the record itself goes on."""
    done = backup.backup(worked.book, str(tmp_path / "copy.db"))
    assert Path(done.path).stat().st_mode & 0o777 == 0o600
    assert [(part.station, part.through) for part in done.parts] == [("QHR", worked.entries())]
    report(worked)
    assert verified(done.path).chains[0].through == worked.entries() - 1
    assert beside(tmp_path) == ["copy.db", "qhr.db", "qhr.db-shm", "qhr.db-wal"]


def test_a_backup_overwrites_nothing_unless_told_to(worked, tmp_path):
    """And never the record, its log, or a link to either."""
    (tmp_path / "copy.db").write_bytes(b"of value")
    refusal("exists", backup.backup, worked.book, str(tmp_path / "copy.db"))
    assert (tmp_path / "copy.db").read_bytes() == b"of value"
    backup.backup(worked.book, str(tmp_path / "copy.db"), replace=True)
    assert verified(tmp_path / "copy.db").holds
    (tmp_path / "soft").symlink_to(worked.book.path)
    os.link(worked.book.path, tmp_path / "hard")
    for name in ("qhr.db", "qhr.db-wal", "soft", "hard", "../" + tmp_path.name + "/qhr.db"):
        refusal("live-file", backup.backup, worked.book, str(tmp_path / name), replace=True)
    assert verified(worked.book.path).holds


def test_a_backup_that_replaces_a_link_leaves_its_target(worked, tmp_path):
    """The link gives way, what it led to stays."""
    (tmp_path / "target").write_bytes(b"of value")
    (tmp_path / "link").symlink_to(tmp_path / "target")
    refusal("exists", backup.backup, worked.book, str(tmp_path / "link"))
    backup.backup(worked.book, str(tmp_path / "link"), replace=True)
    assert (tmp_path / "target").read_bytes() == b"of value"
    assert not (tmp_path / "link").is_symlink()


def test_a_copy_that_does_not_hold_gets_no_name(worked, tmp_path):
    """An entry was changed: the backup says so, and nothing is left lying about."""
    change_text(worked.book.path, 5, other_id)
    refusal("signature", backup.backup, worked.book, str(tmp_path / "copy.db"))
    assert not any(name.startswith("copy") for name in beside(tmp_path))


def test_when_the_last_backup_was_made_is_known(worked, tmp_path):
    """From a note outside the record; none before the first, none for another record."""
    assert backup.last_backup(worked.book.identity) is None
    backup.backup(worked.book, str(tmp_path / "copy.db"))
    last = backup.last_backup(worked.book.identity)
    assert last == (worked.clock.moment, str(tmp_path / "copy.db"))
    assert backup.last_backup("ab" * 32) is None
    (note,) = (Path(os.environ["XDG_DATA_HOME"]) / "torquelog" / "backups").iterdir()
    note.write_text("[]", encoding="utf-8")
    assert backup.last_backup(worked.book.identity) is None


# Putting back


@pytest.fixture(name="saved")
def _saved(worked, tmp_path):
    """A backup, and a record that went on after it."""
    backup.backup(worked.book, str(tmp_path / "copy.db"))
    report(worked)
    report(worked)
    return str(tmp_path / "copy.db")


def restored(worked, saved, path):
    return restoring.Restoring(saved, str(path), worked.clock)


def test_a_chain_goes_on_once_quality_says_that_the_newer_file_is_gone(worked, saved, tmp_path):
    """The entry names the head it goes on from; the file that lay there is kept."""
    last = worked.entries()
    worked.clock.moment += HOUR
    put = restored(worked, saved, worked.book.path)
    assert put.lost == f"QHR-{last - 1:06d} to QHR-{last:06d}"
    done = put.go_on(worked.own["TK"], "the disk died")
    assert (done.station, done.head, done.reference) == ("QHR", f"QHR-{last - 2:06d}", f"QHR-{last - 1:06d}")
    assert verified(done.path).holds
    assert verified(done.kept).chains[0].through == last
    assert "2026-11-25" not in done.kept
    assert done.kept.startswith(f"{worked.book.path}.kept-20261125T")
    with open_book(done.path, "write", worked.clock, clock_ok=True) as book:
        worked.clock.moment += 1000
        people.new_code(book, worked.own["TK"], "IK")


def test_who_had_the_replaced_file_open_is_told(worked, saved):
    """A writer of before finds that its file was moved, and saves nothing."""
    restored(worked, saved, worked.book.path).go_on(worked.own["TK"], "the disk died")
    with pytest.raises(TorquelogError) as caught:
        report(worked)
    assert caught.value.code == "replaced"


def test_a_chain_goes_on_where_nothing_lay(worked, saved, tmp_path):
    """On another computer, say."""
    put = restored(worked, saved, tmp_path / "new.db")
    assert put.lost == ""
    done = put.go_on(worked.own["TK"], "the computer was stolen")
    assert done.kept == ""
    assert verified(tmp_path / "new.db").holds


def test_what_lies_there_and_is_no_newer_file_of_the_record_loses_nothing(worked, saved, tmp_path):
    """Another station's record, or the backup itself."""
    other = other_station(tmp_path, "LGW")
    other.book.close()
    for path in (other.book.path, saved):
        put = restored(worked, saved, path)
        assert put.lost == ""
        put.abandon()


def test_a_chain_that_did_not_count_in_the_backup_does_not_count_in_the_new_one(worked, tmp_path):
    """It comes along, and quality has yet to accept it."""
    other = other_station(tmp_path, "LGW")
    lines = list(exporting.lines(other.book.connection, exporting.parts(other.book.connection)))
    other.book.close()
    worked.clock.moment += 1000
    takein.take_in(worked.book, worked.signed["TK"], lines)
    backup.backup(worked.book, str(tmp_path / "copy.db"))
    done = restored(worked, str(tmp_path / "copy.db"), tmp_path / "new.db").begin_anew(
        station="QHS", zone="Europe/Lisbon", person="TK", name="Tove Kallas", passphrase=PASSPHRASE,
        why="the old computer may come back", **CHEAP,
    )  # fmt: skip
    with open_book(done.path, "read", worked.clock) as book:
        assert set(store.stations(book.connection)) == {"QHS", "QHR", "LGW"}
        assert [stations.accepted(book.connection, "QHS", code) for code in ("QHR", "LGW")] == [True, False]


def test_only_quality_says_so(worked, saved, tmp_path):
    """And whatever stops it leaves everything as it was."""
    put = restored(worked, saved, tmp_path / "new.db")
    refusal("no-role", put.go_on, worked.own["MS"], "the disk died")
    put.abandon()
    assert not any("new.db" in name for name in beside(tmp_path))


def test_under_a_new_code_a_new_chain_begins_in_the_same_file(worked, saved, tmp_path):
    """The old chain lies beside it, verbatim, accepted; everything verifies, and facts of before are asked here."""
    put = restored(worked, saved, tmp_path / "new.db")
    done = put.begin_anew(
        station="QHS", zone="Europe/Lisbon", person="TK", name="Tove Kallas", passphrase=PASSPHRASE,
        why="the old computer may come back", **CHEAP,
    )  # fmt: skip
    assert done.station == "QHS"
    assert beside(tmp_path) == ["copy.db", "new.db", "qhr.db", "qhr.db-shm", "qhr.db-wal"]
    report = verified(done.path)
    assert report.holds
    assert [(chain.station, chain.through) for chain in report.chains] == [
        ("QHS", 4),
        ("QHR", worked.entries() - 2),
    ]
    with open_book(done.path, "read", worked.clock) as book:
        assert stations.accepted(book.connection, "QHS", "QHR")
        assert store.own_station(book.connection) == "QHS"


def test_a_code_that_is_held_already_begins_no_chain(worked, saved, tmp_path):
    """The own one of the backup, above all."""
    put = restored(worked, saved, tmp_path / "new.db")
    refusal(
        "station-held", put.begin_anew, station="QHR", zone="Europe/Lisbon", person="TK", name="Tove Kallas",
        passphrase=PASSPHRASE, why="?", **CHEAP,
    )  # fmt: skip
    put.abandon()
    assert not any("new.db" in name for name in beside(tmp_path))


def test_a_backup_that_does_not_hold_is_not_put_back(worked, saved, tmp_path):
    """A changed entry, a changed register, a damaged file, another kind of file, none."""
    changed = tmp_path / "changed.db"
    shutil.copy(saved, changed)
    tamper(changed, "UPDATE tool SET cycles = 9000")
    assert refusal("register", restored, worked, str(changed), tmp_path / "new.db").exit == 5
    change_text(changed, 5, other_id)
    assert refusal("signature", restored, worked, str(changed), tmp_path / "new.db").exit == 5
    changed.write_bytes(b"no database")
    refusal("not-a-ledger", restored, worked, str(changed), tmp_path / "new.db")
    refusal("database-missing", restored, worked, str(tmp_path / "none.db"), tmp_path / "new.db")
    assert not any("new.db" in name for name in beside(tmp_path))


def test_whoever_saw_more_signs_in_to_the_restored_record(worked, saved):
    """TK saw entries that are gone; the record says that it went on from an older copy, so the sign-in goes on too."""
    worked.clock.moment += 1000
    signing.sign_in(worked.book, worked.own["TK"])
    done = restored(worked, saved, worked.book.path).go_on(worked.own["TK"], "the disk died")
    with open_book(done.path, "write", worked.clock, clock_ok=True) as book:
        assert signing.sign_in(book, worked.own["TK"]).resumed == done.reference


def test_a_backup_put_back_by_hand_is_noticed(worked, saved):
    """Copied over the record, with nothing said on record: the next sign-in refuses it."""
    worked.clock.moment += 1000
    signing.sign_in(worked.book, worked.own["TK"])
    worked.close_book()
    shutil.copy(saved, worked.book.path)
    with open_book(worked.book.path, "write", worked.clock, clock_ok=True) as book:
        assert refusal("older-copy", signing.sign_in, book, worked.own["TK"]).exit == 5
        assert seen.last_seen(book.identity, "TK") is not None


# Checkpoints


def test_a_checkpoint_is_held_by_the_record_it_was_made_of(worked):
    """Also after more was recorded; the entry notes what it covers."""
    made = checkpointing.make(worked.book, worked.signed["IK"])
    assert made.checkpoint.number == worked.entries() - 1
    report(worked)
    outcome, checkpoint, wrong = verify_file(worked.book.path, made.line)
    assert outcome.holds
    assert (checkpoint, wrong) == (made.checkpoint, None)


def test_a_tail_cut_off_is_found_with_a_checkpoint(worked, saved):
    """The backup verifies by itself, and lacks what the checkpoint saw."""
    made = checkpointing.make(worked.book, worked.signed["TK"])
    outcome, checkpoint, wrong = verify_file(saved, made.line)
    assert outcome.holds
    assert checkpoint is None
    assert wrong is not None
    assert (wrong.code, wrong.exit) == ("older-copy", 5)


def test_a_tail_that_was_rewritten_is_found_with_a_checkpoint(worked, saved):
    """An author with the keys wrote another end: links and signatures are good."""
    made = checkpointing.make(worked.book, worked.signed["TK"])
    with open_book(saved, "write", worked.clock, clock_ok=True) as book:
        for _ in range(4):
            worked.clock.moment += 1000
            people.new_code(book, worked.own["TK"], "IK")
    _, checkpoint, wrong = verify_file(saved, made.line)
    assert checkpoint is None
    assert wrong is not None
    assert wrong.code == "fork"


def test_a_rewritten_tail_is_not_found_without_one(worked, saved):
    """Said in the docs, and shown here: nothing but a checkpoint or a memory tells these two apart."""
    with open_book(saved, "write", worked.clock, clock_ok=True) as book:
        people.new_code(book, worked.own["TK"], "IK")
    assert verified(saved).holds


def test_a_checkpoint_of_another_record_is_told_from_a_changed_one(worked, tmp_path):
    """It compares nothing."""
    from tests.book.elsewhere import other_station

    other = other_station(tmp_path, "QHR")
    made = checkpointing.make(other.book, other.signer)
    refusal("other-ledger", verify_file, worked.book.path, made.line)
    refusal("checkpoint-form", verify_file, worked.book.path, made.line[:-2])
    other.book.close()


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"recorded_at": "2026-11-25T12:00:00.000Z"}, "signature"),
        ({"digest": "ab" * 32}, "signature"),
        ({"key": 1}, "signature"),
        ({"number": 3}, "key-unknown"),
        ({"key": 9999}, "key-unknown"),
        ({"signer": "MS"}, "key-owner"),
        ({"recorded_at": "2026-11-27T12:00:00.000Z"}, "key-ended"),
    ],
)
def test_a_changed_checkpoint_proves_nothing(worked, change, code):
    """Its own signature does not hold then."""
    from torquelog.ledger.checkpoint import checkpoint_text
    from torquelog.ledger.form import canonical

    made = checkpointing.make(worked.book, worked.signed["TK"])
    text = checkpoint_text(made.checkpoint._replace(**change))
    signature = made.line.rpartition('"signature":"')[2][:128]
    _, checkpoint, wrong = verify_file(
        worked.book.path, canonical({"checkpoint": text, "signature": signature})
    )
    assert checkpoint is None
    assert wrong is not None
    assert wrong.code == code


# Registers made anew


def test_registers_are_made_anew_from_the_entries(worked, tmp_path):
    """A changed register is put right; the entries are the same, and the old file is kept."""
    path, entries = worked.book.path, worked.entries()
    worked.close_book()
    tamper(path, "UPDATE tool SET cycles = 9000", "DELETE FROM reading WHERE item = 1")
    assert not verified(path).holds
    done = rebuilding.rebuild(path, worked.clock)
    assert done.entries == entries
    assert verified(path).holds
    assert not verified(done.kept).holds
    with closing(sqlite3.connect(path)) as one, closing(sqlite3.connect(done.kept)) as other:
        texts = [each.execute("SELECT * FROM entry ORDER BY number").fetchall() for each in (one, other)]
    assert texts[0] == texts[1]


def test_a_changed_entry_is_not_rebuilt_from(worked, tmp_path):
    """What does not hold stays as it is, for whoever looks into it."""
    path = worked.book.path
    worked.close_book()
    change_text(path, 12, other_id)
    before = Path(path).read_bytes()
    refusal(found(path).code, rebuilding.rebuild, path, worked.clock)
    assert Path(path).read_bytes() == before
    assert not [name for name in beside(tmp_path) if "rebuilt" in name or "kept" in name]


def test_an_older_format_is_brought_to_the_new_one(worked, monkeypatch):
    """Daily commands refuse it and say what to do; rebuilding reads it."""
    path = worked.book.path
    worked.close_book()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 0")
    assert refusal("older-format", open_book, path, "read", SystemClock()).exit == 6
    rebuilding.rebuild(path, worked.clock)
    assert verified(path).holds


def test_a_file_without_todays_views_is_brought_to_them(worked):
    """Written by a version of the same format that laid none: it is told clearly, and rebuilt from its entries."""
    path = worked.book.path
    worked.close_book()
    with closing(sqlite3.connect(path)) as connection:
        views = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'view'").fetchall()
        for (name,) in views:
            connection.execute(f"DROP VIEW {name}")
    told = refusal("schema-changed", open_book, path, "read", SystemClock())
    assert "torquelog rebuild" in (told.hint or "")
    rebuilding.rebuild(path, worked.clock)
    assert verified(path).holds
    with closing(sqlite3.connect(path)) as connection:
        laid = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'view'").fetchall()
    assert sorted(laid) == sorted(views) != []


def test_chains_of_several_stations_are_rebuilt(worked, tmp_path):
    """Each fact is known from when its part was taken in, as before."""
    from tests.book.elsewhere import other_station
    from torquelog.book import exporting, takein

    other = other_station(tmp_path, "LGW")
    takein.take_in(
        worked.book,
        worked.signed["TK"],
        exporting.lines(other.book.connection, exporting.parts(other.book.connection)),
    )
    path = worked.book.path
    worked.close_book()
    with closing(sqlite3.connect(path)) as connection:
        before = connection.execute("SELECT * FROM person ORDER BY station, number").fetchall()
    rebuilding.rebuild(path, worked.clock)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT * FROM person ORDER BY station, number").fetchall() == before
    assert verified(path).holds
    other.book.close()


def test_a_copy_is_made_while_others_write(worked, tmp_path):
    """On a connection of its own, between two entries of somebody else."""
    with closing(database.connect(worked.book.path, "read")) as connection:
        report(worked)
        database.copy(connection, tmp_path / "copy.db")
        report(worked)
    assert verified(tmp_path / "copy.db").chains[0].through == worked.entries() - 1
