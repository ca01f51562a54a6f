"""Withdrawing a certificate: whoever issued it says that it does not count, and from now on no work rests on it."""

from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import tool_named
from torquelog.book.writing import writing
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Calibration, calibrations


class Withdrawn(NamedTuple):
    """A withdrawal on record: its entry, and the certificate that it concerns."""

    entry: str
    calibration: Calibration


def withdraw(
    book: Book, signer: Signer, name: str, certificate: str, why: str, *, sort: str = ""
) -> Withdrawn:
    """Withdraw a certificate; the tool has none from then on, and a recall is called for.

    Args:
        book, signer: where, and who signs (crib or quality).
        name: the tool's number.
        certificate: the certificate, by its number or its entry.
        why: who withdrew it, and why.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `calibration-unknown`, `exists`.
    """
    with writing(book) as w:
        tool = tool_named(w.connection, name, sort)
        every = calibrations(w.connection, tool.tool)
        wanted = certificate.casefold()
        named = [each for each in every if wanted in (each.certificate.casefold(), each.reference.casefold())]
        if not named:
            raise TorquelogError(
                "calibration-unknown",
                f"{tool.tool} has no certificate {certificate}. Nothing was recorded.",
                hint=f"torquelog {tool.sort} show {tool.tool}",
            )
        found = named[-1]
        if found.withdrawn is not None:
            raise TorquelogError("exists", f"{found.certificate} is withdrawn already. Nothing was recorded.")
        entry = w.append(signer, "withdrawal", {"calibration": found.reference, "why": why})
    return Withdrawn(entry.reference, found)
