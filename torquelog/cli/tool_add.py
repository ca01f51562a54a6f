"""Registering a tool: from options, or in questions copied from the tool and its papers."""

from collections.abc import Mapping
from typing import Any, Final

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.tool_options import accuracy, interval, whole, words_of
from torquelog.cli.toolwords import also_in_newton_metres, nature, tool_data
from torquelog.clock import parse_period
from torquelog.crib.register import NewTool, Registered, register
from torquelog.crib.scales import parse_range, parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts.tools import TYPES, Scale
from torquelog.ledger.text import gate_identifier, gate_text
from torquelog.rules.fitness import needs_calibration
from torquelog.rules.sayings import range_text
from torquelog.torque.number import parse_number
from torquelog.torque.units import Length, Torque, parse_angle, parse_length

NONE: Final = "(Enter if none)"


def add(context: Context, sort: str, number: str | None, given: Mapping[str, Any]) -> Answer:
    """Register a tool of a sort.

    Args:
        context: the surroundings.
        sort: wrench, adapter or tester.
        number: its number, if it was named.
        given: the options by name; without any a person on a terminal is asked.
    """
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        if sort == "wrench" and context.can_ask and not any(given.values()):
            new = asked(context, number)
        else:
            new = from_options(sort, number, given)
        return registered(register(book, signer, new))


def from_options(sort: str, number: str | None, given: Mapping[str, Any]) -> NewTool:
    """A tool from the options of a command."""
    if not number:
        raise TorquelogError(
            "needs-option",
            f"The number of the {sort} is needed.",
            hint=f'Type it behind "{sort} add", and its options after it.',
        )
    return NewTool(
        tool=gate_identifier(number, "the number"),
        sort=sort,
        type=given.get("type") or "",
        scales=tuple(scales(given)),
        lever=parse_length(given["lever"]) if given.get("lever") else None,
        length=parse_length(given["length"], signed=True) if given.get("length") else None,
        angle=angle(given.get("angle")),
        multiplier=ratio(given.get("multiplier")),
        accuracy=accuracy(given["accuracy"]) if given.get("accuracy") else "",
        every=interval(given.get("every")),
        cycles=whole(given["cycles"], "cycles") if given.get("cycles") else None,
        maker=words_of(given.get("maker"), "maker"),
        serial=words_of(given.get("serial"), "serial"),
        owner=given.get("owner") or "",
        place=words_of(given.get("place"), "place"),
        use=given.get("use") or "",
    )


def scales(given: Mapping[str, Any]) -> list[Scale]:
    """The scales of `--range`, `--graduation` and `--scale`."""
    if not given.get("range"):
        if given.get("scale") or given.get("graduation"):
            raise TorquelogError(
                "needs-option", "The range of its first scale is needed.", hint="Add --range"
            )
        return []
    first = parse_scale(given["range"], given.get("graduation"))
    return [first, *(parse_scale(text) for text in given.get("scale") or ())]


def angle(text: str | None) -> str:
    """An angle in degrees as it is kept; "" for none."""
    if not text:
        return ""
    parse_angle(text)
    return text.replace("deg", "").replace("°", "").replace("−", "-").strip().removeprefix("+")


def ratio(text: str | None) -> str:
    """The ratio of a multiplier as it is kept."""
    if not text:
        return ""
    parse_number(text)
    return text.strip()


def registered(found: Registered) -> Answer:
    """What is said once a tool is on record."""
    tool = found.tool
    free = not needs_calibration(tool)
    state = "It may be used as it is." if free else "It may not be used yet: it has no calibration."
    return Answer(
        headline=f"{tool.tool} is registered. {state}",
        facts=((words.sentence(tool.sort), nature(tool)), ("Entry", found.reference)),
        next=(f"torquelog {tool.sort} {'show' if free else 'calibrate'} {tool.tool}",),
        data={"entry": found.reference, **tool_data(tool)},
    )


def asked(context: Context, number: str | None) -> NewTool:
    """A wrench in questions; each answer is printed back in full where it is more than a word."""
    ask.say(context, "Copy these from the wrench and its papers. Nothing is assumed.")
    ask.say(context, "")
    name = gate_identifier(number, "the number") if number else ask.text(
        context, "Tool number, as on its label", option="NUMBER",
        read=lambda text: gate_identifier(text, "the number"),
    )  # fmt: skip
    maker, serial = ask.text(
        context,
        f"Maker and maker's serial number, such as Exemplar 4471-A {NONE}",
        option="--maker",
        read=maker_and_serial,
        default="",
    )
    question = "Clicks at a (s)etting, (i)ndicates on a dial or display, or (p)reset"
    kind = ask.choice(context, question, TYPES, option="--type")
    first = asked_scale(context, kind)
    second = ask.text(
        context,
        f"A second scale on the same wrench? {NONE}",
        option="--scale",
        read=optional_scale,
        default="",
    )
    if second is not None and second.graduation is None and kind != "preset":
        second = second._replace(graduation=asked_graduation(context, second))
    return NewTool(
        tool=name, sort="wrench", type=kind, scales=(first, second) if second else (first,),
        maker=maker, serial=serial, **asked_papers(context),
    )  # fmt: skip


def asked_papers(context: Context) -> dict[str, Any]:
    """Lever, interval, cycles and accuracy, in questions."""
    question = f"Length, centre of the square to centre of the grip {NONE}"
    lever = ask.text(context, question, option="--lever", read=optional_length, default="")
    every = ask.text(context, "Calibrated every", option="--every", read=parse_period)
    cycles = ask.text(
        context, f"And after this many cycles {NONE}", option="--cycles",
        read=lambda text: whole(text, "cycles") if text else None, default="",
    )  # fmt: skip
    share = ask.text(
        context, "Largest deviation its papers allow", option="--accuracy",
        read=lambda text: accuracy(text if "%" in text else f"{text} %"),
    )  # fmt: skip
    ask.say(context, "")
    return {"lever": lever, "every": every, "cycles": cycles, "accuracy": share}


def asked_scale(context: Context, kind: str) -> Scale:
    """The range and its graduation, in two questions."""
    low, high = ask.text(context, "Range", option="--range", read=parse_range)
    ask.say(context, f"  {range_text(low, high)}  ({also_in_newton_metres(low, high)})")
    scale = Scale(low.unit, low, high, None)
    return scale if kind == "preset" else scale._replace(graduation=asked_graduation(context, scale))


def asked_graduation(context: Context, scale: Scale) -> Torque | None:
    """The smallest graduation of a scale."""
    span = f"{scale.low}..{scale.high}"
    found = ask.text(
        context,
        "Smallest graduation",
        option="--graduation",
        read=lambda text: parse_scale(span, text).graduation,
    )
    ask.say(context, f"  {found}")
    return found


def optional_scale(text: str) -> Scale | None:
    """A scale, or nothing for nothing."""
    return parse_scale(text) if text else None


def optional_length(text: str) -> Length | None:
    """A length, or nothing for nothing."""
    return parse_length(text) if text else None


def maker_and_serial(text: str) -> tuple[str, str]:
    """The maker and, as the last word, the serial number (code argument for a single word)."""
    if not text:
        return "", ""
    maker, _, serial = gate_text(text, "maker").rpartition(" ")
    if not maker:
        raise TorquelogError("argument", "Type both, the maker first.", hint="Enter alone if there is none.")
    return maker, serial
