"""Ranges and graduations as people type them."""

import pytest

from torquelog.crib.scales import parse_range, parse_scale
from torquelog.errors import TorquelogError
from torquelog.torque.units import Torque


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("20..100 ft-lb", "20 lbf·ft", "100 lbf·ft"),
        ("20.0..100Nm", "20.0 N·m", "100 N·m"),
        ("2 Nm..10 Nm", "2 N·m", "10 N·m"),
        ("0..5 Nm", "0 N·m", "5 N·m"),
        ("45 Nm", "45 N·m", "45 N·m"),
    ],
)
def test_ranges_keep_their_digits(text, low, high):
    """The unit may stand once or at both ends; one torque is both ends."""
    assert [str(end) for end in parse_range(text)] == [low, high]


@pytest.mark.parametrize("text", ["20..100 ft-lb by 0.5", "20..100 ft-lb by 0.5 ft-lb"])
def test_graduation_behind_by(text):
    """With its unit or without."""
    assert parse_scale(text).graduation == Torque("0.5", "lbf·ft")
    assert parse_scale("20..100 ft-lb", "0.5").graduation == Torque("0.5", "lbf·ft")
    assert parse_scale("20..100 ft-lb").graduation is None


@pytest.mark.parametrize(
    ("text", "graduation", "code"),
    [
        ("20-100 ft-lb", None, "range-form"),
        ("100..20 ft-lb", None, "range-form"),
        ("20 Nm..100 ft-lb", None, "range-form"),
        ("0 Nm", None, "range-form"),
        ("0..0 Nm", None, "range-form"),
        ("20..100 lb", None, "unit-ambiguous"),
        ("20..100", None, "unit-missing"),
        ("20..1,000 Nm", None, "number-form"),
        ("a..100 Nm", None, "number-form"),
        ("..100 Nm", None, "number-form"),
        ("20..100 Nm", "0", "graduation-zero"),
        ("20..100 Nm", "0.5 ft-lb", "range-form"),
        ("20..100 Nm", "90", "range-form"),
    ],
)
def test_what_is_no_range_says_why(text, graduation, code):
    """A code and a hint for each."""
    with pytest.raises(TorquelogError) as raised:
        parse_scale(text, graduation)
    assert raised.value.code == code
    assert raised.value.hint
