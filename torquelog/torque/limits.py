"""Limits of a torque, the specification they come from, and what run-on torque does to them.

Limits are closed: a torque on a limit is within. All torques here are newton metres as exact fractions.
"""

import re
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.number import display, parse_number, quoted
from torquelog.torque.units import (
    Torque,
    either_unit,
    parse_fraction,
    parse_percent,
    parse_torque,
    parse_unit,
    shown,
    split_amount,
)

__all__ = ["Basis", "Limits", "Side", "Spec", "check_basis", "corrected", "parse_basis", "parse_spec"]

Side = Literal["below", "within", "above"]
Basis = Literal["total", "above-run-on", "above-run-on-from"]

EXAMPLES: Final = "60..80 N·m, 72 ± 3 N·m, 72 N·m ± 5 %, 44 +2/-1 N·m, min 11 lbf·in or max 20 lbf·in"


class Limits(NamedTuple):
    """A closed interval of torque, N·m; an open end is None."""

    low: Fraction | None
    high: Fraction | None

    def side(self, torque: Fraction) -> Side:
        """Tell where a torque lies; on a limit it is within."""
        # Compared by whole numbers: it is asked for every reading, and comparing fractions takes four times as long.
        above, below = torque.numerator, torque.denominator
        low, high = self.low, self.high
        if low is not None and above * low.denominator < low.numerator * below:
            return "below"
        if high is not None and above * high.denominator > high.numerator * below:
            return "above"
        return "within"

    def times(self, ratio: Fraction) -> "Limits":
        """Both ends multiplied: by a ratio of adapters, for one."""
        return self._each(lambda end: end * ratio)

    def scaled(self, share: Fraction) -> "Limits":
        """Both ends of a pass at this share of the full torque."""
        return self.times(share)

    def plus(self, torque: Fraction) -> "Limits":
        """Both ends raised by a torque, N·m."""
        return self._each(lambda end: end + torque)

    def shared(self, other: "Limits") -> "Limits":
        """What lies inside both; the low end is above the high one where nothing does."""
        lows = [end for end in (self.low, other.low) if end is not None]
        highs = [end for end in (self.high, other.high) if end is not None]
        return Limits(max(lows, default=None), min(highs, default=None))

    @property
    def middle(self) -> Fraction | None:
        """The torque halfway between the ends, N·m; None where one is open."""
        return None if self.low is None or self.high is None else (self.low + self.high) / 2

    def shown(self, symbol: str, digits: int = 16) -> tuple[str | None, str | None]:
        """Both ends as text in a unit, an open one as None."""
        return (
            None if self.low is None else shown(self.low, symbol, digits),
            None if self.high is None else shown(self.high, symbol, digits),
        )

    def words(self, symbol: str, digits: int = 6) -> str:
        """The interval in words: `60 to 80 N·m`, `at least 60 N·m`, `80 N·m at most`."""
        low, high = self.shown(symbol, digits)
        if low is None or high is None:
            return f"{high} {symbol} at most" if high is not None else f"at least {low or 0} {symbol}"
        return f"{low} to {high} {symbol}"

    def _each(self, change: Callable[[Fraction], Fraction]) -> "Limits":
        return Limits(
            None if self.low is None else change(self.low),
            None if self.high is None else change(self.high),
        )


class Spec(NamedTuple):
    """A torque as a document specifies it.

    Attributes:
        text: its one written form, the values as they were read.
        unit: the printed symbol of its first unit.
        limits: what it allows, N·m.
        nominal: the torque it names beside a tolerance, N·m, or None.
    """

    text: str
    unit: str
    limits: Limits
    nominal: Fraction | None = None

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=256)
def parse_spec(text: str, tolerance: Fraction | None = None) -> Spec:
    """Read a torque specification, such as `60..80 N·m`, `72 N·m ± 5 %` or `min 11 lbf·in`.

    Args:
        text: the specification.
        tolerance: the share of it that a single torque may be off, such as 1/20; not for other forms.

    Raises:
        TorquelogError: tolerance-missing, tolerance-twice, limits-reversed, limits-below-zero, spec-form, and
            what `parse_torque` and `parse_percent` raise.
    """
    word = re.sub(r"\+\s*/?\s*[-−]", "±", text.strip())
    single = not re.search(r"\.\.|[±+]|^(?:min|max)", word, re.IGNORECASE)
    if tolerance is not None and not single:
        raise TorquelogError(
            "tolerance-twice",
            f"{quoted(text)} has its limits already.",
            why="A tolerance belongs to a single torque.",
            hint="Leave the tolerance out",
        )
    _check_units(word)
    spec = _single(word, tolerance) if single else _bounded(word)
    _check_ends(spec, text)
    return spec


def parse_basis(text: str, share: str | None = None) -> tuple[Basis, Fraction | None]:
    """Read what a specified torque is counted from, with the share that `above-run-on-from` needs.

    Args:
        text: `total`, `above-run-on`, or `above-run-on-from` with its share behind it or given apart.
        share: the share of the low limit from which run-on torque is added, such as `1/3`.

    Raises:
        TorquelogError: basis-form, and what `parse_fraction` raises.
    """
    name, _, behind = text.strip().partition(" ")
    share_text = behind.strip() or share
    if name == "above-run-on-from" and share_text:
        return "above-run-on-from", parse_fraction(share_text)
    if name in ("total", "above-run-on") and not share_text:
        return ("total" if name == "total" else "above-run-on"), None
    needs = name == "above-run-on-from"
    raise TorquelogError(
        "basis-form",
        f"{quoted(text)} needs the share of the low limit."
        if needs
        else f"{quoted(text)} is not a torque basis.",
        why="A torque is the total, or on top of run-on torque, always or from a share of the low limit.",
        hint="Type total, above-run-on or above-run-on-from 1/3",
    )


def check_basis(limits: Limits, basis: Basis, from_share: Fraction | None) -> None:
    """Check that a basis can be used with these limits.

    Raises:
        TorquelogError: basis-form, where a share is missing or there is no low limit to take it of.
    """
    if basis == "above-run-on-from" and (from_share is None or limits.low is None):
        raise TorquelogError(
            "basis-form",
            "The basis above-run-on-from needs a low limit and a share of it.",
            why="Run-on torque is added from that share of the low limit.",
            hint="Give both limits, and the share such as 1/3",
        )


def corrected(
    limits: Limits,
    basis: Basis,
    run_on: Fraction | None,
    from_share: Fraction | None = None,
    share: Fraction = Fraction(1),
) -> Limits:
    """Give the limits of the torque that the wrench must bring, run-on torque included.

    `total`: as they are (NASA-STD-5020B 4.8.1). `above-run-on`: run-on torque is added to both ends
    (FAA AC 43.13-1B 7-40). `above-run-on-from`: added only where it is at least a share of the low limit
    (US Army TB 43-0218 7c: a third).

    Args:
        limits: as specified, N·m.
        basis: what the specified torque is counted from.
        run_on: the run-on torque measured, N·m, or None where none was.
        from_share: the share of the full low limit from which run-on torque is added.
        share: the share of the specified torque that this pass has; run-on torque is not scaled.

    Raises:
        TorquelogError: run-on-missing, basis-form.
    """
    check_basis(limits, basis, from_share)
    scaled = limits.scaled(share)
    if basis == "total":
        return scaled
    if run_on is None:
        raise TorquelogError(
            "run-on-missing",
            "These limits are above run-on torque, and no run-on torque was given.",
            why="Run-on torque is added to both limits.",
            hint='Measure it with the nut nearly down, and type it like --run-on "16 in-lb"',
        )
    counted = from_share is None or limits.low is None or run_on >= from_share * limits.low
    return scaled.plus(run_on) if basis == "above-run-on" or counted else scaled


def _single(word: str, tolerance: Fraction | None) -> Spec:
    """A single torque with a tolerance given apart."""
    words = re.fullmatch(r"([0-9.]+)\s*([^0-9]*?)\s*\bto\b\s*([0-9.]+.*)", word, re.IGNORECASE)
    if words:
        raise _unreadable(word, f"Type it like {words[1]}..{words[3]}")
    if word.startswith(("<", ">", "≤", "≥")):
        end = "max" if word[0] in "<≤" else "min"
        raise _unreadable(word, f"Type it like {end} {word.lstrip('<>≤≥= ')}")
    nominal = parse_torque(word)
    if tolerance is None:
        raise TorquelogError(
            "tolerance-missing",
            f"{quoted(str(nominal))} is a single torque, without a tolerance.",
            why="Nothing is tightened to one exact value.",
            hint=f"Type it like {nominal} ± 5 %, or give both limits",
        )
    return _around(nominal, f"{display(tolerance * 100, 24)} %", tolerance)


def _check_units(word: str) -> None:
    """Refuse a force without its arm, showing the whole specification in both readings."""
    for part in re.findall(r"[^\W\d_](?:[-·.⋅* ]?[^\W\d_])*", word):
        forms = either_unit(part)
        if forms:
            alone = rf"(?<![^\W\d_]){part}(?![^\W\d_])"
            readings = " or ".join(re.sub(alone, f" {form}", word).replace("  ", " ") for form in forms)
            raise TorquelogError(
                "unit-ambiguous",
                f"{quoted(part)} in {quoted(word)} could be {' or '.join(forms)}.",
                why="A force without its arm is no torque.",
                hint=f"Look at the document, then type {readings}",
            )


def _bounded(word: str) -> Spec:
    """A specification that says its limits itself."""
    if re.search(r"\.{3,}", word):
        raise _unreadable(word, f"Type it like {re.sub(r'[.]{3,}', '..', word)}")
    named = re.match(r"(min|max)(?![^\W\d_])", word, re.IGNORECASE)
    if named:
        return _one_sided(named[1].lower(), word[named.end() :])
    if "±" in word:
        return _plus_minus(*word.split("±", 1))
    if ".." in word:
        return _from_to(*word.split("..", 1))
    return _uneven(word)


def _one_sided(end: str, behind: str) -> Spec:
    torque = parse_torque(behind)
    value = torque.newton_metres
    limits = Limits(value, None) if end == "min" else Limits(None, value)
    return Spec(f"{end} {torque}", torque.unit, limits)


def _from_to(before: str, behind: str) -> Spec:
    high = parse_torque(behind)
    low = _same_unit(before, high)
    same = low.unit == high.unit
    text = f"{low.value}..{high}" if same else f"{low}..{high}"
    return Spec(text, low.unit, Limits(low.newton_metres, high.newton_metres))


def _plus_minus(before: str, behind: str) -> Spec:
    percent, unit_text = split_amount(behind)
    if "%" in unit_text:
        if unit_text != "%":
            raise _unreadable(f"{before}±{behind}", f"Type it like {before.strip()} Nm ± {percent} %")
        nominal = parse_torque(before)
        return _around(nominal, f"{percent} %", parse_percent(behind))
    tolerance = parse_torque(behind)
    nominal = _same_unit(before, tolerance)
    same = nominal.unit == tolerance.unit
    text = f"{nominal.value} ± {tolerance}" if same else f"{nominal} ± {tolerance}"
    middle, off = nominal.newton_metres, tolerance.newton_metres
    return Spec(text, nominal.unit, Limits(middle - off, middle + off), middle)


def _uneven(word: str) -> Spec:
    match = re.fullmatch(r"([^+/]*)\+([^+/]*)/\s*[-−]([^+/]*)", word)
    if not match:
        raise _unreadable(word, f"Type it like {EXAMPLES}")
    lower = parse_torque(match[3])
    unit = parse_unit(lower.unit)
    nominal, upper = (parse_number(part, lower.unit) for part in match.groups()[:2])
    limits = Limits(nominal - parse_number(lower.value), nominal + upper).times(unit.newton_metres)
    text = f"{match[1].strip()} +{match[2].strip()}/-{lower}"
    return Spec(text, unit.symbol, limits, nominal * unit.newton_metres)


def _around(nominal: Torque, percent: str, tolerance: Fraction) -> Spec:
    """Limits at a share below and above a torque."""
    value = nominal.newton_metres
    limits = Limits(value * (1 - tolerance), value * (1 + tolerance))
    return Spec(f"{nominal} ± {percent}", nominal.unit, limits, value)


def _same_unit(text: str, other: Torque) -> Torque:
    """A torque, or a number alone that has the other one's unit."""
    number, unit_text = split_amount(text)
    if number and not unit_text:
        parse_number(number, other.unit)
        return Torque(number, other.unit)
    return parse_torque(text)


def _check_ends(spec: Spec, text: str) -> None:
    """Refuse limits that no torque could meet."""
    low, high = spec.limits
    if (low is not None and low < 0) or high == 0:
        raise TorquelogError(
            "limits-below-zero",
            f"{quoted(text)} reaches below zero."
            if high != 0
            else f"{quoted(text)} allows no torque at all.",
            why="A torque is never negative; which way it turns is said elsewhere.",
            hint=f"Type it like {EXAMPLES}",
        )
    if low is not None and high is not None and low > high:
        low_text, high_text = spec.limits.shown(spec.unit)
        raise TorquelogError(
            "limits-reversed",
            f"{quoted(text)} has its low limit above its high one.",
            why="The low limit comes first.",
            hint=f"If that is what is meant, type it like {high_text}..{low_text} {spec.unit}",
        )


def _unreadable(word: str, hint: str) -> TorquelogError:
    return TorquelogError(
        "spec-form",
        f"{quoted(word)} is not a torque specification as it is written here.",
        why="A specification says its limits.",
        hint=hint,
    )
