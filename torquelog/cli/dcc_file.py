"""A certificate from a digital file; what the file does not say is asked for, or comes from an option."""

from collections.abc import Mapping
from datetime import date
from typing import Any, Final, TypeVar

from torquelog.cli import ask
from torquelog.cli.context import Context
from torquelog.cli.files import read_bytes
from torquelog.cli.tool_options import words_of
from torquelog.clock import parse_date
from torquelog.crib import dcc, dcc_xml
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.dcc import Dcc
from torquelog.errors import TorquelogError
from torquelog.facts.tools import SORTS, Tool, tools
from torquelog.rules.days import day_name
from torquelog.torque.number import quoted
from torquelog.torque.pair import DIRECTIONS, STATES

QUESTIONS: Final = {
    "direction": ("Direction of the results", DIRECTIONS),
    "state": ("How the results speak of the tool", STATES),
}
Said = TypeVar("Said", str, date)
NOT_BESIDE: Final = ("points", "length", "multiplier")


def from_file(context: Context, tool: Tool, given: Mapping[str, Any]) -> tuple[NewCalibration, bool]:
    """A certificate from a digital file and the options beside it.

    Args:
        context: the surroundings.
        tool: the tool that it is for.
        given: the options by name; one that says other than the file is an error.

    Returns:
        The certificate, and whether the file bears a signature, which nobody checks here.

    Raises:
        TorquelogError: dcc-form, certificate-facts, needs-option, and what reading a file raises.
    """
    for name in NOT_BESIDE:
        if given.get(name):
            raise TorquelogError(
                "certificate-facts",
                f"The results are in the file of --dcc, so --{name} cannot be given as well.",
                hint="Leave one of the two out.",
            )
    found = dcc.read(read_bytes(context, given["dcc"], largest=dcc_xml.LARGEST))
    others = {each.tool for sort in SORTS for each in tools(context.book().connection, sort)} - {tool.tool}
    dcc.check_item(found, tool.tool, tool.serial, others)
    told = {name: _told(context, name, given.get(name), name in dcc.unsaid(found)) for name in QUESTIONS}
    points = dcc.points(found, **told)
    new = NewCalibration(
        certificate=_agreed("certificate", words_of(given.get("certificate"), "certificate"), found.number),
        on=_agreed("on", _date(given.get("on")), found.ended),
        due=_earliest(_date(given.get("due")), found.due),
        laboratory=_agreed("laboratory", words_of(given.get("laboratory"), "laboratory"), found.laboratory),
        standard=words_of(given.get("standard"), "standard") or _standard(context, found),
        points=points,
        found_on=_date(given.get("found_on")) or dcc.found_on(found, points),
        edition=words_of(given.get("edition"), "edition"),
        file=found.digest,
        why=f"Its own statement of conformity: {found.conformity}." if found.conformity else "",
    )
    if context.can_ask:
        _show(context, new, found)
    return new, found.signed


def _show(context: Context, new: NewCalibration, found: Dcc) -> None:
    """What was read, for somebody who has the certificate before them."""
    lines = {
        "Certificate": new.certificate,
        "Laboratory": new.laboratory,
        "Calibrated": day_name(new.on),
        "Found": day_name(new.found_on) if new.found_on else "",
        "Due": day_name(new.due) if new.due else "not said",
        "Made for": ", ".join(value for _, value in found.items),
        "Measured with": new.standard,
        "Its own verdict": found.conformity,
        "Its signature": "not checked" if found.signed else "",
    }
    for label, said in lines.items():
        if said:
            ask.say(context, f"{label + ':':<17}{said}")
    ask.say(context, "")


def _told(context: Context, name: str, given: str | None, needed: bool) -> str:
    """What the file leaves open, by an option or by a question; "" where it says it."""
    question, choices = QUESTIONS[name]
    if not needed:
        if given:
            raise TorquelogError(
                "certificate-facts",
                f"The file itself tells the {name} of each result.",
                hint=f"Leave --{name} out.",
            )
        return ""
    if given:
        if given not in choices:
            raise TorquelogError(
                "certificate-facts", f"{quoted(given)} is no {name}.", hint=f"It is {' or '.join(choices)}."
            )
        return given
    if not context.can_ask:
        raise TorquelogError(
            "needs-option",
            f"The file does not tell the {name} of its results.",
            why="Nothing was recorded.",
            hint=f"Look at the certificate and add --{name} {'|'.join(choices)}.",
        )
    return ask.choice(context, f"{question} ({', '.join(choices)})", choices, option=f"--{name}")


def _agreed(name: str, given: Said | None, said: Said) -> Said:
    """What the file says, which an option cannot change."""
    if given and given != said:
        shown = day_name(said) if isinstance(said, date) else quoted(said)
        raise TorquelogError(
            "certificate-facts",
            f"The file says {shown}, and --{name} something else.",
            hint=f"Leave --{name} out, or look whether it is the right file.",
        )
    return said


def _date(text: str | None) -> date | None:
    return parse_date(text) if text else None


def _earliest(*days: date | None) -> date | None:
    return min((day for day in days if day is not None), default=None)


def _standard(context: Context, found: Dcc) -> str:
    """What it was measured with: a tester of ours where the file names one, else its first equipment."""
    ours = {each.tool for each in tools(context.book().connection, "tester")}
    named = [each for each in found.equipment if each.upper() in ours]
    return (named or list(found.equipment) or [""])[0]
