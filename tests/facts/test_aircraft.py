"""Aircraft by their serial number, and the registration they bear on a day."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.rows import Rows
from torquelog.clock import day_end, day_start, zone
from torquelog.facts import aircraft
from torquelog.facts.aircraft import Aircraft
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf

LISBON = zone("Europe/Lisbon")
DAY = 86_400_000


def moment(day: int) -> int:
    """A time in the middle of a day of January 2026, in Lisbon."""
    return day_start(date(2026, 1, day), LISBON) + DAY // 2


def register(
    rows: Rows, msn: str, name: str, day: int, told: int | None = None, number: int | None = None
) -> str:
    body = {"msn": msn, "registration": name, "on": f"2026-01-{day:02}"}
    return rows.put("registration", body, moment(told or day), number=number)


@pytest.fixture
def rows() -> Rows:
    rows = Rows()
    station = {"code": "QHR", "zone": "Europe/Lisbon"}
    rows.connection.execute(
        "INSERT INTO station (station, number, at, recorded, known, code, zone, identity) "
        "VALUES ('QHR', 1, 0, 0, 0, :code, :zone, 'x')",
        station,
    )
    for msn in ("100", "200"):
        rows.put("aircraft", {"msn": msn, "type": "EX-1"}, moment(2))
    return rows


def as_of(day: int) -> AsOf:
    return AsOf(moment(day), END_OF_TIME)


def test_a_registration_is_borne_from_the_start_of_its_day(rows: Rows) -> None:
    """The day is the station's local day, its first millisecond included."""
    register(rows, "100", "QQ-HLB", 3)
    register(rows, "100", "QQ-NEW", 10)
    start = day_start(date(2026, 1, 10), LISBON)
    assert aircraft.registration(rows.connection, "100", AsOf(start, END_OF_TIME)) == "QQ-NEW"
    assert aircraft.registration(rows.connection, "100", AsOf(start - 1, END_OF_TIME)) == "QQ-HLB"
    assert day_end(date(2026, 1, 9), LISBON) == start


def test_a_registration_names_who_bears_it_that_day(rows: Rows) -> None:
    """After it went to another aircraft the name means that one, and earlier work still finds the first."""
    register(rows, "100", "QQ-HLB", 3)
    register(rows, "100", "QQ-OLD", 8)
    register(rows, "200", "QQ-HLB", 9)
    assert aircraft.aircraft(rows.connection, "QQ-HLB") == Aircraft("200", "EX-1")
    assert aircraft.aircraft(rows.connection, "QQ-HLB", as_of(5)) == Aircraft("100", "EX-1")


def test_a_registration_given_to_another_is_lost(rows: Rows) -> None:
    """Where nobody recorded the old one's new registration, it bears none rather than the same."""
    register(rows, "100", "QQ-HLB", 3)
    register(rows, "200", "QQ-HLB", 9)
    assert aircraft.registration(rows.connection, "100") is None
    assert aircraft.registration(rows.connection, "100", as_of(8)) == "QQ-HLB"
    assert [each.msn for each in aircraft.fleet(rows.connection)] == ["100", "200"]


def test_work_before_the_aircraft_was_on_record_finds_it(rows: Rows) -> None:
    """Told on the 9th, asked for the 5th: its first registration is used, and its serial number always."""
    register(rows, "100", "QQ-HLB", 9)
    assert aircraft.aircraft(rows.connection, "QQ-HLB", as_of(5)) == Aircraft("100", "EX-1")
    assert aircraft.aircraft(rows.connection, "100", as_of(5)) == Aircraft("100", "EX-1")
    assert aircraft.aircraft(rows.connection, "QQ-ABC") is None


def test_a_struck_registration_was_never_borne(rows: Rows) -> None:
    """From when the strike is known, the name finds nobody."""
    entry = register(rows, "100", "QQ-HLB", 3)
    rows.put("strike", {"entry": entry, "why": "typing mistake"}, moment(6))
    assert aircraft.aircraft(rows.connection, "QQ-HLB") is None
    assert aircraft.aircraft(rows.connection, "QQ-HLB", AsOf(LATEST.at, moment(5))) is not None


changes = st.lists(
    st.tuples(
        st.sampled_from(("100", "200")),
        st.sampled_from(("QA", "QB", "QC")),
        st.integers(3, 20),
        st.integers(3, 28),
    ),
    max_size=8,
)


@settings(max_examples=60, deadline=None)
@given(changes=changes, day=st.integers(1, 28), known=st.integers(1, 28))
def test_registrations_are_those_of_a_naive_list(
    changes: list[tuple[str, str, int, int]], day: int, known: int
) -> None:
    """Told late and in any order, a registration is what a plain walk through the days gives."""
    rows = Rows()
    for msn in ("100", "200"):
        rows.put("aircraft", {"msn": msn, "type": "EX-1"}, 0)
    for number, (msn, name, on, told) in enumerate(changes, start=10):
        register(rows, msn, name, on, told, number)
    when = AsOf(moment(day), moment(known))
    heard = [
        (on, told, number, msn, name) for number, (msn, name, on, told) in enumerate(changes) if told <= known
    ]
    for msn in ("100", "200"):
        assert aircraft.registration(rows.connection, msn, when) == _naive(sorted(heard), msn, day)


def _naive(heard: list[tuple[int, int, int, str, str]], msn: str, day: int) -> str | None:
    own = [(on, name) for on, _, _, each, name in heard if each == msn]
    if not own:
        return None
    borne = own[0][1]
    for on, name in own:
        if on <= day:
            borne = name
    bearer = msn
    for on, _, _, each, name in heard:
        if name == borne and on <= day:
            bearer = each
    return borne if bearer == msn else None
