"""What is published and may only grow: kinds and their members, codes, commands with options, keys of files.

`published.json` holds it as it stood when it was last taken in. `python -m tests.project.make_reference` adds what is
new. What has been there and is gone, or has another form, stays red in the tests until it is there again.
"""

import json
from collections.abc import Mapping
from io import StringIO
from typing import Any, Final

import click

from tests.project.reference_entries import INSIDE
from tests.project.reference_views import view_names
from tests.project.source import ROOT
from torquelog import api
from torquelog.cli.answer import Answer, Problem, Remark
from torquelog.cli.asked import FIELDS
from torquelog.cli.context import Context
from torquelog.cli.group import load
from torquelog.cli.render import envelope
from torquelog.cli.table import paths
from torquelog.clock import SetClock
from torquelog.crib.results import ALLOWED
from torquelog.errors import CODES
from torquelog.facts.kinds import Member
from torquelog.facts.registry import all_kinds
from torquelog.importing.columns import COLUMNS
from torquelog.importing.unit import OUTCOMES
from torquelog.rules.grounds import GROUNDS, REMARKS
from torquelog.rules.recall_codes import CAUSES, GAPS, REASONS
from torquelog.rules.review import QUESTIONS
from torquelog.work.card_keys import CARD, CHECK, GROUP, HARDWARE, STEP, Key

FILE: Final = ROOT / "tests" / "project" / "published.json"

CARD_TABLES: Final = {"card": CARD, "group": GROUP, "steps": STEP, "hardware": HARDWARE, "check": CHECK}

Names = dict[str, Any]


def now() -> Names:
    """What the program has now: lists of names as objects, each name with what must stay as it is."""
    return {
        "kinds": {kind.name: members(kind.members) for kind in all_kinds()},
        "inside": {f"{kind}.{member}": members(found) for (kind, member), (_, found) in INSIDE.items()},
        "codes": {code: status for code, (status, _) in sorted(CODES.items())},
        "exits": {str(status): "" for status in sorted({0, 4} | {status for status, _ in CODES.values()})},
        "grounds": dict.fromkeys(sorted(GROUNDS), ""),
        "remarks": dict.fromkeys(sorted(REMARKS), ""),
        "recall causes": dict.fromkeys(sorted(CAUSES), ""),
        "recall reasons": dict.fromkeys(sorted(REASONS), ""),
        "recall gaps": dict.fromkeys(sorted(GAPS), ""),
        "review questions": dict.fromkeys(sorted(QUESTIONS), ""),
        "card keys": {name: keys(found) for name, found in CARD_TABLES.items()},
        "columns of results": dict.fromkeys(ALLOWED, ""),
        "fields of a line": dict.fromkeys(sorted(FIELDS), ""),
        "columns of imports": {
            kind: {column.name: "needed" if column.needed else "" for column in columns}
            for kind, columns in COLUMNS.items()
        },
        "outcomes of imports": dict.fromkeys(sorted(filter(None, OUTCOMES)), ""),
        "api": dict.fromkeys(sorted(api.__all__), ""),
        "views": view_names(),
        "commands": {name: parameters(load(entry)) for name, entry in paths()},
        "envelope": dict.fromkeys([*envelope(_nobody(), Answer()), "line"], ""),
        "problem": dict.fromkeys(Problem._fields, ""),
        "remark": dict.fromkeys(Remark._fields, ""),
    }


def keys(found: Mapping[str, Key]) -> dict[str, str]:
    """Keys of a card by name, each with whether it is needed."""
    return {name: "needed" if key.needed else "" for name, key in found.items()}


def parameters(command: click.Command) -> dict[str, str]:
    """What can be given to a command: its options as they are typed, and its arguments."""
    found = [
        name
        for each in command.params
        for name in (each.opts if isinstance(each, click.Option) else [each.name or ""])
    ]
    return dict.fromkeys(sorted(found), "")


def _nobody() -> Context:
    """The surroundings of a command that nobody typed."""
    return Context(clock=SetClock(0), stdin=StringIO(), stdout=StringIO(), stderr=StringIO())


def members(found: tuple[Member, ...]) -> dict[str, str]:
    """Members by name, each with its form, and "?" where it may be absent."""
    return {each.name: each.form + ("" if each.needed else "?") for each in found}


def kept() -> Names:
    """What was published."""
    found: Names = json.loads(FILE.read_text(encoding="utf-8"))
    return found


def gone(old: Mapping[str, Any], new: Mapping[str, Any], path: str = "") -> list[str]:
    """What was published and is not there any more, or not as it was, each with its path."""
    found = []
    for name, value in old.items():
        here = f"{path}{name}"
        if name not in new:
            found.append(f"{here} is gone")
        elif isinstance(value, Mapping):
            found += gone(value, new[name], f"{here}.")
        elif new[name] != value:
            found.append(f"{here} was {value}, and is {new[name]}")
    return found


def demanded(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """Members that were added to a kind which had been published without them, and are needed."""
    return [
        f"{kind}.{name}"
        for part in ("kinds", "inside")
        for kind, names in old[part].items()
        for name, form in new[part].get(kind, {}).items()
        if name not in names and not form.endswith("?")
    ]


def take_in() -> None:
    """Add what is new to the list; what was in it stays."""
    old = kept() if FILE.exists() else {}
    if old:
        late = demanded(old, now())
        assert not late, f"a member that a published kind gets later may be absent: {', '.join(late)}"
    FILE.write_text(json.dumps(merged(old, now()), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> Names:
    """The old with what only the new has."""
    both = {**new, **old}
    return {
        name: merged(value, new[name]) if isinstance(value, Mapping) and name in new else value
        for name, value in both.items()
    }
