"""Card files that are written here: one to fill in, and one from answers given. Neither supplies a torque."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from json import dumps
from typing import Any

from torquelog.work.card_keys import CARD, CHECK, GROUP, Key

HEAD = """\
# A card says what is to be tightened. Copy it from your approved data.
# torquelog supplies no torque values: what stands in capitals is yours to fill in.
# A torque is "LOW..HIGH N·m", "NOMINAL ± OFF N·m", "NOMINAL N·m ± PERCENT %", "min LOW N·m" or
# "max HIGH N·m"; other units are lbf·in, lbf·ft, cN·m, daN·m, ozf·in, kgf·m and kgf·cm.
# A line that begins with # is not read. Take the # away where the key is needed.
"""


def template(name: str) -> str:
    """A card file to fill in, with every key and what it says.

    Args:
        name: the card's name, which stands in it already.
    """
    parts = (
        ("[card]", CARD, {"id": dumps(name), "date": '""'}),
        ("[[group]]", GROUP, {"count": "0", "torque": '""'}),
        ("# [[check]]", CHECK, None),
    )
    lines = [HEAD.rstrip()]
    for title, keys, given in parts:
        lines += ["", title, *_template_lines(keys, given)]
    return "\n".join(lines) + "\n"


def _template_lines(keys: Mapping[str, Key], given: Mapping[str, str] | None) -> Iterator[str]:
    for key, form in keys.items():
        blank = '""' if form.example.startswith('"') else form.example
        if given is not None and (form.needed or key in given):
            line = f"{key} = {given.get(key, blank)}"
        else:
            line = f"# {key} = {form.example}"
        yield f"{line:<40}  # {form.meaning}"


def written(card: Mapping[str, Any], groups: Sequence[Mapping[str, Any]]) -> str:
    """A card file from values as TOML would read them: text, whole numbers, yes or no, dates, lists of these."""
    lines = ["[card]", *_lines(card)]
    for group in groups:
        lines += ["", "[[group]]", *_lines(group)]
    return "\n".join(lines) + "\n"


def _lines(table: Mapping[str, Any]) -> list[str]:
    return [f"{key} = {_value(value)}" for key, value in table.items()]


def _value(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, date):
        return value.isoformat()
    # A string of JSON is one of TOML, and so are its numbers and its true and false.
    return dumps(value, ensure_ascii=False)
