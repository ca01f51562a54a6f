"""Checks, limits and answers of another station: taken in, rebuilt and verified like everything else."""

from types import SimpleNamespace

import pytest

from tests.book.elsewhere import other_station
from tests.crib.conftest import add, calibrate, certificate, fit
from tests.support.books import DAY, NOON
from tests.support.tools import points
from torquelog.book import exporting, takein
from torquelog.book.recall_causes import pending
from torquelog.book.verification import verify
from torquelog.clock import Period, SetClock
from torquelog.crib import tested
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.facts import tools
from torquelog.facts.tested import Pair, checks
from torquelog.quality import station
from torquelog.quality.limits import set_limits
from torquelog.torque.units import parse_torque


@pytest.fixture(name="lgw")
def _lgw(tmp_path):
    """A station whose wrench failed a check, and whose quality allows more cycles and a shorter interval."""
    kept = SimpleNamespace(**other_station(tmp_path, "LGW", SetClock(NOON - DAY))._asdict())
    fit(kept, "W-900")
    add(
        kept,
        NewTool(
            tool="T-900", sort="tester", scales=(parse_scale("5..200 ft-lb"),), every=Period(12, "month")
        ),
    )
    calibrate(kept, "T-900", certificate("C-900", points=points("5 5", "200 200")))
    for reference in ("99 ft-lb", "90 ft-lb"):
        kept.clock.moment += 1000
        pair = Pair(parse_torque("100 ft-lb"), parse_torque(reference), "cw")
        tested.record(kept.book, kept.signer, "W-900", "T-900", [pair])
    for every, cycles in ((None, 9000), (Period(6, "month"), None)):
        kept.clock.moment += 1000
        set_limits(kept.book, kept.quality, "W-900", every=every, cycles=cycles, why="so")
    yield kept
    kept.book.close()


def test_what_another_station_told(story, lgw):
    """The failed check calls for a recall here; what lengthens counts once quality accepts the station."""
    lines = list(exporting.lines(lgw.book.connection, exporting.parts(lgw.book.connection)))
    story.clock.moment += 1000
    takein.take_in(story.book, story.signed["TK"], lines)
    assert [each.outcome for each in checks(story.book.connection, "W-900")] == ["within", "outside"]
    assert [(each.code, each.tool) for each in pending(story.book.connection)] == [("check-failed", "W-900")]
    before = tools.tool(story.book.connection, "W-900")
    assert (before.cycles, str(before.every)) == (5000, "6 months")
    story.clock.moment += 1000
    station.accept_station(story.book, story.own["TK"], "LGW", "we share wrenches")
    after = tools.tool(story.book.connection, "W-900")
    assert (after.cycles, str(after.every)) == (9000, "6 months")
    own = tools.tool(lgw.book.connection, "W-900")
    assert (own.cycles, str(own.every)) == (9000, "6 months")
    assert verify(story.book.connection, "QHR").holds
    assert verify(lgw.book.connection, "LGW").holds
