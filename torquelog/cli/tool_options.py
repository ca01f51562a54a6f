"""Options that many commands about tools share, and reading their values."""

from typing import TYPE_CHECKING, Final

import click

from torquelog.clock import Moment, Period, parse_moment, parse_period
from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_text
from torquelog.torque.number import parse_number, quoted
from torquelog.torque.units import parse_percent

if TYPE_CHECKING:
    from torquelog.book.opening import Book

NUMBERS: Final = click.argument("numbers", metavar="NUMBER …", nargs=-1, required=True)
NUMBER: Final = click.argument("number", metavar="NUMBER")
AT: Final = click.option("--at", metavar="TIME", help="When it was, if not now.")
WHY: Final = click.option("--why", metavar="TEXT", help="The reason.")


def moment(book: "Book", at: str | None) -> Moment | None:
    """The time of `--at`, or nothing for now."""
    return parse_moment(at, book.zone) if at else None


def reason(why: str | None) -> str:
    """The reason of `--why`, through the gate; "" where none is given."""
    return gate_text(why, "why", reason=True) if why else ""


def demanded_reason(why: str | None) -> str:
    """The reason of `--why`, which has to be there (code why-missing)."""
    if not why:
        raise TorquelogError("why-missing", "A reason is needed.", hint="Add --why with the reason.")
    return reason(why)


def words_of(text: str | None, field: str) -> str:
    """A text through the gate; "" where none is given."""
    return gate_text(text, field) if text else ""


def whole(text: str, what: str) -> int:
    """A whole number above zero (code number-form)."""
    value = parse_number(text)
    if value.denominator != 1 or value < 1:
        raise TorquelogError(
            "number-form", f"{quoted(text)} is no number of {what}.", hint="Type a whole number, like 5000"
        )
    return int(value)


def accuracy(text: str) -> str:
    """The percentage of an accuracy without its sign, `4 %` is "4" (codes percent-form, number-form)."""
    parse_percent(text)
    return text.replace("%", "").strip()


def interval(text: str | None) -> Period | None:
    """The period of `--every`."""
    return parse_period(text) if text else None
