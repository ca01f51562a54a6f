"""What may lie on a disk after the power has gone: synced bytes for certain, of the rest any part.

The model: a sync makes everything written to its file before durable, the file's name included. Of later
writes each 512-byte sector may have reached the disk or not, in any order; a later cut of the file or its
deletion may have happened or not. Bytes outside a write are never harmed (SQLite's "powersafe overwrite").
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from tests.faults.disk import Operation

SECTOR = 512
WAYS = ("nothing", "everything", "prefix", "some writes", "some sectors")


def read_folder(folder: Path) -> dict[str, bytes]:
    """Every file of a folder that counts after a power loss; shared memory does not."""
    return {
        place.name: place.read_bytes()
        for place in sorted(folder.iterdir())
        if not place.name.endswith("-shm")
    }


def write_folder(folder: Path, files: dict[str, bytes]) -> None:
    """Make a folder with these files."""
    folder.mkdir(parents=True)
    for name, content in files.items():
        (folder / name).write_bytes(content)


def survivors(
    before: dict[str, bytes], log: Sequence[Operation], way: str, chance: random.Random
) -> dict[str, bytes]:
    """The files that lie there when the power goes after the last operation of the log.

    Args:
        before: the files at the log's beginning, all durable.
        log: what was done since.
        way: one of `WAYS`: how much of the unsynced part survives.
        chance: where it is chosen.
    """
    durable: dict[str, bytearray] = {name: bytearray(content) for name, content in before.items()}
    pending: dict[str, list[Operation]] = {}
    for operation in log:
        if operation.kind == "acknowledge":
            continue
        waiting = pending.setdefault(operation.file, [])
        waiting.append(operation)
        if operation.kind == "sync" or (operation.kind == "delete" and operation.offset):
            _apply(durable, waiting)
            waiting.clear()
    for waiting in pending.values():
        _apply(durable, _lucky(waiting, way, chance))
    return {name: bytes(content) for name, content in durable.items()}


def _apply(files: dict[str, bytearray], operations: Iterable[Operation]) -> None:
    for kind, name, offset, data in operations:
        if kind == "delete":
            files.pop(name, None)
            continue
        content = files.setdefault(name, bytearray())
        if kind == "write":
            content.extend(bytes(max(0, offset + len(data) - len(content))))
            content[offset : offset + len(data)] = data
        elif kind == "truncate":
            del content[offset:]


def _lucky(waiting: list[Operation], way: str, chance: random.Random) -> list[Operation]:
    """The part of the unsynced operations of one file that reached the disk."""
    if way == "nothing":
        return []
    if way == "everything":
        return waiting
    if way == "prefix":
        return waiting[: chance.randint(0, len(waiting))]
    parts = waiting if way == "some writes" else [part for one in waiting for part in _sectors(one)]
    return [part for part in parts if chance.random() < 0.5]


def _sectors(operation: Operation) -> Iterator[Operation]:
    """A write, sector by sector; anything else whole."""
    if operation.kind != "write":
        yield operation
        return
    begin, end = operation.offset, operation.offset + len(operation.data)
    while begin < end:
        until = min(end, (begin // SECTOR + 1) * SECTOR)
        piece = operation.data[begin - operation.offset : until - operation.offset]
        yield Operation("write", operation.file, begin, piece)
        begin = until
