"""Reports, quarantine, restriction: who may tell them, from when they count, and what was done meanwhile."""

import pytest

from tests.crib.conftest import fit, later
from tests.support.books import DAY, enrol
from torquelog.crib import condition, custody
from torquelog.errors import TorquelogError
from torquelog.torque.units import Torque


def codes(*told):
    """The grounds against each tool, or against the one."""
    found = [[ground.code for ground in each.fitness.grounds] for each in told]
    return found if len(found) > 1 else found[0]


def refuses(act, code):
    with pytest.raises(TorquelogError) as raised:
        act()
    assert raised.value.code == code


def test_dropped_and_from_then_on_unfit(kept):
    """Anybody who is signed in may say so."""
    _, technician = enrol(kept.book, kept.quality, "IK", "Ilse Kern", ["technician"])
    fit(kept)
    told = condition.report(kept.book, technician, "w-0417", "dropped", why="from the stand")
    assert (codes(told), told.used_since) == (["dropped"], ())


def test_dropped_on_monday_told_on_wednesday(kept):
    """The uses in between are listed: they were judged without knowing it."""
    fit(kept)
    custody.issue(kept.book, kept.signer, ["W-0417"], "TK")
    monday = kept.clock.moment
    later(kept, days=1)
    custody.give_back(kept.book, kept.signer, ["W-0417"], uses=3)
    later(kept, days=1)
    told = condition.report(kept.book, kept.signer, "W-0417", "dropped", at=monday)
    assert (told.at, told.now) == (monday, monday + 2 * DAY)
    assert [(use.uses, use.role) for use in told.used_since] == [(3, "elsewhere")]
    refuses(
        lambda: condition.report(kept.book, kept.signer, "W-0417", "dropped", at=kept.clock.moment + 1),
        "in-the-future",
    )


def test_lost_and_found(kept):
    """Found counts from now on, whatever is told; what was not lost is not found."""
    fit(kept)
    refuses(lambda: condition.report(kept.book, kept.signer, "W-0417", "found"), "nothing-to-end")
    assert codes(condition.report(kept.book, kept.signer, "W-0417", "lost")) == ["lost"]
    later(kept, days=1)
    assert codes(condition.report(kept.book, kept.signer, "W-0417", "found")) == []


def test_quarantine_is_released_by_quality_alone(kept):
    """With the passphrase; the crib's sign-in is not enough. Several tools at once, all or none."""
    fit(kept)
    fit(kept, "W-2")
    both = ["W-0417", "W-2", "w-2"]
    told = condition.quarantine(kept.book, kept.signer, both, why="odd click")
    assert codes(*told) == [["quarantined"], ["quarantined"]]
    refuses(lambda: condition.release(kept.book, kept.signer, both, why="fine"), "key-level")
    assert codes(*condition.release(kept.book, kept.quality, ["W-2"], why="looked at")) == []
    refuses(lambda: condition.release(kept.book, kept.quality, both, why="again"), "nothing-to-end")
    early = kept.clock.moment - 3_600_000
    (told,) = condition.release(kept.book, kept.quality, ["W-0417"], why="looked at", at=early)
    assert (codes(told), told.at) == ([], told.now)


def test_restrict_and_lift(kept):
    """A restriction by itself makes no tool unfit, only a use outside it."""
    fit(kept)
    names, high = ["W-0417"], Torque("80", "lbf·ft")

    def restrict(**bounds):
        told = {"low": None, "high": None, "direction": "", "why": "spring", **bounds}
        return condition.restrict(kept.book, kept.quality, names, **told)

    assert codes(*restrict(high=high, direction="cw")) == []
    refuses(restrict, "restriction-empty")
    refuses(lambda: restrict(direction="up"), "restriction-empty")
    condition.lift(kept.book, kept.quality, names, why="new spring")
    refuses(lambda: condition.lift(kept.book, kept.quality, names, why="again"), "nothing-to-end")


def test_only_what_is_in_the_list(kept):
    """A report of something else is a slip of the pen."""
    fit(kept)
    refuses(lambda: condition.report(kept.book, kept.signer, "W-0417", "borrowed"), "report-unknown")
