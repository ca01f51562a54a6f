"""Which fasteners are looked at because one beside them failed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.rules.fastener import Event
from torquelog.rules.neighbours import beside, to_look_at

COUNTS = st.integers(1, 40)


def event(at: int, kind: str, what: str, *, job: str = "J-1", waits: bool = False) -> Event:
    """Something that happened to a fastener."""
    return Event(at, at, "QHR", at, kind, job, what, waits=waits)


FOUND = event(10, "act", "found")


@pytest.mark.parametrize(
    ("item", "count", "reach", "neighbours"),
    [
        (7, 12, 1, (6, 8)),
        (1, 12, 1, (12, 2)),
        (12, 12, 2, (11, 1, 10, 2)),
        (1, 3, 2, (3, 2)),
        (1, 1, 1, ()),
        (1, 2, 1, (2,)),
        (3, 12, 0, ()),
    ],
)
def test_they_stand_in_a_circle(item: int, count: int, reach: int, neighbours: tuple[int, ...]) -> None:
    """The last one is beside the first, and nobody is a neighbour of its own."""
    assert beside(item, count, reach) == neighbours


@given(COUNTS, COUNTS, COUNTS, st.integers(0, 40))
def test_to_be_beside_is_mutual(count: int, one: int, other: int, reach: int) -> None:
    """What is beside another one has it beside itself; all others are beside where the reach covers them."""
    one, other = (one - 1) % count + 1, (other - 1) % count + 1
    assert (other in beside(one, count, reach)) == (one in beside(other, count, reach))
    assert len(set(beside(one, count, count))) == count - 1


@pytest.mark.parametrize(
    ("after", "answered"),
    [
        (event(11, "reading", "within"), True),
        (event(9, "reading", "within"), False),
        (event(11, "reading", "within", waits=True), False),
        (event(11, "reading", "below"), False),
        (event(11, "reading", "refused"), False),
        (event(11, "act", "replaced"), True),
        (event(11, "act", "loosened"), False),
        (event(11, "act", "found", job="J-2"), True),
    ],
)
def test_what_answers(after: Event, answered: bool) -> None:
    """A torque within its limits or new hardware, after the failure was found; what failed too is open by itself."""
    events = {2: [FOUND], 1: [after], 3: [event(12, "reading", "within")]}
    assert to_look_at(events, 12, 1, "J-1") == ({} if answered else {1: (2,)})


def test_failures_of_this_job_count_and_several_are_named() -> None:
    """Fastener 3 is beside two that failed; what another job found is that job's."""
    events = {2: [FOUND], 4: [FOUND], 8: [event(10, "act", "found", job="J-2")]}
    assert to_look_at(events, 12, 1, "J-1") == {1: (2,), 3: (2, 4), 5: (4,)}
    assert to_look_at(events, 12, 0, "J-1") == {}


def test_neighbours_go_round_the_circle_each_once() -> None:
    """A reach beyond half the circle, or round it, names nobody twice and not the fastener itself."""
    assert beside(1, 4, 3) == (4, 2, 3)
    assert beside(1, 4, 9) == (4, 2, 3)
    assert beside(2, 2, 1) == (1,)
    assert beside(1, 1, 1) == ()
    assert beside(1, 3, 2) == (3, 2)


def test_what_happened_at_the_same_moment_is_told_apart_by_its_entry() -> None:
    """The failure itself answers nothing, nor does what is recorded before it at the same time."""
    same = FOUND._replace(kind="reading", what="within")
    assert to_look_at({2: [FOUND], 1: [same]}, 12, 1, "J-1") == {1: (2,), 3: (2,)}
    assert to_look_at({2: [FOUND], 1: [same._replace(number=FOUND.number + 1)]}, 12, 1, "J-1") == {3: (2,)}


def test_only_an_act_finds_or_replaces() -> None:
    """A step of that name is none."""
    step = FOUND._replace(kind="step")
    assert to_look_at({2: [step]}, 12, 1, "J-1") == {}
    answer = FOUND._replace(kind="step", what="replaced", at=FOUND.at + 1)
    assert to_look_at({2: [FOUND], 1: [answer]}, 12, 1, "J-1") == {1: (2,), 3: (2,)}
