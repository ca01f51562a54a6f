"""Where assemblies are, and what ends the tightness of what they carry or hold."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.facts import placements as naive
from tests.facts.placements import KEYS, SORTS, Told
from tests.support.rows import Rows
from torquelog.clock import utc_text
from torquelog.errors import TorquelogError
from torquelog.facts import assemblies
from torquelog.facts.assemblies import ACTS, Assembly, Place, assembly_owner, position_of, position_owner
from torquelog.facts.rows import LATEST, AsOf

HOUR = 3_600_000
WHEEL = {"part": "EX-4410-1", "serial": "WH-2231"}
KEY = "EX-4410-1 WH-2231"

hours = st.integers(0, 8).map(lambda hour: hour * HOUR)


@st.composite
def tellings(draw: st.DrawFn) -> list[Told]:
    """Things told in any order, late, by two stations, some of them struck."""
    told = []
    for number in range(1, draw(st.integers(0, 14)) + 1):
        recorded = draw(hours)
        told.append(
            Told(
                key=draw(st.sampled_from(KEYS)),
                act=draw(st.sampled_from(ACTS)),
                at=draw(hours),
                recorded=recorded,
                known=recorded + draw(hours),
                station=draw(st.sampled_from(("QHR", "QXA"))),
                number=number,
                aircraft=draw(st.sampled_from(("100", "200"))),
                position=draw(st.sampled_from(("main 1", "main 2"))),
                to=draw(st.sampled_from(("", "stores", "shop", "scrap", "Hangar 7"))),
                struck=draw(st.none() | hours),
            )
        )
    return draw(st.permutations(told))


def rows_of(told: list[Told]) -> Rows:
    rows = Rows()
    for number, (key, sort) in enumerate(SORTS.items(), start=1):
        part, serial = key.split()
        rows.put("assembly", {"part": part, "serial": serial, "kind": sort}, 0, station="QRG", number=number)
    for each in told:
        naive.put(rows, each)
    return rows


@settings(max_examples=60, deadline=None)
@given(told=tellings(), at=hours, known=hours)
def test_places_are_those_of_the_naive_account(told: list[Told], at: int, known: int) -> None:
    """Every question about place, hold, position and ending has the naive account's answer, late entries,
    strikes and other stations included."""
    connection, as_of = rows_of(told).connection, AsOf(at, known * 2)
    for key in KEYS:
        assert assemblies.place(connection, key, as_of) == naive.where(naive.counted(told, as_of, key))
    for msn in ("100", "200"):
        for position in (None, "main 1", "main 2"):
            there = [each.key for each in assemblies.fitted(connection, msn, position, as_of)]
            assert sorted(there) == naive.on_board(told, as_of, msn, position)
            if position:
                found = assemblies.endings(connection, position_owner(msn, position), as_of)
                assert list(found) == naive.ended_at(told, as_of, msn, position)


@settings(max_examples=30, deadline=None)
@given(told=tellings(), again=st.randoms(use_true_random=False))
def test_the_order_of_arrival_does_not_matter(told: list[Told], again: "object") -> None:
    """The same entries, merged in another order, put every assembly at the same place."""
    shuffled = list(told)
    again.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = rows_of(told).connection, rows_of(shuffled).connection
    for key in KEYS:
        assert assemblies.place(one, key) == assemblies.place(other, key)
        assert assemblies.placements(one, key) == assemblies.placements(other, key)


@pytest.fixture
def rows() -> Rows:
    rows = Rows()
    rows.put("assembly", WHEEL | {"kind": "wheel"}, HOUR)
    return rows


def put(rows: Rows, act: str, hour: int, **members: str) -> None:
    rows.put("placement", {"act": act, **WHEEL, "at": utc_text(hour * HOUR), **members}, hour * HOUR)


def test_an_assembly_nobody_ever_placed_is_at_no_known_place(rows: Rows) -> None:
    """A new assembly is nowhere that is on record, and nobody says since when."""
    assert assemblies.place(rows.connection, KEY) == Place("unknown")


def test_a_wheel_moved_to_stores_keeps_its_tie_bolts(rows: Rows) -> None:
    """Fitting, removing and moving end nothing that travels with the wheel; taking apart and scrapping do."""
    put(rows, "fit", 2, aircraft="100", position="main 2")
    put(rows, "remove", 3, aircraft="100", position="main 2", to="stores")
    put(rows, "move", 4, to="Wheel house, Porto")
    assert assemblies.endings(rows.connection, assembly_owner(KEY)) == ()
    put(rows, "take-apart", 5)
    put(rows, "move", 6, to="scrap")
    found = assemblies.endings(rows.connection, assembly_owner(KEY))
    assert [(ending.act, ending.at) for ending in found] == [("take-apart", 5 * HOUR), ("move", 6 * HOUR)]


def test_coming_and_leaving_end_what_is_tight_at_the_position(rows: Rows) -> None:
    """The axle nut at main 2 is ended by the wheel that comes and by the wheel that leaves, at main 2 only."""
    put(rows, "fit", 2, aircraft="100", position="main 2")
    put(rows, "hold", 3, why="x")
    put(rows, "remove", 4)
    found = assemblies.endings(rows.connection, position_owner("100", "main 2"))
    assert [(ending.act, ending.assembly) for ending in found] == [("fit", KEY), ("remove", KEY)]
    assert assemblies.endings(rows.connection, position_owner("100", "main 1")) == ()


def test_fitting_elsewhere_takes_it_from_where_it_was(rows: Rows) -> None:
    """Nobody recorded the removal, but a wheel is at one place: the first position has lost it."""
    put(rows, "fit", 2, aircraft="100", position="main 2")
    put(rows, "fit", 5, aircraft="200", position="main 1")
    assert assemblies.fitted(rows.connection, "100") == []
    assert len(assemblies.endings(rows.connection, position_owner("100", "main 2"))) == 2


def test_a_place_is_asked_as_of_a_day(rows: Rows) -> None:
    """On Wednesday it was on one aircraft, whatever was told of Thursday since."""
    put(rows, "fit", 2, aircraft="100", position="main 2")
    put(rows, "remove", 6)
    assert assemblies.place(rows.connection, KEY, AsOf(4 * HOUR, LATEST.known)).aircraft == "100"
    assert assemblies.place(rows.connection, KEY).kind == "unknown"


def test_a_serial_number_of_two_parts_is_a_question(rows: Rows) -> None:
    """Two part numbers bear one serial number: the short form is refused, the long one is not."""
    rows.put("assembly", {"part": "EX-9", "serial": "WH-2231", "kind": "brake"}, 2 * HOUR)
    with pytest.raises(TorquelogError) as caught:
        assemblies.find(rows.connection, "WH-2231")
    assert caught.value.code == "ambiguous"
    assert caught.value.exit == 2
    assert assemblies.find(rows.connection, "EX-9 WH-2231") == Assembly("EX-9", "WH-2231", "brake")


def test_a_name_told_twice_counts_as_told_first(rows: Rows) -> None:
    """Another station's later entry of the same part and serial does not change what it is."""
    rows.put("assembly", WHEEL | {"kind": "brake"}, 2 * HOUR, station="QXA", number=1)
    assert assemblies.find(rows.connection, "WH-2231") == Assembly("EX-4410-1", "WH-2231", "wheel")
    rows.put("assembly", WHEEL | {"kind": "hub"}, 0, station="QXB", number=1)
    assert assemblies.find(rows.connection, "WH-2231") == Assembly("EX-4410-1", "WH-2231", "hub")


def test_a_position_is_compared_without_its_blanks_and_capitals() -> None:
    """ "Main  2" and "main 2" are one position."""
    assert position_of(" Main  2 ") == position_of("main 2") == "main 2"
