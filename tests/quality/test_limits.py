"""Limits that quality sets from now on, and the advice on an interval that comes before it."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.quality.recalled import results
from tests.support.story import Story, codes
from torquelog.clock import Period, add_period
from torquelog.crib import calibration
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.due import line_of
from torquelog.facts import tools
from torquelog.facts.limits_told import Told, every_change, limited
from torquelog.quality.interval import advise
from torquelog.quality.limits import LimitsSet, set_limits
from torquelog.rules.interval_advice import together
from torquelog.torque.interval import Advice


def put(story: Story, *, every: Period | None = None, cycles: int | None = None) -> LimitsSet:
    """Set the limits of W-0417 by quality's passphrase."""
    return set_limits(story.book, story.own["TK"], "W-0417", every=every, cycles=cycles, why="it drifts")


class TestLimits:
    def test_a_shorter_interval_counts_from_now_on(self, story: Story):
        """Left on 9 November 2026: under three months it is over in March; work of January, told then, stands."""
        story.bench()
        story.until("2027-03-01T09:00")
        found = put(story, every=Period(3, "month"))
        assert [ground.code for ground in found.fitness.grounds] == ["past-due"]
        assert (str(found.before.every), str(found.after.every)) == ("12 months", "3 months")
        story.later(hours=1)
        assert codes(story.take("tie-bolt:1", "100 N·m")) == ["past-due"]
        told = story.take("tie-bolt:2", "100 N·m", at="2027-02-20T10:00", why="kept on paper")
        assert (told.outcome, codes(told)) == ("within", [])
        assert "awaits-confirmation" in [remark.code for remark in told.remarks]

    def test_a_longer_interval_revives_nothing(self, story: Story):
        """Due on 9 November 2027 by 12 months; 24 months are set on the 20th: the 15th stays refused."""
        story.bench()
        story.until("2027-11-20T09:00")
        assert codes(story.take("tie-bolt:1", "100 N·m")) == ["past-due"]
        put(story, every=Period(24, "month"))
        story.later(hours=1)
        assert codes(story.take("tie-bolt:1", "100 N·m", loosened=True)) == []
        late = story.take("tie-bolt:2", "100 N·m", at="2027-11-15T10:00", why="kept on paper")
        assert codes(late) == ["past-due"]

    def test_cycles(self, story: Story):
        """Three are allowed from now on, and two were used; more are allowed later."""
        story.bench()
        for item in (1, 2):
            story.take(f"tie-bolt:{item}", "100 N·m")
        put(story, cycles=3)
        story.later(seconds=5)
        assert codes(story.take("tie-bolt:3", "100 N·m")) == []
        assert codes(story.take("tie-bolt:3", "100 N·m", loosened=True)) == ["cycles-used"]
        put(story, cycles=10)
        story.later(seconds=5)
        assert codes(story.take("tie-bolt:3", "100 N·m", loosened=True)) == []
        tool = tools.tool(story.book.connection, "W-0417")
        assert tool is not None
        assert (tool.cycles, str(tool.every)) == (10, "12 months")
        assert line_of(story.book, tool, story.clock.moment).fitness.cycles_left == 5
        assert [each.cycles for each in every_change(story.book.connection)] == [3, 10]

    @pytest.mark.parametrize(
        ("told", "code"),
        [
            ({}, "needs-option"),
            ({"cycles": 0}, "tool-facts"),
            ({"cycles": 5000}, "limits-same"),
            ({"every": Period(12, "month")}, "limits-same"),
        ],
    )
    def test_what_sets_nothing(self, story: Story, told, code):
        """A clear reason, nothing written."""
        story.wrench()
        with story.refused(code):
            put(story, **told)

    def test_quality_alone(self, story: Story):
        """By the passphrase, and with the role."""
        story.wrench()
        with story.refused("no-role"):
            set_limits(story.book, story.own["IK"], "W-0417", every=None, cycles=3, why="it drifts")
        with story.refused("key-level"):
            set_limits(story.book, story.signed["TK"], "W-0417", every=None, cycles=3, why="it drifts")


def years(story: Story, number: str, *found: str) -> None:
    """Calibrations a year apart: at 100 N·m each found this far from 100, always left at 100."""
    left = results((("20", "20"), ("100", "100"), ("150", "150")))
    story.wrench(number, on="2018-01-15", points=left)
    on = date(2018, 1, 15)
    for reference in found:
        on += timedelta(days=365)
        before = results((("20", "20"), ("100", reference), ("150", "150")), "as-found")
        new = NewCalibration(f"C-{number}-{on}", on, laboratory="Lab", points=before + left)
        calibration.calibrate(story.book, story.signed["TK"], number, new, accept=True)


@given(
    st.sampled_from([None, Period(6, "month"), Period(12, "month"), Period(200, "day")]),
    st.integers(1, 100) | st.none(),
    st.lists(st.tuples(st.integers(1, 24), st.integers(1, 100)), max_size=5),
)
def test_a_station_that_is_not_accepted_here_can_only_shorten(every, cycles, told):
    """Whatever it says: neither the interval nor the cycle limit grows by it."""
    changes = [
        Told("LGW", number, "W-1", number, Period(months, "month"), uses, "AB", "so", counts=False)
        for number, (months, uses) in enumerate(told)
    ]
    after_every, after_cycles = limited(every, cycles, changes)
    base = date(2000, 1, 1)
    assert every is None or add_period(base, after_every) <= add_period(base, every)
    assert cycles is None or after_cycles <= cycles
    trusted = limited(every, cycles, [each._replace(counts=True) for each in changes])
    assert trusted == ((changes[-1].every, changes[-1].cycles) if changes else (every, cycles))


class TestInterval:
    def test_too_few(self, story: Story):
        """One certificate says nothing of a drift, and is said to."""
        story.wrench()
        found = advise(story.book, "W-0417")
        assert (found.advice.decision, found.days, found.tested) == ("too-few", 365, 0)

    def test_steady_results_keep_or_lengthen(self, story: Story):
        """Six years without a change."""
        years(story, "W-1", *["100"] * 6)
        found = advise(story.book, "W-1")
        assert found.own.decision == "lengthen"
        assert found.advice.decision == "lengthen"
        assert [each.days for each in found.history] == [365] * 6
        assert {each.worst for each in found.history} == {0}

    def test_a_drift_shortens(self, story: Story):
        """A wrench that is off by 3 to 5 % after each year does not keep 4 % for a year."""
        years(story, "W-1", "97", "96.5", "95.5", "96", "97", "95")
        found = advise(story.book, "W-1")
        assert (found.advice.decision, found.own.decision) == ("shorten", "shorten")
        assert found.advice.days is not None
        assert found.advice.days < 365
        assert found.history[0].worst == Fraction(100, 97) - 1
        assert (found.good, found.tested) == (3, 6)

    def test_the_family_speaks_where_one_tool_is_too_new(self, story: Story):
        """Four tools alike, half of them found bad; one of another range is none of them."""
        for number, reference in (
            ("W-1", "100"),
            ("W-2", "90"),
            ("W-3", "100"),
            ("W-4", "90"),
            ("W-5", "90"),
        ):
            years(story, number, reference)
        story.wrench("W-9", scale="20..100 N·m by 0.5")
        found = advise(story.book, "W-1")
        assert found.members == ("W-1", "W-2", "W-3", "W-4", "W-5")
        assert (found.good, found.tested) == (2, 5)
        assert (found.own.decision, found.advice.decision) == ("too-few", "shorten")

    @pytest.mark.parametrize(
        ("facts", "code"),
        [({"accuracy": ""}, "accuracy-missing"), ({"on": "", "every": None}, "interval-missing")],
    )
    def test_what_cannot_be_advised_on(self, story: Story, facts, code):
        """Without an accuracy nothing is good; without an interval or a due date there is nothing to advise on."""
        story.wrench(**facts)
        with story.refused(code):
            advise(story.book, "W-0417")

    @given(
        st.sampled_from(["keep", "shorten", "lengthen", "too-few"]),
        st.sampled_from(["keep", "shorten", "lengthen", "too-few"]),
    )
    def test_the_more_cautious_wins(self, own, family):
        """Shorten before keep before lengthen; too few results only where both have too few."""
        order = ["shorten", "keep", "lengthen"]
        told = [each for each in (own, family) if each in order]
        found = together(Advice(own, 300, "own"), Advice(family, 200, "family"))
        assert found.decision == (min(told, key=order.index) if told else "too-few")
