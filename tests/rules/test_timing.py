"""Which time an entry may bear."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.rules.timing import HOUR, SLIGHTLY_BEHIND, Head, entry_time

HEAD = Head(7, 1_000_000_000_000)


def time(now, head=HEAD, *, clock_ok=False, release=False):
    try:
        return entry_time(now, head, 36, clock_ok=clock_ok, release=release)
    except TorquelogError as error:
        return error.code


@pytest.mark.parametrize(
    ("behind", "given"),
    [
        (0, HEAD.recorded),
        (1, HEAD.recorded),
        (SLIGHTLY_BEHIND, HEAD.recorded),
        (SLIGHTLY_BEHIND + 1, "clock-behind"),
        (-1, HEAD.recorded + 1),
        (-36 * HOUR, HEAD.recorded + 36 * HOUR),
        (-36 * HOUR - 1, "clock-ahead"),
    ],
)
def test_the_bounds_to_the_millisecond(behind, given):
    """Two minutes behind: the head's time. More: refused. More than 36 hours ahead: somebody has to vouch."""
    assert time(HEAD.recorded - behind) == given


def test_somebody_vouches_for_the_clock_ahead_and_not_for_one_behind():
    """`--clock-ok` helps after a long gap only."""
    assert time(HEAD.recorded + 37 * HOUR, clock_ok=True) == HEAD.recorded + 37 * HOUR
    assert time(HEAD.recorded - HOUR, clock_ok=True) == "clock-behind"


def test_the_first_entry_and_a_release_bear_the_clocks_time():
    """Nothing comes before the first; a release alone may step back."""
    assert time(5, None) == 5
    assert time(5, release=True) == 5


@settings(max_examples=100)
@given(now=st.integers(0, 2 * HEAD.recorded))
def test_time_never_steps_back(now):
    """Whatever the clock says, an entry bears no earlier time than the one before it."""
    found = time(now, clock_ok=True)
    assert found == "clock-behind" or found == max(now, HEAD.recorded)


def test_a_gap_is_told_with_both_times_and_its_hours() -> None:
    """Exactly so many hours are no gap; a millisecond more is."""
    head = Head(7, 0)
    assert entry_time(36 * HOUR, head, 36, clock_ok=False, release=False) == 36 * HOUR
    with pytest.raises(TorquelogError, match="more than 36 hours") as caught:
        entry_time(36 * HOUR + 1, head, 36, clock_ok=False, release=False)
    assert caught.value.code == "clock-ahead"
    assert entry_time(36 * HOUR + 1, head, 36, clock_ok=True, release=False) == 36 * HOUR + 1
