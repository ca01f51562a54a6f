"""The code on a label: `TQ1`, a letter for its kind, the identifier, a check character; and nothing that confirms.

The check character is that of ISO/IEC 7064 MOD 37,36 over letters and digits. Hyphens are kept in the code and
passed over in the check, as ISAN, which uses the same system, does. A code is known by its content, never by how
fast it was typed.
"""

import re
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError

PREFIX: Final = "TQ1"
KINDS: Final = {"W": "wrench", "A": "adapter", "P": "person", "J": "job", "F": "fastener"}
CHARACTERS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MODULUS: Final = len(CHARACTERS)
MOST_DIGITS: Final = 3
"""A group has 999 fasteners at most."""

_FORM: Final = re.compile(r"TQ1([WAPJF])([A-Z0-9][A-Z0-9-]{0,31})([A-Z0-9])")
_IDENTIFIER: Final = re.compile(r"[A-Z0-9][A-Z0-9-]{0,31}")


class Scan(NamedTuple):
    """What a label names: its kind, one of the values of `KINDS`, and the identifier in capitals."""

    kind: str
    name: str


def check_character(text: str) -> str:
    """The check character of ISO/IEC 7064 MOD 37,36 (hybrid system) for letters and digits; hyphens are passed over."""
    carried = MODULUS
    for character in text:
        if character != "-":
            total = (carried + CHARACTERS.index(character)) % MODULUS or MODULUS
            carried = total * 2 % (MODULUS + 1)
    return CHARACTERS[(MODULUS + 1 - carried) % MODULUS]


def code(kind: str, name: str) -> str:
    """The code of a label.

    Args:
        kind: one of the values of `KINDS`.
        name: the identifier; a fastener is written GROUP-7.

    Raises:
        TorquelogError: `scan-form` for an identifier with other signs than letters, digits and hyphens.
    """
    letter = next(sign for sign, word in KINDS.items() if word == kind)
    identifier = name.upper().replace(":", "-") if kind == "fastener" else name.upper()
    if not _IDENTIFIER.fullmatch(identifier):
        raise TorquelogError(
            "scan-form",
            f"{name[:40]} cannot stand on a label.",
            why="A label takes up to 32 letters, digits and hyphens.",
        )
    body = f"{PREFIX}{letter}{identifier}"
    return body + check_character(body)


def is_scan(text: str) -> bool:
    """Whether a line means to be a label's code, whole or garbled."""
    return text.strip().upper().startswith(PREFIX)


def parse_scan(text: str) -> Scan:
    """What a label's code names.

    Raises:
        TorquelogError: `scan-form` where it is garbled.
    """
    match = _FORM.fullmatch(text.strip().upper())
    if match is None or check_character(match[0][:-1]) != match[0][-1]:
        raise TorquelogError(
            "scan-form", "That scan is garbled. Nothing was taken from it.", hint="Scan it again, or type it."
        )
    return Scan(KINDS[match[1]], match[2])


def item_number(text: str) -> int:
    """The number of a fastener as it was typed; 0 for what is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else 0


def fastener_scanned(name: str) -> tuple[str, int] | None:
    """Group and number of a scanned fastener: TIE-BOLT-7 is tie-bolt, 7; None where it names none."""
    group, _, item = name.rpartition("-")
    return (group.lower(), item_number(item)) if group and item_number(item) else None
