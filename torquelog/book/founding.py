"""Beginning a station's record: the file, the first entry, the first person."""

import os
import sqlite3
from collections.abc import Mapping

from torquelog.book.opening import Book, open_book
from torquelog.book.signer import Signer
from torquelog.clock import Clock, utc_text
from torquelog.facts import public, registry
from torquelog.facts.rows import Mark
from torquelog.ledger import database, keys, store
from torquelog.ledger.form import FIRST_PREVIOUS, VERSION, Entry, entry_text
from torquelog.ledger.tables import LEDGER_SCHEMA


def schema() -> str:
    """The SQL of a whole record: the ledger's own tables, every fact table, and the views for other programs."""
    return LEDGER_SCHEMA + registry.schema() + public.schema()


def found_station(
    path: str | os.PathLike[str],
    clock: Clock,
    *,
    station: str,
    zone: str,
    policies: Mapping[str, str],
    person: str,
    name: str,
    licence: str | None,
    passphrase: str,
    scrypt_n: int = keys.LARGEST_N,
) -> tuple[Book, Signer]:
    """Make a new record with its first entry, and open it for writing.

    Args:
        path: where the file shall lie; it must not exist.
        clock: what time it is.
        station: the station's code, 2 to 8 capitals or digits.
        zone: IANA name of the station's time zone.
        policies: the station's rules that differ from the defaults.
        person, name, licence: the first person, who holds every role until others are enrolled.
        passphrase: the first person's, 12 characters or more; never stored.
        scrypt_n: cost of the derivation, 2^15 to 2^16.

    Returns:
        The open record, and the first person as a signer by passphrase.

    Raises:
        TorquelogError: `passphrase-short`, `exists`, and what storage brings.
    """
    kdf = keys.new_kdf(scrypt_n)
    seed = keys.passphrase_seed(passphrase, kdf)
    signer = Signer(person, 1, "own", seed)
    body = {
        "code": station, "zone": zone, "policies": dict(policies), "nonce": os.urandom(16).hex(),
        "person": person, "name": name, "public_key": keys.public_key(seed), "kdf": kdf.members(),
    }  # fmt: skip
    if licence:
        body["licence"] = licence
    registry.check("station", body)
    entry = Entry(
        body=body, id=os.urandom(16).hex(), key=1, kind="station", number=1, previous=FIRST_PREVIOUS,
        recorded_at=utc_text(clock.now()), signer=person, station=station, version=VERSION,
    )  # fmt: skip
    database.create(path, schema(), lambda connection: _fill(connection, entry, signer)).close()
    return open_book(path, "write", clock), signer


def _fill(connection: sqlite3.Connection, entry: Entry, signer: Signer) -> None:
    from torquelog.clock import from_utc_text

    text = entry_text(entry)
    store.set_home(connection, entry.station)
    store.insert_entry(connection, text, entry.station, 1, entry.id, signer.sign(keys.entry_message(text)))
    recorded = from_utc_text(entry.recorded_at)
    mark = Mark(entry.station, 1, recorded, recorded, signer.person, 1)
    registry.add_rows(connection, "station", mark, entry.body)
