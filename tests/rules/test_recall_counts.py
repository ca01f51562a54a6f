"""The counts of a recall, item by item."""

from tests.rules.test_recall_item import FLYING, GOOD, OUT, STORES, disposition, made, taken
from torquelog.rules.recall_counts import Counts, count, to_measure
from torquelog.rules.recall_item import Item, decided
from torquelog.torque.units import Torque

UNCLEAR = {"answer": "indeterminate"}


def test_each_item_is_counted_by_its_verdict_its_place_and_what_was_done_since() -> None:
    """Ten fasteners: what still concerns, and of that what flies, is counted apart from what is put right."""
    cured = {"again": GOOD, "undone": "loosened"}
    items = [
        made(taken(1, **OUT), taken(2, act="check"), taken(3, outcome="refused"), taken(4, struck=True)),
        made(taken(5, **OUT), where=STORES),
        made(taken(6, **OUT), where=STORES),
        made(taken(7, **OUT), where=FLYING, **cured),
        made(taken(8, **UNCLEAR), where=FLYING),
        made(taken(9, **UNCLEAR), where=FLYING),
        made(taken(10, **UNCLEAR), where=STORES),
        made(taken(11), taken(12, **UNCLEAR), where=FLYING, **cured),
        made(taken(13), where=FLYING),
        decided(made(taken(14), where=STORES), disposition(15)),
    ]
    assert count(items) == Counts(
        readings=14, governing=10, earlier=1, checked=1, refused=1, struck=1, items=10,
        outside=4, indeterminate=4, within=2, retightened=2, concerned=8,
        concerned_outside=3, concerned_indeterminate=3, flying_outside=1, flying_indeterminate=2,
        undecided=9, decided=1,
    )  # fmt: skip


def test_a_recall_that_finds_nothing_counts_nothing() -> None:
    """Every count is zero."""
    assert set(count([])) == {0}


def test_settings_wanted_equally_often_stand_in_one_order() -> None:
    """By unit, then by what stands on the scale, then by direction; those wanted more often before them."""

    def wanted(number: int, value: str, unit: str, direction: str = "cw") -> Item:
        reading = taken(number, indicated=Torque(value, unit), direction=direction, **UNCLEAR)
        return made(reading, fastener=("a", "b", number))

    told = [("30", "N·m", "cw"), ("25", "N·m", "cw"), ("25", "N·m", "ccw"), ("40", "lbf·ft", "cw")]
    items = [wanted(number, *each) for number, each in enumerate([*told, told[0]], 1)]
    assert [tuple(each) for each in to_measure(items)] == [
        ("30", "N·m", "cw", 2),
        ("25", "N·m", "ccw", 1),
        ("25", "N·m", "cw", 1),
        ("40", "lbf·ft", "cw", 1),
    ]
