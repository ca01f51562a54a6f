"""Makes the page of the reference that tells the views for other programs, each column with its meaning."""

from collections.abc import Iterator
from typing import Final

from torquelog.facts.public import VIEWS
from torquelog.facts.public_form import View

BEFORE: Final = """\
<!-- played here
torquelog demo --at hangar.db
-->

# Views for other programs

The record is one SQLite file. Any program that reads SQLite can ask it: these views are for that. They are part of
every record, their names and the meanings of their columns stay, and new columns come behind the others. The tables
behind them are torquelog's own and may change.

- A view tells what is on record **now**. It does not judge. Whether a tool may be used, whether a fastener is tight
  today, what a recall finds: `torquelog wrench check`, `trace`, `job show` and `recall show` answer that, because they
  know the rules. A program that works it out from views alone will be wrong one day.
- Struck entries are there, with the strike in `struck_by`. Ask `WHERE struck_by IS NULL` for what stands. Views of how
  things stand, such as `public_tools` and `public_assemblies`, leave out what was struck.
- Every cell is text, but for whole numbers, which are called so. Torques are decimals as they were read, zeros kept,
  with their unit in the column named. Do not compare them as text, and convert none that is rounded. The columns in
  N·m are for showing; `outcome` is what counts.
- Times are UTC: `2026-11-25T14:07:31.000Z`. They sort as text. Dates are days at the station: `2026-11-25`.
- A yes or no is `yes` or `no`. What is not on record is NULL.
- Open the file for reading only, and close it soon: a reader that stays open lets the file beside it (`-wal`) grow.
  Do not copy the file alone while others write; `torquelog backup` makes a copy that is whole.

## With the shell of SQLite

Each of these is what stands behind `sqlite3 -readonly hangar.db`; the record is the one of `torquelog demo --at
hangar.db`. Which wrenches are due, the nearest first?

```sql
SELECT tool, due, certificate, whereabouts FROM public_tools
WHERE sort = 'wrench' AND due IS NOT NULL ORDER BY due, tool;
```

```text
W-231|2026-11-16|K-2025-097|crib
W-260|2027-03-02|K-2026-012|crib
W-118|2027-05-11|K-2026-031|crib
W-204|2027-10-05|K-2026-088|crib
```

What was refused, and why?

```sql
SELECT fastener, wrench, ground, message FROM public_refusals WHERE struck_by IS NULL ORDER BY performed_at;
```

```text
brake-nut:4|W-231|past-due|W-231 was due Mon 16 Nov 2026, 2 days before.
brake-nut:4|W-260|cycles-used|W-260 has used all of its 500 cycles.
```

Where are the assemblies?

```sql
SELECT kind, serial, place, registration, position FROM public_assemblies ORDER BY serial;
```

```text
brake|BR-0310|aircraft|QQ-TAN|left main
wheel|WH-7104|aircraft|QQ-ULM|right main
```

How many readings of each outcome has each job?

```sql
SELECT job, outcome, count(*) FROM public_readings WHERE struck_by IS NULL
GROUP BY job, outcome ORDER BY job, outcome;
```

```text
J-301|within|20
J-302|above|1
J-302|refused|2
J-302|within|4
```

## With Python

Its `sqlite3` module does the same:

```python
>>> import sqlite3
>>> connection = sqlite3.connect("file:hangar.db?mode=ro", uri=True)
>>> connection.row_factory = sqlite3.Row
>>> asked = (
...     "SELECT fastener, indicated, unit, applied_nm, low_nm, high_nm, outcome FROM public_readings "
...     "WHERE job = ? AND struck_by IS NULL ORDER BY performed_at LIMIT 1"
... )
>>> dict(connection.execute(asked, ["J-302"]).fetchone())
{'fastener': 'brake-nut:1', 'indicated': '27.0', 'unit': 'lbf·ft', 'applied_nm': '45.758856', 'low_nm': '40',
 'high_nm': '48', 'outcome': 'within'}
>>> [row["recall"] for row in connection.execute("SELECT DISTINCT recall FROM public_recalls WHERE closed_at IS NULL")]
['R-1']
>>> connection.close()
```

What needs a judgement, or another moment than now, is asked of the commands, with `--json`, or of
[`torquelog.api`](api.md).
"""


def views_page(made: str) -> str:
    """The whole page."""
    before, _, rest = BEFORE.partition("\n\n# Views for other programs\n\n")
    return f"{before}\n\n# Views for other programs\n\n{made}\n\n{rest}\n" + "\n".join(_tables())


def _tables() -> Iterator[str]:
    yield "## The views\n"
    for view in VIEWS:
        yield f"### {view.name}\n\n{view.meaning}\n\n| column | what it says |\n| --- | --- |"
        yield from (f"| `{column.name}` | {_cell(column.meaning)} |" for column in view.columns)
        yield ""


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def view_names() -> dict[str, dict[str, str]]:
    """Every view with its columns, which are published."""
    return {view.name: _columns(view) for view in VIEWS}


def _columns(view: View) -> dict[str, str]:
    return dict.fromkeys((column.name for column in view.columns), "")
