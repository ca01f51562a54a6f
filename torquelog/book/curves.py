"""The error curve that a certificate gives a wrench, for saying what a fastener really got."""

import sqlite3
from fractions import Fraction

from torquelog.facts.calibrations import calibration, pairs
from torquelog.ledger.form import parse_reference
from torquelog.torque.curve import Indeterminate, actual, error_curve


def as_left(
    connection: sqlite3.Connection, certificate: str, direction: str, indicated: Fraction
) -> Fraction | None:
    """The torque in N·m that a wrench applied when it indicated so much, by its results as left.

    Args:
        connection: the record.
        certificate: the calibration's entry, `QHR-000003`.
        direction: `cw` or `ccw`.
        indicated: what was set or read, in N·m.

    Returns:
        The torque, or None where the results do not reach there.
    """
    found = calibration(connection, *parse_reference(certificate))
    if found is None:
        return None
    curve = error_curve(pairs(found.points), direction, "as-left")
    if isinstance(curve, Indeterminate):
        return None
    applied = actual(curve, indicated)
    return None if isinstance(applied, Indeterminate) else applied.torque
