"""How a file is brought in, and to whom what is told."""

from collections.abc import Callable
from time import monotonic, sleep
from typing import NamedTuple

from torquelog.importing.rejects import Rejects
from torquelog.importing.setting import Setting
from torquelog.importing.tally import Placed
from torquelog.importing.unit import Done, Unit


class Ways(NamedTuple):
    """How a file is brought in, and to whom what is told.

    Attributes:
        setting: what is said of the whole file.
        keep_going: whether rows are written although others cannot be.
        dry_run: whether it ends with the judging.
        rejects: takes the rows that are not brought in, or nothing.
        tell: told of each unit what became of it, once it is on record, or what is wrong with it.
        judging: told again and again while rows are judged.
        written: told how many units are written, and of how many.
        seconds, pause: the time that passes, and how to let some pass.
        large: whether the file is so large that a process of its own had better read it.
        together: how many readings are made ready at once, where they are written as they were judged.
    """

    setting: Setting
    keep_going: bool = False
    dry_run: bool = False
    rejects: Rejects | None = None
    tell: Callable[[Unit, Done | list[Placed]], None] = lambda unit, result: None
    judging: Callable[[], None] = lambda: None
    written: Callable[[int, int], None] = lambda done, total: None
    seconds: Callable[[], float] = monotonic
    pause: Callable[[float], None] = sleep
    large: bool = False
    together: int = 200
