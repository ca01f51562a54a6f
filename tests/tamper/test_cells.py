"""One flipped bit, at every byte of every stored cell: found, and named by its entry or its register."""

import random
import sqlite3
from collections.abc import Callable, Iterable, Iterator

import pytest

from tests.support.measure import one_in
from tests.tamper import record
from tests.tamper.cells import Cell, cells, findings, flip, literal, written
from torquelog.book.verified import Finding

LEDGER = ("entry", "home")
"""Tables that hold the entries themselves; all others hold what the entries give."""

EACH_CELL = 5
"""In the default run one cell in so many is flipped, at one of its bytes."""

Flip = tuple[Cell, int, int]


def every(found: Iterable[Cell], seed: int) -> Iterator[Flip]:
    """Each byte of each cell with one of its bits."""
    chance = random.Random(seed)
    bytes_of_all = ((cell, place) for cell in found for place in range(len(cell.stored)))
    for number, (one, at) in enumerate(bytes_of_all):
        if number % one_in() == 0:
            yield one, at, chance.randrange(8)


def some(found: Iterable[Cell], seed: int, one_in: int) -> Iterator[Flip]:
    """One byte of some of the cells; of each column at least once."""
    chance, seen = random.Random(seed), set()
    for cell in found:
        column = (cell.table.name, cell.column)
        if cell.stored and (column not in seen or chance.randrange(one_in) == 0):
            seen.add(column)
            yield cell, chance.randrange(len(cell.stored)), chance.randrange(8)


def sweep(
    data: bytes,
    names: Callable[[str], bool],
    choose: Callable[[Iterator[Cell]], Iterator[Flip]],
    named: Callable[[Cell, Finding], bool],
) -> str:
    """Flip bit after bit and demand that each is found and named; says how many."""
    flips = refused = 0
    with record.opened(data) as connection:
        assert findings(connection) == ()
        held = [cell for cell in cells(connection) if names(cell.table.name)]
        for cell, place, bit in choose(iter(held)):
            with written(connection, cell, literal(cell, flip(cell, place, bit))) as taken:
                if not taken:
                    refused += 1
                    continue
                found = findings(connection)
                assert found, f"{cell}, byte {place}, bit {bit} goes unseen"
                assert named(cell, found[0]), f"{cell}, byte {place}, bit {bit} is told as {found[0]}"
                flips += 1
        assert findings(connection) == ()
    return f"{flips} flips in {len(held)} cells found, {refused} that no table takes"


def entry_named(cell: Cell, finding: Finding) -> bool:
    """Text, signature and id: the very entry. Its number or station: the entry that is not where it was, or the gap.

    Where another station's entry is not where it was, the entry that took it in names it.
    """
    if cell.table.name == "home":
        return finding.code in ("not-held", "register", "chain")
    if cell.column in ("text", "signature", "id"):
        return finding.entry in cell.entries
    station, number = cell.key
    near = {f"{station}-{int(str(number)) + ahead:06d}" for ahead in (0, 1)}
    told = finding.entry in near or any(name in finding.message for name in near)
    return told or finding.code == "not-held" or finding.table == "entry"


def register_named(cell: Cell, finding: Finding) -> bool:
    """The register by its name, and the entry unless its own number was changed."""
    moved = cell.column in cell.table.key
    entries = cell.entries or {""}
    return (finding.code, finding.table) == ("register", cell.table.name) and (
        moved or finding.entry in entries
    )


@pytest.mark.parametrize("data", [record.small, record.full])
def test_a_flipped_bit_of_an_entry_is_found(data: Callable[[], bytes], record_property):
    """In its text, signature, id, number or station, and in the note of which chain is the file's own."""
    count = sweep(data(), LEDGER.__contains__, lambda held: some(held, 1, EACH_CELL), entry_named)
    record_property("count", str(count))


@pytest.mark.long
def test_a_flipped_bit_of_a_register_is_found(record_property):
    """In any column of any register that has rows."""
    count = sweep(
        record.full(), lambda name: name not in LEDGER, lambda held: some(held, 2, 20), register_named
    )
    record_property("count", str(count))


@pytest.mark.long
def test_every_byte_of_every_entry_is_watched(record_property):
    """One bit of each byte of each cell of the entries."""
    count = sweep(record.small(), LEDGER.__contains__, lambda held: every(held, 3), entry_named)
    record_property("count", str(count))


@pytest.mark.long
def test_every_byte_of_every_register_is_watched(record_property):
    """One bit of each byte of each cell of every register."""
    count = sweep(record.full(), lambda name: name not in LEDGER, lambda held: every(held, 4), register_named)
    record_property("count", str(count))


def test_what_was_empty_and_is_filled_is_found(record_property):
    """A cell that held nothing and holds a word or a number now, in any register."""
    filled = 0
    with record.opened(record.full()) as connection:
        empty = {(cell.table.name, cell.column): cell for cell in cells(connection) if cell.kind == "null"}
        for cell in empty.values():
            with written(connection, cell, value_for(connection, cell)) as taken:
                assert taken
                found = findings(connection)
                assert register_named(cell, found[0]), cell
                filled += 1
    record_property("count", f"{filled} empty cells filled")


def value_for(connection: sqlite3.Connection, cell: Cell) -> str:
    """Something that a column can hold."""
    described = connection.execute(f"PRAGMA table_info({cell.table.name})").fetchall()
    kind = next(row[2] for row in described if row[1] == cell.column)
    return {"INTEGER": "0", "TEXT": "''", "BLOB": "x''"}[kind]
