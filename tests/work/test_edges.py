"""Edges of the judgement on a reading, through the act that records it."""

import pytest

from tests.support.story import WHEEL, Story, codes, remarks


class TestCycles:
    """The last cycle, and the next."""

    def test_the_last_cycle_is_used_and_the_next_refused(self, story: Story) -> None:
        """Three cycles: three readings, of which the last says so; the fourth is refused, and counts as a use too."""
        story.wrench(cycles=3)
        story.assembly()
        story.card("BUILD", {**WHEEL, "count": 5})
        story.job()
        found = [story.take(f"tie-bolt:{item}", "100 N·m") for item in (1, 2, 3)]
        assert [each.outcome for each in found] == ["within"] * 3
        assert "runs-out" in remarks(found[2])
        assert codes(story.take("tie-bolt:4", "100 N·m")) == ["cycles-used"]

    def test_every_actuation_counts(self, story: Story) -> None:
        """A pass, a check, a refused attempt and what the crib tells of elsewhere: four, so the fifth is one too many."""
        story.wrench(cycles=4)
        story.assembly()
        story.card("BUILD", {**WHEEL, "count": 2})
        story.job()
        story.issue("W-0417")
        story.take("tie-bolt:1", "100 N·m")
        story.take("tie-bolt:1", "100 N·m")
        assert codes(story.take("tie-bolt:2", "151 N·m")) == ["outside-range", "outside-calibrated-range"]
        story.give_back("W-0417", uses=1)
        assert codes(story.take("tie-bolt:2", "100 N·m", loosened=True)) == ["cycles-used"]

    def test_run_on_and_torque_with_one_wrench_are_two_cycles(self, story: Story) -> None:
        """With one cycle left the same wrench cannot take both; with two it can."""
        nut = {**WHEEL, "torque": "60..70 lbf·in", "basis": "above-run-on"}
        story.wrench("W-IN", scale="5..150 lbf·in by 1", cycles=3)
        story.assembly()
        story.card("BUILD", nut)
        story.job()
        run_on = ("14 lbf·in", "W-IN")
        assert story.take("tie-bolt:1", "79 lbf·in", "W-IN", run_on=run_on).outcome == "within"
        assert codes(story.take("tie-bolt:2", "79 lbf·in", "W-IN", run_on=run_on)) == ["cycles-used"]

    def test_a_struck_reading_gives_its_cycle_back(self, story: Story) -> None:
        """Typed by mistake, it never happened; a calibration starts the count anew as well."""
        story.wrench(cycles=1)
        story.assembly()
        story.card("BUILD", WHEEL)
        story.job()
        typed = story.take("tie-bolt:1", "100 N·m")
        story.correct(typed.reference)
        assert story.take("tie-bolt:1", "100 N·m").outcome == "within"
        assert codes(story.take("tie-bolt:2", "100 N·m")) == ["cycles-used"]
        story.later(days=1)
        story.calibrate("W-0417", "2026-11-26")
        assert story.take("tie-bolt:2", "100 N·m", loosened=True).outcome == "within"


class TestEvents:
    """What befalls a tool after a good calibration."""

    @pytest.mark.parametrize("what", ["dropped", "overloaded", "damaged", "repaired"])
    def test_a_good_certificate_ends_with_the_event(self, story: Story, what: str) -> None:
        """Refused from then on, until a newer certificate was accepted; work before the event stands."""
        story.bench()
        before = story.take("tie-bolt:1", "100 N·m")
        story.report("W-0417", what, by="IK")
        assert codes(story.take("tie-bolt:2", "100 N·m")) == [what]
        assert story.state("tie-bolt:1").governing.number == int(before.reference[-6:])
        story.later(days=1)
        story.calibrate("W-0417", "2026-11-26")
        assert story.take("tie-bolt:2", "100 N·m", loosened=True).outcome == "within"

    def test_lost_and_found_is_good_again_from_its_finding_on(self, story: Story) -> None:
        """While lost it is refused; found it is not."""
        story.bench()
        story.report("W-0417", "lost")
        assert codes(story.take("tie-bolt:1", "100 N·m")) == ["lost"]
        story.report("W-0417", "found")
        assert story.take("tie-bolt:1", "100 N·m", loosened=True).outcome == "within"


class TestRange:
    """Range is asked of what the wrench shows, limits of what the fastener gets."""

    @pytest.fixture
    def long_adapter(self, story: Story) -> Story:
        """A wrench of 20 to 60 N·m with a 10 in lever, and adapters that double and halve its torque."""
        story.wrench("W-60", scale="20..60 N·m by 0.5")
        story.adapter("A-10", "10 in")
        story.adapter("A-B", "-5 in")
        story.assembly()
        story.card("BUILD", WHEEL)
        story.job()
        return story

    def test_setting_in_range_and_torque_beyond_it(self, long_adapter: Story) -> None:
        """50 on the wrench is 100 at the bolt: within limits, and no ground, though the wrench ends at 60."""
        found = long_adapter.take("tie-bolt:1", "50 N·m", "W-60", adapters=["A-10"])
        assert (found.outcome, found.applied) == ("within", 100)
        assert long_adapter.take("tie-bolt:2", "40 N·m", "W-60", adapters=["A-10"]).outcome == "below"

    def test_torque_in_range_and_setting_beyond_it(self, long_adapter: Story) -> None:
        """80 on the wrench is 40 at the bolt: what is set lies outside, so it is refused."""
        found = long_adapter.take("tie-bolt:1", "80 N·m", "W-60", adapters=["A-B"])
        assert found.applied == 40
        assert codes(found) == ["outside-range", "outside-calibrated-range"]

    def test_calibrated_over_a_part_of_the_range(self, story: Story) -> None:
        """The scale ends at 150, the certificate at 90: on its end it is good, above it refused."""
        story.wrench(on="")
        story.calibrate("W-0417", "2026-11-09", points=story.results_of("20", "90", "N·m"))
        story.assembly()
        story.card("BUILD", {**WHEEL, "torque": "85..105 N·m"})
        story.job()
        assert story.take("tie-bolt:1", "90 N·m").outcome == "within"
        assert codes(story.take("tie-bolt:2", "90.5 N·m")) == ["outside-calibrated-range"]

    def test_a_unit_without_a_scale(self, story: Story) -> None:
        """74 lbf·ft would be within limits, and the wrench shows newton metres only."""
        story.bench()
        found = story.take("tie-bolt:1", "74 lbf·ft")
        assert codes(found) == ["no-scale"]
        assert "N·m" in found.grounds[0].message

    def test_an_adapter_on_a_wrench_without_a_lever(self, story: Story) -> None:
        """A T-handle has none: refused, and kept; without the adapter it may be used."""
        story.wrench("T-01", lever=None)
        story.adapter("A-03", "3 in")
        story.assembly()
        story.card("BUILD", WHEEL)
        story.job()
        assert codes(story.take("tie-bolt:1", "100 N·m", "T-01", adapters=["A-03"])) == ["no-lever"]
        assert story.take("tie-bolt:2", "100 N·m", "T-01").outcome == "within"


LEFT_HAND = {**WHEEL, "direction": "ccw"}


class TestDirection:
    """A certificate speaks of the directions that it has results for."""

    def test_counter_clockwise_on_a_clockwise_certificate(self, story: Story) -> None:
        """Refused by name: nothing was calibrated that way."""
        story.bench(LEFT_HAND)
        assert codes(story.take("tie-bolt:1", "100 N·m")) == ["direction"]

    def test_calibrated_that_way_it_may_be_used(self, story: Story) -> None:
        """And then not the other way."""
        story.wrench(on="")
        story.calibrate("W-0417", "2026-11-09", direction="ccw")
        story.assembly()
        story.card("BUILD", LEFT_HAND, {**WHEEL, "id": "right-hand"})
        story.job()
        found = story.take("tie-bolt:1", "100 N·m")
        assert (found.outcome, found.direction) == ("within", "ccw")
        assert codes(story.take("right-hand:1", "100 N·m")) == ["direction"]


class TestOneDay:
    """Calibrated and used on one day, before and after the certificate was accepted."""

    @pytest.fixture
    def waiting(self, story: Story) -> Story:
        """A wrench that was in use for years; a newer certificate of today waits for its acceptance."""
        story.wrench(on="2025-11-10")
        story.assembly()
        story.card("BUILD", WHEEL)
        story.job()
        story.calibrate("W-0417", "2026-11-25", accept=False)
        return story

    def test_before_its_acceptance_it_is_refused(self, waiting: Story) -> None:
        """By the old one, whose date is past, and by the new one, which nobody accepted."""
        assert codes(waiting.take("tie-bolt:1", "100 N·m")) == ["not-accepted", "past-due"]

    def test_from_its_acceptance_on_it_is_good(self, waiting: Story) -> None:
        """From that second; what was done a second before it is judged as before, and waits for nobody."""
        from torquelog.crib import custody

        waiting.later(seconds=10)
        custody.receive(waiting.book, waiting.signed["TK"], ["W-0417"])
        accepted = waiting.clock.moment
        assert waiting.take("tie-bolt:1", "100 N·m").outcome == "within"
        early = waiting.take("tie-bolt:2", "100 N·m", at=accepted - 1, why="written down late")
        assert codes(early) == ["not-accepted", "past-due"]
        assert waiting.take("tie-bolt:3", "100 N·m", at=accepted).outcome == "within"

    def test_a_first_certificate_counts_from_its_day(self, story: Story) -> None:
        """Told on the 25th for the 20th: work of the 20th is good with a remark, work of the 19th is refused."""
        story.bench()
        story.wrench("W-NEW", on="2026-11-20")
        found = story.take("tie-bolt:1", "100 N·m", "W-NEW", at="2026-11-20T00:00")
        assert (found.outcome, "first-certificate" in remarks(found)) == ("within", True)
        early = story.take("tie-bolt:2", "100 N·m", "W-NEW", at="2026-11-19T23:59:59")
        assert codes(early) == ["not-calibrated"]


class TestDueDay:
    """Due 10 November 2026, judged in Lisbon."""

    def test_the_last_second_of_the_due_day(self, story: Story) -> None:
        """At 23:59:59 it may be used, at midnight it may not; both entered later, each by its own date."""
        story.bench()
        story.wrench("W-DUE", on="2025-11-10")
        last = story.take("tie-bolt:1", "100 N·m", "W-DUE", at="2026-11-10T23:59:59.999", why="back-filled")
        assert (last.outcome, last.due) == ("within", "2026-11-10")
        assert codes(story.take("tie-bolt:2", "100 N·m", "W-DUE", at="2026-11-11T00:00")) == ["past-due"]

    def test_by_the_month_where_the_station_says_so(self, story: Story) -> None:
        """From the rule on; before it the day counted, and still does."""
        story.bench()
        story.wrench("W-DUE", on="2025-11-10")
        assert codes(story.take("tie-bolt:1", "100 N·m", "W-DUE")) == ["past-due"]
        story.says("rule", {"rule": "due-through", "value": "month"}, own=True)
        assert story.take("tie-bolt:1", "100 N·m", "W-DUE", loosened=True).outcome == "within"
        early = story.take("tie-bolt:2", "100 N·m", "W-DUE", at="2026-11-25T12:00")
        assert codes(early) == ["past-due"]

    def test_work_in_the_future_is_refused(self, story: Story) -> None:
        """An hour ahead of the clock: kept as a refusal by that ground."""
        story.bench()
        assert codes(story.take("tie-bolt:1", "100 N·m", at="2026-11-25T13:30")) == ["in-the-future"]


class TestPeople:
    """Who may perform is judged at the time of the work."""

    def test_a_role_that_was_removed(self, story: Story) -> None:
        """Work done before the removal is taken, work after it is an error that names the role."""
        story.bench()
        story.later(seconds=3600)
        story.says("role", {"person": "IK", "role": "technician", "change": "remove"}, own=True)
        story.later(seconds=60)
        done = story.take("tie-bolt:1", "100 N·m", by="IK", signed_by="TK", at="2026-11-25T12:30")
        assert done.outcome == "within"
        with story.refused("no-role"):
            story.take("tie-bolt:2", "100 N·m", by="IK", signed_by="TK")

    def test_an_inspector_is_no_technician(self, story: Story) -> None:
        """Nor is somebody whom nobody enrolled."""
        story.bench()
        with story.refused("no-role"):
            story.take("tie-bolt:1", "100 N·m", by="MS")
        with story.refused("person-unknown"):
            story.take("tie-bolt:1", "100 N·m", by="XX", signed_by="TK")


class TestNames:
    """What names nothing leaves nothing on record."""

    def test_unknown_names(self, story: Story) -> None:
        """Job, group, number, wrench, adapter: an error each, with what is close to it."""
        story.bench()
        story.adapter("A-03", "3 in")
        for code, close, fastener, more in (
            ("job-unknown", "", "tie-bolt:1", {"job": "J-9"}),
            ("group-unknown", "tie-bolt", "tie-bot:1", {}),
            ("fastener-unknown", "1 to tie-bolt:3", "tie-bolt:4", {}),
            ("tool-unknown", "W-0417", "tie-bolt:1", {"wrench": "W-0471"}),
            ("tool-unknown", "A-03", "tie-bolt:1", {"adapters": ["A-30"]}),
            ("tool-unknown", "", "tie-bolt:1", {"wrench": "A-03"}),
        ):
            with story.refused(code) as caught:
                story.take(fastener, "100 N·m", **more)
            assert close in caught.value.message, code


class TestClock:
    """The time that an entry bears is read inside the transaction, and never goes back."""

    def test_far_behind_nothing_is_recorded(self, story: Story) -> None:
        """Five minutes behind the last entry: an error, and nothing on record."""
        story.bench()
        story.take("tie-bolt:1", "100 N·m")
        story.clock.moment -= 301_000
        with story.refused("clock-behind"):
            story.take("tie-bolt:2", "100 N·m")

    def test_a_little_behind_the_head_counts(self, story: Story) -> None:
        """A minute behind: the entry bears the last one's time, and the work was done then."""
        story.bench()
        head = story.take("tie-bolt:1", "100 N·m").recorded_at
        story.clock.moment -= 61_000
        found = story.take("tie-bolt:2", "100 N·m")
        assert (found.recorded_at, found.performed_at, found.outcome) == (head, head, "within")
