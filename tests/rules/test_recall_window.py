"""From when until when a tool is in doubt, and which certificate speaks of a moment."""

from hypothesis import given
from hypothesis import strategies as st

from tests.support.tools import LISBON, certificate, moment, points
from torquelog.clock import Moment
from torquelog.facts.custody import Move
from torquelog.rules.recall_window import (
    Window,
    has_found,
    in_order,
    last_good,
    out_of_use,
    since_good,
    term_at,
    terms,
    without_found,
)

FIRST = certificate("2026-01-10", "2026-01-12T09:00", number=10)
SECOND = certificate("2026-06-07", "2026-06-09T09:00", number=20, points=points("60 59", state="as-found"))
THIRD = certificate("2026-12-01", None, recorded="2026-12-01T15:00", number=30)


def move(act: str, at: str) -> Move:
    """An act of custody."""
    when = moment(at)
    return Move("QHR", 1, "W-0402", act, "TK", "", "", 0, when, when, "BA", "")


def test_the_certificate_before_left_it_and_the_one_after_found_it() -> None:
    """Through the day on which it was found; from its acceptance on the next one left it."""
    of_tool = terms((THIRD, FIRST, SECOND), LISBON)
    asked = (
        "2026-01-09T10:00",
        "2026-03-01T10:00",
        "2026-06-07T23:59",
        "2026-06-08T00:00",
        "2026-12-02T00:00",
    )
    found = [(term.left, term.found) for term in (term_at(of_tool, moment(at)) for at in asked)]
    assert found == [(None, FIRST), (FIRST, SECOND), (FIRST, SECOND), (SECOND, THIRD), (THIRD, None)]


def test_work_after_the_acceptance_on_the_very_day_rests_on_the_new_certificate() -> None:
    """The crib had it back that day."""
    same_day = SECOND._replace(accepted=moment("2026-06-07T14:00"))
    of_tool = terms((FIRST, same_day), LISBON)
    assert term_at(of_tool, moment("2026-06-07T13:59")).found == same_day
    assert term_at(of_tool, moment("2026-06-07T14:00")).left == same_day


def test_a_first_certificate_counts_from_the_start_of_its_day() -> None:
    """Of a new wrench nobody found anything; one that was found in some state was in it that day."""
    morning = moment("2026-01-10T06:00")
    assert term_at(terms((FIRST, SECOND), LISBON), morning).left == FIRST
    assert term_at(terms((SECOND,), LISBON), moment("2026-06-07T06:00")).found == SECOND


def test_the_day_of_the_results_as_found_counts() -> None:
    """Found on the 3rd and left on the 7th: work of the 4th is no longer spoken of by what was found."""
    apart = SECOND._replace(found_on=in_order([SECOND])[0].on.replace(day=3))
    of_tool = terms((FIRST, apart), LISBON)
    assert term_at(of_tool, moment("2026-06-03T20:00")).found == apart
    assert term_at(of_tool, moment("2026-06-04T08:00")).left == apart


def test_the_last_good_one_was_accepted_back() -> None:
    """One that nobody accepted is passed over."""
    refused = certificate("2026-03-01", None, recorded="2026-03-01T10:00", number=15)
    assert last_good((FIRST, refused, SECOND), SECOND) == FIRST
    assert last_good((FIRST,), FIRST) is None


def test_the_window_begins_on_the_day_of_the_acceptance() -> None:
    """Left on the 10th and accepted on the 12th: from the start of the 12th."""
    assert since_good(FIRST, first=False, used=None, zone=LISBON) == moment("2026-01-12T00:00")
    used = moment("2026-01-12T07:00")
    assert since_good(FIRST, first=True, used=used, zone=LISBON) == moment("2026-01-12T00:00")


def test_work_that_the_first_certificate_carried_before_its_acceptance_is_in() -> None:
    """A first certificate counts from its day, so work of the 11th rests on it."""
    used = moment("2026-01-11T07:00")
    assert since_good(FIRST, first=True, used=used, zone=LISBON) == moment("2026-01-10T00:00")
    assert since_good(FIRST, first=False, used=used, zone=LISBON) == moment("2026-01-12T00:00")


def test_the_window_ends_with_the_day_of_the_last_return() -> None:
    """An earlier return does not end it, one after the certificate does not either."""
    moves = [
        move("issue", "2026-02-01T08:00"),
        move("return", "2026-02-02T17:00"),
        move("issue", "2026-06-01T08:00"),
    ]
    moves += [move("return", "2026-06-03T17:00"), move("return", "2026-06-20T17:00")]
    since, latest = moment("2026-01-12T00:00"), moment("2026-06-07T23:59")
    assert out_of_use(moves, since, latest, None, LISBON) == moment("2026-06-04T00:00") - 1
    assert out_of_use([], since, latest, None, LISBON) == moment("2026-06-08T00:00") - 1


def test_a_use_after_the_return_moves_the_end_on() -> None:
    """What somebody did counts, not where the tool should have been."""
    moves = [move("return", "2026-06-03T17:00")]
    since, latest = moment("2026-01-12T00:00"), moment("2026-06-07T23:59")
    used = moment("2026-06-05T10:00")
    assert out_of_use(moves, since, latest, used, LISBON) == moment("2026-06-06T00:00") - 1


@given(st.integers(0, 400), st.integers(0, 400), st.lists(st.integers(0, 400), max_size=6))
def test_no_use_is_ever_outside(begin: int, length: int, days: list[int]) -> None:
    """Whatever the returns: the window reaches from its beginning over the last use."""
    day: Moment = 86_400_000
    since = moment("2026-01-12T00:00") + begin * day
    used = since + length * day
    moves = [move("return", "2026-01-12T08:00")._replace(at=since + each * day) for each in sorted(days)]
    until = out_of_use(moves, since, used + day, used, LISBON)
    assert Window(since, until).holds(used)
    assert Window(since, until).covers(Window(since, used))


def test_times_that_ended_without_results_as_found_are_told() -> None:
    """Inside the window, and before it up to the last time that ended with some."""
    bare = certificate("2026-09-01", "2026-09-02T09:00", number=25)
    last = certificate("2026-12-01", None, recorded="2026-12-01T15:00", number=30, points=SECOND.points)
    window = Window(moment("2026-09-02T00:00"), moment("2026-12-01T23:59"))
    assert [
        (term.left, term.found) for term in without_found((FIRST, SECOND, bare, last), window, LISBON)
    ] == [(SECOND, bare)]
    older = certificate("2026-03-01", "2026-03-02T09:00", number=15)
    assert (
        without_found((FIRST, older, SECOND, last), window._replace(since=moment("2026-06-10")), LISBON) == []
    )


def test_what_says_how_a_tool_was_found() -> None:
    """Results as found or unchanged; as left alone does not."""
    assert has_found(SECOND)
    assert has_found(FIRST._replace(points=points("60 60", state="unchanged")))
    assert not has_found(FIRST)
