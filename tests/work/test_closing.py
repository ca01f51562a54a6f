"""What holds a job open: each thing by itself, all at once, and the command that clears it."""

import pytest

from tests.support.story import AXLE, PART, WHEEL, Story, remarks
from torquelog.rules.closing import Hold
from torquelog.work import fasteners

ONE = {**WHEEL, "count": 1}


def test_a_large_main_wheel_and_its_brake(story: Story) -> None:
    """Common practice, without a source: 18 tie bolts hold the halves, three nuts the brake; with all the job closes.

    The star for 18 crosses the circle: a permutation whose odd and even steps lie opposite. With 17 bolts, or with
    two nuts, the job stays open.
    """
    bolts = {"id": "tie-bolt", "on": "wheel", "count": 18, "torque": "68..76 N·m", "order": "star"}
    nuts = {"id": "brake-nut", "on": "brake", "count": 3, "torque": "40..48 N·m"}
    story.wrench()
    story.assembly()
    story.assembly("BR-0907", "brake")
    story.card("BUILD", bolts, nuts)
    story.job("J-1", "BUILD", "WH-2231", "BR-0907")
    order = story.job_state().card.groups[0].order
    assert sorted(order) == list(range(1, 19))
    assert all(abs(order[step] - order[step + 1]) == 9 for step in range(0, 18, 2))
    for item in order[:-1]:
        assert story.take(f"tie-bolt:{item}", "72 N·m").outcome == "within"
    for item in (1, 2, 3):
        story.take(f"brake-nut:{item}", "44 N·m")
    assert not story.close()
    assert [hold.text for hold in story.job_state().holds] == [f"Tie bolt {order[-1]} is not tightened."]
    story.take(f"tie-bolt:{order[-1]}", "72 N·m")
    story.act("brake-nut:3", "loosened")
    assert not story.close()
    assert [hold.text for hold in story.job_state().holds] == ["Brake nut 3 is not tightened."]
    story.take("brake-nut:3", "44 N·m")
    assert (story.job_state().taken, story.job_state().asked) == (21, 21)
    assert story.close()


def test_everything_that_is_open_is_told_at_once(story: Story) -> None:
    """A nut not tightened, one above, one refused, a pin, a check, a tool, a part: seven holds in the card's order."""
    story.card(
        "BUILD",
        {**WHEEL, "count": 4, "locking": ["cotter pin"]},
        checks=[{"id": "leak-check", "title": "No leak"}],
    )
    story.wrench()
    story.wrench("W-0402", on="2025-11-10")
    story.assembly()
    story.job()
    story.issue("W-0417", job="J-1")
    story.take("tie-bolt:1", "100 N·m")
    story.take("tie-bolt:2", "118 N·m")
    story.take("tie-bolt:3", "100 N·m", "W-0402")
    part(story, "off", "EX-12")
    assert story.held() == [
        "over-torqued", "refused-tool", "not-tightened", "locking-open", "check-open", "tool-out", "part-off",
    ]  # fmt: skip


def part(story: Story, change: str, number: str) -> None:
    """A part off or on."""
    from torquelog.work import fasteners

    story.clock.moment += 1000
    fasteners.part(story.book, story.signed["TK"], "J-1", change, number, fasteners.Work("TK"))


class TestLocking:
    """Two nuts with cotter pins."""

    @pytest.fixture
    def pinned(self, story: Story) -> Story:
        """Both nuts tightened, no pin recorded."""
        story.bench({**WHEEL, "count": 2, "locking": ["cotter pin"]})
        for fastener in ("tie-bolt:1", "tie-bolt:2"):
            story.take(fastener, "100 N·m")
        return story

    @staticmethod
    def hold(story: Story) -> Hold:
        """The one thing that holds the job."""
        (hold,) = story.job_state().holds
        return hold

    def test_locking_is_recorded_for_the_group(self, pinned: Story) -> None:
        """As one step for all of them; until then the closing names the command."""
        hold = self.hold(pinned)
        assert (hold.code, hold.text) == ("locking-open", "Tie bolt: cotter pin is not recorded.")
        assert hold.command == "torquelog step J-1 tie-bolt cotter-pin"
        pinned.step("tie-bolt", "cotter-pin")
        assert pinned.close()

    def test_one_locked_nut_does_not_lock_the_others(self, pinned: Story) -> None:
        """The pin of the first is no pin in the second."""
        pinned.step("tie-bolt:1", "cotter-pin")
        hold = self.hold(pinned)
        assert (hold.text, hold.command) == (
            "Tie bolt 2: cotter pin is not recorded.", "torquelog step J-1 tie-bolt:2 cotter-pin",
        )  # fmt: skip
        pinned.step("tie-bolt:2", "cotter-pin")
        assert pinned.close()

    def test_a_nut_tightened_again_is_locked_again(self, pinned: Story) -> None:
        """The pin came out for the loosening, so that the step before it counts no more."""
        pinned.step("tie-bolt", "cotter-pin")
        pinned.take("tie-bolt:2", "101 N·m", loosened=True)
        assert self.hold(pinned).text == "Tie bolt 2: cotter pin is not recorded."

    def test_a_check_leaves_the_locking_as_it_is(self, pinned: Story) -> None:
        """A torque on a tight nut within its limits does not take the pin out."""
        pinned.step("tie-bolt", "cotter-pin")
        pinned.take("tie-bolt:2", "100 N·m")
        assert pinned.close()

    def test_locking_alone_is_no_tightening(self, story: Story) -> None:
        """Pinned before it was tightened, the nut is told as not tightened, and is pinned again after."""
        story.bench({**ONE, "locking": ["cotter pin"]})
        story.step("tie-bolt", "cotter-pin")
        assert story.held() == ["not-tightened"]
        story.take("tie-bolt:1", "100 N·m")
        assert story.held() == ["locking-open"]


class TestAnotherWheelAtThePosition:
    """A job that names wheel WH-2231 and a position, with an axle nut that stays with the aircraft."""

    @pytest.fixture
    def fitted(self, story: Story) -> Story:
        """WH-2231 is fitted and its nut tightened; the job is not closed yet."""
        story.wrench()
        story.aircraft()
        story.assembly()
        story.assembly("WH-2252")
        story.card("FIT", AXLE)
        story.job("J-1", "FIT", "WH-2231", on="QQ-HLB", position="main 2")
        story.fit("WH-2231")
        story.take("axle-nut:1", "100 N·m")
        assert story.held() == []
        return story

    def test_it_holds_the_closing_and_is_remarked(self, fitted: Story) -> None:
        """WH-2252 came instead: a nut tightened on it is remarked, and does not close the job of WH-2231."""
        fitted.fit("WH-2252", replacing=True)
        assert fitted.held() == ["other-assembly", "not-tightened"]
        found = fitted.take("axle-nut:1", "100 N·m")
        assert "other-assembly" in remarks(found)
        (hold,) = fitted.job_state().holds
        assert (hold.code, hold.text) == (
            "other-assembly",
            "At main 2 is wheel WH-2252, and J-1 names WH-2231.",
        )
        assert (
            hold.command == 'torquelog assembly fit WH-2231 --aircraft 1001 --position "main 2" --replacing'
        )
        assert not fitted.close()
        fitted.fit("WH-2231", replacing=True)
        found = fitted.take("axle-nut:1", "100 N·m", loosened=True)
        assert "other-assembly" not in remarks(found)
        assert fitted.close()
        fitted.demand_that_it_holds()

    def test_a_wheel_that_left_is_told(self, fitted: Story) -> None:
        """Nothing is at the position: the nut was tightened on no wheel."""
        fitted.remove("WH-2231")
        fitted.take("axle-nut:1", "100 N·m")
        (hold,) = fitted.job_state().holds
        assert (hold.code, hold.text) == ("other-assembly", "Wheel WH-2231 is not at main 2 any more.")
        assert hold.command == 'torquelog assembly fit WH-2231 --aircraft 1001 --position "main 2"'

    def test_what_is_told_late_is_judged_by_its_own_time(self, fitted: Story) -> None:
        """A nut tightened while the named wheel was there bears no remark, though another is there today."""
        at = fitted.clock.moment
        fitted.later(hours=1)
        fitted.fit("WH-2252", replacing=True)
        assert "other-assembly" not in remarks(fitted.take("axle-nut:1", "100 N·m", at=at, act="check"))

    def test_a_wheel_not_fitted_on_record_says_nothing(self, story: Story) -> None:
        """Nobody put it on record at the position yet, nor anything else: the job goes by what it names."""
        story.wrench()
        story.aircraft()
        story.assembly()
        story.card("FIT", AXLE)
        story.job("J-1", "FIT", "WH-2231", on="QQ-HLB", position="main 2")
        assert "other-assembly" not in remarks(story.take("axle-nut:1", "100 N·m"))
        assert story.close()

    def test_what_the_nut_does_not_hold_is_no_matter(self, story: Story) -> None:
        """A brake at the position is of another kind than the wheel that the nut holds."""
        story.wrench()
        story.aircraft()
        story.assembly()
        story.assembly("BR-0907", "brake")
        story.assembly("BR-0908", "brake")
        story.card("FIT", AXLE)
        story.job("J-1", "FIT", "WH-2231", "BR-0907", on="QQ-HLB", position="main 2")
        story.fit("BR-0908")
        story.take("axle-nut:1", "100 N·m")
        assert story.close()


def test_the_condition_of_the_threads_holds_the_closing(story: Story) -> None:
    """What the card asks of the threads is confirmed for the group or bolt by bolt; the hold names the command."""
    story.bench(
        {**WHEEL, "count": 2, "condition": "clean and dry"}, {**ONE, "id": "axle-nut", "condition": "oiled"}
    )
    for fastener in ("tie-bolt:1", "tie-bolt:2", "axle-nut:1"):
        story.take(fastener, "100 N·m")
    assert story.held() == ["condition-open", "condition-open"]
    assert not story.close()
    bolts, nut = story.job_state().holds
    assert (bolts.text, bolts.command) == (
        'Tie bolt: thread condition "clean and dry" is not confirmed.', "torquelog step J-1 tie-bolt thread-condition",
    )  # fmt: skip
    assert nut.text == 'Axle nut: thread condition "oiled" is not confirmed.'
    story.step("tie-bolt:1", "thread-condition")
    story.step("axle-nut", "thread-condition")
    (left,) = story.job_state().holds
    assert (left.text, left.command) == (
        'Tie bolt 2: thread condition "clean and dry" is not confirmed.',
        "torquelog step J-1 tie-bolt:2 thread-condition",
    )  # fmt: skip
    struck = story.step("tie-bolt:2", "thread-condition").reference
    assert story.held() == []
    story.correct(struck)
    assert story.held() == ["condition-open"]
    story.step("tie-bolt", "thread-condition")
    assert story.close()


def test_the_condition_is_asked_of_each_job(story: Story) -> None:
    """What an earlier job confirmed says nothing about the threads of today."""
    story.bench({**ONE, "condition": "clean and dry"})
    story.step("tie-bolt", "thread-condition")
    story.take("tie-bolt:1", "100 N·m")
    assert story.close()
    story.job("J-2")
    assert story.held("J-2") == ["condition-open", "not-tightened"]


def test_an_operational_check_holds_the_closing(story: Story) -> None:
    """Recorded by its name it does not; one that the card does not have is an error that names those it has."""
    story.bench(ONE, checks=[{"id": "leak-check", "title": "No leak under pressure"}])
    story.take("tie-bolt:1", "100 N·m")
    assert [hold.text for hold in story.job_state().holds] == [
        'Operational check "No leak under pressure" is not recorded.'
    ]
    with story.refused("step-unknown") as caught:
        story.step("", "leek-check")
    assert "leak-check" in caught.value.message
    story.step("", "leak-check")
    assert story.close()


def test_a_tool_issued_to_the_job_comes_back_first(story: Story) -> None:
    """Issued to this job it holds the closing, with who has it; issued to another it does not."""
    story.bench(ONE)
    story.take("tie-bolt:1", "100 N·m")
    story.issue("W-0417", "IK", job="J-1")
    (hold,) = story.job_state().holds
    assert (hold.code, hold.text) == ("tool-out", "Wrench W-0417 is still issued to this job, with IK.")
    story.give_back("W-0417")
    story.issue("W-0417", "IK", job="J-2")
    assert story.close()


def test_a_part_that_came_off_is_accounted_for(story: Story) -> None:
    """Off twice and on once leaves one; a part on for which nothing came off holds nothing."""
    story.bench(ONE)
    story.take("tie-bolt:1", "100 N·m")
    for change, number in (("on", "EX-13"), ("off", "EX-12"), ("off", "EX-12"), ("on", "EX-12")):
        part(story, change, number)
    assert [hold.text for hold in story.job_state().holds] == [
        "Part EX-12 came off and is not accounted for."
    ]
    part(story, "on", "EX-12")
    assert story.close()


def test_a_closed_job_takes_nothing_more(story: Story) -> None:
    """No reading, act, step or part, and no second closing."""
    story.bench(ONE)
    story.take("tie-bolt:1", "100 N·m")
    assert story.close()
    for late in (
        lambda: story.take("tie-bolt:1", "100 N·m"),
        lambda: story.act("tie-bolt:1", "loosened"),
        lambda: story.step("tie-bolt", "cotter-pin"),
        lambda: part(story, "off", "EX-12"),
        story.close,
    ):
        with story.refused("job-closed"):
            late()


class TestAxleNut:
    """The axle nut stays with the aircraft's position; what comes and goes there ends its tightness."""

    @pytest.fixture
    def ramp(self, story: Story) -> Story:
        """Two wheels and a brake, WH-2231 fitted at main 2, and its axle nut tightened in J-1."""
        story.wrench()
        story.aircraft()
        for serial, kind in (("WH-2231", "wheel"), ("WH-2240", "wheel"), ("BR-0907", "brake")):
            story.assembly(serial, kind, PART)
        story.card("FIT", AXLE)
        story.job("J-1", "FIT", "WH-2231", on="QQ-HLB", position="main 2")
        story.fit("WH-2231")
        story.take("axle-nut:1", "100 N·m")
        return story

    def test_it_stays_tight_while_nothing_comes_or_goes(self, ramp: Story) -> None:
        """The job closes, and the nut is tight at that position."""
        assert ramp.close()
        assert ramp.state("axle-nut:1").tight is True

    def test_removing_the_wheel_ends_it(self, ramp: Story) -> None:
        """Fitting another one does, too, whether or not the removal was told."""
        ramp.remove("WH-2231")
        assert ramp.held() == ["other-assembly", "not-tightened"]
        ramp.take("axle-nut:1", "100 N·m")
        ramp.fit("WH-2240")
        assert ramp.held() == ["other-assembly", "not-tightened"]

    def test_a_wheel_that_turns_up_elsewhere_has_left(self, ramp: Story) -> None:
        """Told only as fitted to another position, it is gone from this one, and the nut with it."""
        ramp.says("placement", {
            "act": "fit", "part": PART, "serial": "WH-2231", "at": "2026-11-25T12:30:00.000Z", "aircraft": "1001",
            "position": "main 1",
        })  # fmt: skip
        assert ramp.held() == ["other-assembly", "not-tightened"]

    def test_what_it_does_not_hold_changes_nothing(self, ramp: Story) -> None:
        """A brake comes and goes at that position; the card says that the nut holds the wheel."""
        ramp.fit("BR-0907")
        ramp.remove("BR-0907")
        assert ramp.close()

    def test_the_job_names_what_is_being_fitted(self, ramp: Story) -> None:
        """Told in any order: that the old wheel came off and the new one was fitted does not undo the new one's job."""
        ramp.job("J-2", "FIT", "WH-2240", on="QQ-HLB", position="main 2")
        ramp.take("axle-nut:1", "100 N·m", job="J-2", loosened=True)
        ramp.fit("WH-2240", replacing=True)
        assert ramp.held("J-2") == []
        assert ramp.held("J-1") == ["other-assembly", "not-tightened"]

    def test_a_refused_attempt_is_not_answered_by_the_fitting(self, ramp: Story) -> None:
        """The nut was turned with a tool past its date before somebody told the fitting: still to be loosened."""
        ramp.wrench("W-0402", on="2025-11-10")
        ramp.job("J-2", "FIT", "WH-2240", on="QQ-HLB", position="main 2")
        ramp.act("axle-nut:1", "loosened", job="J-2")
        ramp.take("axle-nut:1", "100 N·m", "W-0402", job="J-2")
        ramp.fit("WH-2240", replacing=True)
        assert ramp.held("J-2") == ["refused-tool"]
        ramp.take("axle-nut:1", "100 N·m", job="J-2", loosened=True)
        assert ramp.close("J-2")

    def test_a_wheel_that_comes_back_does_not_bring_the_tightness(self, ramp: Story) -> None:
        """Off, and the same wheel on again: the nut was undone, whoever fits what."""
        ramp.remove("WH-2231")
        ramp.fit("WH-2231")
        assert ramp.held() == ["not-tightened"]

    def test_a_removal_told_late_counts_from_its_own_time(self, ramp: Story) -> None:
        """Said to be before the tightening, it ends nothing of it; said to be after, it does."""
        ramp.until("2026-11-25T15:00")
        ramp.remove("WH-2231", at="2026-11-25T12:00:30")
        assert ramp.held() == ["other-assembly", "not-tightened"]


def test_tie_bolts_travel_with_their_wheel(story: Story) -> None:
    """Fitted, removed, stored: they stay tight; taken apart or scrapped, they do not."""
    story.bench(ONE)
    story.aircraft()
    story.take("tie-bolt:1", "100 N·m")
    story.fit("WH-2231")
    story.remove("WH-2231", to="stores")
    assert story.held() == []
    story.take_apart("WH-2231")
    assert story.held() == ["not-tightened"]
    story.take("tie-bolt:1", "100 N·m")
    story.says("placement", {
        "act": "move", "part": PART, "serial": "WH-2231", "at": "2026-11-25T12:30:00.000Z", "to": "scrap",
    })  # fmt: skip
    assert story.held() == ["not-tightened"]


def test_a_tool_that_is_accounted_for_holds_no_more(story: Story) -> None:
    """Somebody signs that it is clear of the aircraft; it is still out by the crib's book."""
    story.bench({**WHEEL, "count": 1})
    story.take("tie-bolt:1", "100 N·m")
    story.issue("W-0417", "TK", job="J-1")
    assert story.held() == ["tool-out"]
    with story.refused("needs-option"):
        story.step("", "tool-clear")
    work = fasteners.Work("TK")
    fasteners.step(story.book, story.signed["TK"], "J-1", None, "tool-clear", work, value="W-0417")
    assert story.close()
