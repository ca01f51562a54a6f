"""Checks on a tester: judged, counted, kept; what they open, what they end, and which recalls they shorten."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.quality.recalled import GOOD, opened, results
from tests.support.story import Story, codes
from torquelog.book.recall_causes import pending
from torquelog.clock import Period
from torquelog.crib import calibration, register, tested
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.facts.tested import Pair, checks
from torquelog.facts.uses import uses_between
from torquelog.torque.units import parse_torque


def a_tester(story: Story, number: str = "T-1", on: str = "2026-11-10") -> None:
    """A tester with a certificate of a day, as left without deviation."""
    new = NewTool(
        tool=number,
        sort="tester",
        scales=(parse_scale("5..200 N·m"),),
        accuracy="1",
        every=Period(12, "month"),
    )
    register.register(story.book, story.signed["TK"], new)
    certificate(story, number, on, results((("5", "5"), ("200", "200"))))


def certificate(story: Story, number: str, on: str, points: Any, accept: bool = True) -> str:
    """Put a certificate on record; gives its entry."""
    new = NewCalibration(f"C-{number}-{on}", date.fromisoformat(on), laboratory="Lab", points=points)
    done = calibration.calibrate(story.book, story.signed["TK"], number, new, accept=accept)
    return done.calibration.reference


def check(story: Story, *pairs: str, at: str = "", direction: str = "cw", on: str = "T-1") -> tested.Tested:
    """A check of W-0417: `100 99` is what it showed and what the tester measured, N·m."""
    read = [
        Pair(*(parse_torque(f"{each} N·m") for each in pair.split()), direction)
        for pair in pairs or ("100 100",)
    ]
    when = story.moment(at) if at else None
    return tested.record(story.book, story.signed["TK"], "W-0417", on, read, at=when)


@pytest.fixture
def scene(story: Story) -> Story:
    """A job with a wrench and a tester."""
    story.bench()
    a_tester(story)
    return story


def test_passed_and_failed(scene: Story):
    """Each reading decides; one outside 4 % takes the wrench out and calls for a recall; it stays on record."""
    passed = check(scene, "20 20.1", "100 96.2")
    assert (passed.outcome, passed.fitness.grounds) == ("within", ())
    assert pending(scene.book.connection) == []
    failed = check(scene, "20 20.1", "100 96.1")
    assert failed.outcome == "outside"
    assert [ground.code for ground in failed.fitness.grounds] == ["check-failed"]
    assert codes(scene.take("tie-bolt:1", "100 N·m")) == ["check-failed"]
    (cause,) = pending(scene.book.connection)
    assert (cause.code, cause.tool, cause.reference) == ("check-failed", "W-0417", failed.reference)
    with scene.refused("not-strikable"):
        scene.correct(failed.reference)
    scene.correct(passed.reference)
    scene.demand_that_it_holds()


def test_a_calibration_after_it_makes_the_wrench_good_again(scene: Story):
    """As after a drop."""
    check(scene, "100 90")
    scene.later(days=1)
    certificate(scene, "W-0417", "2026-11-26", results((("20", "20"), ("150", "150"))))
    assert codes(scene.take("tie-bolt:1", "100 N·m")) == []


def test_each_reading_of_a_check_is_a_use_and_no_fastener(scene: Story):
    """It counts as cycles; a trace does not look for a reading of it."""
    check(scene, "20 20", "100 100", "150 150")
    assert uses_between(scene.book.connection, "W-0417", 0, scene.clock.moment) == 3
    scene.take("tie-bolt:1", "100 N·m")
    found = scene.trace("wrench", "W-0417")
    assert (found.named, len(found.rows)) == (1, 1)


@pytest.mark.parametrize(
    ("told", "code"),
    [
        ({"pairs": ("10 10",)}, "points-form"),
        ({"pairs": ("100 0",)}, "points-form"),
        ({"pairs": ("150 210",)}, "tester-unfit"),
        ({"direction": "ccw"}, "tester-unfit"),
        ({"at": "2026-11-09T12:00"}, "tester-unfit"),
        ({"at": "2026-11-26T12:00"}, "in-the-future"),
        ({"on": "W-0417"}, "tool-unknown"),
        ({"on": "T-9"}, "tool-unknown"),
    ],
)
def test_what_is_no_evidence(scene: Story, told: dict[str, Any], code: str):
    """Outside the wrench's scale, beyond the tester, or on a tester that was not good then."""
    told = dict(told)
    with scene.refused(code):
        check(scene, *told.pop("pairs", ()), **told)


def test_a_wrench_without_an_accuracy_cannot_be_judged(scene: Story):
    """Nothing is assumed."""
    scene.wrench("W-2", accuracy="")
    with scene.refused("accuracy-missing"):
        tested.record(
            scene.book,
            scene.signed["TK"],
            "W-2",
            "T-1",
            [Pair(parse_torque("20 Nm"), parse_torque("20 Nm"), "")],
        )


class TestBeforeUse:
    @pytest.fixture(name="before")
    def _before(self, story: Story) -> Story:
        story.wrench(use="before-use")
        story.assembly()
        story.card("BUILD", {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"})
        story.job()
        a_tester(story)
        return story

    def test_the_day_is_opened_by_a_check_that_passed(self, before: Story):
        """Refused before, taken after it, refused again the next day."""
        assert codes(before.take("tie-bolt:1", "100 N·m")) == ["needs-check"]
        check(before)
        assert codes(before.take("tie-bolt:1", "100 N·m", loosened=True)) == []
        before.later(days=1)
        assert codes(before.take("tie-bolt:2", "100 N·m")) == ["needs-check"]
        before.demand_that_it_holds()

    def test_a_check_told_later_opens_nothing_backwards(self, before: Story):
        """Neither work before it was recorded, nor the day after the one it was done on."""
        before.later(hours=2)
        check(before, at="2026-11-25T12:30")
        assert codes(before.take("tie-bolt:1", "100 N·m", at="2026-11-25T13:00", why="late")) == [
            "needs-check"
        ]
        assert codes(before.take("tie-bolt:2", "100 N·m")) == []
        before.later(days=1)
        check(before, at="2026-11-25T12:40")
        assert codes(before.take("tie-bolt:3", "100 N·m")) == ["needs-check"]

    def test_one_that_failed_opens_nothing(self, before: Story):
        """It has to be calibrated."""
        check(before, "100 90")
        assert set(codes(before.take("tie-bolt:1", "100 N·m"))) == {"check-failed", "needs-check"}


class TestRecall:
    """The certificate of June finds 100 N·m outside, 20 N·m inside."""

    FOUND = results((("20", "20"), ("60", "60"), ("100", "90")), "as-found")

    def failed(self, scene: Story, *pairs: str, **more: str) -> int:
        """A check three days after the first use, a use after it, then a failed certificate: the window's beginning."""
        scene.take("tie-bolt:1", "100 N·m")
        scene.later(days=3)
        if pairs:
            check(scene, *pairs, **more)
        scene.checked = scene.clock.moment  # type: ignore[attr-defined]
        scene.later(hours=1)
        scene.take("tie-bolt:2", "100 N·m")
        scene.later(days=4)
        certificate(scene, "W-0417", "2026-12-02", self.FOUND + results(GOOD))
        (cause,) = (each for each in pending(scene.book.connection) if each.tool == "W-0417")
        return cause.window.since

    def test_a_check_that_measured_what_failed_shortens_the_window(self, scene: Story):
        """What was tightened before it was tightened with a wrench that was good then."""
        since = self.failed(scene, "20 20", "100 99.5")
        assert since == scene.checked  # type: ignore[attr-defined]
        found = opened(scene, name="W-0417")
        assert [item.fastener[2] for item in found.items] == [2]

    @pytest.mark.parametrize(
        ("pairs", "more"),
        [((), {}), (("20 20", "60 60"), {}), (("100 99",), {"direction": ""})],
    )
    def test_any_other_check_shortens_nothing(
        self, scene: Story, pairs: tuple[str, ...], more: dict[str, str]
    ):
        """At other torques or in no direction that was told, it says nothing of what failed."""
        since = self.failed(scene, *pairs, **more)
        assert since == scene.moment("2026-11-25T00:00")
        assert len(opened(scene, name="W-0417").items) == 2

    def test_a_check_on_a_tester_in_doubt_shortens_nothing(self, scene: Story):
        """The tester failed its own next calibration."""
        a_tester(scene, "T-2")
        self.failed(scene, "20 20", "100 99.5", on="T-2")
        bad = results((("5", "5"), ("200", "190")), "as-found") + results((("5", "5"), ("200", "200")))
        certificate(scene, "T-2", "2026-12-02", bad)
        (cause,) = (each for each in pending(scene.book.connection) if each.tool == "W-0417")
        assert cause.window.since == scene.moment("2026-11-25T00:00")

    def test_a_failed_check_reaches_back_to_the_last_good_one(self, scene: Story):
        """Good at 20 and 100 on the first day, bad at 100 on the third: what was done between is in doubt."""
        check(scene, "20 20", "100 99.5")
        first = scene.clock.moment
        scene.later(days=2)
        failed = check(scene, "100 90")
        (cause,) = pending(scene.book.connection)
        assert (cause.window.since, cause.reference) == (first, failed.reference)
        assert cause.window.until > failed.at


def test_the_readings_come_back_as_they_were_told(scene: Story):
    """With their zeros, their directions and the accuracy they were judged by."""
    check(scene, "20.0 20.10", "100 100", direction="")
    (found,) = checks(scene.book.connection, "W-0417")
    assert [str(each.reading) for each in found.pairs] == ["20.0 N·m", "100 N·m"]
    assert (str(found.pairs[0].reference), found.pairs[0].direction) == ("20.10 N·m", "")
    assert (found.accuracy * 100, found.failed, found.signer) == (4, (), "TK")


def test_an_outcome_that_was_changed_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Verification judges a check again: a failed one that a changed program let pass."""
    from torquelog.book import tester_checks
    from torquelog.book.verification import verify

    scene = Story(tmp_path)
    scene.wrench()
    a_tester(scene)
    honest = tester_checks.judge
    with monkeypatch.context() as changed:
        changed.setattr(tester_checks, "judge", lambda *told: honest(*told)._replace(outcome="within"))
        check(scene, "100 80")
    report = verify(scene.book.connection, scene.book.station)
    assert not report.holds
    assert "outcome" in str(report.findings)
    scene.close_book()
