"""What is kept of the readings of an item: every name, every count, all that a decision has to be compared with."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rules.test_recall_item import AT, disposition, taken
from torquelog.rules.recall_item import Taken, governing, stands
from torquelog.rules.recall_readings import kept, stand


@st.composite
def some(draw: st.DrawFn) -> list[Taken]:
    """Readings of two stations in the order of their work, some known later than they were recorded."""
    numbers = draw(st.lists(st.integers(1, 30), min_size=1, max_size=6, unique=True))
    return [
        taken(
            number,
            station=draw(st.sampled_from(["QHR", "QLS"])),
            known=AT + number + draw(st.sampled_from([0, 0, 7])),
            act=draw(st.sampled_from(["tighten", "check"])),
            struck=draw(st.booleans()),
            reasons=draw(st.sampled_from([(), ("direction-not-calibrated",)])),
        )
        for number in sorted(numbers)
    ]


@settings(max_examples=200)
@given(some(), st.integers(1, 40), st.sampled_from([0, 9]), st.sampled_from(["accepted", "notified"]))
def test_a_decision_stands_where_it_does_for_each_reading(
    readings: list[Taken], number: int, later: int, decision: str
) -> None:
    """What is kept answers as the readings themselves, one by one."""
    made = disposition(number, decision, known=AT + number + later)
    naive = all(stands(each.reading, each.known, made) for each in readings)
    assert stand(kept(readings, governing(readings)), made) == naive
    assert not stand(kept(readings, governing(readings)), None)


@given(some())
def test_every_reading_is_named_and_counted_once(readings: list[Taken]) -> None:
    """In their order; the governing one is counted apart."""
    last = governing(readings)
    found = kept(readings, last)
    assert list(found.entries()) == [(each.reading.station, each.reading.number) for each in readings]
    assert found.total == len(readings)
    parts = [each.part for each in readings if each is not last]
    assert dict(found.parts) == {part: parts.count(part) for part in set(parts)}
    first = min(readings, key=lambda each: (each.known, each.reading.station, each.reading.number))
    assert found.first == (first.known, first.reading.station, first.reading.number)
    assert found.directions_missing == {("W-1", "cw") for each in readings if each.judged.reasons}


def test_a_million_names_take_four_bytes_each() -> None:
    """However many readings a fastener has, beside their numbers little is kept."""
    found = kept([taken(number) for number in range(1, 1001)], taken(1000))
    (run,) = found.runs
    assert (run.station, len(run.numbers)) == ("QHR", 4 * 1000)
    assert len(found.own) == 1


@pytest.mark.parametrize(("largest", "width"), [(2**32 - 1, 4), (2**32, 8), (2**53, 8)])
def test_a_number_that_four_bytes_do_not_hold_takes_eight(largest: int, width: int) -> None:
    """And those beside it."""
    (run,) = kept([taken(7, at=AT), taken(largest, at=AT)], taken(7)).runs
    assert len(run.numbers) == 2 * width
    assert list(kept([taken(7), taken(largest, at=AT)], taken(7)).entries()) == [("QHR", 7), ("QHR", largest)]


def test_of_torques_too_high_the_last_of_each_sort_is_kept() -> None:
    """That of a check as well; one of a struck entry or a refusal only where there is nothing else."""
    first, second, check = (
        taken(1, over="certain"),
        taken(2, over="certain"),
        taken(3, act="check", over="possible"),
    )
    struck, refused = taken(4, struck=True, over="certain"), taken(5, outcome="refused", over="possible")
    assert kept([first, second, check, struck, refused], second).over == (
        ("certain", AT + 2), ("possible", AT + 3),
    )  # fmt: skip
    assert kept([struck, refused], refused).over == (("possible", AT + 5),)
    assert kept([taken(6)], taken(6)).over == ()


def test_the_names_come_back_as_they_were_given() -> None:
    """Oldest first, station by station."""
    given = [taken(10), taken(11), taken(3, station="ABC"), taken(14)]
    named = [("QHR", 10), ("QHR", 11), ("ABC", 3), ("QHR", 14)]
    assert list(kept(given, given[0]).entries()) == named


def test_a_decision_stands_for_a_reading_that_was_taken_in_before_it() -> None:
    """And not for one that was taken in after it, nor where it was not final."""
    elsewhere = taken(10, station="ABC", known=AT + 20)
    for known, said in ((AT + 20, True), (AT + 19, False)):
        made = disposition(11, known=known)
        assert stands(elsewhere.reading, elsewhere.known, made) is said
        assert stand(kept([elsewhere], elsewhere), made) is said
    assert not stands(elsewhere.reading, elsewhere.known, disposition(11, "notified", known=AT + 20))


@pytest.mark.parametrize(
    ("station", "number", "known", "said"),
    [
        ("QHR", 11, AT + 11, True),
        ("QHR", 11, AT, True),  # its place in the chain counts, whatever the clock said
        ("QHR", 10, AT + 11, False),
        ("QHR", 9, AT + 11, False),
        ("QLS", 9, AT + 10, True),  # of two chains the time counts, whatever their numbers
        ("QLS", 11, AT + 9, False),
    ],
)
def test_a_reading_known_when_it_was_recorded_lies_before_a_decision(
    station: str, number: int, known: int, said: bool
) -> None:
    """Entry 10 of QHR, and a decision of the same or of another station."""
    made = disposition(number, station=station, known=known)
    reading = taken(10, known=AT + 10)
    assert stands(reading.reading, reading.known, made) is said
    assert stand(kept([reading], reading), made) is said
