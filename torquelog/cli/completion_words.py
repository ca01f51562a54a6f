"""Which words of the command line are names of what: by option, and by place for what stands without one.

A kind is one of `facts.known_names.QUERIES`, `fastener` or `any-fastener` (of closed jobs as well), `file`, or "one of "
with some words; "" is for what nobody can know. A test compares the options here with those that the commands have.
"""

from typing import Final

FLAGS: Final = frozenset(
    {
        "--accept", "--all", "--as-quality", "--clock-ok", "--csv", "--decimal-comma", "--dry-run", "--each", "--help",
        "--json", "--keep-going", "--lift", "--lines", "--loosened", "--old-file-is-gone", "--passphrase-stdin",
        "--reject", "--replace", "--replacing", "--since-checkpoint", "--template", "--version", "-h",
    }
)  # fmt: skip
"""Options without a value, in whatever command."""

VALUES: Final = {
    "--act": "one of tighten check",
    "--adapter": "adapter", "-a": "adapter",
    "--aircraft": "aircraft",
    "--as": "person",
    "--assembly": "assembly",
    "--at": "",
    "--by": "person",
    "--card": "card",
    "--checkpoint": "file",
    "--db": "file",
    "--dcc": "file",
    "--decision": "one of accepted re-tightened replaced not-affected removed-from-service scrapped notified",
    "--direction": "one of cw ccw",
    "--due-through": "one of day month",
    "--fastener": "fastener",
    "--item": "fastener",
    "--job": "open-job", "-j": "open-job",
    "--out": "file",
    "--owner": "one of company personal loan",
    "--pattern": "one of star circular line",
    "--person": "person",
    "--points": "file",
    "--rejects": "file",
    "--role": "one of technician inspector crib quality",
    "--run-on-adapter": "adapter",
    "--run-on-wrench": "wrench",
    "--shop": "station",
    "--tester": "tester",
    "--use": "one of before-use indication-only",
    "--wrench": "wrench", "-w": "wrench",
    "--wrench-seen": "wrench",
}  # fmt: skip
"""What the value of an option is, where it is not one of `OTHERWISE`."""

OTHERWISE: Final = {
    "setting --adapter": "",
    "applied --adapter": "",
    "adapter add --multiplier": "",
    "demo --at": "file",
    "person role --add": "one of technician inspector crib quality",
    "person role --remove": "one of technician inspector crib quality",
    "wrench add --type": "one of setting indicating preset",
    "wrench issue --to": "person",
    "adapter issue --to": "person",
    "job hand-over --to": "person",
    "assembly remove --to": "one of stores shop scrap",
    "assembly move --to": "one of stores shop scrap",
    "setting --basis": "one of total above-run-on above-run-on-from",
}
"""Options that mean something else in one command."""

_ACTS: Final = "calibrate report quarantine release send receive retire show"
_TOOL_ACTS: Final = {
    "wrench": f"{_ACTS} issue return check tested restrict interval limits",
    "adapter": f"{_ACTS} issue return check limits",
    "tester": f"{_ACTS} interval limits",
}
_REPORTS: Final = "one of dropped overloaded damaged repaired lost found"

PLACES: Final = {
    **{f"{sort} {act}": (sort,) for sort, acts in _TOOL_ACTS.items() for act in acts.split()},
    **{f"{sort} report": (sort, _REPORTS) for sort in _TOOL_ACTS},
    "wrench withdraw": ("wrench", ""),
    **{
        f"assembly {act}": ("assembly",)
        for act in ("fit", "remove", "move", "hold", "release", "take-apart", "show")
    },
    **{f"person {act}": ("person",) for act in ("enrol", "code", "role")},
    **{f"card {act}": ("card",) for act in ("approve", "show")},
    **{f"card {act}": ("file",) for act in ("new", "check", "load")},
    **{f"job {act}": ("open-job",) for act in ("tools", "inspect", "hand-over", "take-over", "close")},
    **{f"import {what}": ("file",) for what in ("readings", "wrenches", "calibrations", "assemblies")},
    **{f"recall {act}": ("recall",) for act in ("show", "close")},
    "recall disposition": ("recall", ""),
    **{f"trace {what}": (what,) for what in ("wrench", "adapter", "aircraft", "assembly", "person", "card")},
    "trace fastener": ("any-fastener",),
    "trace shop": ("station",),
    "sign-in": ("person",),
    "station accept": ("station",),
    "aircraft register": ("aircraft", ""),
    "job show": ("job",),
    "work": ("open-job",),
    "record": ("fastener", ""),
    "step": ("open-job", "fastener", ""),
    "loosen": ("open-job", "fastener"),
    "replace": ("open-job", "fastener"),
    "found": ("open-job", "fastener", "one of sheared loose missing damaged"),
    "part off": ("open-job", ""),
    "part on": ("open-job", ""),
    "export": ("file",),
    "take-in": ("file",),
    "backup": ("file",),
    "restore": ("file",),
    "sheet job": ("job",),
    "sheet worksheet": ("open-job",),
    "sheet wrench": ("wrench",),
    "sheet recall": ("recall",),
    "sheet aircraft": ("aircraft",),
    "label wrench": ("wrench",),
    "label adapter": ("adapter",),
    "sequence": ("",),
    "review": ("one of answer", ""),
    "completion": ("one of bash zsh fish",),
}
"""What stands without an option, by command: a kind for each place."""

_MANY_ACTS: Final = "issue return quarantine release restrict send receive retire"
MANY: Final = frozenset(
    {f"{sort} {act}" for sort in _TOOL_ACTS for act in _MANY_ACTS.split()} | {"label wrench", "label adapter"}
)
"""Commands that take as many of the last kind as anybody types."""


def value_of(command: str, option: str) -> str:
    """What the value of an option is in a command."""
    return OTHERWISE.get(f"{command} {option}", VALUES.get(option, ""))


def positional(command: str, place: int) -> str:
    """What stands at a place of a command, counted from 0."""
    kinds = PLACES.get(command, ())
    if place >= len(kinds) and kinds and command in MANY:
        return kinds[-1]
    return kinds[place] if place < len(kinds) else ""
