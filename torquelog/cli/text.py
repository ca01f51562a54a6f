"""Text that is safe and legible wherever it is shown, and lines that fit.

What a person once typed never steers the terminal: control, bidirectional and other unseen characters are
written out, such as \\x1b or \\u202e. Where the output's encoding is not UTF-8 everything becomes ASCII.
"""

from typing import Final

ASCII: Final = {
    "·": "-",
    "±": "+/-",
    "°": " deg",
    "×": "x",
    "−": "-",
    "–": "-",
    "—": "-",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "…": "...",
    "²": "^2",
    "³": "^3",
    "≤": "<=",
    "≥": ">=",
    "→": "->",
    "µ": "u",
    "μ": "u",
    "θ": "theta",
    "½": "1/2",
    "\u00a0": " ",
    **dict(zip("▁▂▃▄▅▆▇█", "_.,-=+*#", strict=True)),
}
"""What stands for our own signs where only ASCII can be shown; any other sign becomes a question mark."""

FIRST_COMBINING: Final = "\u0300"
NARROW: Final = "".join(ASCII)
"""Signs of ours that take one column, so that most text is measured without the table of all characters."""

UNITS: Final = (
    "N·m",
    "cN·m",
    "daN·m",
    "lbf·",
    "ozf·",
    "kgf·",
    "N-m",
    "cN-m",
    "daN-m",
    "lbf-",
    "ozf-",
    "kgf-",
    "%",
)
"""How a unit begins that stands behind a number."""

UTF_8: Final = ("utf-8", "utf8", "cp65001")


def visible(text: str) -> str:
    """The text with every character that cannot be seen written out."""
    return text if text.isprintable() else "".join(map(visible_character, text))


def visible_character(character: str) -> str:
    """One character, or its number where it cannot be seen."""
    if character.isprintable():
        return character
    number = ord(character)
    if 0xDC80 <= number <= 0xDCFF:
        number -= 0xDC00  # a stray byte, as Python hands it on
    if number > 0xFFFF:
        return f"\\U{number:08x}"
    return f"\\u{number:04x}" if number > 0xFF else f"\\x{number:02x}"


def speaks_utf_8(encoding: str | None) -> bool:
    """Whether an output of this encoding can show every sign; one without an encoding can."""
    return encoding is None or encoding.lower().replace("_", "-") in UTF_8


def ascii_only(text: str) -> str:
    """The text in ASCII, our own signs spelled out."""
    if text.isascii():
        return text
    return "".join(sign if sign.isascii() else ASCII.get(sign, "?") for sign in text)


def columns(text: str) -> int:
    """How many columns of a terminal the text takes."""
    if text.isascii() or max(text) < FIRST_COMBINING or all(map(narrow, text)):
        return len(text)
    from unicodedata import combining, east_asian_width

    return sum(0 if combining(sign) else 2 if east_asian_width(sign) in "WF" else 1 for sign in text)


def narrow(sign: str) -> bool:
    """Whether a character takes one column, as all of Latin and our own signs do."""
    return sign < FIRST_COMBINING or sign in NARROW


def padded(text: str, width: int, *, right: bool = False) -> str:
    """The text with blanks up to the width; one to the right has them in front."""
    blanks = " " * (width - columns(text))
    return blanks + text if right else text + blanks


def hanging(line: str, width: int) -> int:
    """Where the continuation of a long line begins: under its last column, else under its first word."""
    indent = len(line) - len(line.lstrip(" "))
    gap = line.rfind("  ", indent, width * 2 // 3)
    return len(line) - len(line[gap:].lstrip(" ")) if gap > 0 else indent


def wrapped(line: str, width: int | None, indent: int | None = None) -> list[str]:
    """The line broken at blanks so that each piece fits; a word longer than the width stays whole.

    Args:
        line: one line; its leading blanks are kept.
        width: columns, or nothing for no limit.
        indent: blanks before each further piece; by default as `hanging` finds.
    """
    if width is None or columns(line) <= width:
        return [line]
    blanks = " " * (hanging(line, width) if indent is None else indent)
    pieces: list[str] = []
    rest = line
    while columns(rest) > width:
        cut = last_blank(rest, width, len(rest) - len(rest.lstrip(" ")))
        if cut < 0:
            break
        pieces.append(rest[:cut].rstrip(" "))
        rest = blanks + rest[cut:].lstrip(" ")
    return [*pieces, rest]


def last_blank(line: str, width: int, start: int) -> int:
    """The last blank at which the line can be broken to fit; else the first one, or -1 for none."""
    place = -1
    taken = 0
    for position, sign in enumerate(line):
        taken += columns(sign)
        if sign == " " and position > start and not between_number_and_unit(line, position):
            if place >= 0 and taken > width + 1:
                return place
            place = position
        if taken > width and place >= 0:
            return place
    return place


def between_number_and_unit(line: str, position: int) -> bool:
    """Whether a blank stands between a number and its unit; no line is broken there."""
    return line[position - 1].isdigit() and line[position + 1 :].lstrip(" ").startswith(UNITS)
