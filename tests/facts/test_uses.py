"""Uses of tools: the running tally gives what counting every use gives, whatever comes first."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.rows import Rows
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf, Mark
from torquelog.facts.uses import DAY, put_use, uses_between, uses_of

START = 20_000 * DAY
TOOLS = ("W-1", "W-2")
USE = st.tuples(st.just("use"), st.sampled_from(TOOLS), st.integers(0, 6 * DAY), st.integers(1, 40))
STRIKE = st.tuples(st.just("strike"), st.integers(1, 30), st.just(0), st.just(0))


def fill(rows, facts, order):
    """Write uses and strikes in this order; entry n is the n-th fact, strikes name any entry."""
    for place in order:
        what, first, at, uses = facts[place]
        recorded = START + 7 * DAY + place
        if what == "use":
            mark = Mark("QHR", place + 1, recorded, recorded, "TK", 1)
            put_use(rows.connection, mark, START + at, 0, first, "wrench", uses)
        else:
            body = {"entry": f"QHR-{first:06d}", "why": "typed twice"}
            rows.put("strike", body, recorded, number=place + 1)


def naive(facts, tool, after, until):
    """Every use that no strike names, one by one."""
    struck = {first for what, first, _, _ in facts if what == "strike"}
    return sum(
        uses
        for place, (what, name, at, uses) in enumerate(facts)
        if what == "use" and name == tool and after <= START + at <= until and place + 1 not in struck
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(USE | STRIKE, max_size=25), st.data())
def test_tally_equals_counting_one_by_one(facts, data):
    """Uses and strikes in any order, strikes before their targets and twice, over any span."""
    rows = Rows()
    fill(rows, facts, data.draw(st.permutations(range(len(facts)))))
    for tool in TOOLS:
        after = START + data.draw(st.integers(-DAY, 7 * DAY))
        until = after + data.draw(st.integers(-5, 7 * DAY))
        expected = naive(facts, tool, after, until)
        assert uses_between(rows.connection, tool, after, until) == expected
        at_end = AsOf(END_OF_TIME, END_OF_TIME - 1)
        assert uses_between(rows.connection, tool, after, until, at_end) == expected
        assert sum(each.uses for each in uses_of(rows.connection, tool, after, until)) == expected


def test_both_ends_of_a_span_belong_to_it():
    """A use at the very moment a calibration begins to count counts, and so does one at the end."""
    rows = Rows()
    for place, at in enumerate((START - 1, START, START + 3 * DAY, START + 3 * DAY + 1)):
        put_use(rows.connection, Mark("QHR", place + 1, at, at, "TK", 1), at, 0, "W-1", "wrench")
    assert uses_between(rows.connection, "W-1", START, START + 3 * DAY) == 2


def test_what_was_not_known_yet_is_not_counted():
    """As it was known on the first day, a use told on the third did not happen; nor did a strike."""
    rows = Rows()
    put_use(rows.connection, Mark("QHR", 1, START, START, "TK", 1), START, 0, "W-1", "wrench")
    put_use(
        rows.connection,
        Mark("QHR", 2, START + 2 * DAY, START + 2 * DAY, "TK", 1),
        START + 5,
        0,
        "W-1",
        "wrench",
    )
    rows.put("strike", {"entry": "QHR-000001", "why": "typed twice"}, START + 3 * DAY, number=3)
    then = AsOf(END_OF_TIME, START + DAY)
    assert uses_between(rows.connection, "W-1", START, START + 4 * DAY, then) == 1
    assert uses_between(rows.connection, "W-1", START, START + 4 * DAY) == 1
    assert [each.number for each in uses_of(rows.connection, "W-1", START, START + DAY, LATEST)] == [2]


def test_the_tally_is_the_only_table_that_may_change():
    """Its sums change, its keys do not; the uses themselves stay as they were written."""
    rows = Rows()
    put_use(rows.connection, Mark("QHR", 1, START, START, "TK", 1), START, 0, "W-1", "wrench")
    rows.connection.execute("UPDATE cycle_tally SET uses = uses + 1")
    with pytest.raises(Exception, match="keys never change"):
        rows.connection.execute("UPDATE cycle_tally SET tool = 'W-2'")
    with pytest.raises(Exception, match=r"never changed|not authorized"):
        rows.connection.execute("UPDATE tool_use SET uses = 7")


def test_days_before_1970_are_days_too():
    """A day is rounded down, also where the count of milliseconds is negative."""
    rows = Rows()
    for place, at in enumerate((-3 * DAY - 1, -2 * DAY, -1, 0)):
        put_use(rows.connection, Mark("QHR", place + 1, 0, 0, "TK", 1), at, 0, "W-1", "wrench")
    rows.put("strike", {"entry": "QHR-000002", "why": "typed twice"}, 5, number=9)
    assert uses_between(rows.connection, "W-1", -4 * DAY, 0) == 3
