"""The station in which the examples of the help are tried: command lines that set it up, in order.

Add what the examples of a new command need: a line and what it reads on its standard input.
"""

from typing import Final

PASSPHRASE: Final = "nine apples on the wing\n"

SET_UP: Final[tuple[tuple[str, str], ...]] = (
    (
        'torquelog init --station QHR --zone Europe/Lisbon --first TK --name "Tove Kallas" --passphrase-stdin',
        PASSPHRASE,
    ),
    ("torquelog aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05", ""),
    ("torquelog aircraft add QQ-MRA --type EX-200 --msn 1002 --on 2026-01-05", ""),
    ("torquelog assembly add WH-2231 --part EX-4410-1 --kind wheel", ""),
    ("torquelog assembly add WH-2240 --part EX-4410-1 --kind wheel", ""),
    ("torquelog assembly add BR-0907 --part EX-5520 --kind brake", ""),
    ("torquelog assembly add BR-0912 --part EX-5520 --kind brake", ""),
    ('torquelog assembly fit WH-2231 --aircraft QQ-HLB --position "main 1"', ""),
    ('torquelog assembly hold BR-0907 --why "a crack is suspected"', ""),
    ("torquelog card load sample_data/main-wheel-build.toml", ""),
    ('torquelog card approve MW-BUILD --why "nobody else is here" --passphrase-stdin', PASSPHRASE),
    ("torquelog card load sample_data/main-brake-fit.toml", ""),
    ('torquelog card approve MB-FIT --why "nobody else is here" --passphrase-stdin', PASSPHRASE),
    ("torquelog card load sample_data/main-wheel-fit.toml", ""),
    ("torquelog job open J-5 --card MW-BUILD --assembly WH-2231", ""),
    ('torquelog person add IK --name "Ines Kruse" --role technician --passphrase-stdin', PASSPHRASE),
    (
        "torquelog init --db lgw.db --station LGW --zone Europe/London --first AB --name 'Ann Bold' "
        "--passphrase-stdin",
        PASSPHRASE,
    ),
    ("torquelog export lgw.jsonl --db lgw.db", ""),
    (
        "torquelog init --db fao.db --station FAO --zone Europe/Lisbon --first CD --name 'Caio Dias' "
        "--passphrase-stdin",
        PASSPHRASE,
    ),
    ("torquelog export fao.jsonl --db fao.db", ""),
    ("torquelog take-in fao.jsonl", ""),
    ("torquelog checkpoint --out kept.json", ""),
    ("torquelog backup copy.db", ""),
)
"""Each a command line and its standard input; each must end with 0 or 4."""
