"""A row of values as a line of signs, one a value, the higher the larger. Numbers belong beside it."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

STEPS: Final = "▁▂▃▄▅▆▇█"
"""Without UTF-8 `torquelog.cli.text` shows signs in their stead that have them all."""


def sparkline(values: Sequence[Fraction], low: Fraction, high: Fraction) -> str:
    """The line of some values from `low`, the lowest step, to `high`, the highest; what lies beyond is shown there."""
    return "".join(STEPS[_step(value, low, high)] for value in values)


def _step(value: Fraction, low: Fraction, high: Fraction) -> int:
    if high <= low:
        return len(STEPS) // 2
    return min(max(int((value - low) / (high - low) * len(STEPS)), 0), len(STEPS) - 1)
