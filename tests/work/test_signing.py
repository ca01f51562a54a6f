"""Signing in and out on a terminal, and what each person last saw of the record."""

import os
import shutil
from pathlib import Path

import pytest

from tests.support.books import HOUR, PASSPHRASE
from torquelog.book.opening import open_book
from torquelog.ledger import seen, signin, store
from torquelog.ledger.form import digest
from torquelog.quality import people, station
from torquelog.work import signing

MINUTE = 60_000


@pytest.fixture(autouse=True)
def _folders(tmp_path, monkeypatch):
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR"):
        (tmp_path / name.lower()).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(tmp_path / name.lower()))


@pytest.fixture(name="session")
def _session(monkeypatch):
    """Lets a test stand on another terminal."""

    def stand(name):
        monkeypatch.setattr(signin, "session", lambda: name)

    stand("first")
    return stand


def sign_in(story, person="TK"):
    story.clock.moment += 1000
    return signing.sign_in(story.book, story.own[person])


def test_a_passphrase_opens_its_owners_key(story):
    """The first person's, as it was typed at the beginning."""
    signer = signing.unlock(story.book, "TK", PASSPHRASE)
    assert (signer.person, signer.key, signer.level) == ("TK", 1, "own")


def test_another_passphrase_opens_nothing(story):
    """A wrong one, one of another person, one that is too short, and one of somebody who has none."""
    people.add_person(story.book, story.own["TK"], "BA", "Bao Anh", ("crib",))
    for person, passphrase, code in (
        ("TK", PASSPHRASE + ".", "passphrase-wrong"),
        ("MS", PASSPHRASE, "passphrase-wrong"),
        ("TK", "short", "passphrase-short"),
        ("BA", PASSPHRASE, "not-enrolled"),
        ("ZZ", PASSPHRASE, "person-unknown"),
    ):
        with story.refused(code):
            signing.unlock(story.book, person, passphrase)


def test_a_signer_shows_no_secret(story):
    """Neither printed nor pickled."""
    signer = signing.unlock(story.book, "TK", PASSPHRASE)
    assert repr(signer) == "Signer(TK, key 1, own)"
    with pytest.raises(TypeError):
        signer.__reduce__()


def test_a_sign_in_lasts_a_shift(story):
    """Twelve hours unless the station says otherwise; its entry introduces the key that signs from then on."""
    done = sign_in(story)
    assert done.until == done.at + 12 * HOUR
    assert (done.name, done.roles) == ("Tove Kallas", ("technician", "inspector", "crib", "quality"))
    assert done.last is None
    signer = signing.signed_in(story.book)
    assert (signer.person, f"QHR-{signer.key:06d}") == ("TK", done.reference)
    story.signed["TK"] = signer
    story.says("report", {"tool": "W-0417", "what": "dropped"})
    story.clock.moment += 1000
    station.set_rule(story.book, story.own["TK"], "shift-hours", "2")
    shorter = sign_in(story)
    assert shorter.until == shorter.at + 2 * HOUR


def test_a_sign_in_ends_with_the_shift_and_when_it_lies_unused(story):
    """After the end, and after the station's idle time, nobody is signed in any more."""
    sign_in(story)
    story.clock.moment += 61 * MINUTE
    with story.refused("sign-in-ended"):
        signing.signed_in(story.book)
    done = sign_in(story)
    while story.clock.moment < done.until:
        signing.signed_in(story.book)
        story.clock.moment += 50 * MINUTE
    with story.refused("sign-in-ended"):
        signing.signed_in(story.book)


def test_a_sign_in_counts_on_its_terminal(story, session):
    """On another terminal of the same account nobody is signed in by it."""
    sign_in(story)
    session("second")
    with story.refused("sign-in-elsewhere"):
        signing.signed_in(story.book)
    session("first")
    assert signing.signed_in(story.book).person == "TK"


def test_of_two_who_are_signed_in_one_is_named(story):
    """Otherwise it is asked who signs."""
    sign_in(story)
    sign_in(story, "MS")
    with story.refused("signer-ambiguous"):
        signing.signed_in(story.book)
    assert signing.signed_in(story.book, "MS").person == "MS"
    assert [each.person for each in signing.all_signed_in(story.book)] == ["MS", "TK"]
    with story.refused("sign-in-none"):
        signing.signed_in(story.book, "IK")


@pytest.mark.parametrize("spoil", ["open", "link", "twice", "other"])
def test_a_sign_in_file_that_is_not_private_is_not_used(story, spoil, tmp_path):
    """Readable by others, a link, with a second name, or another person's: removed, and nobody is signed in."""
    sign_in(story)
    folder = Path(os.environ["XDG_RUNTIME_DIR"]) / "torquelog" / "sign-in"
    (file,) = folder.iterdir()
    if spoil == "open":
        file.chmod(0o644)
    elif spoil == "twice":
        os.link(file, tmp_path / "second")
    elif spoil == "link":
        file.rename(tmp_path / "moved")
        file.symlink_to(tmp_path / "moved")
    else:
        sign_in(story, "MS")
        os.replace(folder / file.name.replace("TK", "MS"), file)
    with story.refused("sign-in-unsafe"):
        signing.signed_in(story.book, "TK")
    assert not file.exists()
    with story.refused("sign-in-none"):
        signing.signed_in(story.book, "TK")


def test_signing_out_ends_the_key(story):
    """The entry is the last that the key signs; a copy of the file of before signs nothing either."""
    sign_in(story)
    signer = signing.signed_in(story.book)
    person, entry = signing.sign_out(story.book)
    assert (person, entry) == ("TK", f"QHR-{story.entries():06d}")
    with story.refused("sign-in-none"):
        signing.signed_in(story.book)
    story.signed["TK"] = signer
    with story.refused("key-ended"):
        story.says("report", {"tool": "W-0417", "what": "dropped"})


def test_signing_out_removes_the_file_even_where_nothing_can_be_recorded(story):
    """The clock is behind the last entry: no entry, but the key is gone from this machine."""
    sign_in(story)
    story.clock.moment += 5 * MINUTE
    people.new_code(story.book, story.own["TK"], "IK")
    story.clock.moment -= 4 * MINUTE
    with story.refused("clock-behind"):
        signing.sign_out(story.book, "TK")
    story.clock.moment += 5 * MINUTE
    with story.refused("sign-in-none"):
        signing.signed_in(story.book)


def test_the_last_entry_that_was_seen_is_remembered(story):
    """The next sign-in says that the record still holds it."""
    first = sign_in(story)
    second = sign_in(story)
    assert second.last is not None
    assert f"QHR-{second.last.number:06d}" == first.reference == second.head
    assert second.resumed == ""


def older_copy(story, tmp_path):
    """Another record of before the last sign-in, open."""
    story.book.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copy(story.book.path, tmp_path / "older.db")
    sign_in(story)
    return open_book(tmp_path / "older.db", "write", story.clock, clock_ok=True)


def test_an_older_copy_is_noticed_at_the_sign_in(story, tmp_path):
    """Nothing is written into it, by sign-in or by an act of somebody who is signed in already."""
    with older_copy(story, tmp_path) as older:
        before = store.head(older.connection, "QHR")
        with pytest.raises(signing.TorquelogError) as caught:
            signing.sign_in(older, story.own["TK"])
        assert (caught.value.code, caught.value.exit) == ("older-copy", 5)
        with pytest.raises(signing.TorquelogError, match="older copy"):
            signing.signed_in(older)
        assert store.head(older.connection, "QHR") == before


def test_two_continuations_are_noticed_at_the_sign_in(story, tmp_path):
    """A copy that went on by itself holds another entry under the number that was seen."""
    with older_copy(story, tmp_path) as other:
        people.new_code(other, story.own["TK"], "IK")
        with pytest.raises(signing.TorquelogError) as caught:
            signing.sign_in(other, story.own["TK"])
        assert (caught.value.code, caught.value.exit) == ("fork", 5)


def test_a_copy_that_says_that_it_goes_on_is_taken(story, tmp_path):
    """Once quality has recorded that the newer file is gone, the sign-in says what is missing and goes on."""
    with older_copy(story, tmp_path) as older:
        head = store.head(older.connection, "QHR")
        assert head is not None
        story.clock.moment += 1000
        body = {"head": str(head.number), "digest": digest(head.text), "why": "the disk died"}
        with signing.writing(older) as w:
            resumed = w.append(story.own["TK"], "resumed", body).reference
        done = signing.sign_in(older, story.own["TK"])
        assert done.resumed == resumed
        assert done.last is not None
        assert done.last.number == head.number + 1
        assert signing.sign_in(older, story.own["TK"]).resumed == ""


def test_a_note_that_cannot_be_kept_does_not_keep_the_work_from_the_record(story, monkeypatch):
    """The memory is a help against old copies; its disk may be full."""
    sign_in(story)
    full = signing.TorquelogError("disk-full", "The disk is full.")

    def refuse(*_):
        raise full

    monkeypatch.setattr(seen, "remember", refuse)
    assert signing.signed_in(story.book).person == "TK"
