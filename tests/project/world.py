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
    ("torquelog assembly add WH-2231 --part EX-4410-1 --kind wheel", ""),
    ("torquelog card load sample_data/main-wheel-build.toml", ""),
    ('torquelog card approve MW-BUILD --why "nobody else is here" --passphrase-stdin', PASSPHRASE),
    (
        "torquelog wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in' --accuracy '4 %' --every '12 months' --cycles 5000",
        "",
    ),
    (
        "torquelog wrench calibrate W-0417 --certificate C-2026-118 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    ("torquelog job open J-5 --card MW-BUILD --assembly WH-2231", ""),
    ("torquelog record tie-bolt:3 26.5 ft-lb --job J-5 --wrench W-0417", ""),
    (
        "torquelog wrench add W-0355 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '1 year'",
        "",
    ),
    (
        "torquelog wrench calibrate W-0355 --certificate C-2025-120 --on 2025-11-20 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    (
        "torquelog record tie-bolt:4 26.5 ft-lb --job J-5 --wrench W-0355 --at 2026-11-19T10:00 --why 'kept on paper'",
        "",
    ),
    ("torquelog aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05", ""),
    ("torquelog aircraft add QQ-MRA --type EX-200 --msn 1002 --on 2026-01-05", ""),
    ("torquelog assembly add WH-2240 --part EX-4410-1 --kind wheel", ""),
    ("torquelog assembly add BR-0907 --part EX-5520 --kind brake", ""),
    ("torquelog assembly add BR-0912 --part EX-5520 --kind brake", ""),
    ('torquelog assembly fit WH-2231 --aircraft QQ-HLB --position "main 1"', ""),
    ('torquelog assembly hold BR-0907 --why "a crack is suspected"', ""),
    ("torquelog card load sample_data/main-brake-fit.toml", ""),
    ('torquelog card approve MB-FIT --why "nobody else is here" --passphrase-stdin', PASSPHRASE),
    ("torquelog card load sample_data/main-wheel-fit.toml", ""),
    ('torquelog person add IK --name "Ines Kruse" --role technician --passphrase-stdin', PASSPHRASE),
    (
        "torquelog init --db lgw.db --station LGW --zone Europe/London --first AB --name 'Ann Bold' --passphrase-stdin",
        PASSPHRASE,
    ),
    ("torquelog export lgw.jsonl --db lgw.db", ""),
    (
        "torquelog init --db fao.db --station FAO --zone Europe/Lisbon --first CD --name 'Caio Dias' --passphrase-stdin",
        PASSPHRASE,
    ),
    ("torquelog export fao.jsonl --db fao.db", ""),
    ("torquelog take-in fao.jsonl", ""),
    ("torquelog checkpoint --out kept.json", ""),
    ("torquelog backup copy.db", ""),
    (
        "torquelog wrench add W-0391 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '1 year'",
        "",
    ),
    (
        "torquelog wrench calibrate W-0391 --certificate C-2026-047 --on 2026-03-18 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    ("torquelog wrench issue W-0391 --to TK", ""),
    (
        "torquelog wrench add W-0402 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '1 year'",
        "",
    ),
    (
        "torquelog wrench calibrate W-0402 --certificate C-2025-131 --on 2025-11-23 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    (
        "torquelog wrench add W-0388 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '1 year'",
        "",
    ),
    ("torquelog wrench send W-0388 --to Lab", ""),
    (
        "torquelog wrench calibrate W-0388 --certificate C-2026-130 --on 2026-11-24 --points sample_data/wrench-results.csv",
        "",
    ),
    (
        "torquelog wrench add W-0371 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '1 year'",
        "",
    ),
    ("torquelog wrench quarantine W-0371 --why 'it clicks twice'", ""),
    ("torquelog adapter add A-03 --length '3 in'", ""),
    ("torquelog adapter add A-05 --length '5 in'", ""),
    ("torquelog adapter issue A-05 --to TK", ""),
    ("torquelog adapter add A-07 --length '2 in'", ""),
    ("torquelog adapter send A-07 --to Lab", ""),
    ("torquelog adapter add A-09 --length '1 in'", ""),
    ("torquelog adapter quarantine A-09 --why 'it is bent'", ""),
    ("torquelog tester add T-1 --range '5..200 ft-lb' --accuracy '1 %' --every '12 months'", ""),
    ("torquelog tester add T-3 --range '5..200 ft-lb' --every '12 months'", ""),
    ("torquelog tester send T-3 --to Lab", ""),
    ("torquelog tester add T-4 --range '5..200 ft-lb' --every '12 months'", ""),
    ("torquelog tester quarantine T-4 --why 'it drifts'", ""),
    ('torquelog job open J-6 --card MB-FIT --aircraft QQ-HLB --position "main 1" --assembly BR-0912', ""),
    ("torquelog assembly add WH-2255 --part EX-4410-1 --kind wheel", ""),
    (
        "torquelog wrench add W-0409 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in' --accuracy '4 %' --every '12 months'",
        "",
    ),
    (
        "torquelog wrench calibrate W-0409 --certificate C-2026-119 --on 2026-11-10 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    ("torquelog job open J-9 --card MW-BUILD --assembly WH-2255", ""),
    ("torquelog record tie-bolt:1 26.5 ft-lb --job J-9 --wrench W-0409", ""),
    ("torquelog wrench report W-0409 dropped --why 'from the stand'", ""),
    ("torquelog recall open --wrench W-0409", ""),
    ("torquelog tester add T-5 --range '5..200 ft-lb' --every '12 months'", ""),
    (
        "torquelog tester calibrate T-5 --certificate C-55 --on 2026-11-10 --points sample_data/wrench-results.csv --accept",
        "",
    ),
    ("torquelog import wrenches sample_data/crib-wrenches.csv", ""),
)
"""Each a command line and its standard input; each must end with 0 or 4."""
