"""From rows to units: rows that make one entry together, each unit with the id that makes bringing it in again harmless.

The id is made from what the cells say, so the same rows have the same id in whatever order the columns stand, in CSV as
in JSON. Of readings the same row twice is a reading twice: the second has an id of its own. Whatever bears a name is
said once.
"""

import hashlib
from collections.abc import Iterable, Iterator
from json.encoder import encode_basestring as quoted
from typing import Final

from torquelog.book.met import Met
from torquelog.crib.results import MOST
from torquelog.errors import TorquelogError
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Row, Wrong
from torquelog.importing.unit import Kind, Unit
from torquelog.importing.values import Cells

CONTEXT: Final = b"torquelog import 1\n"


def units(kind: Kind, rows: Iterable[Row], setting: Setting, met: Met) -> Iterator[Unit]:
    """The units of a file in order.

    Args:
        kind: what the rows are.
        rows: as they stand in the file.
        setting: what is said of the whole file.
        met: what was met before in it.
    """
    for together in _together(kind, rows):
        yield _unit(kind, together, setting, met)


def unit_again(kind: Kind, rows: tuple[Row, ...], unit_id: str, setting: Setting) -> Unit:
    """A unit that was read before, from its rows and its id."""
    item, wrong = _item(kind, rows, setting)
    return Unit(rows, unit_id, 0, False, item, wrong)


def _together(kind: Kind, rows: Iterable[Row]) -> Iterator[tuple[Row, ...]]:
    """The rows of each unit: one, or those with a common key that stand one below the other."""
    if kind.key is None:
        for row in rows:
            yield (row,)
        return
    waiting: list[Row] = []
    key: tuple[str, ...] = ()
    for row in rows:
        own = kind.key(row)
        if waiting and (own != key or len(waiting) >= MOST):
            yield tuple(waiting)
            waiting = []
        key = own
        waiting.append(row)
    if waiting:
        yield tuple(waiting)


def _unit(kind: Kind, rows: tuple[Row, ...], setting: Setting, met: Met) -> Unit:
    item, wrong = _item(kind, rows, setting)
    if wrong:
        return Unit(rows, "", 0, False, None, wrong)
    said = _said(kind.name, rows)
    own = rows[0].cells.get("id", "") if kind.repeats else ""
    before = met.before(own.encode() if own else said)
    if kind.repeats:
        return Unit(rows, own or _id(said, before), before, bool(own and before), item)
    unit_id = _id(said, 0)
    if before == 0 and kind.key is not None and met.before("\n".join(kind.key(rows[0])).encode()):
        return Unit(rows, unit_id, 0, False, None, ((rows[0], Wrong("", _apart(kind))),))
    return Unit(rows, unit_id, before, before > 0, item)


def _item(
    kind: Kind, rows: tuple[Row, ...], setting: Setting
) -> tuple[object, tuple[tuple[Row, Wrong], ...]]:
    """What rows say, or what is wrong with them."""
    wrong = tuple((row, each) for row in rows for each in row.wrong)
    if wrong:
        return None, wrong
    cells = [Cells(row.cells) for row in rows]
    try:
        item = kind.read(cells, setting)
    except TorquelogError as error:
        return None, ((rows[0], Wrong(kind.column_of(error, rows[0].cells), error)),)
    return item, tuple((row, each) for row, read in zip(rows, cells, strict=True) for each in read.wrong)


def _said(name: str, rows: tuple[Row, ...]) -> bytes:
    """The digest of what rows say: of JSON of the name and of each row's cells in order, without blanks."""
    cells = ",".join(
        f"[{','.join([f'[{quoted(name)},{quoted(cell)}]' for name, cell in sorted(row.cells.items())])}]"
        for row in rows
    )
    text = f"[{quoted(name)},[{cells}]]"
    return hashlib.sha256(CONTEXT + text.encode()).digest()


def _id(said: bytes, before: int) -> str:
    """The id of an entry: of the first that says this, the digest; of a further one, with its count."""
    digest = said if before == 0 else hashlib.sha256(said + str(before).encode()).digest()
    return digest.hex()[:32]


def _apart(kind: Kind) -> TorquelogError:
    what = "certificate" if kind.name == "calibrations" else "thing"
    return TorquelogError(
        "row-form",
        f"Rows of the same {what} stand further up in the file.",
        hint="Let its rows stand one below the other.",
    )
