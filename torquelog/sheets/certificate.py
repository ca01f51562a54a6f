"""The results of a certificate and the drift over all of them, each as a plot with its numbers in a table."""

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.tools import Tool
from torquelog.rules.days import day_name
from torquelog.rules.sayings import percent
from torquelog.sheets.drift_plot import drift_plot
from torquelog.sheets.drift_view import DriftView, Prediction, drift_view
from torquelog.sheets.error_plot import deviation_of, error_plot, has_deviation
from torquelog.sheets.model import Block, Cell, Figure, Lines, Row, Section, grid
from torquelog.sheets.wording import ROUND, short_day, signed
from torquelog.torque.deviation import within

STATES = {"as-found": "as found", "as-left": "as left", "unchanged": "as found and left"}
SIGN = "Deviation = (indicated - reference) / reference, as in ISO 6789: above zero, the fastener got less than shown."
CAPTION = "Ring, dashed: as found. Filled, full: as left. Each reading is a mark, the curve goes through their means."


def certificate_section(tool: Tool, found: Calibration) -> Section:
    """The results of one certificate: a plot a direction, and every single reading."""
    unit = found.points[0].indicated.unit
    blocks: list[Block] = []
    for direction in ("cw", "ccw"):
        drawn = error_plot(found.points, direction, tool.accuracy, unit)
        if drawn is not None:
            blocks.append(Figure(drawn, f"{ROUND[direction].capitalize()}. {CAPTION}"))
    name = f"certificate {found.certificate}, entry {found.reference}"
    titles = "State|Direction|>Indicated|>Reference|>Deviation|>Uncertainty|Accuracy"
    blocks.append(
        grid(f"Results of {name}", titles, [_point_row(tool.accuracy, each) for each in found.points])
    )
    blocks.append(Lines((SIGN,)))
    return Section(f"Results of {short_day(found.on)}", tuple(blocks))


def _point_row(accuracy: Fraction | None, point: Point) -> Row:
    repeat = f"reading {point.repeat}" if point.repeat > 1 else ""
    uncertainty = ""
    if point.uncertainty is not None:
        uncertainty = f"± {point.uncertainty}" + (f", k = {point.k}" if point.k else "")
    return (
        Cell(STATES[point.state], repeat),
        Cell(ROUND[point.direction]),
        Cell(str(point.indicated)),
        Cell(str(point.reference)),
        Cell(signed(deviation_of(point)) if has_deviation(point) else "none at zero"),
        Cell(uncertainty),
        _inside(accuracy, point),
    )


def _inside(accuracy: Fraction | None, point: Point) -> Cell:
    if accuracy is None or not has_deviation(point):
        return Cell("no accuracy told" if accuracy is None else "")
    kept = within(point.indicated.newton_metres, point.reference.newton_metres, accuracy)
    return (
        Cell(f"inside {percent(accuracy)}", state="done")
        if kept
        else Cell(f"outside {percent(accuracy)}", state="outside")
    )


def drift_section(tool: Tool, certificates: Sequence[Calibration], due: date | None) -> Iterator[Section]:
    """The drift, with what is likely on the due date; a sentence where nothing can be said."""
    view = drift_view(certificates, due)
    blocks: list[Block] = []
    drawn = drift_plot(view, tool.accuracy)
    if drawn is not None and view.indicated is not None:
        turned = ROUND[view.direction]
        caption = f"At {view.indicated}, {turned}. Filled: as left. Ring: as found, joined to the as left before it."
        caption += " Dashed, with its band: what is expected up to the due date." if view.path else ""
        blocks.append(Figure(drawn, caption))
        titles = "=From|=To|>Days|>As left|>As found|>Change|Certificates"
        blocks.append(grid(f"Intervals at {view.indicated}, {turned}", titles, _interval_rows(view)))
    blocks.append(Lines(tuple(_said(tool, view))))
    yield Section("Drift", tuple(blocks))


def _interval_rows(view: DriftView) -> list[Row]:
    return [
        (
            Cell(short_day(each.on)), Cell(short_day(each.until)), Cell(str(each.days)), Cell(signed(each.left)),
            Cell(signed(each.found)), Cell(signed(each.change)),
            Cell(f"{each.begun.certificate} to {each.ended.certificate}"),
        )
        for each in view.intervals
    ]  # fmt: skip


def _said(tool: Tool, view: DriftView) -> Iterator[str]:
    prediction = view.prediction
    if prediction is None:
        yield view.why_not
        return
    yield _expected(prediction)
    if tool.accuracy is not None:
        limit = float(tool.accuracy)
        inside = -limit <= prediction.low and prediction.high <= limit
        yield (
            f"That band lies {'inside' if inside else 'not wholly inside'} its accuracy of {percent(tool.accuracy)}. "
            "It is a straight line through zero, with Student's t for so few intervals."
        )


def _expected(prediction: Prediction) -> str:
    low, value, high = (signed(Fraction(end)) for end in (prediction.low, prediction.value, prediction.high))
    return f"Expected as found on {day_name(prediction.day)}: {value}; 95 of 100 such results lie from {low} to {high}."
