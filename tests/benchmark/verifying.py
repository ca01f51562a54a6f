"""Verifying: the links against a bare read-and-hash loop, the signatures against the bare library on all cores."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from tests.benchmark.timing import Figure, compare
from tests.generator.station import Size, make
from torquelog.book.links import linked
from torquelog.book.signatures import Check, Signatures, Signed, cores
from torquelog.book.walking import Walk
from torquelog.ledger import store

READINGS = 3000
RUNS = 7
STATION = "GEN"


def figures(folder: Path) -> list[Figure]:
    """The chain's links alone, and the signatures alone."""
    path = folder / "verified.db"
    make(path, Size(READINGS), seed=3).close()
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        signed = list(_signed(connection))
        return [
            compare(
                "links of a chain",
                lambda: timed(lambda: links(connection)),
                "bare loop that reads and hashes",
                lambda: timed(lambda: read_and_hash(connection)),
                runs=RUNS,
                least=0.5,
            ),
            compare(
                f"signatures on {cores()} cores",
                lambda: timed(lambda: _checked(signed)),
                f"bare library, {cores()} times as fast",
                lambda: _bare(signed) / cores(),
                runs=RUNS,
                least=0.8,
            ),
        ]


def _signed(connection: sqlite3.Connection) -> Iterator[Signed]:
    """Each entry with its signatures."""
    checks: list[Check] = []
    walk = Walk(STATION, lambda *words: checks.append(Check(*words)))
    for stored in store.entries(connection, STATION):
        checks.clear()
        walk.step(stored.text, stored.signature)
        assert walk.last
        yield Signed(STATION, stored.number, walk.last.digest, tuple(checks))


def links(connection: sqlite3.Connection) -> None:
    """Follow the links of the chain."""
    assert linked(connection, STATION).through


def read_and_hash(connection: sqlite3.Connection) -> None:
    """Read every text and hash it, nothing else."""
    rows = connection.execute("SELECT text FROM entry WHERE station = ? ORDER BY number", (STATION,))
    for (text,) in rows:
        sha256(b"\0" + text.encode()).hexdigest()


def _checked(signed: list[Signed]) -> None:
    confirmed = 0

    def count(_: Signed) -> None:
        nonlocal confirmed
        confirmed += 1

    with Signatures(count) as signatures:
        for each in signed:
            signatures.add(each)
        signatures.finish()
    assert confirmed == len(signed)


def _bare(signed: list[Signed]) -> float:
    """One core, nothing but the library: keys loaded and bytes at hand before the clock runs."""
    loaded: dict[str, Ed25519PublicKey] = {}
    work = []
    for each in signed:
        for key, message, signature in each.checks:
            if key not in loaded:
                loaded[key] = Ed25519PublicKey.from_public_bytes(bytes.fromhex(key))
            work.append((loaded[key], bytes.fromhex(signature), message))
    start = time.perf_counter()
    for public, signature_bytes, message in work:
        public.verify(signature_bytes, message)
    return time.perf_counter() - start


def timed(act: Callable[[], object]) -> float:
    """The seconds that something takes."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start
