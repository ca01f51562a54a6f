"""A record with a few tools for the tests of the crib's acts."""

from datetime import date
from types import SimpleNamespace

import pytest

from tests.support.books import DAY, new_book, sign_in
from tests.support.tools import GOOD
from torquelog.clock import Period
from torquelog.crib import calibration, register
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.torque.units import Length


@pytest.fixture
def kept(tmp_path):
    """An open record with its clock at noon of 25 Nov 2026 and the first person's signers."""
    found = SimpleNamespace(**new_book(tmp_path)._asdict())
    yield found
    found.book.close()


def wrench(number="W-0417", **changes):
    """A setting wrench as the crib tells it."""
    new = NewTool(
        tool=number, sort="wrench", type="setting", scales=(parse_scale("20..100 ft-lb by 0.5"),),
        lever=Length("12", "in"), accuracy="4", every=Period(12, "month"), cycles=5000,
    )  # fmt: skip
    return new._replace(**changes)


def adapter(number="A-03", **changes):
    """An adapter 3 in long."""
    return NewTool(tool=number, sort="adapter", length=Length("3", "in"))._replace(**changes)


def certificate(number="C-118", on="2026-11-09", **changes):
    """A good certificate, clockwise, as left."""
    return NewCalibration(number, date.fromisoformat(on), laboratory="Lab", points=GOOD)._replace(**changes)


def add(kept, new):
    """Register a tool."""
    return register.register(kept.book, kept.signer, new)


def fit(kept, number="W-0417", **changes):
    """Register a wrench and accept its first certificate."""
    add(kept, wrench(number, **changes))
    return calibrate(kept, number)


def calibrate(kept, number="W-0417", new=None, accept=True):
    """Put a certificate on record."""
    return calibration.calibrate(kept.book, kept.signer, number, new or certificate(), accept=accept)


def later(kept, days=0, hours=0):
    """Let time pass; the first person signs in again."""
    kept.clock.moment += days * DAY + hours * DAY // 24
    kept.signer = sign_in(kept.book, kept.quality)


def entries(kept):
    """How many entries are on record."""
    return kept.book.connection.execute("SELECT count(*) FROM entry").fetchone()[0]
