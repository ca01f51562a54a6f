"""Who signs: sign-ins, passphrases typed on a terminal, and whom `--as` names."""

import json
import os
from pathlib import Path

import pytest

from tests.cli.hangar import PASSPHRASE, Hangar
from tests.cli.terminal import play
from torquelog.cli import signing
from torquelog.ledger import keys

MIRA = "ten pears under the keel\n"
ADD = 'person add MS --name "Mira Solheim" --role inspector,technician --passphrase-stdin'


@pytest.fixture(autouse=True)
def waited(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The pauses that a person would have waited; nobody waits here."""
    monkeypatch.setenv("NO_COLOR", "1")
    pauses: list[int] = []
    monkeypatch.setattr(signing, "sleep", pauses.append)
    return pauses


@pytest.fixture
def hangar(monkeypatch: pytest.MonkeyPatch) -> Hangar:
    monkeypatch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
    return Hangar()


@pytest.fixture
def two(hangar: Hangar) -> Hangar:
    """A record in which MS is enrolled, too."""
    code = hangar.data(ADD, PASSPHRASE)["code"]
    hangar.did(f"person enrol MS --code {code} --passphrase-stdin", MIRA)
    return hangar


def typed(hangar: Hangar, line: str, *answers: str) -> tuple[int, str]:
    """Type a line on a terminal, and then these answers, passphrases too."""
    played = play(
        line.split(), stdin="".join(f"{answer}\n" for answer in answers), terminal=True, now=hangar.now
    )
    return played.exit, " ".join((played.out + played.err).split())


def test_the_prompt_names_the_signer(hangar: Hangar) -> None:
    """So that nobody types a passphrase for somebody else; the answer tells until when."""
    status, screen = typed(hangar, "sign-in tk", PASSPHRASE.strip())
    assert status == 0
    assert screen.startswith("Passphrase for TK, Tove Kallas (not shown): ")
    assert (
        "Signed in as TK, technician, inspector, crib and quality, on this terminal until 02:07 tomorrow"
        in screen
    )
    assert "The record stands at QHR-000002." in screen


def test_each_wrong_passphrase_makes_the_next_wait_longer(hangar: Hangar, waited: list[int]) -> None:
    """The first costs nothing; after the fifth it is over, and nothing is on record."""
    status, screen = typed(hangar, "sign-in TK", *["a wrong passphrase"] * 5)
    assert status == 3
    assert waited == [2, 8, 15]
    assert "That is not TK's passphrase. Third try: the next one is taken in 8 seconds." in screen
    assert "That was not TK's passphrase, 5 times. Nothing was recorded." in screen
    assert "a wrong passphrase" not in screen
    assert hangar.data("station show")["entries"] == 2


def test_a_typing_mistake_costs_little(hangar: Hangar, waited: list[int]) -> None:
    """The second try is taken at once; a passphrase too short counts as one that is wrong."""
    status, _ = typed(hangar, "sign-in TK", "short", PASSPHRASE.strip())
    assert (status, waited) == (0, [])


def test_in_a_pipe_nobody_is_asked_twice(hangar: Hangar, waited: list[int]) -> None:
    """One line, one try, no waiting."""
    assert hangar.refused("sign-in TK --passphrase-stdin", "a wrong passphrase\n") == (
        3,
        ["passphrase-wrong"],
    )
    assert hangar.refused("sign-in TK") == (2, ["needs-option"])
    assert hangar.refused("sign-in TK --passphrase-stdin") == (2, ["input-ended"])
    assert hangar.refused("sign-in ZZ --passphrase-stdin", PASSPHRASE) == (2, ["person-unknown"])
    assert waited == []


def test_who_is_signed_in_makes_room_for_another(two: Hangar) -> None:
    """It is asked whether the first shall be signed out; then the second alone is signed in."""
    status, screen = typed(two, "sign-in ms", "y", MIRA.strip())
    assert status == 0
    assert "TK is signed in here until 02:07. Sign TK out? y/n: " in screen
    assert "Inspections ask for your passphrase each time. That is meant so." in screen
    assert two.data("sign-out")["person"] == "MS"
    assert two.data("sign-out") == {"person": None, "entry": None}


def test_two_people_are_told_apart_by_name(two: Hangar) -> None:
    """Without `--as` it is asked who signs; with it, that person does."""
    typed(two, "sign-in ms", "n", MIRA.strip())
    assert two.refused("checkpoint") == (2, ["signer-ambiguous"])
    data = two.data("--as ms checkpoint")
    assert data["checkpoint"]["signer"] == "MS"
    assert two.data("checkpoint --as tk")["checkpoint"]["signer"] == "TK"
    assert two.refused("checkpoint --as 'm s'") == (2, ["identifier-form"])


def test_an_act_by_passphrase_needs_no_sign_in(two: Hangar) -> None:
    """Only the person's name, asked for on a terminal where `--as` does not say it."""
    two.did("sign-out")
    assert two.refused("station set idle-minutes 30 --passphrase-stdin", PASSPHRASE) == (2, ["needs-option"])
    two.did("station set idle-minutes 30 --passphrase-stdin --as TK", PASSPHRASE)
    status, screen = typed(two, "station set idle-minutes 20", "tk", PASSPHRASE.strip())
    assert status == 0
    assert screen.startswith("Who signs (initials): Passphrase for TK, Tove Kallas (not shown): ")


def test_nobody_signed_in_is_told_what_to_type(hangar: Hangar) -> None:
    """After the end of the shift, after an hour without a command, and after signing out."""
    hangar.now += 61 * 60_000
    played = hangar.type("checkpoint")
    assert played.exit == 3
    assert played.err.startswith("TK's sign-in ended: it was not used for 61 minutes.")
    assert played.err.endswith("Next: torquelog sign-in TK\n")
    assert hangar.refused("checkpoint") == (3, ["sign-in-none"])


def test_a_sign_in_file_that_others_can_read_is_not_used(hangar: Hangar) -> None:
    """The screen says its mode, and that it was removed."""
    (file,) = (Path(os.environ["XDG_RUNTIME_DIR"]) / "torquelog" / "sign-in").iterdir()
    file.chmod(0o644)
    played = hangar.type("checkpoint")
    assert played.exit == 3
    assert "(mode 644)" in played.err
    assert not file.exists()


def test_the_last_entry_that_was_seen_is_told_at_the_next_sign_in(hangar: Hangar) -> None:
    """The data names it, too."""
    hangar.did("checkpoint")
    hangar.did("sign-out")
    first = hangar.data("sign-in TK --passphrase-stdin", PASSPHRASE)
    assert first["last_seen"] == first["head"] == "QHR-000004"
    hangar.did("checkpoint --as TK")
    said = hangar.did("sign-in TK --passphrase-stdin", PASSPHRASE)
    assert "The record stands at QHR-000006." in said


def test_a_long_gap_is_asked_about(hangar: Hangar) -> None:
    """After 36 hours without an entry somebody has to vouch for the clock: asked, or said with `--clock-ok`."""
    hangar.now += 40 * 3_600_000
    line = "sign-in TK --passphrase-stdin"
    assert hangar.refused(line, PASSPHRASE) == (3, ["clock-ahead"])
    status, screen = typed(hangar, "sign-in TK", "n", PASSPHRASE.strip())
    assert status == 3
    assert "Is this computer's clock right? y/n: " in screen
    assert typed(hangar, "sign-in TK", "y", PASSPHRASE.strip())[0] == 0
    hangar.now += 40 * 3_600_000
    hangar.did(f"--clock-ok {line}", PASSPHRASE)
    hangar.did("checkpoint")


def test_a_wrong_clock_is_released(hangar: Hangar) -> None:
    """After an entry of 2099 nothing is recorded until quality says so; then everybody signs in anew."""
    right = hangar.now
    hangar.now += 73 * 365 * 24 * 3_600_000
    hangar.did("sign-in TK --passphrase-stdin --clock-ok", PASSPHRASE)
    hangar.now = right + 3_600_000
    assert hangar.refused("sign-in TK --passphrase-stdin", PASSPHRASE) == (3, ["clock-behind"])
    said = hangar.did("clock release --why 'a new battery' --passphrase-stdin --as TK", PASSPHRASE)
    assert said.startswith("The record goes on from Wed 25 Nov 2026 15:07 Lisbon. Entry QHR-000004.\n")
    assert "Sat 7 Nov 2099" in said
    hangar.did("sign-in TK --passphrase-stdin", PASSPHRASE)
    assert hangar.data("verify")["holds"]


def test_no_secret_is_in_any_answer_or_file(two: Hangar) -> None:
    """Neither a passphrase nor the code of MS, in clear or in another writing, outside the answer that gave it."""
    code = two.data("person code MS --passphrase-stdin", PASSPHRASE)["code"]
    secrets = [
        PASSPHRASE.strip().encode(),
        MIRA.strip().encode(),
        code.encode(),
        code.replace("-", "").encode(),
    ]
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR", "HOME"):
        for folder, _, files in os.walk(os.environ[name]):
            for file in files:
                content = Path(folder, file).read_bytes()
                assert not any(secret in content for secret in secrets), file


def test_people_are_listed_with_their_roles(two: Hangar) -> None:
    """As a table, as CSV, as data."""
    two.did("person role MS --add crib --until 2026-12-31 --passphrase-stdin", PASSPHRASE)
    two.did(
        "person role MS --add inspector --inspects 'wheels and brakes' --passphrase-stdin --as TK", PASSPHRASE
    )
    said = two.did("person list")
    assert "technician, inspector (wheels and brakes), crib (through Thu 31 Dec 2026)" in said
    assert two.did("person list --csv").splitlines()[1] == "MS,Mira Solheim,,technician; inspector; crib,true"
    found = {each["person"]: each for each in two.data("person list")["people"]}
    assert found["MS"]["roles"][2] == {"role": "crib", "inspects": None, "until": "2026-12-31"}


def test_a_role_is_added_or_removed(two: Hangar) -> None:
    """One of both is named; nobody grants to himself."""
    assert two.refused("person role MS --passphrase-stdin", PASSPHRASE) == (2, ["argument"])
    both = "person role MS --add crib --remove technician --passphrase-stdin"
    assert two.refused(both, PASSPHRASE) == (2, ["argument"])
    two.did("person role TK --remove inspector --passphrase-stdin", PASSPHRASE)
    assert two.refused("person role TK --add inspector --passphrase-stdin", PASSPHRASE) == (3, ["own-grant"])
    said = two.did("person role MS --remove technician --passphrase-stdin", PASSPHRASE)
    assert said.startswith("MS, Mira Solheim, does not hold the role technician from now on.")


def test_a_code_need_not_stand_on_the_command_line(hangar: Hangar) -> None:
    """With - it is the first line of standard input, and the passphrase the second."""
    code = hangar.data(ADD, PASSPHRASE)["code"]
    hangar.did("person enrol MS --code - --passphrase-stdin", f"{code}\n{MIRA}")
    assert hangar.data("sign-in MS --passphrase-stdin", MIRA)["name"] == "Mira Solheim"


def test_an_enrolment_asks_for_what_it_needs(hangar: Hangar) -> None:
    """The code, then the passphrase twice until both are the same and long enough."""
    code = json.loads(hangar.type(f"{ADD} --json", PASSPHRASE).out)["data"]["code"]
    own = MIRA.strip()
    answers = (code, "short", "short", own, "another one entirely", own, own)
    status, screen = typed(hangar, "person enrol ms", *answers)
    assert status == 0
    assert "Your one-time code: " in screen
    assert "A passphrase has at least 12 characters." in screen
    assert "The two were not the same. Once more." in screen
    assert "MS, Mira Solheim, is enrolled at QHR as technician and inspector." in screen
    assert hangar.refused(f"person enrol MS --code {code} --passphrase-stdin", MIRA) == (3, ["code-wrong"])
