"""The second pass, as long as nobody else writes: readings go on record as they were judged."""

from collections import deque
from collections.abc import Iterator
from itertools import chain, islice
from typing import Final

from torquelog.book.as_rehearsed import AsRehearsed
from torquelog.book.rehearsal import Rehearsal
from torquelog.errors import TorquelogError
from torquelog.importing.acts import Acts
from torquelog.importing.sheet import Row
from torquelog.importing.spool import Kept
from torquelog.importing.turns import Turns
from torquelog.importing.unit import Done, Unit
from torquelog.ledger.form import reference

FIRST: Final = 10
"""How often so many are made ready at once before the first transaction."""

AHEAD: Final = 2
"""What is made ready beforehand, by what the last transaction took."""


def write_as_judged(acts: Acts, rehearsed: Rehearsal, judged: Iterator[Kept], turns: Turns) -> Iterator[Kept]:
    """Write what was judged, in transactions of bounded time.

    Args:
        acts: the acts of the file.
        rehearsed: the rehearsal in which it was judged, still there.
        judged: the units in order.
        turns: how long a transaction goes on.

    Returns:
        What has to be judged again, as somebody wrote meanwhile or something could be judged otherwise by now.
    """
    waiting: deque[Kept] = deque()
    total, wanted = acts.tally.left, FIRST * acts.ways.together
    writer = AsRehearsed(acts.book, rehearsed, acts.signer)
    while True:
        left = _make_ready(writer, waiting, judged, wanted, acts.ways.together)
        if left is not None:
            return left
        if not waiting:
            return iter(())
        turns.let_others()
        numbers = _written(writer, turns)
        if numbers is None:
            return chain(waiting, judged)
        for number in numbers:
            _tell(acts, waiting.popleft(), number)
        acts.ways.written(total - acts.tally.left, total)
        wanted = AHEAD * len(numbers)


def _make_ready(
    writer: AsRehearsed, waiting: deque[Kept], judged: Iterator[Kept], wanted: int, together: int
) -> Iterator[Kept] | None:
    """Make ready what comes next, up to so many; what is left, where that cannot be written as it was judged."""
    while len(waiting) < wanted:
        taken = list(islice(judged, together))
        if not taken:
            return None
        foreseen = [each.foreseen for each in taken if each.foreseen is not None]
        if len(foreseen) < len(taken) or not writer.add(foreseen):
            return chain(waiting, taken, judged)
        waiting.extend(taken)
    return None


def _written(writer: AsRehearsed, turns: Turns) -> list[int] | None:
    """The numbers of what one transaction wrote; nothing where it may not be written as it was judged."""
    try:
        numbers = writer.write(turns.begin, turns.over)
    except TorquelogError as error:
        if error.code != "guarded":  # an id that a row has of its own is on record already
            raise
        return None
    turns.end()
    return numbers


def _tell(acts: Acts, kept: Kept, number: int) -> None:
    unit = Unit(tuple(Row(raw, {}) for raw in kept.rows), kept.id, 0, False, None)
    acts.tell(unit, Done(reference(acts.book.station, number), kept.outcome), kept.outcome)
