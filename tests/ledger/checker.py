"""Checks an export of a ledger by itself: python checker.py EXPORT [CHECKPOINT …].

It shows that entries are whole, in order, and signed by keys introduced before. Which role a signer held, and
whether an outcome follows from its facts, is beyond it.
"""

import hashlib
import json
import re
import sys
from datetime import datetime
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

MEMBERS = ["body", "id", "key", "kind", "number", "previous", "recorded_at", "signer", "station", "version"]
STAMP = r"[0-9a-f]{32} [0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z"


def demand(fact, words):
    if not fact:
        raise ValueError(words)


def canonical(value):
    if type(value) is str:
        return json.dumps(value, ensure_ascii=False)
    if type(value) is list:
        return "[" + ",".join(map(canonical, value)) + "]"
    if type(value) is dict:
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{" + ",".join(canonical(name) + ":" + canonical(value[name]) for name in names) + "}"
    demand(type(value) is int and abs(value) < 2**53, "an entry has texts, lists, objects, whole numbers")
    return str(value)


def digest(text):
    return hashlib.sha256(b"\x00" + text.encode()).digest()


def check_signature(public_key, signature, message):
    demand(re.fullmatch("[0-9a-f]{64}", public_key) and re.fullmatch("[0-9a-f]{128}", signature), "not hex")
    Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_key)).verify(bytes.fromhex(signature), message)


def signing_key(chain, facts, kind):
    public_key, owner, end, is_code = chain["keys"][facts["key"]]
    demand(owner == facts["signer"], "the key was not introduced for this signer")
    demand(datetime.fromisoformat(facts["recorded_at"]) < end, "the key had come to its end")
    demand(is_code == (kind == "key"), "a code signs one key, and nothing else")
    return public_key


def check_entry(chains, text, signature):
    entry = json.loads(text)
    demand(canonical(entry) == text and sorted(entry) == MEMBERS and entry["version"] == 1, "form")
    demand(re.fullmatch(STAMP, f"{entry['id']} {entry['recorded_at']}"), "id or time")
    new = {"digests": ["0" * 64], "keys": {}, "spent": set(), "time": "", "ledger": digest(text)}
    chain = chains.setdefault(entry["station"], new)
    body, number, key, kind = (entry[name] for name in ("body", "number", "key", "kind"))
    demand((number, entry["previous"]) == (len(chain["digests"]), chain["digests"][-1]), "it does not follow")
    demand(entry["recorded_at"] >= chain["time"] or kind == "clock", "it is older than the entry before it")
    demand((number == 1) == (kind == "station") == (key == number), "only entry 1 is signed by its own key")
    if introduced := body.get("public_key") or body.get("code_key"):
        end = datetime.fromisoformat(body.get("until") or body.get("code_until") or "9999-12-31T00Z")
        chain["keys"][number] = introduced, body.get("person", entry["signer"]), end, "code_key" in body
    demand(key not in chain["spent"], "the key was given up, or has signed what it may sign once")
    check_signature(signing_key(chain, entry, kind), signature, b"torquelog entry 1\n" + digest(text))
    if kind == "key":
        proof = chain["ledger"] + body["person"].encode() + bytes.fromhex(introduced)
        check_signature(introduced, body["possession"], b"torquelog possession 1\n" + proof)
        chain["spent"].add(key)
    if kind == "sign-out":
        chain["spent"].add(int(body["sign_in"].rpartition("-")[2]))
    chain["digests"].append(digest(text).hex())
    chain["time"] = entry["recorded_at"]


def check_checkpoint(chains, checkpoint, signature):
    facts = json.loads(checkpoint)
    chain, number = chains[facts["station"]], facts["number"]
    demand(canonical(facts) == checkpoint and number > 0, "not a checkpoint's form")
    known = (facts["ledger"], facts["digest"]) == (chain["digests"][1], chain["digests"][number])
    demand(known, "the export is not what it was then")
    message = b"torquelog checkpoint 1\n" + checkpoint.encode()
    check_signature(signing_key(chain, facts, "checkpoint"), signature, message)


if __name__ == "__main__":
    held = {}
    for line in Path(sys.argv[1]).read_text(encoding="utf-8").split("\n")[:-1]:
        check_entry(held, **json.loads(line))
    for name in sys.argv[2:]:
        check_checkpoint(held, **json.loads(Path(name).read_text(encoding="utf-8")))
    for station, chain in held.items():
        digests = chain["digests"]
        print(station, "1 to", len(digests) - 1, digests[1], "to", digests[-1])
