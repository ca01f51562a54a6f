"""Makes golden.json: five entries whose texts, digests and signatures may never come out otherwise.

Run once with `python tests/ledger/golden/make.py` and kept, so that anybody can see where it comes from.
It uses hashing, Ed25519 and a reference RFC 8785 library only, and nothing of torquelog, so that a mistake
made there is not repeated here.
"""

import hashlib
import json
import unicodedata
from pathlib import Path

import rfc8785
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

GOLDEN = Path(__file__).with_name("golden.json")

QUALITY = {"passphrase": "seven grey herons stand", "n": 65536, "salt": "000102030405060708090a0b0c0d0e0f"}
CRIB = {"passphrase": "três gaivotas no molhe", "n": 32768, "salt": "f0e1d2c3b4a5968778695a4b3c2d1e0f"}
CODE = bytes.fromhex("00112233445566778899aabbccddeeff")
SIGN_IN_SEED = hashlib.sha256(b"an invented sign-in key").digest()


def passphrase_seed(key):
    text = unicodedata.normalize("NFC", key["passphrase"]).encode()
    salt = bytes.fromhex(key["salt"])
    return hashlib.scrypt(text, salt=salt, n=key["n"], r=8, p=1, dklen=32, maxmem=1 << 27)


def kdf(key):
    return {"name": "scrypt", "n": key["n"], "r": 8, "p": 1, "salt": key["salt"]}


def public_key(seed):
    key = Ed25519PrivateKey.from_private_bytes(seed).public_key()
    return key.public_bytes(serialization.Encoding.Raw, serialization.PublicFormat.Raw).hex()


def sign(seed, message):
    return Ed25519PrivateKey.from_private_bytes(seed).sign(message).hex()


def digest(text):
    return hashlib.sha256(b"\x00" + text.encode()).digest()


def bodies(seeds, identity):
    """The five bodies; the last three can be made only when the first entry's digest is known."""
    quality, code, crib, sign_in = (public_key(seed) for seed in seeds)
    yield {
        "code": "QHR",
        "zone": "Europe/Lisbon",
        "person": "Q-ALMEIDA",
        "name": "Inês Almeida",
        "policies": {"due-through": "day", "gap-hours": "36", "idle-minutes": "60", "shift-hours": "12"},
        "nonce": "5be9c11f0d7a4e0a8c2f6d3b91e47a60",
        "public_key": quality,
        "kdf": kdf(QUALITY),
    }
    yield {
        "person": "C-DUARTE",
        "name": "Zoë Duarte",
        "roles": ["crib", "technician"],
        "licence": "PT.66.0417",
        "code_key": code,
        "code_until": "2026-11-05T08:12:40.250Z",
    }
    possession = b"torquelog possession 1\n" + identity() + b"C-DUARTE" + bytes.fromhex(crib)
    yield {
        "person": "C-DUARTE",
        "public_key": crib,
        "kdf": kdf(CRIB),
        "possession": sign(seeds[2], possession),
    }
    yield {"public_key": sign_in, "until": "2026-11-02T20:31:05.007Z"}
    yield {
        "tool": "TW-0117",
        "kind": "wrench",
        "type": "setting",
        "range": "20..100 N·m",
        "graduation": "0.5 N·m",
        "lever": "380 mm",
        "accuracy": "4 %",
        "every": "12 months",
        "cycles": "5000",
        "maker": 'Ferramentas "Atlântico"',
        "serial": "A\\77-0312",
    }


HEADS = [
    ("station", "8f14e45fceea167a5a36dedd4bea2543", 1, "Q-ALMEIDA", "2026-11-02T08:10:00.000Z"),
    ("person", "c9f0f895fb98ab9159f51fd0297e236d", 1, "Q-ALMEIDA", "2026-11-02T08:12:40.250Z"),
    ("key", "45c48cce2e2d7fbdea1afc51c7c6ad26", 2, "C-DUARTE", "2026-11-02T08:15:59.999Z"),
    ("sign-in", "d3d9446802a44259755d38e6d163e820", 3, "C-DUARTE", "2026-11-02T08:31:05.007Z"),
    ("tool", "6512bd43d9caa6e02c990b0a82652dca", 4, "C-DUARTE", "2026-11-02T08:40:12.480Z"),
]


def all_seeds():
    code = hashlib.sha256(b"torquelog code 1\n" + CODE).digest()
    return [passphrase_seed(QUALITY), code, passphrase_seed(CRIB), SIGN_IN_SEED]


def entries():
    seeds = all_seeds()
    made, previous = [], "0" * 64
    contents = bodies(seeds, lambda: bytes.fromhex(made[0]["digest"]))
    for number, (kind, identifier, key, signer, recorded_at) in enumerate(HEADS, start=1):
        entry = {"body": next(contents), "id": identifier, "key": key, "kind": kind, "number": number}
        entry |= {"previous": previous, "recorded_at": recorded_at, "signer": signer}
        text = rfc8785.dumps(entry | {"station": "QHR", "version": 1}).decode()
        seed = seeds[key - 1]  # the n-th entry introduces the n-th key
        signature = sign(seed, b"torquelog entry 1\n" + digest(text))
        previous = digest(text).hex()
        made.append({"text": text, "digest": previous, "seed": seed.hex(), "signature": signature})
    return made


def checkpoint(first, last):
    facts = {"station": "QHR", "ledger": first["digest"], "number": 5, "digest": last["digest"]}
    facts |= {"recorded_at": "2026-11-02T08:45:00.000Z", "signer": "C-DUARTE", "key": 4}
    text = rfc8785.dumps(facts).decode()
    signature = sign(SIGN_IN_SEED, b"torquelog checkpoint 1\n" + text.encode())
    return {"checkpoint": text, "signature": signature}


def golden():
    made = entries()
    return {
        "passphrases": [
            {"passphrase": key["passphrase"], "kdf": kdf(key), "seed": passphrase_seed(key).hex()}
            for key in (QUALITY, CRIB)
        ],
        "code": {"bytes": CODE.hex(), "seed": made[2]["seed"]},
        "entries": made,
        "checkpoint": checkpoint(made[0], made[-1]),
    }


if __name__ == "__main__":
    GOLDEN.write_text(json.dumps(golden(), ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
