"""The five golden entries, and the independent checker that reads them."""

import ast
import hashlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tests.ledger import checker
from tests.ledger.golden import make

GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))
ENTRIES = GOLDEN["entries"]
WRONG = (ValueError, KeyError, TypeError, IndexError, AttributeError, InvalidSignature)


def check_all(lines, checkpoint=None):
    chains = {}
    for line in lines:
        checker.check_entry(chains, line["text"], line["signature"])
    if checkpoint:
        checker.check_checkpoint(chains, **checkpoint)
    return chains


def lines():
    return [{"text": entry["text"], "signature": entry["signature"]} for entry in ENTRIES]


def signed(seed, entry):
    """A line signed well, whatever it says."""
    text = make.rfc8785.dumps(entry).decode()
    return {"text": text, "signature": make.sign(seed, b"torquelog entry 1\n" + make.digest(text))}


def next_entry(**changes):
    """A sixth entry that fits, with the changes."""
    entry = json.loads(ENTRIES[4]["text"])
    entry |= {"number": 6, "previous": ENTRIES[4]["digest"], "id": "0" * 31 + "6"}
    return entry | changes


def test_the_script_makes_the_golden_file():
    """The kept script gives the kept file, so its figures can be traced."""
    assert make.golden() == GOLDEN


def test_digests_and_signatures_are_what_the_form_says():
    """SHA-256 over a zero byte and the text; Ed25519 over a context line and the digest."""
    for entry in ENTRIES:
        found = hashlib.sha256(b"\0" + entry["text"].encode("utf-8"))
        assert found.hexdigest() == entry["digest"]
        key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(entry["seed"]))
        assert key.sign(b"torquelog entry 1\n" + found.digest()).hex() == entry["signature"]


def test_the_checker_takes_the_golden_entries_and_their_checkpoint():
    """Entries and checkpoint verify, and the chain ends where the last entry says."""
    chains = check_all(lines(), GOLDEN["checkpoint"])
    assert chains["QHR"]["digests"][1:] == [entry["digest"] for entry in ENTRIES]


def test_the_checker_runs_by_itself(tmp_path):
    """As a program it prints station, count, first and last digest, and stops on a changed file."""
    export, checkpoint = tmp_path / "export.jsonl", tmp_path / "checkpoint.json"
    export.write_text("".join(json.dumps(line) + "\n" for line in lines()), encoding="utf-8")
    checkpoint.write_text(json.dumps(GOLDEN["checkpoint"]), encoding="utf-8")
    command = [sys.executable, "-I", checker.__file__, str(export), str(checkpoint)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout == f"QHR 1 to 5 {ENTRIES[0]['digest']} to {ENTRIES[4]['digest']}\n"
    export.write_text(export.read_text(encoding="utf-8").replace("TW-0117", "TW-0118"), encoding="utf-8")
    assert subprocess.run(command, capture_output=True, text=True, check=False).returncode != 0


def test_the_checker_is_short_and_stands_alone():
    """Under 100 lines, and no import but the standard library's and one for Ed25519."""
    source = Path(checker.__file__).read_text(encoding="utf-8")
    assert len(source.splitlines()) < 100
    imported = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            imported |= {name.name for name in node.names}
        if isinstance(node, ast.ImportFrom):
            imported.add(node.module)
    ed25519 = "cryptography.hazmat.primitives.asymmetric.ed25519"
    assert imported == {"hashlib", "json", "re", "sys", "datetime", "pathlib", ed25519}


@pytest.mark.parametrize("at", range(5))
def test_the_checker_finds_every_changed_character(at):
    """No character of any entry can be another one."""
    good = lines()
    for place, character in enumerate(good[at]["text"]):
        changed = list(good)
        other = "x" if character != "x" else "y"
        text = good[at]["text"][:place] + other + good[at]["text"][place + 1 :]
        changed[at] = good[at] | {"text": text}
        with pytest.raises(WRONG):
            check_all(changed)


@pytest.mark.parametrize("at", range(4))
def test_the_checker_finds_a_missing_or_moved_entry(at):
    """Left out, doubled, or changed with its neighbour."""
    good = lines()
    for changed in (
        good[:at] + good[at + 1 :],
        good[: at + 1] + good[at:],
        [*good[:at], good[at + 1], good[at], *good[at + 2 :]],
    ):
        with pytest.raises(WRONG):
            check_all(changed)


def test_a_well_signed_next_entry_is_taken():
    """The sixth entry that the next tests spoil is good before it is spoilt."""
    seed = make.SIGN_IN_SEED
    assert len(check_all([*lines(), signed(seed, next_entry())])["QHR"]["digests"]) == 7
    clock = signed(seed, next_entry(kind="clock", recorded_at="2026-11-02T08:00:00.000Z"))
    check_all([*lines(), clock])


@pytest.mark.parametrize(
    "changes",
    [
        {"number": 7},
        {"previous": ENTRIES[3]["digest"]},
        {"recorded_at": "2026-11-02T08:40:12.479Z"},
        {"recorded_at": "2026-11-02T20:31:05.007Z"},
        {"recorded_at": "2026-11-02T09:00:00Z"},
        {"signer": "Q-ALMEIDA"},
        {"key": 3},
        {"key": 6, "body": {"public_key": make.public_key(make.SIGN_IN_SEED)}},
        {"key": 5},
        {"key": True},
        {"station": "QHX"},
        {"version": 2},
        {"id": "0"},
        {"id": "A" * 32},
        {"kind": "station"},
        {"kind": "key", "body": ENTRIES[2]["text"]},
        {"body": {"share": 0.5}},
        {"body": {"sure": True}},
        {"body": {"nothing": None}},
        {"more": "members"},
    ],
)
def test_the_checker_refuses_an_entry_that_does_not_fit(changes):
    """A good signature makes no entry good: numbers, order, times, keys and form are all looked at."""
    with pytest.raises(WRONG):
        check_all([*lines(), signed(make.SIGN_IN_SEED, next_entry(**changes))])


def test_a_code_signs_only_once():
    """The one-time code that brought in a key cannot bring in another one."""
    code_seed = bytes.fromhex(GOLDEN["code"]["seed"])
    body = json.loads(ENTRIES[2]["text"])["body"]
    again = next_entry(kind="key", key=2, body=body)
    with pytest.raises(ValueError, match="once"):
        check_all([*lines(), signed(code_seed, again)])
    with pytest.raises(ValueError, match="nothing else"):
        check_all([*lines()[:2], signed(code_seed, json.loads(ENTRIES[3]["text"]) | {
            "number": 3, "previous": ENTRIES[1]["digest"], "key": 2})])  # fmt: skip


def test_a_key_needs_its_proof_of_possession():
    """A passphrase key whose proof another key made is refused."""
    entry = json.loads(ENTRIES[2]["text"])
    message = b"torquelog possession 1\n" + bytes.fromhex(ENTRIES[0]["digest"]) + b"C-DUARTE"
    message += bytes.fromhex(entry["body"]["public_key"])
    code_seed = bytes.fromhex(GOLDEN["code"]["seed"])
    entry["body"]["possession"] = make.sign(code_seed, message)
    with pytest.raises(InvalidSignature):
        check_all([*lines()[:2], signed(code_seed, entry)])


def test_a_key_signs_nothing_after_its_sign_out():
    """The sign-out is the last that a sign-in key signs."""
    out = signed(make.SIGN_IN_SEED, next_entry(kind="sign-out", body={"sign_in": "QHR-000004"}))
    check_all([*lines(), out])
    late = next_entry(number=7, previous=checker.digest(out["text"]).hex())
    with pytest.raises(ValueError, match="given up"):
        check_all([*lines(), out, signed(make.SIGN_IN_SEED, late)])


def test_chains_of_several_stations_lie_in_one_file():
    """Each station's chain is checked by itself, in whatever way the lines are mixed."""
    first = json.loads(ENTRIES[0]["text"])
    first |= {"station": "LGW", "body": first["body"] | {"code": "LGW"}}
    other = signed(bytes.fromhex(ENTRIES[0]["seed"]), first)
    good = lines()
    chains = check_all([*good[:2], other, *good[2:]])
    assert [len(chain["digests"]) for chain in chains.values()] == [6, 2]


@pytest.mark.parametrize(
    "changes",
    [{"digest": "0" * 64}, {"number": 4}, {"number": 9}, {"number": 0}, {"ledger": "0" * 64}, {"signer": "X"},
     {"key": 1}],
)  # fmt: skip
def test_a_checkpoint_of_something_else_is_refused(changes):
    """Another digest, number, ledger or key: the export is not what the checkpoint saw."""
    facts = json.loads(GOLDEN["checkpoint"]["checkpoint"]) | changes
    text = make.rfc8785.dumps(facts).decode()
    signature = make.sign(make.SIGN_IN_SEED, b"torquelog checkpoint 1\n" + text.encode())
    with pytest.raises(WRONG):
        check_all(lines(), {"checkpoint": text, "signature": signature})


def test_a_checkpoint_of_nothing_is_refused():
    """What lies before entry 1 is no entry."""
    facts = json.loads(GOLDEN["checkpoint"]["checkpoint"]) | {"number": 0, "digest": "0" * 64}
    text = make.rfc8785.dumps(facts).decode()
    signature = make.sign(make.SIGN_IN_SEED, b"torquelog checkpoint 1\n" + text.encode())
    with pytest.raises(ValueError, match="form"):
        check_all(lines(), {"checkpoint": text, "signature": signature})


def test_a_checkpoint_has_one_text():
    """The same facts with a blank between them, well signed, are no checkpoint."""
    text = GOLDEN["checkpoint"]["checkpoint"].replace(",", ", ")
    signature = make.sign(make.SIGN_IN_SEED, b"torquelog checkpoint 1\n" + text.encode())
    with pytest.raises(ValueError, match="form"):
        check_all(lines(), {"checkpoint": text, "signature": signature})


def test_a_signature_has_one_spelling():
    """Capitals or blanks in a signature's digits are refused, though they name the same bytes."""
    for spoilt in (str.upper, lambda text: text[:2] + " " + text[2:]):
        good = lines()
        good[0] = good[0] | {"signature": spoilt(good[0]["signature"])}
        with pytest.raises(ValueError, match="hex"):
            check_all(good)


def test_a_checkpoint_with_another_signature_is_refused():
    """The entry's signature is not the checkpoint's: each purpose has its own context."""
    with pytest.raises(InvalidSignature):
        check_all(lines(), GOLDEN["checkpoint"] | {"signature": ENTRIES[4]["signature"]})
