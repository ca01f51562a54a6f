"""Numbers as people type them, and exact numbers as they are shown.

A number is up to twelve ASCII digits, and after a point up to twelve more. `Fraction` and `float` read
far more (other scripts' digits, `1_000`, `1/3`, `1e5000000` for seconds), so nothing reaches them unread.
"""

import re
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Final

from torquelog.errors import TorquelogError

__all__ = ["display", "exact", "is_exact", "parse_number", "parse_signed", "quoted"]

_NUMBER: Final = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,12})?")
_MINUS: Final = ("-", "−")


def parse_number(text: str, unit: str = "") -> Fraction:
    """Read a number without a sign, such as `44.5`; blanks around it do not matter.

    Args:
        text: the number alone.
        unit: what stood behind it, repeated in the hint of an error.

    Raises:
        TorquelogError: number-form, with the right way to write it where that can be told.
    """
    word = text.strip()
    if not _NUMBER.fullmatch(word):
        raise _misread(word, unit)
    return Fraction(word)


def parse_signed(text: str, unit: str = "") -> Fraction:
    """Read a number that may carry a sign (`-`, `−` or `+`): a length or an angle.

    Raises:
        TorquelogError: number-form.
    """
    word = text.strip()
    if word.startswith(_MINUS):
        return -parse_number(word[1:], unit)
    return parse_number(word.removeprefix("+"), unit)


@lru_cache(maxsize=4096)
def exact(text: str) -> Fraction:
    """The number that a text of a program stands for, `26.5` or `3/4`; what people type goes through `parse_number`."""
    return Fraction(text)


@lru_cache(maxsize=4096)
def display(value: Fraction, digits: int = 16) -> str:
    """Write a value with at most `digits` significant digits, a tie going to the even digit.

    There is no exponent, and no zero at the end after a point. Rounding as in NIST SP 811 (2008) B.7.1.
    """
    if value == 0:
        return "0"
    sign, above, below = "-" if value < 0 else "", abs(value.numerator), value.denominator
    places = digits - 1 - _decade(above, below)
    scaled = _rounded(above * 10 ** max(places, 0), below * 10 ** max(-places, 0))
    if places <= 0:
        return f"{sign}{scaled * 10**-places}"
    whole, part = divmod(scaled, 10**places)
    tail = f"{part:0{places}d}".rstrip("0")
    return f"{sign}{whole}.{tail}" if tail else f"{sign}{whole}"


def _rounded(above: int, below: int) -> int:
    """The whole number nearest to above / below, a tie going to the even one."""
    whole, rest = divmod(above, below)
    return whole + (2 * rest > below or (2 * rest == below and whole % 2))


def is_exact(value: Fraction, digits: int = 16) -> bool:
    """Whether the digits that `display` writes are the value itself, nothing rounded away."""
    return Fraction(display(value, digits)) == value


def quoted(text: str, longest: int = 40) -> str:
    """Somebody's words in quotation marks, cut short for a message."""
    return f'"{text}"' if len(text) <= longest else f'"{text[:longest]}…"'


def _decade(above: int, below: int) -> int:
    """The power of ten of the first significant digit of above / below, both positive."""
    guess = len(str(above)) - len(str(below))
    return guess if below * 10 ** max(guess, 0) <= above * 10 ** max(-guess, 0) else guess - 1


def _misread(word: str, unit: str) -> TorquelogError:
    """The error for a word that is no number of ours, showing the right form where it can be told."""
    what = f"{quoted(word)} is not a number as it is written here." if word else "A number is missing."
    why = "A number is digits, and a point with more digits where needed."
    forms: tuple[str, ...] = ("44.5",)
    for pattern, reason, respell in _SPELLINGS:
        match = re.fullmatch(pattern, word)
        if match:
            why, forms = reason, respell(match) or forms
            break
    words = " or ".join(f"{form} {unit}".strip() for form in forms)
    closing = ", whichever is meant" if len(forms) > 1 else ""
    return TorquelogError("number-form", what, why=why, hint=f"Type it like {words}{closing}")


def _readable(*forms: str) -> tuple[str, ...]:
    """The forms among these that `parse_number` takes."""
    return tuple(form for form in forms if _NUMBER.fullmatch(form))


def _range(match: re.Match[str]) -> tuple[str, ...]:
    return (f"{match[1]}..{match[2]}",)


def _comma(match: re.Match[str]) -> tuple[str, ...]:
    pointed = f"{match[1]}.{match[2]}"
    return _readable(match[1] + match[2], pointed) if len(match[2]) == 3 else _readable(pointed)


def _common_fraction(match: re.Match[str]) -> tuple[str, ...]:
    whole, over, under = int(match[1] or 0), int(match[2]), int(match[3])
    return _readable(display(whole + Fraction(over, under), 6)) if under else ()


def _power(match: re.Match[str]) -> tuple[str, ...]:
    exponent = int(match[2].replace("−", "-"))
    if abs(exponent) > 12 or not _NUMBER.fullmatch(match[1]):
        return ()
    return _readable(display(Fraction(match[1]) * Fraction(10) ** exponent, 24))


def _plain_digits(match: re.Match[str]) -> tuple[str, ...]:
    return _readable("".join(str(int(mark)) if mark.isdecimal() else mark for mark in match[0]))


def _bare_point(match: re.Match[str]) -> tuple[str, ...]:
    before, _, after = match[0].partition(".")
    return _readable(f"{before or '0'}.{after}" if after else before)


def _unsigned(match: re.Match[str]) -> tuple[str, ...]:
    return _readable(match[1])


def _ungrouped(match: re.Match[str]) -> tuple[str, ...]:
    return _readable(re.sub(r"[_,'’\s]", "", match[0]))


def _nothing(_match: re.Match[str]) -> tuple[str, ...]:
    return ()


_DIGITS: Final = r"[0-9]{1,12}"
_DECIMAL: Final = rf"{_DIGITS}(?:\.{_DIGITS})?"
# Kept as text: they are compiled when somebody mistypes, not at every start.
_SPELLINGS: Final[tuple[tuple[str, str, Callable[[re.Match[str]], tuple[str, ...]]], ...]] = (
    (rf"([0-9]{{1,9}}),({_DIGITS})", "A comma may mean a decimal point or a thousand.", _comma),
    (rf"({_DECIMAL})\s*[-–—]\s*({_DECIMAL})", "A range is written with two points.", _range),
    (
        r"(?:([0-9]{1,3})[\s-]+)?([0-9]{1,3})/([0-9]{1,3})",
        "Fractions are written with a point.",
        _common_fraction,
    ),
    (r"([0-9.]{1,25})[eE]([+−-]?[0-9]{1,6})", "Powers of ten are not read; write the digits.", _power),
    (rf"[+−-]\s*({_DECIMAL})", "A number has no sign here.", _unsigned),
    (r"[0-9]{1,3}(?:[_,'’\s][0-9]{3}){1,3}", "Thousands are written without a mark.", _ungrouped),
    (rf"\.{_DIGITS}|{_DIGITS}\.", "A point stands between digits.", _bare_point),
    (r"\d{1,12}(?:\.\d{1,12})?", "Only the digits 0 to 9 are read.", _plain_digits),
    (
        r"[0-9]+(?:\.[0-9]+)?",
        "At most twelve digits are read before the point and twelve after it.",
        _nothing,
    ),
)
