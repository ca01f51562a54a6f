"""Registering tools: what is asked of each sort, and that a number and a serial number are used once."""

from dataclasses import dataclass
from fractions import Fraction

import pytest

from tests.crib.conftest import adapter, add, entries, wrench
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.torque.units import Length


@dataclass
class Wrong:
    """A tool that cannot be, and a word of the reason."""

    new: NewTool
    word: str


def test_a_wrench_is_on_record_as_told(kept):
    """With the entry that registered it."""
    found = add(kept, wrench(maker="Acme", serial="X-1", place="B1"))
    assert found.tool == tools.tool(kept.book.connection, "W-0417")
    assert (found.tool.accuracy, found.tool.cycles, found.tool.place) == (Fraction(1, 25), 5000, "B1")
    assert found.tool.reference == found.reference


def test_a_number_is_never_used_twice(kept):
    """Not for another sort of tool either."""
    add(kept, wrench())
    before = entries(kept)
    for again in (wrench(), adapter("W-0417")):
        with pytest.raises(TorquelogError) as raised:
            add(kept, again)
        assert raised.value.code == "exists"
    assert entries(kept) == before


def test_maker_and_serial_name_one_tool(kept):
    """In capitals or not; another maker may use the same serial number."""
    add(kept, wrench(maker="Acme", serial="X-1"))
    with pytest.raises(TorquelogError, match="as W-0417"):
        add(kept, wrench("W-2", maker="ACME", serial="x-1"))
    add(kept, wrench("W-3", maker="Bolt & Co", serial="X-1"))
    add(kept, wrench("W-4", maker="Acme"))
    add(kept, wrench("W-5", maker="Acme"))


def test_sorts_of_tools_that_are_taken(kept):
    """A preset wrench without graduation, an adapter turned back, a multiplier, a tester, a wrench without lever."""
    add(kept, wrench("W-1", type="preset", scales=(parse_scale("45 Nm"),), lever=None))
    add(
        kept,
        wrench(
            "W-2",
            type="indicating",
            scales=(parse_scale("20..100 ft-lb by 1"), parse_scale("30..130 Nm by 1")),
        ),
    )
    assert add(kept, adapter("A-1", length=Length("-2", "in"), angle="30")).tool.angle == 30
    assert add(kept, adapter("A-2", length=None, multiplier="3.8")).tool.multiplier == Fraction(19, 5)
    assert (
        add(kept, NewTool("T-1", "tester", scales=(parse_scale("5..200 Nm"),), accuracy="1")).tool.sort
        == "tester"
    )


WRONG = [
    Wrong(wrench(type=""), "clicks"),
    Wrong(wrench(type="electric"), "electric"),
    Wrong(wrench(scales=()), "range"),
    Wrong(wrench(scales=(parse_scale("20..100 ft-lb"),)), "graduation"),
    Wrong(wrench(scales=(parse_scale("45 Nm by 1"),)), "one torque"),
    Wrong(wrench(scales=(parse_scale("20..100 Nm by 1"), parse_scale("2..10 Nm by 1"))), "same unit"),
    Wrong(wrench(lever=Length("0", "in")), "lever"),
    Wrong(wrench(length=Length("2", "in")), "length of its own"),
    Wrong(wrench(accuracy="0"), "0 %"),
    Wrong(wrench(accuracy="100"), "100 %"),
    Wrong(wrench(cycles=0), "no cycles"),
    Wrong(wrench(owner="borrowed"), "owner"),
    Wrong(wrench(use="never"), "use"),
    Wrong(adapter(length=None), "length or a ratio"),
    Wrong(adapter(multiplier="3.8"), "length or a ratio"),
    Wrong(adapter(length=Length("0", "in")), "zero"),
    Wrong(adapter(length=None, multiplier="3", angle="5"), "angle"),
    Wrong(adapter(length=None, multiplier="0"), "ratio is zero"),
    Wrong(adapter(lever=Length("1", "in")), "no lever"),
    Wrong(NewTool("T-1", "tester", lever=Length("1", "in")), "tester"),
]


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.word)
def test_what_cannot_be_is_said_and_not_written(kept, wrong):
    """A clear reason and what to type instead."""
    before = entries(kept)
    with pytest.raises(TorquelogError) as raised:
        add(kept, wrong.new)
    assert raised.value.code == "tool-facts"
    assert wrong.word in raised.value.what
    assert raised.value.hint
    assert entries(kept) == before
