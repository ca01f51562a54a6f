"""The sign-in file: for whom it counts, where, and how long."""

import json
import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.clock import from_utc_text, zone
from torquelog.errors import TorquelogError
from torquelog.ledger import signin
from torquelog.ledger.signin import MINUTE, Place, SignIn

LEDGER = "ab" * 32
NOW = from_utc_text("2026-11-25T06:00:00.000Z")
TK = SignIn("TK", "QHR", 4, bytes(range(32)), NOW + 12 * 60 * MINUTE, NOW)
MS = TK._replace(person="MS", key=7, seed=bytes(32))


@pytest.fixture(name="at")
def _at(tmp_path):
    return Place(str(tmp_path / "sign-in"), LEDGER, "100:34816:555:boot")


def file_of(at, person="TK"):
    return os.path.join(at.folder, f"{LEDGER}-{person}")


def refusal(code, act, *arguments, **named):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments, **named)
    assert caught.value.code == code
    return caught.value


def change(at, **members):
    with open(file_of(at), encoding="utf-8") as file:
        held = json.load(file)
    with open(file_of(at), "w", encoding="utf-8") as file:
        json.dump(held | members, file)


def test_a_sign_in_is_read_back_where_it_was_made(at):
    """Person, key, seed and times come back; the file is its owner's alone."""
    signin.write(at, TK)
    assert signin.read(at, "TK", NOW) == TK
    assert signin.choose(at, None, NOW) == TK
    assert os.stat(file_of(at)).st_mode & 0o777 == 0o600


def test_nobody_signed_in(at):
    """Without a file, the refusal says how to sign in, with the name where one was given."""
    nobody = refusal("sign-in-none", signin.choose, at, None, NOW)
    assert (nobody.what, nobody.hint) == ("Nobody is signed in here.", "torquelog sign-in ID")
    named = refusal("sign-in-none", signin.choose, at, "TK", NOW)
    assert (named.what, named.hint) == ("TK is not signed in here.", "torquelog sign-in TK")
    assert refusal("sign-in-none", signin.read, at, "TK", NOW).exit == 3


def test_a_sign_in_lasts_to_its_end(at):
    """One millisecond before the end it counts; at the end it is gone, and its file with it."""
    signin.write(at, TK._replace(used=TK.until))
    assert signin.read(at, "TK", TK.until - 1).key == 4
    lisbon = zone("Europe/Lisbon")
    ended = refusal("sign-in-ended", signin.read, at, "TK", TK.until, zone=lisbon)
    assert ended.what == "TK's sign-in ended at 18:00 on 2026-11-25."
    assert not os.path.exists(file_of(at))
    refusal("sign-in-none", signin.read, at, "TK", NOW)


def test_a_time_is_told_in_no_zone_of_this_computer(at, monkeypatch):
    """Where the station's zone is not known, times are UTC and say so."""
    monkeypatch.setattr(signin, "offset_text", lambda *_: pytest.fail("a zone was made up"))
    signin.write(at, TK)
    ended = refusal("sign-in-ended", signin.read, at, "TK", TK.until)
    assert ended.what == "TK's sign-in ended at 18:00 on 2026-11-25 UTC."


def test_a_time_is_told_in_the_station_s_zone(at):
    """Where the station's clock shows another hour and day, the message has those."""
    signin.write(at, TK)
    ended = refusal("sign-in-ended", signin.read, at, "TK", TK.until, zone=zone("Asia/Tokyo"))
    assert ended.what == "TK's sign-in ended at 03:00 on 2026-11-26."


def test_a_sign_in_that_lies_unused_ends(at):
    """Sixty minutes without use still count, one millisecond more does not; a use starts them anew."""
    signin.write(at, TK)
    assert signin.read(at, "TK", NOW + 3_600_000) == TK
    used = signin.touch(at, TK, NOW + 3_600_000)
    assert signin.read(at, "TK", NOW + 7_200_000) == used
    assert used == TK._replace(used=NOW + 3_600_000)
    refusal("sign-in-ended", signin.read, at, "TK", NOW + 7_200_001)
    assert not os.path.exists(file_of(at))


def test_the_station_sets_how_long_it_may_lie_unused(at):
    """The bound is an argument."""
    signin.write(at, TK)
    assert signin.choose(at, "TK", NOW + 5 * MINUTE, idle=5 * MINUTE) == TK
    assert (
        "not used for 5 minutes"
        in refusal("sign-in-ended", signin.choose, at, "TK", NOW + 5 * MINUTE + 1, idle=5 * MINUTE).what
    )


def test_a_clock_that_went_back_ends_a_sign_in(at):
    """A sign-in made under a clock of the future does not come to life when the clock is set right."""
    signin.write(at, TK)
    assert signin.read(at, "TK", NOW - 2 * MINUTE) == TK
    ended = refusal("sign-in-ended", signin.read, at, "TK", NOW - 2 * MINUTE - 1)
    assert "the clock is behind" in ended.what
    assert not os.path.exists(file_of(at))


def test_a_sign_in_counts_on_its_own_terminal(at):
    """On another terminal it is refused and stays for its own."""
    signin.write(at, TK)
    elsewhere = at._replace(session="200:34817:777:boot")
    refusal("sign-in-elsewhere", signin.read, elsewhere, "TK", NOW)
    refusal("sign-in-elsewhere", signin.choose, elsewhere, None, NOW)
    assert signin.read(at, "TK", NOW) == TK


def test_a_sign_in_belongs_to_one_ledger(at):
    """Another ledger in the same folder has sign-ins of its own."""
    signin.write(at, TK)
    other = at._replace(ledger="cd" * 32)
    refusal("sign-in-none", signin.choose, other, None, NOW)
    assert signin.people(other) == []


def test_two_people_signed_in_are_told_apart_by_name(at):
    """Without a name nobody signs; with one, that person does."""
    signin.write(at, TK)
    signin.write(at, MS)
    several = refusal("signer-ambiguous", signin.choose, at, None, NOW)
    assert several.what == "MS and TK are signed in here."
    assert several.hint == "Say who signs: --as MS"
    assert signin.choose(at, "MS", NOW) == MS
    assert signin.choose(at, "TK", NOW) == TK


def test_only_who_counts_here_and_now_is_chosen(at):
    """Somebody on another terminal and somebody whose sign-in ended do not stand in the way."""
    signin.write(at, TK)
    signin.write(at._replace(session="200:0:1:boot"), MS)
    signin.write(at, MS._replace(person="BA", until=NOW))
    assert signin.choose(at, None, NOW) == TK
    assert signin.people(at) == ["MS", "TK"]


def test_what_just_ended_is_told_first(at):
    """Of several reasons why nobody counts, the end of a sign-in is shown rather than another terminal."""
    signin.write(at._replace(session="200:0:1:boot"), MS)
    signin.write(at, TK._replace(until=NOW))
    refusal("sign-in-ended", signin.choose, at, None, NOW)
    refusal("sign-in-elsewhere", signin.choose, at, None, NOW)


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        ("storage", "sign-in-unsafe", "storage"),
        ("sign-in-unsafe", "storage", "storage"),
        ("sign-in-ended", "sign-in-unsafe", "sign-in-unsafe"),
        ("sign-in-elsewhere", "sign-in-ended", "sign-in-ended"),
        ("sign-in-elsewhere", "sign-in-unsafe", "sign-in-unsafe"),
        ("sign-in-ended", "sign-in-ended", "sign-in-ended"),
    ],
)
def test_of_several_reasons_the_gravest_is_told(at, monkeypatch, first, second, told):
    """A trouble of the disk, then what was not to be trusted, then what ended, then what lies elsewhere."""
    signin.write(at, TK)
    signin.write(at, MS)
    codes = {"MS": first, "TK": second}

    def refused(_: Place, person: str, *__: object, **___: object) -> SignIn:
        raise TorquelogError(codes[person], person)

    monkeypatch.setattr(signin, "read", refused)
    refusal(told, signin.choose, at, None, NOW)


def test_signing_in_again_takes_the_place(at):
    """One file a person: the later sign-in counts, and a late note of the earlier one changes nothing."""
    signin.write(at, TK)
    again = TK._replace(key=9, seed=bytes(32))
    signin.write(at, again)
    signin.touch(at, TK, NOW + 5 * MINUTE)
    assert signin.read(at, "TK", NOW) == again
    assert signin.people(at) == ["TK"]


def test_signing_out_removes_the_file(at):
    """Afterwards nothing is there, and signing out again says so."""
    signin.write(at, TK)
    assert signin.remove(at, "TK") is True
    assert signin.remove(at, "TK") is False
    assert os.listdir(at.folder) == []


def test_a_use_after_signing_out_makes_no_file(at):
    """A command that ends after its signer signed out elsewhere leaves nothing behind."""
    signin.write(at, TK)
    signin.remove(at, "TK")
    signin.touch(at, TK, NOW + MINUTE)
    assert os.listdir(at.folder) == []


def test_uses_within_a_second_are_not_written(at):
    """Many lines a second do not write the file each time."""
    signin.write(at, TK)
    assert signin.touch(at, TK, NOW + 999) == TK
    assert signin.touch(at, TK, NOW + 1000).used == NOW + 1000


def put_link(path):
    os.rename(path, path + ".real")
    os.symlink(path + ".real", path)


def put_second_name(path):
    os.link(path, path + ".copy")


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (put_link, "is a link"),
        (put_second_name, "second name"),
        (lambda path: os.chmod(path, 0o644), "open to others on this machine (mode 644)"),
    ],
)
def test_a_file_that_is_not_to_be_trusted_is_removed(at, spoil, why):
    """A link, a second name, a file that others can read: not used, and taken away."""
    signin.write(at, TK)
    spoil(file_of(at))
    error = refusal("sign-in-unsafe", signin.choose, at, "TK", NOW)
    assert why in error.what
    assert error.why == "It was not used, and has been removed."
    assert error.hint == "torquelog sign-in TK"
    refusal("sign-in-none", signin.choose, at, "TK", NOW)


@pytest.mark.parametrize(
    "members",
    [
        {"key": 0},
        {"key": "4"},
        {"seed": "00"},
        {"seed": None},
        {"station": "q"},
        {"until": "tomorrow"},
        {"used": 7},
        {"session": 100},
        {"more": "x"},
    ],
)
def test_a_file_that_was_edited_is_removed(at, members):
    """Members of another form: not used."""
    signin.write(at, TK)
    change(at, **members)
    assert "not as torquelog wrote it" in refusal("sign-in-unsafe", signin.read, at, "TK", NOW).what
    assert signin.people(at) == []


@pytest.mark.parametrize("contents", [b"", b"{", b"[]", b"\xff\xfe", b'{"key":4'])
def test_a_torn_file_is_removed(at, contents):
    """Half a file, as a crash may leave it, is no sign-in."""
    signin.write(at, TK)
    with open(file_of(at), "wb") as file:
        file.write(contents)
    refusal("sign-in-unsafe", signin.read, at, "TK", NOW)
    assert signin.people(at) == []


@pytest.mark.parametrize("members", [{"person": "MS"}, {"ledger": "cd" * 32}])
def test_another_person_s_file_is_no_sign_in(at, members):
    """A file put under another name does not let its bearer sign as that person, or in that ledger."""
    signin.write(at, TK)
    change(at, **members)
    assert "another person's" in refusal("sign-in-unsafe", signin.read, at, "TK", NOW).what


def test_an_open_folder_is_not_used(at):
    """Whoever else can write the folder could exchange files: nothing in it counts, and the hint closes it."""
    signin.write(at, TK)
    os.chmod(at.folder, 0o770)
    for act in (
        lambda: signin.write(at, TK),
        lambda: signin.read(at, "TK", NOW),
        lambda: signin.choose(at, None, NOW),
        lambda: signin.people(at),
        lambda: signin.touch(at, TK, NOW + MINUTE),
        lambda: signin.remove(at, "TK"),
    ):
        assert f'chmod 700 "{at.folder}"' in refusal("sign-in-unsafe", act).hint
    os.chmod(at.folder, 0o700)
    assert signin.read(at, "TK", NOW) == TK


def test_names_with_a_slash_are_kept_apart(at):
    """An identifier may hold a slash; the folder's names cannot."""
    for person in ("A/B", "A.B", "A-B", "A_B"):
        signin.write(at, TK._replace(person=person))
    assert signin.people(at) == ["A/B", "A-B", "A.B", "A_B"]
    assert signin.read(at, "A/B", NOW).person == "A/B"


def test_other_files_in_the_folder_are_no_people(at):
    """Names that no person has are passed over."""
    signin.write(at, TK)
    for name in (f"{LEDGER}-", f"{LEDGER}-small", "else", "ELSE", f".{LEDGER}-TK.x"):
        with open(os.path.join(at.folder, name), "w", encoding="utf-8"):
            pass
    assert signin.people(at) == ["TK"]


def test_a_seed_is_never_shown():
    """What a log or a traceback prints of a sign-in holds no private half."""
    assert repr(TK) == "SignIn(TK, key 4)"
    assert TK.seed.hex() not in f"{TK!r} {TK}"


def test_the_place_is_this_process_s_own(tmp_path):
    """Without another folder it is the runtime folder's; the session is this process's."""
    here = signin.place(LEDGER, str(tmp_path))
    assert here.folder == str(tmp_path / "sign-in")
    assert here == signin.place(LEDGER, str(tmp_path))
    assert signin.place(LEDGER).folder.endswith("torquelog/sign-in")


@settings(max_examples=50, deadline=None)
@given(
    st.integers(1, 10**12 - 1),
    st.binary(min_size=32, max_size=32),
    st.integers(0, 10**9),
    st.lists(st.integers(1000, 10**6), max_size=4),
)
def test_any_sign_in_round_trips_through_uses(tmp_path_factory, key, seed, life, pauses):
    """Whatever the key and the times, the file holds the sign-in with its last use."""
    at = Place(str(tmp_path_factory.mktemp("round") / "sign-in"), LEDGER, "1:2:3:4")
    held = SignIn("TK", "QHR", key, seed, NOW + 10**10 + life, NOW)
    signin.write(at, held)
    for pause in pauses:
        held = signin.touch(at, held, held.used + pause)
    assert signin.read(at, "TK", held.used) == held
