"""The line that answers a reading of `record --lines`, put together from pieces that are the same in many answers.

It is letter for letter what `render.envelope_text` writes of `recorded.told`, in a third of the time.
"""

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from json.encoder import encode_basestring, encode_basestring_ascii

from torquelog.book.opening import Book
from torquelog.cli import recorded
from torquelog.cli.answer import Answer
from torquelog.cli.context import Context
from torquelog.cli.render import ENVELOPE, encoder, envelope_text, printable
from torquelog.cli.text import speaks_utf_8
from torquelog.clock import offset_text
from torquelog.kept import kept
from torquelog.rules.grounds import Remark
from torquelog.torque.limits import Limits
from torquelog.torque.units import Torque
from torquelog.work.record import Recorded


def answer(context: Context, book: Book, found: Recorded) -> Answer:
    """The answer to a reading with its envelope written down."""
    if found.outcome != "within":
        return written_down(context, recorded.told(book, found))
    ascii_alone = not speaks_utf_8(context.stdout.encoding)
    begun = _begun(ascii_alone, context.command, context.station, context.ledger)
    remarks = _remarks(ascii_alone, found.remarks)
    text = f'{begun}{_data(book, found, ascii_alone)}, "problems": [], "remarks": {remarks}}}'
    return Answer(envelope=printable(text))


def written_down(context: Context, told: Answer) -> Answer:
    """An answer with its envelope written down."""
    return Answer(exit=told.exit, envelope=envelope_text(context, told))


@lru_cache(maxsize=16)
def _begun(ascii_alone: bool, command: str, station: str, ledger: str) -> str:
    members = {
        "torquelog": ENVELOPE, "command": command, "ok": True, "exit": 0, "station": station, "ledger": ledger,
    }  # fmt: skip
    return f'{encoder(ascii_alone)(members)[:-1]}, "data": '


def _data(book: Book, found: Recorded, ascii_alone: bool) -> str:
    text: Callable[[str], str] = encode_basestring_ascii if ascii_alone else encode_basestring
    asked = found.asked
    torques = _torques(
        ascii_alone, asked.reading, found.applied, found.actual, found.limits, found.specified, found.unit
    )
    step = "null" if asked.step is None else text(asked.step)
    done, recorded_at = offset_text(found.performed_at, book.zone), offset_text(found.recorded_at, book.zone)
    pass_ = "null" if asked.pass_ is None else f'"{asked.pass_}"'
    return (
        f'{{"entry": {text(found.reference)}, "outcome": {text(found.outcome)}, "act": {text(found.act)}, "grounds": [], '
        f'{torques}, "job": {text(asked.job)}, "fastener": {text(f"{asked.group}:{asked.item}")}, "step": {step}, '
        f'"pass": {pass_}, "wrench": {text(asked.wrench)}, "adapter": [{", ".join(map(text, asked.adapters))}], '
        f'"performed_by": {text(asked.performed_by)}, "performed_at": {text(done)}, '
        f'"recorded_at": {text(recorded_at)}, "alternatives": []}}'
    )


@kept
def _torques(
    ascii_alone: bool, reading: Torque, applied: Fraction, actual: Fraction | None, limits: Limits,
    specified: str, unit: str,
) -> str:  # fmt: skip
    members = recorded.torques_data(reading, applied, actual, limits, specified, unit)
    return encoder(ascii_alone)(members)[1:-1]


@lru_cache(maxsize=256)
def _remarks(ascii_alone: bool, remarks: tuple[Remark, ...]) -> str:
    return encoder(ascii_alone)([{"code": each.code, "message": each.message} for each in remarks])
