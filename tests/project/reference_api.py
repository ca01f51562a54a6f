"""Makes the page of the reference that tells the Python face: examples, then every published name with its docstring."""

import inspect
import re
from collections.abc import Iterator
from typing import Final

from torquelog import api

MODULES: Final = re.compile(
    r"\b(?:torquelog(?:\.\w+)*|datetime|fractions|collections\.abc|os|zoneinfo)\.(?=[A-Za-z])"
)
LONG: Final = 100

BEFORE: Final = """\
<!-- played here
torquelog demo --at hangar.db
-->

# torquelog.api

{made}

The Python face: compute, and ask a record, which is opened for reading only. It judges as the commands do, because the
same rules answer. Everything is typed and frozen; torques are `Torque`, a value as it was read with its unit, or exact
fractions of a newton metre; times are `datetime` with the station's zone. Whatever can be wrong is a `TorquelogError`,
with its `code`, `what`, `why` and `hint`; [the codes](codes.md) never change. The names below stay; nothing else of
torquelog is meant for other programs.

## Compute

No record is needed. The limits come from your approved data.

```python
>>> from torquelog import api
>>> found = api.setting("60..80 N·m", lever="400 mm", adapters=["100 mm"], graduation="0.5 N·m")
>>> str(found.dial), str(found.at_fastener)
('56 N·m', '70 N·m')
>>> str(api.applied("60 lbf·in", lever="12 in", adapters=[("2 in", "0")]).torque)
'70 lbf·in'
>>> api.convert("300 lbf·in", "N·m")
Converted(value='33.89544870828501', unit='N·m', exact=True)
>>> try:
...     api.setting("60..80 mN")
... except api.TorquelogError as error:
...     print(error.code)
unit-unknown
```

## Ask a record

`hangar.db` is the record of `torquelog demo --at hangar.db`.

```python
>>> with api.open_record("hangar.db") as record:
...     wrench = record.fitness("W-231")
...     found = record.trace("wrench", "W-118")
...     recall = record.recall("R-1")
>>> wrench.fit, [ground.code for ground in wrench.grounds], str(wrench.due)
(False, ['past-due'], '2026-11-16')
>>> found.standing, found.flying, {{str(each.fastener.assembly) for each in found.readings}}
(10, 10, {{'EX-7100-2 WH-7104'}})
>>> item = recall.items[0]
>>> str(item.fastener), item.verdict, float(item.as_found), item.place.registration
('tie-bolt:1', 'outside', 67.23, 'QQ-ULM')
```

## Ask as of a moment

What had happened by then, answered by what is known now.

```python
>>> with api.open_record("hangar.db", as_of="2026-11-19T12:00") as record:
...     places = {{each.place.registration for each in record.trace("wrench", "W-118").readings}}
...     readings = record.job("J-302").taken
>>> places, readings
({{'QQ-TAN'}}, 4)
```

Opening writes nothing. Where SQLite lays files beside the record to read it (`-wal`, `-shm`), they are taken away again
at closing, if nobody else uses them and you may write there.

## Names
"""


def api_page(made: str) -> str:
    """The whole page."""
    return BEFORE.format(made=made) + "\n" + "\n".join(_names())


def _names() -> Iterator[str]:
    for name in api.__all__:
        found = getattr(api, name)
        yield f"### {name}\n\n```text\n{_told(name, found)}\n```\n"
        if inspect.isclass(found) and not issubclass(found, BaseException):
            for method, below in _methods(found):
                yield f"### {name}.{method}\n\n```text\n{_told(method, below)}\n```\n"


def _methods(found: type) -> Iterator[tuple[str, object]]:
    """What a class of ours can be asked, besides what a tuple can."""
    for method, below in vars(found).items():
        if not method.startswith("_") and (inspect.isfunction(below) or isinstance(below, property)):
            yield method, below


def _told(name: str, found: object) -> str:
    called = inspect.isfunction(found) or inspect.isclass(found)
    head = f"{name}{_signature(found)}\n\n" if called and not _is_error(found) else ""
    return head + (inspect.getdoc(found) or "")


def _is_error(found: object) -> bool:
    return inspect.isclass(found) and issubclass(found, BaseException)


def _signature(found: object) -> str:
    """How it is called, without the names of modules; a long one with a line for each argument."""
    told = inspect.signature(found)  # type: ignore[arg-type]  # functions and classes only
    text = MODULES.sub("", str(told))
    if len(text) < LONG:
        return text
    arguments = [f"    {MODULES.sub('', str(each))}," for each in told.parameters.values()]
    keyword = [place for place, each in enumerate(told.parameters.values()) if each.kind == each.KEYWORD_ONLY]
    if keyword:
        arguments.insert(keyword[0], "    *,")
    return "\n".join(["(", *arguments, f"){text.rpartition(')')[2]}"])
