"""Signatures, keys from passphrases, and one-time codes."""

import hashlib
import json
import os
import re
import subprocess
import sys
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.golden import make
from torquelog.errors import TorquelogError
from torquelog.ledger.form import digest
from torquelog.ledger.keys import (
    CODE_DIGITS,
    Kdf,
    check,
    checkpoint_message,
    code_seed,
    demand_passphrase,
    entry_message,
    new_code,
    new_kdf,
    new_seed,
    parse_kdf,
    passphrase_seed,
    possession_message,
    public_key,
    sign,
    unlock,
)

GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))
ENTRIES = GOLDEN["entries"]
FEW = settings(max_examples=50, deadline=None)
CHEAP = Kdf(2, 8, 1, "00" * 16)

# RFC 8032 section 7.1, tests 1 to 3: seed, public key, message, signature; from memory of the text.
RFC_8032 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
        "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
        "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
]


def code_of(act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    return caught.value.code


@pytest.mark.parametrize(("seed", "public", "message", "signature"), RFC_8032)
def test_rfc_8032_signatures(seed, public, message, signature):
    """The standard's first three examples: public key, signature, and its check."""
    assert public_key(bytes.fromhex(seed)) == public
    assert sign(bytes.fromhex(seed), bytes.fromhex(message)) == signature
    check(public, bytes.fromhex(message), signature)


@FEW
@given(st.binary(min_size=32, max_size=32), st.binary(max_size=100), st.integers(0, 511))
def test_a_signature_holds_for_its_key_and_message_only(seed, message, bit):
    """One flipped bit of the signature, one more byte of the message, or another key: refused."""
    signature, public = sign(seed, message), public_key(seed)
    check(public, message, signature)
    flipped = bytearray.fromhex(signature)
    flipped[bit // 8] ^= 1 << bit % 8
    assert code_of(check, public, message, flipped.hex()) == "signature"
    assert code_of(check, public, message + b"x", signature) == "signature"
    other = public_key(hashlib.sha256(seed).digest())
    assert code_of(check, other, message, signature) == "signature"


@pytest.mark.parametrize(
    "spoil", [str.upper, lambda text: text[:-2], lambda text: text + "00", lambda _: "", lambda _: "é"]
)
def test_signatures_and_keys_have_one_spelling(spoil):
    """Capitals, other lengths and other text are refused, for keys as for signatures."""
    _, public, _, signature = RFC_8032[0]
    assert code_of(check, public, b"", spoil(signature)) == "signature"
    assert code_of(check, spoil(public), b"", signature) == "signature"


def test_a_public_key_that_is_no_point_is_refused():
    """64 hex digits that no key has."""
    assert code_of(check, "02" + "00" * 31, b"", RFC_8032[0][3]) == "signature"


@pytest.mark.parametrize("at", range(5))
def test_golden_signatures_hold(at):
    """Each golden entry's signature is made and checked the same here."""
    entry = ENTRIES[at]
    seed = bytes.fromhex(entry["seed"])
    assert sign(seed, entry_message(entry["text"])) == entry["signature"]
    check(public_key(seed), entry_message(entry["text"]), entry["signature"])


def test_the_golden_checkpoint_and_possession_hold():
    """The messages of a checkpoint and of a new key's proof are those of the golden ones."""
    checkpoint = GOLDEN["checkpoint"]
    check(
        public_key(make.SIGN_IN_SEED), checkpoint_message(checkpoint["checkpoint"]), checkpoint["signature"]
    )
    body = json.loads(ENTRIES[2]["text"])["body"]
    message = possession_message(ENTRIES[0]["digest"], body["person"], body["public_key"])
    check(body["public_key"], message, body["possession"])


def test_each_purpose_has_its_own_context():
    """The same text signed for one purpose is another message for the next."""
    text = ENTRIES[0]["text"]
    assert entry_message(text) == b"torquelog entry 1\n" + bytes.fromhex(digest(text))
    assert checkpoint_message(text) == b"torquelog checkpoint 1\n" + text.encode()
    proof = possession_message("ab" * 32, "P", "cd" * 32)
    assert proof == b"torquelog possession 1\n" + b"\xab" * 32 + b"P" + b"\xcd" * 32


@pytest.mark.parametrize("at", [0, 1])
def test_golden_passphrases_give_their_seeds(at):
    """scrypt over the composed passphrase, however its accents were typed."""
    golden = GOLDEN["passphrases"][at]
    seed = passphrase_seed(unicodedata.normalize("NFD", golden["passphrase"]), parse_kdf(golden["kdf"]))
    assert seed.hex() == golden["seed"]


def test_a_passphrase_opens_its_key_only():
    """The right one gives the seed, another one is refused with the person's name."""
    public = public_key(passphrase_seed("seven grey herons stand", CHEAP))
    seed = unlock("seven grey herons stand", CHEAP, public, "Q-ALMEIDA")
    assert public_key(seed) == public
    with pytest.raises(TorquelogError, match="Q-ALMEIDA") as caught:
        unlock("seven grey herons stood", CHEAP, public, "Q-ALMEIDA")
    assert caught.value.code == "passphrase-wrong"


def test_passphrases_have_their_length():
    """Twelve characters after composing; bounded above; no half characters."""
    assert code_of(passphrase_seed, "elevenchars", CHEAP) == "passphrase-short"
    assert code_of(passphrase_seed, "e\u0301" * 11, CHEAP) == "passphrase-short"
    assert len(passphrase_seed("é" * 12, CHEAP)) == 32
    assert len(passphrase_seed("x" * 1024, CHEAP)) == 32
    assert code_of(passphrase_seed, "x" * 1025, CHEAP) == "passphrase-long"
    assert code_of(passphrase_seed, "twelve chars\ud800", CHEAP) == "text-surrogate"


def test_a_passphrase_is_looked_at_before_anything_is_computed():
    """The same bounds, without scrypt's fifth of a second."""
    demand_passphrase("x" * 12)
    assert code_of(demand_passphrase, "elevenchars") == "passphrase-short"


def test_fresh_parameters_are_trusted_and_differ():
    """New parameters are ones that are read back, each with a salt of its own."""
    first, second = new_kdf(), new_kdf(32768)
    assert parse_kdf(first.members()) == first
    assert parse_kdf(second.members()) == second
    assert (first.n, second.n) == (65536, 32768)
    assert first.salt != second.salt
    assert new_seed() != new_seed()


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "argon2"},
        {"n": 16384},
        {"n": 131072},
        {"n": 65535},
        {"n": "65536"},
        {"n": 65536.0},
        {"r": 1},
        {"r": 16},
        {"p": 2},
        {"p": True},
        {"salt": "00"},
        {"salt": "AA" * 16},
        {"salt": None},
        {"more": "x"},
    ],
)
def test_other_scrypt_parameters_are_not_trusted(changes):
    """Too cheap would be no protection, too dear would be a trap; only what the form names is taken."""
    assert code_of(parse_kdf, new_kdf().members() | changes) == "kdf-form"
    assert code_of(parse_kdf, None) == "kdf-form"


def test_the_golden_code_gives_its_seed():
    """SHA-256 over the context and the sixteen bytes, written in base 32."""
    number = int(GOLDEN["code"]["bytes"], 16)
    code = "".join(CODE_DIGITS[number >> 5 * place & 31] for place in reversed(range(26)))
    assert code == "0024H36H2NCSVRH6DAQF6DVVQZ"
    assert code_seed(code).hex() == GOLDEN["code"]["seed"]


def test_codes_are_typed_with_ease():
    """Small letters, other groups, O for 0 and I or L for 1 give the same code."""
    code = new_code()
    assert re.fullmatch("([0-9A-Z]{5}-){4}[0-9A-Z]{6}", code)
    assert code != new_code()
    for typed in (code.lower(), code.replace("-", ""), code.replace("-", " "), code.replace("0", "O")):
        assert code_seed(typed) == code_seed(code)
    assert code_seed(code.replace("1", "l")) == code_seed(code.replace("1", "I")) == code_seed(code)


@pytest.mark.parametrize("number", [0, 1, 17, 18, 1 << 5 | 31, 0x0123456789ABCDEF << 64, 2**128 - 1])
def test_a_code_is_its_random_bits(number, monkeypatch):
    """A fresh code, as printed and with every letter that may be misread typed wrong, gives the seed of its bits."""
    drawn = number.to_bytes(16, "big")
    monkeypatch.setattr(os, "urandom", lambda count: drawn[:count])
    seed = hashlib.sha256(b"torquelog code 1\n" + drawn).digest()
    code = new_code()
    assert code_seed(code) == seed
    for digit, typed in (("0", "O"), ("0", "o"), ("1", "I"), ("1", "i"), ("1", "L"), ("1", "l")):
        assert code_seed(code.replace(digit, typed)) == seed


@FEW
@given(st.integers(0, 2**128 - 1), st.integers(0, 25), st.sampled_from(CODE_DIGITS))
def test_another_digit_is_another_code(number, place, digit):
    """No two spellings of 26 digits give one seed."""
    code = "".join(CODE_DIGITS[number >> 5 * at & 31] for at in reversed(range(26)))
    other = code[:place] + digit + code[place + 1 :]
    if other == code:
        return
    try:
        assert code_seed(other) != code_seed(code)
    except TorquelogError:
        assert other[0] not in "01234567"


@pytest.mark.parametrize(
    "code", ["", "0" * 25, "0" * 27, "8" + "0" * 25, "U" * 26, "é" * 26, "ı" * 26, "٣" * 26]
)
def test_codes_that_are_refused(code):
    """Too short, too long, more than 128 bits, letters that no code has."""
    assert code_of(code_seed, code) == "code-form"


def test_looking_at_keys_loads_no_cryptography():
    """The library is imported when a key is first used, not before."""
    probe = "import sys, torquelog.ledger.keys; sys.exit('cryptography' in sys.modules)"
    subprocess.run([sys.executable, "-c", probe], check=True)
