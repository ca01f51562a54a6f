"""Facts about what the rows of each kind of file say, and about the columns that errors name."""

from zoneinfo import ZoneInfo

import pytest

from tests.importing.files import ASSEMBLY, READING, RESULT, WRENCH, csv_of, rows_of
from torquelog.book.met import Met
from torquelog.clock import parse_moment
from torquelog.importing.kinds import KINDS
from torquelog.importing.setting import Setting
from torquelog.importing.unit import Unit
from torquelog.importing.units import units

LISBON = ZoneInfo("Europe/Lisbon")
HERE = Setting(LISBON, "TK")


def units_of(kind: str, *rows: dict[str, str], setting: Setting = HERE) -> list[Unit]:
    """The units of rows."""
    with Met() as met:
        return list(units(KINDS[kind], rows_of(csv_of(rows), kind), setting, met))


def only(kind: str, *rows: dict[str, str]) -> Unit:
    """The one unit of rows."""
    (unit,) = units_of(kind, *rows)
    return unit


def wrong(unit: Unit) -> list[tuple[str, str]]:
    """What is wrong: column and code."""
    return [(each.column, each.error.code) for _, each in unit.wrong]


@pytest.mark.parametrize(
    ("reading", "unit", "value", "symbol"),
    [
        ("26.5", "M92", "26.5", "lbf·ft"), ("300", "F21", "300", "lbf·in"), ("10.0", "NU", "10.0", "N·m"),
        ("24", "L41", "24", "ozf·in"), ("26.5 ft-lb", "", "26.5", "lbf·ft"), ("26.5 M92", "", "26.5", "lbf·ft"),
        ("26.5 M92", "lbf-ft", "26.5", "lbf·ft"), ("26.5", "lbf·ft", "26.5", "lbf·ft"),
    ],
)  # fmt: skip
def test_a_unit_is_a_symbol_or_a_code(reading: str, unit: str, value: str, symbol: str) -> None:
    """UNECE Recommendation 20 gives NU, F21, M92 and L41 to four of them; the value keeps its zeros."""
    found = only("readings", {**READING, "reading": reading, "unit": unit})
    assert (found.item.reading.value, found.item.reading.unit) == (value, symbol)


@pytest.mark.parametrize(
    ("reading", "unit", "code"),
    [
        ("26.5", "", "unit-missing"), ("26.5", "lb", "unit-ambiguous"), ("26.5", "XYZ", "unit-unknown"),
        ("26.5", "nu", "unit-unknown"), ("26.5 Nm", "M92", "field-form"), ("26,5", "NU", "number-form"),
        ("1e9999999", "NU", "number-form"), ("9" * 40, "NU", "number-form"), ("=1+1", "NU", "number-form"),
        ("٤٤", "NU", "number-form"),
    ],
)  # fmt: skip
def test_a_reading_that_cannot_be_read_is_told_by_its_column(reading: str, unit: str, code: str) -> None:
    """Nothing is guessed."""
    assert wrong(only("readings", {**READING, "reading": reading, "unit": unit})) == [("reading", code)]


def test_a_time_without_offset_is_the_stations() -> None:
    """One with its offset is that moment."""
    local = only("readings", {**READING, "at": "2026-07-01 09:00"}).item
    same = only("readings", {**READING, "at": "2026-07-01T10:00+02:00"}).item
    assert local.performed_at == same.performed_at == parse_moment("2026-07-01T08:00Z", LISBON)


@pytest.mark.parametrize(
    ("at", "code"),
    [
        ("2026-03-29 01:30", "hour-unclear"), ("2026-10-25 01:30", "hour-unclear"), ("2026-02-30 10:00", "date-form"),
        ("03/04/26 10:00", "time-form"), ("2026-11-25", "time-form"),
    ],
)  # fmt: skip
def test_a_time_that_is_none_is_told_by_its_column(at: str, code: str) -> None:
    """An hour that does not exist or comes twice, a day that no calendar has, a day alone."""
    assert wrong(only("readings", {**READING, "at": at})) == [("at", code)]


def test_everything_that_is_wrong_with_a_row_is_told() -> None:
    """Not the first thing alone."""
    row = {
        **READING,
        "fastener": "bolt",
        "wrench": "W 1",
        "at": "noon",
        "pass": "x",
        "loosened": "perhaps",
        "act": "look",
    }
    assert sorted(wrong(only("readings", row))) == [
        ("act", "act-unknown"), ("at", "time-form"), ("fastener", "fastener-form"), ("loosened", "field-form"),
        ("pass", "pass-unknown"), ("wrench", "identifier-form"),
    ]  # fmt: skip


def test_a_run_on_torque_names_its_wrench() -> None:
    """And a tool for it is nothing without the torque."""
    told = {"run_on": "16", "run_on_unit": "F21", "run_on_wrench": "w-3", "run_on_adapter": "A-1; A-2"}
    found = only("readings", {**READING, **told}).item.run_on
    assert (str(found.torque), found.wrench, found.adapters) == ("16 lbf·in", "W-3", ("A-1", "A-2"))
    assert wrong(only("readings", {**READING, **told, "run_on_wrench": ""})) == [
        ("run_on_wrench", "field-missing")
    ]
    assert wrong(only("readings", {**READING, **told, "run_on": ""})) == [("run_on", "field-missing")]


def test_the_reason_of_the_whole_file_is_that_of_rows_without_one() -> None:
    """A row's own reason comes first; the id is made from the row alone."""
    with_reason = Setting(LISBON, "TK", why="kept on paper")
    (one, other) = units_of("readings", READING, {**READING, "why": "seen"}, setting=with_reason)
    assert (one.item.why, other.item.why) == ("kept on paper", "seen")
    assert one.id == only("readings", READING).id


def test_who_did_it_is_the_signer_where_nobody_is_named() -> None:
    """A row may name another."""
    assert only("readings", {**READING, "by": ""}).item.performed_by == "TK"
    assert only("readings", {**READING, "by": "ik"}).item.performed_by == "IK"


def test_a_wrench_is_read_with_its_scales() -> None:
    """Range and graduation in the unit of their column; further scales with their own."""
    new = only("wrenches", {**WRENCH, "scale": "27..136 Nm by 1"}).item
    assert [str(scale.low) for scale in new.scales] == ["20 lbf·ft", "27 N·m"]
    assert [str(scale.graduation) for scale in new.scales] == ["0.5 lbf·ft", "1 N·m"]
    assert (new.accuracy, str(new.every), new.cycles) == ("4", "12 months", 5000)


@pytest.mark.parametrize(
    ("cells", "column", "code"),
    [
        ({"range": "20-100"}, "range", "range-form"), ({"unit": "lb"}, "range", "unit-ambiguous"),
        ({"type": "clicking"}, "type", "field-form"), ({"every": "a year"}, "every", "period-form"),
        ({"cycles": "many"}, "cycles", "number-form"), ({"lever": "12"}, "lever", "unit-missing"),
        ({"accuracy": "4"}, "accuracy", "percent-form"), ({"owner": "me"}, "owner", "field-form"),
        ({"number": "W 601"}, "number", "identifier-form"), ({"scale": "27..136"}, "scale", "unit-missing"),
    ],
)  # fmt: skip
def test_a_wrench_that_cannot_be_read_is_told_by_its_column(
    cells: dict[str, str], column: str, code: str
) -> None:
    """Each value by the parser that reads it on the command line."""
    assert wrong(only("wrenches", {**WRENCH, **cells})) == [(column, code)]


def test_the_rows_of_a_certificate_make_one() -> None:
    """What is the certificate's stands in its first row; its results are numbered as they stand."""
    rest = {**RESULT, "on": "", "indicated": "150", "reference": "150.6"}
    unit = only("calibrations", RESULT, rest, rest)
    assert [(str(point.indicated), point.repeat) for point in unit.item.new.points] == [
        ("20 N·m", 1), ("150 N·m", 1), ("150 N·m", 2)
    ]  # fmt: skip
    assert [row.raw.line for row in unit.rows] == [2, 3, 4]


def test_rows_of_a_certificate_that_contradict_each_other_are_told() -> None:
    """At the row that does; also a certificate whose rows stand apart, and one without its day."""
    (unit,) = units_of("calibrations", RESULT, {**RESULT, "on": "2026-11-21"})
    assert [(row.raw.line, each.column) for row, each in unit.wrong] == [(3, "on")]
    first, _, apart = units_of(
        "calibrations", RESULT, {**RESULT, "certificate": "C-78"}, {**RESULT, "indicated": "150"}
    )
    assert first.wrong == ()
    assert wrong(apart) == [("", "row-form")]
    assert wrong(only("calibrations", {**RESULT, "on": ""})) == [("on", "field-missing")]


def test_a_result_that_is_none_is_told_by_its_column() -> None:
    """A missing half, a value that is no number, a word that is no state."""
    assert wrong(only("calibrations", {**RESULT, "reference": ""})) == [("reference", "field-missing")]
    assert wrong(only("calibrations", {**RESULT, "reference": "20,1"})) == [("reference", "number-form")]
    assert wrong(only("calibrations", {**RESULT, "unit": "lb"})) == [("unit", "unit-ambiguous")]
    assert wrong(only("calibrations", {**RESULT, "state": "found"})) == [("indicated", "calibration-pair")]


def test_the_same_row_twice_is_two_readings_and_one_wrench() -> None:
    """What happened may happen again; what bears a name is there once."""
    one, two, three = units_of("readings", READING, READING, READING)
    assert len({one.id, two.id, three.id}) == 3
    assert [unit.before for unit in (one, two, three)] == [0, 1, 2]
    for kind, row in (("wrenches", WRENCH), ("assemblies", ASSEMBLY)):
        first, second = units_of(kind, row, row)
        assert first.id == second.id
        assert (first.twin, second.twin) == (False, True)


def test_an_id_is_of_what_the_cells_say() -> None:
    """Not of the order of columns, nor of blanks and empty cells; of the kind, and of every word."""
    reversed_row = dict(reversed(READING.items()))
    spaced = {name: f" {text} " for name, text in READING.items()} | {"lot": ""}
    assert only("readings", READING).id == only("readings", reversed_row).id == only("readings", spaced).id
    assert only("readings", READING).id != only("readings", {**READING, "reading": "100.0"}).id
    assert len(only("readings", READING).id) == 32


def test_a_reading_may_have_an_id_of_its_own() -> None:
    """As a line of `record --lines` has; said twice in a file it counts once."""
    own = {**READING, "id": "0f" * 16}
    first, second = units_of("readings", own, own)
    assert first.id == second.id == "0f" * 16
    assert (first.twin, second.twin) == (False, True)
    assert wrong(only("readings", {**READING, "id": "0F" * 16})) == [("id", "id-form")]
