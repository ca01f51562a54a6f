"""What each person last saw of a ledger."""

import json
import os

import pytest

from torquelog.clock import from_utc_text
from torquelog.errors import TorquelogError
from torquelog.ledger import seen
from torquelog.ledger.seen import Seen, forget, last_seen, remember, still_holds

LEDGER = "ab" * 32
SEEN = Seen("QHR", 174, "cd" * 32, from_utc_text("2026-11-24T17:40:00.000Z"))


def spoilt(**changes):
    members = {"at": "2026-11-24T17:40:00.000Z", "digest": "cd" * 32, "number": 174, "station": "QHR"}
    return json.dumps(members | changes).encode()


@pytest.fixture(name="folder")
def _folder(tmp_path):
    return str(tmp_path)


def file_of(folder, person="TK"):
    return os.path.join(folder, "seen", f"{LEDGER}-{person}")


def refusal(code, act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    assert caught.value.code == code
    return caught.value


def test_what_was_seen_is_remembered_for_each_ledger_and_person(folder):
    """The note comes back for that person and ledger only, and the last one counts."""
    assert last_seen(LEDGER, "TK", folder) is None
    remember(LEDGER, "TK", SEEN._replace(number=100), folder)
    remember(LEDGER, "TK", SEEN, folder)
    assert last_seen(LEDGER, "TK", folder) == SEEN
    assert last_seen(LEDGER, "MS", folder) is None
    assert last_seen("cd" * 32, "TK", folder) is None
    assert os.stat(file_of(folder)).st_mode & 0o777 == 0o600


def test_notes_lie_in_the_user_s_own_folder(folder, monkeypatch):
    """Where no other folder is named, and nothing of them where one is."""
    monkeypatch.setattr(seen, "data_folder", lambda: folder)
    remember(LEDGER, "TK", SEEN)
    assert os.path.exists(file_of(folder))
    assert last_seen(LEDGER, "TK") == SEEN
    assert last_seen(LEDGER, "TK", os.path.join(folder, "other")) is None


def test_a_note_can_be_forgotten(folder):
    """Once quality has said that an older copy goes on, nothing is held against it."""
    remember(LEDGER, "A/B", SEEN, folder)
    assert forget(LEDGER, "A/B", folder) is True
    assert forget(LEDGER, "A/B", folder) is False
    assert last_seen(LEDGER, "A/B", folder) is None


@pytest.mark.parametrize(
    "contents",
    [
        b"",
        b"{",
        b"[]",
        b"\xff",
        b'{"at":"x"}',
        b"7",
        b'{"at":"2026-11-24T17:40:00.000Z","digest":"00","number":1,"station":"QHR"}',
        spoilt(at="2026-11-24"),
        spoilt(digest="AB" * 32),
        spoilt(number=0),
        spoilt(station="q"),
        spoilt(more="x"),
    ],
)
def test_a_spoilt_note_counts_as_none(folder, contents):
    """A torn note, as a crash may leave it, keeps nobody from working."""
    remember(LEDGER, "TK", SEEN, folder)
    with open(file_of(folder), "wb") as file:
        file.write(contents)
    assert last_seen(LEDGER, "TK", folder) is None


def test_a_note_that_others_could_change_is_not_believed(folder):
    """An open file or folder, or a link: said, and not taken for a memory."""
    remember(LEDGER, "TK", SEEN, folder)
    os.chmod(file_of(folder), 0o644)
    refusal("memory-unsafe", last_seen, LEDGER, "TK", folder)
    os.chmod(file_of(folder), 0o600)
    os.chmod(os.path.dirname(file_of(folder)), 0o755)
    for act in (last_seen, forget):
        assert "chmod 700" in refusal("memory-unsafe", act, LEDGER, "TK", folder).hint
    refusal("memory-unsafe", remember, LEDGER, "TK", SEEN, folder)


def test_a_chain_that_goes_on_holds_what_was_seen():
    """The entry is where it was, as the last one or with more after it."""
    still_holds(SEEN, "TK", 174, {174: SEEN.digest}.get)
    still_holds(SEEN, "TK", 500, {174: SEEN.digest}.get)


def test_an_older_copy_is_found():
    """A chain that ends before what was seen: its end, the person, the entry and the day are named."""
    error = refusal("older-copy", still_holds, SEEN, "TK", 120, {174: SEEN.digest}.get)
    assert error.what == "This record ends at QHR-000120, but TK saw QHR-000174 on 2026-11-24."
    assert error.exit == 5
    refusal("older-copy", still_holds, SEEN, "TK", 500, {}.get)


def test_another_entry_in_its_place_is_found():
    """A chain that has another entry with that number grew apart from the one that was seen."""
    error = refusal("fork", still_holds, SEEN, "TK", 500, {174: "00" * 32}.get)
    assert error.exit == 5
