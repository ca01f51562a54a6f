"""A reading as it is typed or sent: words become a judged request, each through the gate and its parser."""

from collections.abc import Mapping, Sequence
from typing import Any

from torquelog.book.asked import Asked, RunOn
from torquelog.book.opening import Book
from torquelog.clock import Moment, parse_moment
from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_identifier, gate_name, gate_text
from torquelog.torque.units import parse_torque
from torquelog.work.fastener_words import parse_act, parse_fastener, parse_pass

__all__ = ["FIELDS", "asked_from", "from_line", "parse_fastener", "parse_pass"]

FIELDS = {
    "fastener", "reading", "job", "wrench", "adapter", "step", "pass", "run_on", "run_on_wrench", "run_on_adapter",
    "loosened", "act", "by", "at", "why", "lot", "id",
}  # fmt: skip
"""What a line of `record --lines` may hold, named like the options."""


def asked_from(book: Book, given: Mapping[str, Any], performer: str) -> Asked:
    """A reading from its words.

    Args:
        book: the open record, for its time zone.
        given: values by option name, `_` for `-`; what was not given is absent, None, "" or empty.
        performer: who did it where `by` does not say.

    Raises:
        TorquelogError: where a word cannot be read or something demanded is missing.
    """
    for name in ("fastener", "reading", "job", "wrench"):
        if not given.get(name):
            raise _missing(name)
    group, item = parse_fastener(given["fastener"])
    return Asked(
        job=gate_identifier(given["job"], "job"),
        group=group,
        item=item,
        reading=parse_torque(given["reading"]),
        wrench=gate_identifier(given["wrench"], "wrench"),
        adapters=_identifiers(given.get("adapter"), "adapter"),
        performed_by=gate_identifier(given.get("by") or performer, "by"),
        performed_at=_moment(book, given.get("at")),
        step=gate_name(given["step"], "step") if given.get("step") else None,
        pass_=parse_pass(given["pass"]) if given.get("pass") else None,
        run_on=_run_on(given),
        loosened=bool(given.get("loosened")),
        act=parse_act(given["act"]) if given.get("act") else None,
        why=gate_text(given["why"], "why", reason=True) if given.get("why") else None,
        lots=tuple(gate_text(lot, "lot") for lot in given.get("lot") or ()),
    )


def _missing(name: str) -> TorquelogError:
    what = {
        "fastener": "Which fastener? None was named.",
        "reading": "What was set or read? No torque was given.",
    }
    said = what.get(name, f"Which {name}? None was named.")
    hint = "" if name in what else f"Add --{name}."
    return TorquelogError("needs-option", f"{said} Nothing was recorded.", hint=hint)


def _identifiers(given: Sequence[str] | str | None, field: str) -> tuple[str, ...]:
    named = (given,) if isinstance(given, str) else given or ()
    return tuple(gate_identifier(name, field) for name in named)


def _moment(book: Book, text: str | None) -> Moment | None:
    return parse_moment(text, book.zone) if text else None


def _run_on(given: Mapping[str, Any]) -> RunOn | None:
    if not given.get("run_on"):
        if given.get("run_on_wrench") or given.get("run_on_adapter"):
            raise TorquelogError(
                "needs-option",
                "A tool for run-on torque without the torque. Nothing was recorded.",
                hint="Add --run-on.",
            )
        return None
    if not given.get("run_on_wrench"):
        raise TorquelogError(
            "needs-option",
            "Which wrench measured the run-on torque? Nothing was recorded.",
            hint="Add --run-on-wrench; the same wrench may be named again.",
        )
    return RunOn(
        parse_torque(given["run_on"]),
        gate_identifier(given["run_on_wrench"], "run-on-wrench"),
        _identifiers(given.get("run_on_adapter"), "run-on-adapter"),
    )


def from_line(request: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a line, each of the type it has to be; raises `field-unknown` or `field-form`."""
    for name, value in request.items():
        if name not in FIELDS:
            known = ", ".join(sorted(FIELDS))
            raise TorquelogError(
                "field-unknown", f'A reading has no field "{name[:40]}".', hint=f"It may have {known}."
            )
        if not _fits(name, value):
            raise TorquelogError("field-form", f'The field "{name}" is not {_form(name)}.')
    return dict(request)


def _fits(name: str, value: object) -> bool:
    if value is None:
        return True
    if name == "loosened":
        return isinstance(value, bool)
    if name in ("adapter", "run_on_adapter", "lot") and isinstance(value, list):
        return all(isinstance(each, str) for each in value)
    return isinstance(value, str)


def _form(name: str) -> str:
    if name == "loosened":
        return "true or false"
    return "text or a list of texts" if name in ("adapter", "run_on_adapter", "lot") else "text"
