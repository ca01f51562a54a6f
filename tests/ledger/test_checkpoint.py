"""Checkpoints: the signed line that is kept elsewhere."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger import checker
from tests.ledger.golden import make
from torquelog.errors import TorquelogError
from torquelog.ledger import keys
from torquelog.ledger.checkpoint import (
    Checkpoint,
    check_checkpoint,
    checkpoint_line,
    checkpoint_text,
    parse_checkpoint,
    parse_line,
)

GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))
GIVEN = parse_checkpoint(GOLDEN["checkpoint"]["checkpoint"])
PUBLIC = keys.public_key(make.SIGN_IN_SEED)


def code_of(act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    return caught.value.code


def test_the_golden_checkpoint_is_read_and_made():
    """Text, signature and line are those of the golden one."""
    assert (
        Checkpoint(
            digest=GOLDEN["entries"][4]["digest"],
            key=4,
            ledger=GOLDEN["entries"][0]["digest"],
            number=5,
            recorded_at="2026-11-02T08:45:00.000Z",
            signer="C-DUARTE",
            station="QHR",
        )
        == GIVEN
    )
    line = checkpoint_line(GIVEN, make.SIGN_IN_SEED)
    assert json.loads(line) == GOLDEN["checkpoint"]
    assert "\n" not in line
    assert parse_line(line + "\n") == (GIVEN, GOLDEN["checkpoint"]["signature"])


def test_the_independent_checker_takes_a_line_of_ours():
    """Whoever has the export, the line and the checker needs no torquelog."""
    chains = {}
    for entry in GOLDEN["entries"]:
        checker.check_entry(chains, entry["text"], entry["signature"])
    checker.check_checkpoint(chains, **json.loads(checkpoint_line(GIVEN, make.SIGN_IN_SEED)))


def test_a_checkpoint_s_signature_is_checked():
    """It holds for what was signed, for nothing else, and for no other key."""
    signature = GOLDEN["checkpoint"]["signature"]
    check_checkpoint(GIVEN, signature, PUBLIC)
    assert code_of(check_checkpoint, GIVEN._replace(number=4), signature, PUBLIC) == "signature"
    assert code_of(check_checkpoint, GIVEN, GOLDEN["entries"][4]["signature"], PUBLIC) == "signature"
    assert code_of(check_checkpoint, GIVEN, signature, keys.public_key(bytes(32))) == "signature"


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 10**12 - 1), st.integers(1, 10**12 - 1), st.binary(min_size=32, max_size=32))
def test_checkpoints_round_trip(number, key, digest):
    """Text and line are read back as what they were made of."""
    made = GIVEN._replace(number=number, key=key, digest=digest.hex())
    assert parse_checkpoint(checkpoint_text(made)) == made
    assert parse_line(checkpoint_line(made, bytes(32)))[0] == made


@pytest.mark.parametrize("member", Checkpoint._fields)
def test_the_member_of_another_form_is_named(member):
    """Whoever copied a line learns which part of it was spoilt."""
    with pytest.raises(TorquelogError) as caught:
        parse_checkpoint(keys_in_order(GIVEN._asdict() | {member: "?"}))
    assert caught.value.why == f"Its {member} has another form."


@pytest.mark.parametrize("parse", [parse_checkpoint, parse_line])
@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("x" * 4096, "It is not JSON at character 1."),
        ("x" * 4097, "The line has more than 4,096 bytes."),
    ],
)
def test_what_is_not_even_json_is_told(parse, text, why):
    """Where reading stopped, or that it is longer than any checkpoint."""
    with pytest.raises(TorquelogError) as caught:
        parse(text)
    assert (caught.value.code, caught.value.why) == ("checkpoint-form", why)


@pytest.mark.parametrize("text", ["[]", "7", "null", "{}"])
def test_other_json_is_no_checkpoint(text):
    """A list, a number, nothing: told by what a checkpoint would have."""
    with pytest.raises(TorquelogError) as caught:
        parse_checkpoint(text)
    assert caught.value.why == "It does not have the seven members of a checkpoint."


@pytest.mark.parametrize(
    "changes",
    [
        {"digest": "0" * 63},
        {"key": 0},
        {"key": "4"},
        {"ledger": "A" * 64},
        {"number": 0},
        {"number": True},
        {"recorded_at": "2026-11-02"},
        {"recorded_at": 7},
        {"signer": "c duarte"},
        {"station": "q"},
        {"more": "x"},
    ],
)
def test_texts_that_are_no_checkpoint(changes):
    """Every member has one form, and there are seven."""
    assert code_of(parse_checkpoint, "no JSON") == "checkpoint-form"
    members = GIVEN._asdict() | changes
    assert code_of(parse_checkpoint, keys_in_order(members)) == "checkpoint-form"


def keys_in_order(members):
    return json.dumps(members, sort_keys=True, separators=(",", ":"))


@pytest.mark.parametrize(
    "line",
    [
        "",
        "x",
        "[]",
        "{}",
        "7",
        '{"checkpoint":"{}","signature":"' + "0" * 128 + '"}',
        json.dumps(GOLDEN["checkpoint"] | {"signature": "0"}),
        json.dumps(GOLDEN["checkpoint"] | {"checkpoint": 7}),
        json.dumps(GOLDEN["checkpoint"] | {"more": "x"}),
        json.dumps(GOLDEN["checkpoint"] | {"checkpoint": GOLDEN["checkpoint"]["checkpoint"] + " "}),
        json.dumps(GOLDEN["checkpoint"])[:-1] + ',"signature":"' + "0" * 128 + '"}',
        "x" * 5000,
    ],
)
def test_lines_that_are_no_checkpoint(line):
    """Other members, twins, other texts: refused, and the hint says what a checkpoint looks like."""
    with pytest.raises(TorquelogError) as caught:
        parse_line(line)
    assert caught.value.code == "checkpoint-form"
    assert "torquelog checkpoint" in caught.value.hint
