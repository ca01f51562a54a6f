"""One command, one table: python -m tests.benchmark

Runs the installed program of this environment, so install first: `pip install .` (an editable install reads
uncompiled modules where the environment forbids writing them).
"""

import sys
import tempfile
from pathlib import Path

from tests.benchmark import completing, importing, recording, sheets, starting, verifying
from tests.benchmark.timing import table


def main() -> int:
    """Measure everything, print the table; 1 where a bound is missed."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        figures = [
            *starting.figures(place),
            *recording.figures(place),
            *verifying.figures(place),
            *sheets.figures(place),
            *importing.figures(place),
            *completing.figures(place),
        ]
    print(table(figures))
    return 0 if all(each.kept for each in figures) else 1


if __name__ == "__main__":
    sys.exit(main())
