"""Readings entered late: judged by their own date; what would revive a tool waits for a second person."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.support.story import WHEEL, Story, codes, remarks
from torquelog.errors import TorquelogError

ONE = {**WHEEL, "count": 1}


def test_a_late_entry_is_judged_by_its_own_date(story: Story) -> None:
    """Good on the day of the work, entered two days later: within, with a remark, and nobody has to confirm."""
    story.bench(ONE)
    story.later(days=2)
    found = story.take("tie-bolt:1", "100 N·m", at="2026-11-25T14:00")
    assert (found.outcome, remarks(found) & {"late", "awaits-confirmation"}) == ("within", {"late"})
    assert found.performed_at == story.moment("2026-11-25T14:00")
    assert story.close()


def test_within_half_an_hour_nobody_calls_it_late(story: Story) -> None:
    """The station's rule says 30 minutes: at 30 no remark, a second more and there is one."""
    story.bench(ONE)
    story.until("2026-11-25T14:00")
    half_an_hour = story.clock.moment + 1000 - 30 * 60_000
    assert "late" not in remarks(story.take("tie-bolt:1", "100 N·m", at=half_an_hour))
    assert "late" in remarks(story.take("tie-bolt:1", "100 N·m", at=half_an_hour))


def test_before_its_job_and_its_approval(story: Story) -> None:
    """Work done before the job was opened is taken with a remark; before the approval with one more."""
    story.wrench()
    story.assembly()
    story.card("BUILD", WHEEL)
    story.later(hours=1)
    story.job()
    found = story.take("tie-bolt:1", "100 N·m", at="2026-11-25T12:30")
    assert remarks(found) & {"before-job", "before-approval"} == {"before-job"}
    found = story.take("tie-bolt:2", "100 N·m", at="2026-11-25T11:00")
    assert remarks(found) & {"before-job", "before-approval"} == {"before-job", "before-approval"}


def test_a_drop_told_late_is_known_at_once(story: Story) -> None:
    """A reading entered after the report, for a time after the drop, is refused; for a time before it, taken."""
    story.bench()
    story.until("2026-11-25T16:00")
    story.report("W-0417", "dropped", at="2026-11-25T14:00")
    assert codes(story.take("tie-bolt:1", "100 N·m", at="2026-11-25T14:00")) == ["dropped"]
    found = story.take("tie-bolt:2", "100 N·m", at="2026-11-25T13:59:59", why="before it fell")
    assert (found.outcome, "awaits-confirmation" in remarks(found)) == ("within", True)


def test_a_judgement_is_never_rewritten(story: Story) -> None:
    """What was within before the drop was told stays within on record, and its fastener tight."""
    story.bench(ONE)
    found = story.take("tie-bolt:1", "100 N·m")
    story.later(hours=1)
    story.report("W-0417", "dropped", at="2026-11-25T12:00:01")
    assert story.book.connection.execute("SELECT outcome FROM reading").fetchall() == [("within",)]
    assert story.state("tie-bolt:1").governing.number == int(found.reference[-6:])


class TestReviving:
    """A wrench that fell at 14:00; at 16:00 somebody says that the work was done at 13:00."""

    AT = "2026-11-25T13:00"

    @pytest.fixture
    def fallen(self, story: Story) -> Story:
        """The drop is on record, the reading is not yet."""
        story.bench(ONE)
        story.until("2026-11-25T14:00")
        story.report("W-0417", "dropped")
        story.until("2026-11-25T16:00")
        return story

    def test_it_takes_a_reason(self, fallen: Story) -> None:
        """Without one nothing is on record, and the error says what to add."""
        with fallen.refused("why-missing") as caught:
            fallen.take("tie-bolt:1", "100 N·m", at=self.AT)
        assert "--why" in caught.value.hint

    def test_it_waits_for_a_second_person_and_holds_the_closing(self, fallen: Story) -> None:
        """On record as within, awaiting; the inspector confirms it, and the job closes."""
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet line 4")
        assert (found.outcome, "awaits-confirmation" in remarks(found)) == ("within", True)
        (hold,) = fallen.job_state().holds
        assert (hold.code, hold.command) == (
            "awaits-confirmation", f"torquelog confirm {found.reference} --why REASON",
        )  # fmt: skip
        assert not fallen.close()
        assert fallen.confirm(found.reference).own is False
        assert fallen.close()

    @pytest.mark.parametrize("by", ["TK", "IK"])
    def test_neither_who_did_it_nor_who_signed_confirms(self, fallen: Story, by: str) -> None:
        """There is an inspector besides, so it takes her: `needs-another`, and who holds no role may not either."""
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet", by=by, signed_by="TK")
        with fallen.refused("needs-another") as caught:
            fallen.confirm(found.reference, by="TK")
        assert "MS" in caught.value.hint
        if by == "IK":
            with fallen.refused("no-role"):
                fallen.says("confirmation", {"entry": found.reference, "why": "seen"}, by="IK", own=True)

    def test_only_what_waits_is_confirmed_and_once(self, fallen: Story) -> None:
        """Another entry, or the same one again, waits for nobody."""
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet")
        fallen.confirm(found.reference)
        for name, code in (
            (found.reference, "not-awaiting"),
            ("QHR-000001", "not-awaiting"),
            ("QHR-999999", "entry-unknown"),
        ):
            with fallen.refused(code):
                fallen.confirm(name)

    def test_a_struck_confirmation_is_none(self, fallen: Story) -> None:
        """Quality strikes it, and the job is held again."""
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet")
        confirmed = fallen.confirm(found.reference)
        fallen.correct(confirmed.reference, own=True)
        assert fallen.held() == ["awaits-confirmation"]

    def test_a_struck_reading_waits_for_nobody(self, fallen: Story) -> None:
        """Struck instead of confirmed, it no longer holds the closing; its fastener does."""
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet")
        fallen.correct(found.reference)
        assert fallen.held() == ["not-tightened"]

    def test_it_waits_on_after_a_loosening(self, fallen: Story) -> None:
        """Tightened again with a good wrench, the job still holds the entry that nobody confirmed."""
        fallen.take("tie-bolt:1", "100 N·m", at=self.AT, why="worksheet")
        fallen.wrench("W-0418")
        fallen.take("tie-bolt:1", "100 N·m", "W-0418", loosened=True)
        assert fallen.held() == ["awaits-confirmation"]

    def test_a_tool_calibrated_since_needs_no_confirmation(self, fallen: Story) -> None:
        """No ground holds now, so an earlier time revives nothing."""
        fallen.later(days=1)
        fallen.calibrate("W-0417", "2026-11-26")
        found = fallen.take("tie-bolt:1", "100 N·m", at=self.AT)
        assert (found.outcome, "awaits-confirmation" in remarks(found)) == ("within", False)

    def test_the_tool_of_the_run_on_torque_is_revived_as_well(self, story: Story) -> None:
        """The wrench is good, the one that measured the run-on torque fell since."""
        story.wrench("W-IN", scale="5..150 lbf·in by 1")
        story.wrench("W-RUN", scale="5..150 lbf·in by 1")
        story.assembly()
        story.card("BUILD", {**ONE, "torque": "60..70 lbf·in", "basis": "above-run-on"})
        story.job()
        story.until("2026-11-25T14:00")
        story.report("W-RUN", "dropped")
        more = {"run_on": ("14 lbf·in", "W-RUN"), "at": "2026-11-25T13:00"}
        with story.refused("why-missing"):
            story.take("tie-bolt:1", "79 lbf·in", "W-IN", **more)
        assert "awaits-confirmation" in remarks(
            story.take("tie-bolt:1", "79 lbf·in", "W-IN", why="seen", **more)
        )


@pytest.mark.parametrize(
    ("ground", "tell"),
    [
        ("quarantined", lambda story: story.says("quarantine", {"tool": "W-0417", "why": "sticks"})),
        ("lost", lambda story: story.report("W-0417", "lost")),
        ("away", lambda story: story.says("custody", {"tool": "W-0417", "act": "send", "place": "Lab"})),
        ("retired", lambda story: story.says("custody", {"tool": "W-0417", "act": "retire", "why": "worn"})),
        ("restricted", lambda story: story.says(
            "restriction", {"tool": "W-0417", "high": {"value": "90", "unit": "N·m"}, "why": "as found"}, own=True)),
        ("not-accepted", lambda story: story.calibrate("W-0417", "2026-11-25", accept=False)),
    ],
)  # fmt: skip
def test_every_ground_of_now_is_looked_at(story: Story, ground: str, tell: Callable[[Story], Any]) -> None:
    """What holds against the tool now makes an earlier time wait, whatever it is; now it refuses."""
    story.bench()
    story.until("2026-11-25T14:00")
    tell(story)
    story.until("2026-11-25T16:00")
    found = story.take("tie-bolt:1", "100 N·m", at="2026-11-25T13:00", why="worksheet")
    assert (found.outcome, "awaits-confirmation" in remarks(found)) == ("within", True)
    assert ground in codes(story.take("tie-bolt:2", "100 N·m"))


def test_used_up_cycles_are_not_given_back_by_an_earlier_time(story: Story) -> None:
    """At the time named one cycle was left, now none is: it waits for a second person."""
    story.wrench(cycles=2)
    story.assembly()
    story.card("BUILD", WHEEL)
    story.job()
    story.until("2026-11-25T14:00")
    for fastener in ("tie-bolt:1", "tie-bolt:2"):
        story.take(fastener, "100 N·m")
    found = story.take("tie-bolt:3", "100 N·m", at="2026-11-25T13:00", why="worksheet")
    assert (found.outcome, "awaits-confirmation" in remarks(found)) == ("within", True)


def test_the_state_is_that_of_the_time_of_the_work(story: Story) -> None:
    """Entered after a loosening, but done before it: the loosening counts, and the fastener is open."""
    story.bench(ONE)
    story.until("2026-11-25T14:00")
    story.act("tie-bolt:1", "loosened")
    found = story.take("tie-bolt:1", "100 N·m", at="2026-11-25T13:00")
    assert (found.act, found.outcome) == ("tighten", "within")
    assert story.held() == ["not-tightened"]


def test_what_is_told_later_about_before_is_put_in_its_place(story: Story) -> None:
    """118 at one o'clock, told after 100 at two: the click on a nut left outside proves nothing any more."""
    story.bench({**ONE, "above": "loosen"})
    story.until("2026-11-25T14:00")
    assert story.take("tie-bolt:1", "100 N·m").act == "tighten"
    assert story.held() == []
    assert story.take("tie-bolt:1", "118 N·m", at="2026-11-25T13:00").outcome == "above"
    assert story.held() == ["over-torqued"]


def test_a_click_after_what_is_told_later_tightens_no_more(story: Story) -> None:
    """88 at one o'clock, told after 100 at two: nobody loosened the nut between them."""
    story.bench(ONE)
    story.until("2026-11-25T14:00")
    story.take("tie-bolt:1", "100 N·m")
    assert story.take("tie-bolt:1", "88 N·m", at="2026-11-25T13:00").outcome == "below"
    assert story.held() == ["outside"]


class TestAlone:
    """TK is the only person at the station, and holds every role."""

    @pytest.fixture
    def fallen(self, alone: Story) -> tuple[Story, str]:
        """A reading by TK that waits for a second person, of whom there is none."""
        alone.bench(ONE)
        alone.until("2026-11-25T14:00")
        alone.report("W-0417", "dropped")
        found = alone.take("tie-bolt:1", "100 N·m", at="2026-11-25T13:00", why="worksheet")
        assert "own-approval" in remarks(found)
        return alone, found.reference

    def test_own_confirmation(self, fallen: tuple[Story, str]) -> None:
        """With a reason TK confirms alone, which the entry says."""
        story, entry = fallen
        assert story.confirm(entry, by="TK").own is True
        assert story.book.connection.execute("SELECT own FROM confirmation").fetchall() == [(1,)]
        assert story.close()

    def test_not_by_the_sign_in(self, fallen: tuple[Story, str]) -> None:
        """A confirmation is signed with the passphrase."""
        story, entry = fallen
        with story.refused("key-level"):
            story.says("confirmation", {"entry": entry, "why": "seen"})

    def test_a_reason_is_given_by_the_one_who_confirms(self, fallen: tuple[Story, str]) -> None:
        """Nobody confirms their own work without one."""
        from torquelog.quality.confirm import confirm

        story, entry = fallen
        with pytest.raises(TorquelogError) as caught:
            confirm(story.book, story.own["TK"], entry, "")
        assert caught.value.code == "why-missing"
