"""A certificate's results from CSV: what is read, and that everything else names its line."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.tools import points, scale, wrench
from torquelog.crib.results import check_points, judged, numbered, read_csv
from torquelog.errors import TorquelogError
from torquelog.torque.units import Torque

HEADER = "state,direction,indicated,reference,unit\n"


def test_every_column():
    """Zeros are kept, codes of Recommendation 20 are units, repeats and k are taken."""
    text = (
        "State, direction ,indicated,reference,unit,repeat,uncertainty,k\n"
        "as-left,cw,20.0,20.10,M92,2,0.10,2\n"
        "\n"
        "as-found,CCW,20.0,20.2,lbf-ft,,0.5 %,2\n"
    )
    first, second = read_csv(text)
    assert (first.state, first.direction, first.repeat, first.k) == ("as-left", "cw", 2, "2")
    assert (first.indicated, first.reference) == (Torque("20.0", "lbf·ft"), Torque("20.10", "lbf·ft"))
    assert first.uncertainty == Torque("0.10", "lbf·ft")
    assert (second.direction, second.repeat, second.uncertainty) == ("ccw", 1, Torque("0.101", "lbf·ft"))


def test_semicolons_a_byte_of_windows_lines_and_spreadsheet_apostrophes():
    """As spreadsheets of other countries write it; the apostrophe before a formula comes off."""
    (point,) = read_csv(
        "state;direction;indicated;reference;unit\r\nunchanged;cw;20;20.1;'Nm\r\n".replace("'Nm", "Nm")
    )
    assert point.reference == Torque("20.1", "N·m")
    with pytest.raises(TorquelogError, match="Line 2"):
        read_csv(HEADER + "as-left,cw,'-20,20,Nm\n")


def test_repeats_are_counted_as_they_stand():
    """Three readings at one indication are repetitions 1, 2 and 3, each direction and state by itself."""
    rows = "".join(
        f"{state},{direction},{indicated},60.1,Nm\n"
        for state, direction, indicated in (
            ("as-left", "cw", "60"), ("as-left", "cw", "60.0"), ("as-left", "ccw", "60"),
            ("as-found", "cw", "60"), ("as-left", "cw", "60"),
        )
    )  # fmt: skip
    assert [point.repeat for point in read_csv(HEADER + rows)] == [1, 2, 1, 1, 3]
    assert numbered(read_csv(HEADER + rows)) == read_csv(HEADER + rows)


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("", 1, "no column"),
        ("state,direction,indicated,reference\n", 1, '"unit"'),
        (HEADER.replace("unit", "unit,colour"), 1, '"colour"'),
        (HEADER.replace("unit", "unit,unit"), 1, "twice"),
        (HEADER + "as-left,cw,0,20,Nm\n", 2, "above zero"),
        (HEADER + "as-left,cw,20,0,Nm\n", 2, "above zero"),
        (HEADER + "as-left,cw,-20,20,Nm\n", 2, "-20"),
        (HEADER + 'as-left,cw,"44,5",44,Nm\n', 2, "44,5"),
        (HEADER + "as-left,cw,20,20,lb\n", 2, "inches or feet"),
        (HEADER + "as-left,cw,20,20,\n", 2, "unit"),
        (HEADER + "as-left,cw,20,20,Nm\nas-seen,cw,20,20,Nm\n", 3, "as-seen"),
        (HEADER + "as-left,left,20,20,Nm\n", 2, "direction"),
        (HEADER + "as-left,cw,20,20,Nm,9\n", 2, "more cells"),
        (HEADER.replace("unit", "unit,uncertainty") + "as-left,cw,20,20,Nm,0.1\n", 2, "coverage factor"),
        (HEADER.replace("unit", "unit,repeat") + "as-left,cw,20,20,Nm,1.5\n", 2, "repetition"),
        (HEADER + 'as-left,cw,20,20,"Nm\n', 2, "not CSV"),
        (HEADER + "as-left,cw,٣,20,Nm\n", 2, "٣"),
        (HEADER + "as-left,cw,1e400,20,Nm\n", 2, "1e400"),
    ],
)
def test_what_is_wrong_names_its_line(text, line, word):
    """One code, the line, and the word that is wrong."""
    with pytest.raises(TorquelogError) as raised:
        read_csv(text)
    assert raised.value.code == "points-form"
    assert raised.value.what.startswith(f"Line {line} of the results: ")
    assert word in raised.value.what


@settings(max_examples=100)
@given(st.text(max_size=80))
def test_no_text_ends_without_a_code(text):
    """Whatever stands in the file, it is results or an error of ours."""
    codes = {"points-form"}
    try:
        read_csv(HEADER + text)
    except TorquelogError as error:
        codes.add(error.code)
    assert codes == {"points-form"}


@pytest.mark.parametrize(
    ("found", "word"),
    [
        ((), "how W-0402 was left"),
        (points("20 20", state="as-found"), "how W-0402 was left"),
        (points("20 20") + points("40 40", unit="N·m"), "several units"),
        (points("20 20", "20 20.1"), "stands there twice"),
        (points("19 19"), "cannot have indicated 19 lbf·ft"),
        (points("101 101"), "its range is 20 to 100 lbf·ft"),
        (points("26 26", unit="N·m"), "cannot have indicated"),
    ],
)
def test_results_that_cannot_be_of_this_tool(found, word):
    """As-found alone, two units, a result twice, or outside its scale: mostly a mistaken unit."""
    with pytest.raises(TorquelogError) as raised:
        check_points(wrench(), found)
    assert raised.value.code == "points-form"
    assert word in raised.value.message


def test_results_of_a_rounded_certificate_are_taken():
    """20 lbf·ft as 27.1 N·m and 100 as 136 N·m: within the rounding of three digits."""
    check_points(wrench(), points("27 27.1", "136 136.4", unit="N·m"))
    check_points(
        wrench(scales=(scale("20", "100", "lbf·ft"), scale("27", "136", "N·m"))),
        points("136 136", unit="N·m"),
    )


def test_deviations_are_divided_by_the_reference():
    """100 shown at 96.15 is +4.004 %, outside; at 104.16 it is −3.994 %, inside (ISO 6789-1, from memory)."""
    high, low = judged(points("100 96.15", "100 104.16"), Fraction(1, 25))
    assert (high.inside, low.inside) == (False, True)
    assert round(float(high.deviation * 100), 5) == 4.00416
    assert round(float(low.deviation * 100), 5) == -3.99386
    assert judged(points("100 96.15"), None)[0].inside is None
