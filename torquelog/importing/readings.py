"""Readings from a file: a row becomes a reading as `record` takes it, judged by its own time."""

from functools import lru_cache

from torquelog.book.asked import Asked, RunOn
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing
from torquelog.errors import TorquelogError
from torquelog.importing.setting import Setting
from torquelog.importing.unit import Done
from torquelog.importing.values import Cells, parts
from torquelog.ledger.text import gate_name, gate_text
from torquelog.work.fastener_words import parse_act, parse_fastener, parse_pass
from torquelog.work.record import record_in

HEX = frozenset("0123456789abcdef")

COLUMN_OF = {
    "job-unknown": "job", "job-closed": "job", "group-unknown": "fastener", "fastener-unknown": "fastener",
    "pass-unknown": "pass", "step-unknown": "step", "person-unknown": "by", "no-role": "by", "why-missing": "why",
    "run-on-missing": "run_on", "id-reused": "id", "in-the-future": "at",
}  # fmt: skip
"""The column that an error of the judgement is about."""

_fastener = lru_cache(maxsize=4096)(parse_fastener)


def read(rows: list[Cells], setting: Setting) -> Asked | None:
    """The reading of a row; nothing where a cell cannot be read, which its cells then tell."""
    cells = rows[0]
    fastener = cells.read("fastener", _fastener)
    reading = cells.torque("reading", "unit")
    asked = {
        "job": cells.identifier("job"),
        "wrench": cells.identifier("wrench"),
        "adapters": cells.identifiers("adapter"),
        "performed_by": cells.identifier("by") or setting.person,
        "performed_at": cells.moment("at", setting.zone),
        "step": cells.read("step", lambda text: gate_name(text, "step")),
        "pass_": cells.read("pass", parse_pass),
        "run_on": _run_on(cells),
        "loosened": cells.yes("loosened"),
        "act": cells.read("act", parse_act),
        "why": cells.words("why", reason=True) or setting.why or None,
        "lots": cells.read("lot", lambda text: tuple(gate_text(lot, "lot") for lot in parts(text))) or (),
    }
    cells.read("id", parse_id)
    if cells.wrong or fastener is None or reading is None:
        return None
    return Asked(group=fastener[0], item=fastener[1], reading=reading, **asked)  # type: ignore[arg-type]  # each of its type


def act(w: Writing, book: Book, signer: Signer, _setting: Setting, item: Asked, entry_id: str) -> Done:
    """Record a reading."""
    found = record_in(w, book, signer, item, entry_id=entry_id)
    return Done(found.reference, "on-record" if found.repeated else found.outcome)


def parse_id(text: str) -> str:
    """An id that a reading has of its own; raises `id-form`."""
    if len(text) != 32 or not HEX.issuperset(text):
        raise TorquelogError("id-form", "An id is 32 hex digits in small letters.")
    return text


def column_of(error: TorquelogError, cells: dict[str, str]) -> str:
    """The column that an error of the judgement is about; "" where it cannot be told."""
    if error.code in COLUMN_OF:
        return COLUMN_OF[error.code]
    named = [
        name
        for name in ("wrench", "adapter", "run_on_wrench", "run_on_adapter")
        if any(each.upper() in error.what for each in parts(cells.get(name, "")) if each)
    ]
    return named[0] if named else ""


def _run_on(cells: Cells) -> RunOn | None:
    torque = cells.torque("run_on", "run_on_unit")
    wrench, adapters = cells.identifier("run_on_wrench"), cells.identifiers("run_on_adapter")
    if torque is not None and wrench:
        return RunOn(torque, wrench, adapters)
    if torque is not None and not cells.text("run_on_wrench"):
        cells.missing(
            "run_on_wrench", "Which wrench measured the run-on torque? The same may be named again."
        )
    if not cells.text("run_on") and (wrench or adapters):
        cells.missing("run_on", "A tool for run-on torque stands there without the torque.")
    return None
