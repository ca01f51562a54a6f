"""Facts about secrets when things go wrong: none is told in an answer, a file or a fault's details."""

import json
import os
from pathlib import Path

import pytest

from tests.cli.hangar import PASSPHRASE, Hangar
from torquelog.cli.group import load
from torquelog.cli.table import paths
from torquelog.ledger import keys

OWN = PASSPHRASE.strip()
OTHERS = "seven pears in the shade"
WRONG = "one plum under the bench"
ENROL = "person enrol IK --code - --passphrase-stdin"


def files() -> dict[str, bytes]:
    """Everything that lies in the folders of this user and where the test stands."""
    folders = [os.environ[name] for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR", "XDG_STATE_HOME", "HOME")]
    return {
        str(path.resolve()): path.read_bytes()
        for folder in (*folders, ".")
        for path in Path(folder).rglob("*")
        if path.is_file() and "sample_data" not in path.parts
    }


def test_no_secret_is_told_when_things_go_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passphrases that are wrong, short or a code; a code that is spent; and a fault whose words are the passphrase."""
    hangar = Hangar()
    added = hangar.did(
        "person add IK --name 'Ines Kruse' --role technician --passphrase-stdin --json", PASSPHRASE
    )
    code = json.loads(added)["data"]["code"]
    secrets = {OWN, OTHERS, WRONG, code, code.replace("-", "")}
    lines = [
        ("sign-in TK --passphrase-stdin", f"{WRONG}\n"),
        (ENROL, f"{code}\nshort\n"),
        (ENROL, f"{code}\n{code}\n"),
        (ENROL, f"{code[:-1]}\n{OTHERS}\n"),
        (ENROL, f"{code}\n{OTHERS}\n"),
        (ENROL, f"{code}\n{OTHERS}\n"),
        ("sign-in IK --passphrase-stdin", f"{OTHERS}\n"),
        ("person role IK --add crib --passphrase-stdin --as IK", f"{OTHERS}\n"),
    ]
    told = []
    for line, stdin in lines:
        for more in ("", " --json"):
            played = hangar.type(line + more, stdin)
            told.append(played.out + played.err)

    def fault(passphrase: str, *_: object) -> bytes:
        raise RuntimeError(f"nobody foresaw {passphrase}")

    with monkeypatch.context() as patch:
        patch.setattr(keys, "unlock", fault)
        played = hangar.type("sign-in TK --passphrase-stdin", PASSPHRASE)
    assert played.exit == 1
    told.append(played.out + played.err)
    found = files()
    assert any("fault-" in name for name in found)
    for secret in secrets:
        assert not any(secret in each for each in told)
        assert not [name for name, content in found.items() if secret.encode() in content]


def test_the_seed_of_a_sign_in_lies_in_its_file_alone() -> None:
    """Not in the record, not in an answer, not in any note."""
    Hangar()
    (place,) = [path for path in files() if "/sign-in/" in path]
    seed = json.loads(Path(place).read_bytes())["seed"]
    holding = [
        name
        for name, content in files().items()
        if seed.encode() in content or bytes.fromhex(seed) in content
    ]
    assert holding == [place]
    assert Path(place).stat().st_mode & 0o777 == 0o600


def test_no_option_takes_a_passphrase() -> None:
    """What stands on a command line is seen by everybody on the machine: it comes by standard input or a question."""
    options = {option for _, entry in paths() for each in load(entry).params for option in each.opts}
    assert "--passphrase-stdin" in options
    assert not {
        option
        for option in options
        if "pass" in option and option not in ("--passphrase-stdin", "--pass", "--passes")
    }
