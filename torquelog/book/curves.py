"""The error curve that a certificate gives a wrench, for saying what a fastener really got."""

import sqlite3
from fractions import Fraction
from functools import lru_cache

from torquelog.facts.calibrations import Point, calibration, pairs
from torquelog.kept import kept
from torquelog.ledger.form import parse_reference
from torquelog.torque.curve import Curve, Indeterminate, actual, error_curve
from torquelog.torque.units import Torque


def as_left(
    connection: sqlite3.Connection, certificate: str, direction: str, indicated: Torque
) -> Fraction | None:
    """The torque in N·m that a wrench applied when it indicated so much, by its results as left.

    Args:
        connection: the record.
        certificate: the calibration's entry, `QHR-000003`.
        direction: `cw` or `ccw`.
        indicated: what was set or read.

    Returns:
        The torque, or None where the results do not reach there.
    """
    found = calibration(connection, *parse_reference(certificate))
    return None if found is None else left_by(found.points, direction, indicated)


@lru_cache(maxsize=1024)
def left_by(points: tuple[Point, ...], direction: str, indicated: Torque) -> Fraction | None:
    """The same by the results of a certificate that is at hand."""
    applied = actual(_as_left(points, direction), indicated.newton_metres)
    return None if isinstance(applied, Indeterminate) else applied.torque


@kept
def _as_left(points: tuple[Point, ...], direction: str) -> Curve | Indeterminate:
    return error_curve(pairs(points), direction, "as-left")
