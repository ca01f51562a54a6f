"""What stands inside bodies, for whoever takes over what other programs signed: objects, and values to compute with.

`kinds.check_body` sees to a body's own members. A chain from elsewhere may be signed by a program that is not ours, and
what is kept once is never removed: so nothing is taken in that a later question would stumble over.
"""

from collections.abc import Callable, Iterator
from typing import Any, Final
from unicodedata import category

from torquelog.clock import zone
from torquelog.errors import TorquelogError
from torquelog.facts.kinds import Body, Kind, Member, check_body, optional
from torquelog.facts.members import torque_of
from torquelog.facts.readings import OUTCOMES
from torquelog.ledger.text import BLANK_MARKS, REFUSED_CATEGORIES
from torquelog.torque.limits import parse_spec
from torquelog.torque.number import exact
from torquelog.torque.pair import DIRECTIONS
from torquelog.torque.units import TORQUE_UNITS

RUN_ON: Final = (
    Member("torque", "quantity", "the run-on torque as it was read"),
    Member("wrench", "identifier", "the wrench that measured it"),
    optional("adapter", "identifier*", "adapters in line, from the wrench outwards; absent: none"),
)
JUDGED: Final = (
    Member("rule_set", "count", "the entry that set the newest of the station's rules then"),
    Member("card", "hex", "the digest of the card"),
    Member("revision", "text", "the card's revision"),
    Member("specified", "text", "the torque as the card has it"),
    Member("unit", "text", "the unit of the card"),
    Member("limits", "object", "low and high, numbers in N·m, with `unit`; an open end is absent"),
    Member("gain", "text", "torque at the fastener per torque indicated, as a fraction"),
    Member("direction", "name", "cw or ccw"),
    Member("tools", "object*", "the tools judged; below"),
    optional("run_on", "quantity", "the run-on torque at the fastener, in N·m; absent: none"),
)
JUDGED_TOOL: Final = (
    Member("tool", "identifier", "the tool"),
    Member("role", "name", "wrench, adapter, run-on-wrench or run-on-adapter"),
    optional("calibration", "reference", "the certificate's entry; absent: it needs none, or has none"),
    optional("certificate", "text", "the certificate's number; absent with `calibration`"),
    optional("due", "date", "the last day by its due date; absent: it has none"),
)
GROUND: Final = (
    Member("code", "name", "a code of the list of grounds"),
    Member("tool", "identifier", "the tool that was refused"),
    Member("message", "text", "the sentence that was shown"),
)
_LIMITS: Final = (
    optional("low", "text", "the low limit"),
    optional("high", "text", "the high limit"),
    Member("unit", "text", "N·m"),
)
PLACEMENTS: Final = ("fit", "remove", "move", "take-apart", "hold", "release")
MISSHAPEN: Final = (LookupError, TypeError, ValueError, AttributeError, ZeroDivisionError)


def check(kind: str, body: Body) -> None:
    """Raise where something inside a body is not as its kind asks; the body's own members were checked.

    Nothing in it may be a mark that cannot be seen: what steers a screen or shows as something else passed no gate.

    Raises:
        TorquelogError: body-form, body-newer.
    """
    try:
        wrong = "it holds a mark that cannot be seen." if _unseen(body) else ""
        if not wrong and kind in _WRONG:
            wrong = next(_WRONG[kind](body), "")
    except TorquelogError as error:
        if error.code in ("body-form", "body-newer"):
            raise
        wrong = error.what
    except MISSHAPEN:
        wrong = "something in it has another form"
    if wrong:
        raise TorquelogError("body-form", f"An entry of kind {kind} cannot be taken: {wrong}")


def _unseen(value: Any) -> bool:
    """Whether a text anywhere in a value holds a control, a bidirectional or a zero-width mark."""
    if isinstance(value, str):
        return not value.isprintable() and any(
            sign != "\n" and (category(sign) in REFUSED_CATEGORIES or sign in BLANK_MARKS) for sign in value
        )
    if isinstance(value, dict):
        return any(_unseen(each) for pair in value.items() for each in pair)
    return isinstance(value, list) and any(map(_unseen, value))


def _reading(body: Body) -> Iterator[str]:
    """What is wrong inside a reading."""
    judged = body["judged"]
    _demand("reading, judged", JUDGED, judged)
    _demand("reading, limits", _LIMITS, judged["limits"])
    for each in judged["tools"]:
        _demand("reading, tools", JUDGED_TOOL, each)
    for each in body["grounds"]:
        _demand("reading, grounds", GROUND, each)
    torques = [body["reading"], judged.get("run_on")]
    if "run_on" in body:
        _demand("reading, run_on", RUN_ON, body["run_on"])
        torques.append(body["run_on"]["torque"])
    for each in torques:
        if each is not None:
            torque_of("reading", each)
    parse_spec(judged["specified"])
    ends = [exact(judged["limits"][end]) for end in ("low", "high") if end in judged["limits"]]
    yield from _first(
        (not judged["tools"], "nothing was judged."),
        (exact(judged["gain"]) <= 0, "its gain is none."),
        (judged["limits"]["unit"] != "N·m" or ends != sorted(ends), "its limits are none."),
        (judged["unit"] not in TORQUE_UNITS, "its unit is not known."),
        (judged["direction"] not in DIRECTIONS, "its direction is none."),
        (body["outcome"] not in OUTCOMES, "its outcome is none."),
        (body["act"] not in ("tighten", "check"), "its act is none."),
    )
    yield from _owned(body)


def _owned(body: Body) -> Iterator[str]:
    """What is wrong with whose fasteners a body speaks of."""
    owned = "assembly" in body or {"aircraft", "position"} <= body.keys()
    yield from _first((not owned, "it names no owner."))


def _step(body: Body) -> Iterator[str]:
    """What is wrong inside a step, which may be one of the whole job."""
    yield from _owned(body) if "group" in body else ()


def _placement(body: Body) -> Iterator[str]:
    """What is wrong inside a placement."""
    yield from _first(
        (body["act"] not in PLACEMENTS, "its act is none."),
        (body["act"] == "fit" and not {"aircraft", "position"} <= body.keys(), "it names no place."),
    )


def _job(body: Body) -> Iterator[str]:
    """What is wrong inside a job."""
    keys = body.get("assemblies", {}).values()
    yield from _first((not all(" " in key.strip() for key in keys), "it names no assembly."))


def _station(body: Body) -> Iterator[str]:
    """What is wrong inside the first entry of a chain."""
    zone(body["zone"])
    yield from _first(
        (not all(isinstance(each, str) for each in body["policies"].values()), "it has no rules.")
    )


def _first(*found: tuple[Any, str]) -> Iterator[str]:
    return (what for is_wrong, what in found if is_wrong)


def _demand(name: str, members: tuple[Member, ...], value: Any) -> None:
    check_body(Kind(name, members), value)


_WRONG: Final[dict[str, Callable[[Body], Iterator[str]]]] = {
    "act": _owned,
    "step": _step,
    "inspection": _owned,
    "re-inspection": _owned,
    "reading": _reading,
    "placement": _placement,
    "job": _job,
    "station": _station,
}
