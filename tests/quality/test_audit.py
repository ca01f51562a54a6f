"""The lists that an audit asks for: complete, as of a moment, and by what is known."""

from bisect import bisect_left
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.story import Story, codes
from tests.support.tools import LISBON, certificate, judged, moment, old, wrench
from tests.support.tools import case as known_case
from torquelog.clock import Period
from torquelog.crib import calibration
from torquelog.facts.uses import ToolUse
from torquelog.quality import audit, withdrawal
from torquelog.quality.limits import set_limits
from torquelog.quality.overdue import overdue_uses
from torquelog.rules.overdue import History, overdue


class TestOverdue:
    def test_refused_attempts_and_nothing_of_a_good_wrench(self, story: Story):
        """A use in date is none; the same wrench a year later is one, refused as it was."""
        story.bench()
        story.take("tie-bolt:1", "100 N·m")
        assert overdue_uses(story.book) == ()
        story.until("2027-11-20T09:00")
        late = story.take("tie-bolt:2", "100 N·m")
        (found,) = overdue_uses(story.book)
        assert (found.reading.outcome, found.tool.tool) == ("refused", "W-0417")
        assert [ground.code for ground in found.grounds] == codes(late) == ["past-due"]

    def test_cycles_that_were_told_later(self, story: Story):
        """With three cycles allowed and four uses elsewhere told at the return, all later work is out of cycles."""
        story.bench()
        set_limits(story.book, story.own["TK"], "W-0417", every=None, cycles=3, why="worn")
        story.later(seconds=2)
        story.issue("W-0417")
        story.take("tie-bolt:1", "100 N·m")
        assert overdue_uses(story.book) == ()
        story.give_back("W-0417", uses=4)
        story.take("tie-bolt:2", "100 N·m")
        (found,) = overdue_uses(story.book)
        assert [ground.code for ground in found.grounds] == ["cycles-used"]

    def test_a_withdrawn_certificate_and_what_was_known_before(self, story: Story):
        """Work after the withdrawal had no calibration; work before it had one then."""
        story.bench()
        story.take("tie-bolt:1", "100 N·m")
        story.later(days=1)
        withdrawal.withdraw(
            story.book,
            story.signed["TK"],
            "W-0417",
            "C-W-0417-2026-11-09",
            why="the laboratory called it back",
        )
        story.later(seconds=5)
        story.take("tie-bolt:2", "100 N·m")
        (found,) = overdue_uses(story.book)
        assert [ground.code for ground in found.grounds] == ["not-calibrated"]
        assert overdue_uses(story.book, as_of=story.moment("2026-11-25T23:00")) == ()
        assert overdue_uses(story.book, until=story.moment("2026-11-25T23:00")) == ()
        assert len(overdue_uses(story.book, since=story.moment("2026-11-26T00:00"))) == 1

    @settings(max_examples=60, deadline=None)
    @given(
        st.lists(st.tuples(st.integers(0, 700), st.integers(1, 3)), max_size=12),
        st.integers(1, 8),
        st.sampled_from(["day", "month"]),
    )
    def test_it_agrees_with_the_judgement_of_each_use(self, told, cycles, through):
        """Whatever the uses: past due and out of cycles as the rule of fitness says it of each one."""
        tool = wrench(cycles=cycles, every=Period(6, "month"))
        calibrations = (old(), certificate(), certificate("2026-09-10", "2026-09-12T09:00", number=20))
        start = moment("2026-01-01T12:00")
        uses = [
            ToolUse("QHR", number, 0, start + day * 86_400_000, 0, "wrench", count)
            for number, (day, count) in enumerate(sorted(told), start=30)
        ]
        history = History(calibrations, [], lambda _: tool, lambda _: through, LISBON)
        found = {use.number: {ground.code for ground in grounds} for use, grounds in overdue(history, uses)}
        for place, use in enumerate(uses):
            governed = history.at(use.at).governed
            assert governed is not None
            first = bisect_left([each.at for each in uses], governed.since)
            before = sum(each.uses for each in uses[first:place])
            known = known_case(tool, calibrations, uses=before, due_through=through)
            fitness = judged(known, at=_local(use.at))
            expected = {ground.code for ground in fitness.grounds} & {"past-due", "cycles-used"}
            assert found.get(use.number, set()) == expected


def _local(at: int) -> str:
    from torquelog.clock import offset_text

    return offset_text(at, LISBON)


class TestLists:
    def test_struck(self, story: Story):
        """The entry, who struck it and why; an outside reading waits until a second person has confirmed."""
        story.bench()
        low = story.take("tie-bolt:1", "50 N·m")
        story.correct(low.reference, reading="100 N·m")
        (found,) = audit.struck(story.book)
        assert (found.name, found.struck.kind if found.struck else "", found.signer) == (
            low.reference,
            "reading",
            "TK",
        )
        assert (found.strike.why, found.strike.awaits, found.confirmed) == ("typed wrongly", True, False)
        story.confirm(f"QHR-{found.strike.number:06d}")
        (confirmed,) = audit.struck(story.book)
        assert confirmed.confirmed
        assert audit.struck(story.book, audit.ALL._replace(until=found.strike.recorded)) == ()

    def test_limits(self, story: Story):
        """What was before stands beside what is now."""
        story.wrench()
        for cycles in (4000, 3000):
            story.later(seconds=2)
            set_limits(story.book, story.own["TK"], "W-0417", every=None, cycles=cycles, why="worn")
        found = audit.limits_changed(story.book)
        assert [(each.before.cycles, each.after.cycles) for each in found] == [(5000, 4000), (4000, 3000)]
        earlier = audit.ALL._replace(known=found[0].told.at)
        assert len(audit.limits_changed(story.book, earlier)) == 1

    def test_authorised(self, story: Story):
        """The first person's roles have no beginning; the others' begin with their enrolment."""
        now = story.clock.moment
        roles = {(each.person.person, each.role): each for each in audit.authorised(story.book, now)}
        assert {role for person, role in roles if person == "TK"} == {
            "technician",
            "inspector",
            "crib",
            "quality",
        }
        assert (roles["TK", "quality"].since, roles["IK", "technician"].since) == (
            None,
            roles["IK", "technician"].told,
        )
        before = audit.authorised(story.book, story.moment("2026-11-25T11:00"))
        assert [each for each in before if each.person.person != "TK"] == []

    def test_a_role_that_was_taken_away(self, story: Story):
        """Held before, not after."""
        story.later(hours=1)
        before = story.clock.moment
        story.later(seconds=5)
        story.says("role", {"person": "IK", "role": "technician", "change": "remove"}, own=True)
        now = audit.authorised(story.book, story.clock.moment)
        assert "IK" not in {each.person.person for each in now}
        assert "IK" in {each.person.person for each in audit.authorised(story.book, before)}

    @pytest.mark.parametrize("accept", [True, False])
    def test_certificates(self, story: Story, accept: Any):
        """Who accepted which; not accepted is said, too."""
        story.wrench(accept=accept)
        (found,) = audit.certificates(story.book)
        assert (found.certificate, found.accepted_by) == ("C-W-0417-2026-11-09", "TK" if accept else "")
        earlier = audit.ALL._replace(known=found.recorded - 1)
        assert audit.certificates(story.book, earlier) == ()
        story.later(hours=1)
        new = calibration.NewCalibration("C-2", found.on, laboratory="Lab", points=story.results("W-0417"))
        calibration.calibrate(story.book, story.signed["TK"], "W-0417", new)
        assert len(audit.certificates(story.book)) == 2
