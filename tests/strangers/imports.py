"""Reading the files of `import`, as bytes from strangers: every row is read or told what is wrong with it."""

from collections.abc import Callable
from io import StringIO
from typing import Final

from torquelog import clock
from torquelog.errors import TorquelogError
from torquelog.importing.kinds import KINDS
from torquelog.importing.rejects import Rejects
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Sheet
from torquelog.importing.units import unit_again

SETTING: Final = Setting(clock.zone("Europe/Lisbon"), "TK", "kept on paper")
WORDS: Final = (
    "job,fastener,pass,reading,unit,wrench,by,at,why", "number;type;range;unit;graduation;lever", ";",
    "\t", '"', '""', "\r", "\r\n", "\ufeff", "\x00", '{"job":', '"fastener":', "26,5", "M92", "NU",
    "'=1+1", "=1+1", "@", "tie-bolt:1", "2026-11-20 09:14", "yes", "\u202e", "serial,part,kind",
    "number,certificate,on,due,laboratory,state,direction,indicated,reference,unit", "as-left",
    "20..100",
)  # fmt: skip


def reader(name: str, demand_sound: Callable[[TorquelogError], None]) -> Callable[[bytes], None]:
    """What reads a file of one kind, piece by piece, and demands that every error in it can be shown."""
    kind = KINDS[name]

    def read(data: bytes) -> None:
        pieces = (data[at : at + 50] for at in range(0, len(data), 50))
        sheet = Sheet(name, pieces, decimal_comma=len(data) % 5 == 0)
        out = StringIO()
        rejects = Rejects(sheet, lambda: out)
        for row in sheet.rows():
            unit = unit_again(kind, (row,), "0" * 32, SETTING)
            for _, wrong in unit.wrong:
                demand_sound(wrong.error)
            if unit.wrong:
                rejects.add(unit, [(row.raw.line, wrong) for row, wrong in unit.wrong])
        if rejects.rows:
            again = Sheet(name, [out.getvalue().encode("utf-8", "surrogateescape")])
            assert sum(1 for _ in again.rows()) <= rejects.rows

    return read
