"""The words of the rules: how fasteners are named, and what is told to beware of."""

from collections.abc import Sequence

import pytest

from torquelog.rules import cautions
from torquelog.rules.names import fastener_name, fasteners_name, runs


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ([7], "tie bolt 7"),
        ([1], "tie bolt 1"),
        ([1, 2], "tie bolts 1 to 2"),
        ([9, 3, 4, 5], "tie bolts 3 to 5 and 9"),
        ([1, 3, 5], "tie bolts 1, 3 and 5"),
        ([4, 4], "tie bolt 4"),
    ],
)
def test_fasteners_are_told_in_runs(items: Sequence[int], words: str) -> None:
    """In their order, each once, one alone without the plural."""
    assert fasteners_name("tie-bolt", items) == words


def test_runs_are_consecutive_numbers() -> None:
    """Also a run that begins below one; one fastener has its name."""
    assert runs([0, 1, 3]) == [(0, 1), (3, 3)]
    assert runs([]) == []
    assert fastener_name("axle-nut", 1) == "axle nut 1"


def test_cautions_are_those_of_the_kind_and_the_place() -> None:
    """A wheel on the aircraft is hot, one on the bench is inflated in a cage; what is not known has none."""
    on, off = cautions.cautions("wheel", on_aircraft=True), cautions.cautions("wheel", on_aircraft=False)
    assert [words.split()[0] for words in on] == ["Hot", "Deflate", "Keep", "Jacks,"]
    assert [words.split()[0] for words in off] == ["Deflate", "Keep", "Inflate"]
    assert [words.split()[0] for words in cautions.cautions("brake", on_aircraft=True)] == [
        "Hot",
        "Parking",
        "Jacks,",
    ]
    assert cautions.cautions("brake", on_aircraft=False) == ()
    assert cautions.cautions("", on_aircraft=True) == ()
