"""Certificates: what is taken, what is refused, and from when a tool is fit by one."""

from datetime import date

import pytest

from tests.crib.conftest import adapter, add, calibrate, certificate, entries, fit, later, wrench
from tests.support.books import enrol
from tests.support.tools import points
from torquelog.clock import Period
from torquelog.crib import calibration, custody
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import calibrations
from torquelog.torque.units import Length


def codes(fitness):
    return [ground.code for ground in fitness.grounds]


def test_not_accepted_until_somebody_accepts(kept):
    """On record, but the wrench may not be used; accepted at once it may."""
    add(kept, wrench())
    waiting = calibrate(kept, accept=False)
    assert (waiting.acceptance, codes(waiting.fitness)) == ("", ["not-accepted"])
    accepted = calibrate(kept, new=certificate("C-119"))
    assert codes(accepted.fitness) == []
    assert str(accepted.due) == "2027-11-09"
    assert accepted.calibration.certificate == "C-119"
    assert [result.inside for result in accepted.results] == [True, True, True]
    (first, second) = calibrations(kept.book.connection, "W-0417")
    assert (first.accepted, second.accepted) == (None, kept.clock.moment)


def test_the_same_certificate_of_the_same_laboratory_is_taken_once(kept):
    """In capitals or not; of another laboratory, or for another tool, it is another certificate."""
    fit(kept)
    before = entries(kept)
    for again in (certificate(), certificate("c-118", laboratory="LAB")):
        with pytest.raises(TorquelogError) as raised:
            calibrate(kept, new=again)
        assert raised.value.code == "exists"
    assert entries(kept) == before
    calibrate(kept, new=certificate(laboratory="Another"))
    add(kept, wrench("W-2"))
    calibrate(kept, "W-2")


@pytest.mark.parametrize(
    ("changes", "code", "word"),
    [
        ({"on": date(2026, 11, 26)}, "in-the-future", "later than today"),
        ({"due": date(2026, 11, 8)}, "certificate-facts", "before it was calibrated"),
        ({"found_on": date(2026, 11, 10)}, "certificate-facts", "after it was left"),
        ({"points": ()}, "points-form", "how W-0417 was left"),
        ({"points": points("20 20", "200 200")}, "points-form", "cannot have indicated"),
        ({"length": Length("2", "in")}, "certificate-facts", "only an adapter"),
    ],
)
def test_what_a_certificate_cannot_say(kept, changes, code, word):
    """A clear reason, nothing written."""
    add(kept, wrench())
    before = entries(kept)
    with pytest.raises(TorquelogError) as raised:
        calibrate(kept, new=certificate()._replace(**changes))
    assert (raised.value.code, word in raised.value.message) == (code, True)
    assert entries(kept) == before


def test_on_the_day_itself_and_due_that_day_are_taken(kept):
    """Closed ends: calibrated today, due today."""
    add(kept, wrench())
    found = calibrate(
        kept, new=certificate(on="2026-11-25", due=date(2026, 11, 25), found_on=date(2026, 11, 25))
    )
    assert str(found.due) == "2026-11-25"
    assert codes(found.fitness) == []


def test_without_interval_the_certificate_has_to_say_when_it_is_due(kept):
    """Nothing is assumed."""
    add(kept, wrench(every=None))
    with pytest.raises(TorquelogError) as raised:
        calibrate(kept)
    assert raised.value.code == "due-missing"
    assert str(calibrate(kept, new=certificate(due=date(2027, 5, 1))).due) == "2027-05-01"


def test_a_certificate_that_leaves_it_outside_is_kept_but_not_accepted(kept):
    """Put on record it says why the wrench may not be used; accepting it is refused and takes the entry with it."""
    add(kept, wrench())
    bad = certificate(points=points("20 20", "100 92"))
    before = entries(kept)
    with pytest.raises(TorquelogError) as raised:
        calibrate(kept, new=bad)
    assert raised.value.code == "as-left-failed"
    assert entries(kept) == before
    found = calibrate(kept, new=bad, accept=False)
    assert codes(found.fitness) == ["not-accepted", "as-left-failed"]
    assert [result.inside for result in found.results] == [True, False]


def test_a_tool_that_is_away_is_not_accepted_from_afar(kept):
    """Its certificate is put on record and accepted when it is received."""
    fit(kept)
    custody.send(kept.book, kept.signer, ["W-0417"], to="Lab")
    later(kept, days=3)
    with pytest.raises(TorquelogError) as raised:
        calibrate(kept, new=certificate("C-119", "2026-11-27"))
    assert raised.value.code == "tool-away"
    calibrate(kept, new=certificate("C-119", "2026-11-27"), accept=False)
    (moved,) = custody.receive(kept.book, kept.signer, ["W-0417"])
    assert moved.accepted is not None
    assert codes(moved.fitness) == []


def test_a_certificate_dated_after_the_lapse_gets_a_remark(kept):
    """It is taken; the lapse is told."""
    add(kept, wrench(every=Period(1, "month")))
    calibrate(kept, new=certificate(on="2026-10-10"))
    assert calibrate(kept, new=certificate("C-119", "2026-11-10")).remarks == ()
    add(kept, wrench("W-2", every=Period(1, "month")))
    calibrate(kept, "W-2", certificate(on="2026-10-10"))
    late = calibrate(kept, "W-2", certificate("C-119", "2026-11-11"))
    assert [remark.code for remark in late.remarks] == ["late-certificate"]
    assert late.remarks[0].message == "W-2 had been due Tue 10 Nov 2026, 1 day before this calibration."
    assert codes(late.fitness) == []


def test_an_adapter_has_its_length_measured(kept):
    """A length for a length, a ratio for a multiplier, no results."""
    add(kept, adapter())
    add(kept, adapter("A-9", length=None, multiplier="3.8"))
    on = date(2026, 11, 9)
    with pytest.raises(TorquelogError, match="missing"):
        calibrate(kept, "A-03", NewCalibration("C-1", on))
    with pytest.raises(TorquelogError, match="indicates nothing"):
        calibrate(kept, "A-03", certificate())
    with pytest.raises(TorquelogError, match="missing"):
        calibrate(kept, "A-9", NewCalibration("C-1", on, length=Length("2", "in")))
    with pytest.raises(TorquelogError, match="zero"):
        calibrate(kept, "A-03", NewCalibration("C-1", on, length=Length("0", "in")))
    assert calibrate(
        kept, "A-03", NewCalibration("C-1", on, length=Length("3.02", "in"))
    ).fitness.length == Length("3.02", "in")
    ratio = calibrate(kept, "A-9", NewCalibration("C-1", on, multiplier="3.79"))
    assert (codes(ratio.fitness), float(ratio.fitness.multiplier)) == ([], 3.79)


def test_the_tester_it_was_measured_with_is_linked(kept):
    """A standard that is one of our testers is named as such, so that a bad tester is found in it."""
    add(kept, NewTool("T-1", "tester", scales=(parse_scale("5..200 Nm"),)))
    add(kept, wrench())
    assert calibrate(kept, new=certificate(standard="t-1")).calibration.tester == "T-1"
    assert calibrate(kept, new=certificate("C-2", standard="K-77")).calibration.tester == ""


def test_crib_puts_on_record_and_quality_may_accept(kept):
    """A technician may do neither."""
    _, crib = enrol(kept.book, kept.quality, "CR", "Cora Rib", ["crib"])
    _, quality = enrol(kept.book, kept.quality, "QA", "Quinn Abel", ["quality"])
    _, technician = enrol(kept.book, kept.quality, "IK", "Ilse Kern", ["technician"])
    add(kept, wrench())
    for signer in (quality, technician):
        with pytest.raises(TorquelogError) as raised:
            calibration.calibrate(kept.book, signer, "W-0417", certificate())
        assert raised.value.code == "no-role"
    calibration.calibrate(kept.book, crib, "W-0417", certificate())
    with pytest.raises(TorquelogError):
        custody.receive(kept.book, technician, ["W-0417"])
    (moved,) = custody.receive(kept.book, quality, ["W-0417"])
    assert (moved.accepted.certificate, moved.reference, codes(moved.fitness)) == ("C-118", "", [])


def test_an_adapter_is_no_wrench(kept):
    """The word before the command says which sort is meant."""
    add(kept, adapter())
    with pytest.raises(TorquelogError) as raised:
        calibration.calibrate(kept.book, kept.signer, "A-03", certificate(), sort="wrench")
    assert raised.value.code == "tool-unknown"
    assert raised.value.hint == "torquelog adapter show A-03"
