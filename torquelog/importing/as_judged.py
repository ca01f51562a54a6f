"""The second pass, as long as nobody else writes: readings go on record as they were judged."""

from collections import deque
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Final, NamedTuple

from torquelog.book.as_rehearsed import AsRehearsed, Maker, Ready
from torquelog.book.rehearsal import Rehearsal
from torquelog.errors import TorquelogError
from torquelog.importing.acts import Acts
from torquelog.importing.beside import beside
from torquelog.importing.sheet import Raw, Row
from torquelog.importing.spool import Kept, Spool
from torquelog.importing.turns import Turns
from torquelog.importing.unit import Done, Unit
from torquelog.ledger.form import reference

FIRST: Final = 10
"""How often so many are made ready at once before the first transaction."""

AHEAD: Final = 2
"""What is made ready beforehand, by what the last transaction took."""

MANY: Final = 2_000
"""From how many units on a process of its own makes them ready."""


class _Made(NamedTuple):
    """Units made ready together: their entries, and the line and the outcome of each."""

    ready: Ready
    told: list[tuple[int, str]]


def write_as_judged(acts: Acts, rehearsed: Rehearsal, spool: Spool, turns: Turns) -> Iterator[Kept]:
    """Write what was judged, in transactions of bounded time.

    Args:
        acts: the acts of the file.
        rehearsed: the rehearsal in which it was judged, still there.
        spool: what was judged.
        turns: how long a transaction goes on.

    Returns:
        What has to be judged again, as somebody wrote meanwhile or something could be judged otherwise by now.
    """
    total = acts.tally.left
    judged = spool.kept()
    with beside(lambda: _made(acts, rehearsed, judged), worth=total >= MANY) as made:
        _write(acts, AsRehearsed(acts.book, rehearsed, acts.signer), made, turns)
    return spool.kept(total - acts.tally.left)


def _made(acts: Acts, rehearsed: Rehearsal, judged: Iterator[Kept]) -> Iterator[_Made]:
    """Units made ready, up to the first that may not be written as it was judged."""
    maker = Maker(acts.book, rehearsed, acts.signer)
    while taken := list(islice(judged, acts.ways.together)):
        foreseen = [each.foreseen for each in taken if each.foreseen is not None]
        ready = maker.ready(foreseen) if len(foreseen) == len(taken) else None
        if ready is None:
            return
        yield _Made(ready, [(each.rows[0].line, each.outcome) for each in taken])


def _write(acts: Acts, writer: AsRehearsed, made: Iterator[_Made], turns: Turns) -> None:
    total, wanted = acts.tally.left, FIRST
    waiting: deque[_Made] = deque()
    while True:
        waiting.extend(islice(made, max(0, wanted - len(waiting))))
        if not waiting:
            return
        turns.let_others()
        written = _written(writer, (each.ready for each in waiting), turns)
        if written is None:
            return
        for _ in range(written):
            _tell(acts, waiting.popleft())
        acts.ways.written(total - acts.tally.left, total)
        wanted = AHEAD * written


def _written(writer: AsRehearsed, waiting: Iterable[Ready], turns: Turns) -> int | None:
    """How much of what is ready one transaction wrote; nothing where it may not be written as it was judged."""
    try:
        written = writer.write(waiting, turns.begin, turns.over)
    except TorquelogError as error:
        if error.code != "guarded":  # an id that a row has of its own is on record already
            raise
        return None
    turns.end()
    return written


def _tell(acts: Acts, made: _Made) -> None:
    for (line, outcome), entry in zip(made.told, made.ready.entries, strict=True):
        unit = Unit((Row(Raw(line, ()), {}),), entry.id.hex(), 0, False, None)
        acts.tell(unit, Done(reference(entry.station, entry.number), outcome), outcome)
