"""Putting a certificate on record: from options and a file, or in questions copied from the certificate."""

import hashlib
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from torquelog.cli import ask, layout, words
from torquelog.cli.answer import Answer, Column, Json, Remark, Table
from torquelog.cli.context import Context
from torquelog.cli.files import read_text
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.tool_add import ratio
from torquelog.cli.tool_options import words_of
from torquelog.cli.toolwords import fitness_data, look_at_its_work, may_be_used, pending_recall, problems
from torquelog.clock import add_period, local_date, parse_date
from torquelog.crib.calibration import Calibrated, NewCalibration, acceptable, calibrate
from torquelog.crib.results import Judged, judged, numbered, point, read_csv
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Point
from torquelog.facts.custody import whereabouts
from torquelog.facts.tools import Tool
from torquelog.ledger.text import gate_text
from torquelog.rules.sayings import ROUND, percent
from torquelog.torque.units import parse_length

if TYPE_CHECKING:
    from torquelog.book.opening import Book

LARGEST_FILE: Final = 1 << 20
QUESTION: Final = "Is this what the certificate says?"
CONVENTION: Final = "Deviation = (indicated - reference) / reference, as in ISO 6789."
SAME: Final = "same"


def calibrate_tool(context: Context, sort: str, number: str, given: Mapping[str, Any]) -> Answer:
    """Put a certificate on record.

    Args:
        context: the surroundings.
        sort: wrench, adapter or tester.
        number: the tool's number.
        given: the options by name; without any a person on a terminal is asked.
    """
    from torquelog.book.toolbox import tool_named

    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        tool = tool_named(book.connection, number, sort)
        asks = context.can_ask and not any(given.values())
        new, signed = (asked(context, book, tool), False) if asks else from_options(context, tool, given)
        accept: bool | None = bool(given.get("accept"))
        if context.can_ask and not accept:
            accept = confirmed(context, book, tool, new)
        if accept is None:
            return Answer(headline="Nothing was recorded.", data={"entry": None})
        done = calibrate(book, signer, tool.tool, new, sort=sort, accept=accept)
        answer = calibrated(context, book, done)
        return answer._replace(remarks=(*answer.remarks, *((UNCHECKED,) if signed else ())))


UNCHECKED: Final = Remark("signature-not-checked", "The file bears a signature, which was not checked here.")


def from_options(context: Context, tool: Tool, given: Mapping[str, Any]) -> tuple[NewCalibration, bool]:
    """A certificate from the options of a command, and whether its file bears a signature."""
    if given.get("dcc"):
        from torquelog.cli.dcc_file import from_file

        return from_file(context, tool, given)
    for name in ("certificate", "on"):
        if not given.get(name):
            raise TorquelogError(
                "needs-option", f"The certificate's {NEEDED[name]} is needed.", hint=f"Add --{name}."
            )
    points: tuple[Point, ...] = ()
    digest = ""
    if given.get("points"):
        text = read_text(context, given["points"], largest=LARGEST_FILE)
        points, digest = read_csv(text), hashlib.sha256(text.encode()).hexdigest()
    new = NewCalibration(
        certificate=gate_text(given["certificate"], "certificate"),
        on=parse_date(given["on"]),
        due=parse_date(given["due"]) if given.get("due") else None,
        laboratory=words_of(given.get("laboratory"), "laboratory"),
        standard=words_of(given.get("standard"), "standard"),
        points=points,
        length=parse_length(given["length"], signed=True) if given.get("length") else None,
        multiplier=ratio(given.get("multiplier")),
        found_on=parse_date(given["found_on"]) if given.get("found_on") else None,
        edition=words_of(given.get("edition"), "edition"),
        file=digest,
    )
    return new, False


NEEDED: Final = {"certificate": "number", "on": "day"}


def confirmed(context: Context, book: "Book", tool: Tool, new: NewCalibration) -> bool | None:
    """Show the results and ask whether they are the certificate's.

    Returns:
        True where that accepts it; False for a tool that is away, which is accepted when it is received, and for
        results that cannot be accepted; nothing where it is not what the certificate says.
    """
    if new.points:
        for line in result_lines(context, judged(new.points, tool.accuracy), tool.accuracy):
            ask.say(context, line)
        ask.say(context, "")
    agreed = ask.yes_no(context, QUESTION, option="--accept")
    ask.say(context, "")
    if not agreed:
        return None
    return whereabouts(book.connection, tool.tool).kind != "away" and acceptable(tool, new.points)


def result_lines(context: Context, results: tuple[Judged, ...], accuracy: Fraction | None) -> list[str]:
    """The results with their deviations as lines, and how a deviation is counted."""
    return ["", *layout.table(result_table(results, accuracy), context.width), f"  {CONVENTION}"]


def result_table(results: tuple[Judged, ...], accuracy: Fraction | None) -> Table:
    """The results with their deviations."""
    columns = (
        Column("state"), Column("indicated", right=True), Column("reference", right=True),
        Column("deviation", right=True), Column(""),
    )  # fmt: skip
    rows = tuple(
        (
            f"{each.point.state}, {ROUND[each.point.direction]}",
            str(each.point.indicated),
            str(each.point.reference),
            signed_percent(each.deviation),
            inside_words(each.inside, accuracy),
        )
        for each in results
    )
    records = tuple(result_data(each) for each in results)
    return Table(columns, rows, records)


def inside_words(inside: bool | None, accuracy: Fraction | None) -> str:
    """Whether a result keeps the accuracy: "inside 4 %", "! outside 4 %"."""
    if inside is None or accuracy is None:
        return ""
    return f"inside {percent(accuracy)}" if inside else f"! outside {percent(accuracy)}"


def signed_percent(share: Fraction) -> str:
    """A deviation in percent with its sign and two decimals: "-0.50 %", "+4.00 %"."""
    hundredths = round(share * 10_000)
    sign = "-" if hundredths < 0 else "+" if hundredths > 0 else ""
    whole, rest = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{rest:02} %"


def result_data(each: Judged) -> dict[str, Json]:
    """A result for programs."""
    return {
        "state": each.point.state,
        "direction": each.point.direction,
        "indicated": each.point.indicated.value,
        "reference": each.point.reference.value,
        "unit": each.point.indicated.unit,
        "repeat": str(each.point.repeat),
        "deviation": signed_percent(each.deviation),
        "inside": each.inside,
    }


def calibrated(context: Context, book: "Book", found: Calibrated) -> Answer:
    """What is said once a certificate is on record."""
    tool, fitness = found.tool, found.fitness
    today = local_date(context.now, book.zone)
    outside = [each for each in found.results if each.inside is False and each.point.state != "as-left"]
    if not fitness.grounds:
        headline = may_be_used(tool, fitness, today)
    elif found.acceptance:
        headline = f"The certificate is accepted, but {tool.tool} may still not be used."
    else:
        headline = f"The certificate is on record. {tool.tool} may not be used by it yet."
    entries = " and ".join(entry for entry in (found.calibration.reference, found.acceptance) if entry)
    return Answer(
        headline=headline,
        facts=(*due_facts(found), ("Entry" if not found.acceptance else "Entries", entries)),
        problems=problems(fitness),
        remarks=tuple(Remark(each.code, each.message) for each in found.remarks),
        body=tuple(found_outside(tool, each) for each in outside[:1]),
        table=result_table(found.results, tool.accuracy) if found.results and not context.can_ask else None,
        next=(next_step(found, bool(outside)), *pending_recall(book.connection, tool)),
        data={
            "entry": found.calibration.reference,
            "acceptance": found.acceptance or None,
            "tool": tool.tool,
            "certificate": found.calibration.certificate,
            "on": str(found.calibration.on),
            "results": [result_data(each) for each in found.results],
            **fitness_data(book, tool, fitness),
            "due": str(found.due) if found.due else None,
        },
    )


def due_facts(found: Calibrated) -> tuple[tuple[str, str], ...]:
    """The due date where it is not the one on the certificate, and why."""
    told = found.calibration.due
    if found.due is None or told is None or told == found.due:
        return ()
    return (("Due", f"{words.day(found.due)}, by its interval; the certificate says {words.day(told)}"),)


def found_outside(tool: Tool, each: Judged) -> str:
    """The sentence for a tool that was found outside its accuracy: what it did since the last one is in doubt."""
    share = f" outside its {percent(tool.accuracy)}" if tool.accuracy is not None else ""
    return (
        f"As found it was{share}: {each.point.indicated} shown was {each.point.reference}. "
        "What was tightened with it since the calibration before has to be looked at."
    )


def next_step(found: Calibrated, outside: bool) -> str:
    """What to do next: look at its work, receive it, hand it out."""
    tool = found.tool
    if outside:
        return look_at_its_work(tool)
    if {each.code for each in found.fitness.grounds} & {"as-left-failed", "as-left-missing"}:
        return f"torquelog {tool.sort} send {tool.tool} --to LABORATORY"
    if found.fitness.grounds:
        verb = "receive" if not found.acceptance else "show"
        return f"torquelog {tool.sort} {verb} {tool.tool}"
    return f"torquelog {tool.sort} show {tool.tool}"


def asked(context: Context, book: "Book", tool: Tool) -> NewCalibration:
    """A certificate in questions; dates are printed back in full."""
    number = ask.text(
        context,
        "Certificate number",
        option="--certificate",
        read=lambda text: gate_text(text, "certificate"),
    )
    today = local_date(context.now, book.zone)
    on = ask.text(context, "Calibrated on", option="--on", read=parse_date)
    ask.say(context, f"  {words.day_and_distance(on, today)}")
    due = asked_due(context, tool, on)
    laboratory = ask.text(
        context, "Laboratory (Enter if it has no name)", option="--laboratory",
        read=lambda text: words_of(text, "laboratory"), default="",
    )  # fmt: skip
    ask.say(context, "")
    new = NewCalibration(number, on, due, laboratory)
    if tool.sort == "adapter":
        return asked_measure(context, tool, new)
    return new._replace(points=numbered(asked_results(context, tool)))


def asked_due(context: Context, tool: Tool, on: date) -> date | None:
    """The due date; Enter takes what the tool's interval gives."""
    if tool.every is None:
        if tool.sort != "adapter":
            return ask.text(context, "Due", option="--due", read=parse_date)
        return ask.text(
            context, "Due (Enter if it has no due date)", option="--due",
            read=lambda text: parse_date(text) if text else None, default="",
        )  # fmt: skip
    later = add_period(on, tool.every)
    usual = f"{words.day(later)}, {tool.every} later"
    found = ask.text(
        context, "Due", option="--due", default=usual,
        read=lambda text: later if text == usual else parse_date(text),
    )  # fmt: skip
    return None if found == later else found


def asked_measure(context: Context, tool: Tool, new: NewCalibration) -> NewCalibration:
    """What was measured of an adapter or a multiplier."""
    if tool.multiplier is not None:
        return new._replace(
            multiplier=ask.text(context, "Ratio as measured", option="--multiplier", read=ratio)
        )
    length = ask.text(
        context, "Length as measured", option="--length", read=lambda text: parse_length(text, signed=True)
    )
    ask.say(context, f"  {length}")
    return new._replace(length=length)


def asked_results(context: Context, tool: Tool) -> list[Point]:
    """The results line by line: as left and as found, clockwise and, where there are any, counter-clockwise."""
    unit = tool.scales[0].unit if tool.scales else "N·m"
    found: list[Point] = []
    for direction in ("cw", "ccw"):
        around = ROUND[direction]
        if direction == "cw":
            ask.say(context, f"As left, {around}, in {unit}. Each line: indicated, then reference.")
            ask.say(context, "An empty line ends the list; begin with one if it was not left fit for use.")
        else:
            ask.say(context, f"As left, {around} (an empty line if the certificate does not say):")
        left = asked_lines(context, unit, "as-left", direction) or []
        if left or direction == "cw":
            ask.say(
                context, f'As found, {around} (an empty line if it does not say; "{SAME}" if it was left so):'
            )
            before = asked_lines(context, unit, "as-found", direction)
            found += [each._replace(state="unchanged") for each in left] if before is None else left + before
    return found


def asked_lines(context: Context, unit: str, state: str, direction: str) -> list[Point] | None:
    """Results typed one a line until an empty one; nothing for "same"."""
    found: list[Point] = []
    while True:
        line = ask.line(context, f"  {len(found) + 1}: ").strip()
        if not line:
            return found
        if line.lower() == SAME and state == "as-found" and not found:
            return None
        try:
            found.append(typed_point(line, unit, state, direction))
        except TorquelogError as error:
            ask.say(context, f"{error.message} {error.hint}".strip())


def typed_point(line: str, unit: str, state: str, direction: str) -> Point:
    """A result as typed: indicated, reference, and a unit where it is another one (code points-form)."""
    indicated, _, rest = line.partition(" ")
    reference, _, other = rest.strip().partition(" ")
    if not reference:
        raise TorquelogError(
            "points-form", "Two values are needed.", hint="Type what it showed, then the reference: 20 20.1"
        )
    cells = {"state": state, "direction": direction, "indicated": indicated, "reference": reference}
    return point({**cells, "unit": other.strip() or unit})
