"""From when until when a tool is in doubt, and which certificate speaks of a moment."""

from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.tools import LISBON, certificate, moment, points
from torquelog.clock import Moment
from torquelog.facts import tested
from torquelog.facts.custody import ACTS, Move
from torquelog.rules.recall_window import (
    Term,
    Window,
    has_found,
    in_order,
    last_good,
    narrowed,
    out_of_use,
    since_good,
    terms,
    without_found,
)
from torquelog.torque.pair import Pair
from torquelog.torque.units import Length, Torque

FIRST = certificate("2026-01-10", "2026-01-12T09:00", number=10)
SECOND = certificate("2026-06-07", "2026-06-09T09:00", number=20, points=points("60 59", state="as-found"))
THIRD = certificate("2026-12-01", None, recorded="2026-12-01T15:00", number=30)


def term_at(of_tool: Sequence[Term], at: Moment) -> Term:
    """The time that a moment belongs to: the first of them that has not ended then."""
    return next(term for term in of_tool if term.ends is None or at < term.ends)


def move(act: str, at: str) -> Move:
    """An act of custody."""
    when = moment(at)
    return Move("QHR", 1, "W-0402", act, "TK", "", "", 0, when, when, "BA", "")


def check(at: str, *shown: str, direction: str = "cw", outcome: str = "within") -> tested.Check:
    """A check on a tester that measured what the tool showed, N·m."""
    when = moment(at)
    readings = tuple(tested.Pair(Torque(each, "N·m"), Torque(each, "N·m"), direction) for each in shown)
    return tested.Check("QHR", 5, when, when, "W-0402", "T-1", Fraction(1, 25), outcome, "TK", "", readings)


def failed(*shown: str, direction: str = "cw") -> list[Pair]:
    """Results as found that failed, N·m."""
    return [Pair(Fraction(each), Fraction(each) * 2, direction) for each in shown]


def test_both_ends_belong_to_a_window() -> None:
    """A reading of its first or of its last millisecond is in, one beside them is not."""
    window = Window(1000, 2000)
    assert [window.holds(at) for at in (999, 1000, 2000, 2001)] == [False, True, True, False]


@pytest.mark.parametrize(
    ("since", "until", "covered"),
    [
        (1000, 2000, True),
        (1001, 1999, True),
        (999, 2000, False),
        (1000, 2001, False),
        (999, 2001, False),
        (2500, 3000, False),
    ],
)
def test_a_window_is_covered_where_no_millisecond_is_left_out(since: int, until: int, covered: bool) -> None:
    """A recall answers a cause only by all of its time: one end alone is not enough."""
    assert Window(1000, 2000).covers(Window(since, until)) is covered


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


def test_a_later_certificate_without_results_as_found_ends_the_time_before_with_its_day() -> None:
    """Only of a new wrench is its day its own: work of the morning was done by what the earlier one left."""
    bare = certificate("2026-09-01", "2026-09-03T09:00", number=25)
    of_tool = terms((FIRST, bare), LISBON)
    assert term_at(of_tool, moment("2026-09-01T06:00")).left == FIRST
    assert term_at(of_tool, moment("2026-09-01T23:59")).left == FIRST
    assert term_at(of_tool, moment("2026-09-02T00:00")).left == bare


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


def test_the_day_of_the_acceptance_counts_not_that_of_its_recording() -> None:
    """Recorded on the 12th and accepted on the 14th, it makes a tool good from the start of the 14th."""
    later = FIRST._replace(accepted=moment("2026-01-14T09:00"))
    assert since_good(later, first=True, used=None, zone=LISBON) == moment("2026-01-14T00:00")


def test_a_use_before_the_day_of_the_acceptance_moves_the_beginning() -> None:
    """By one millisecond before that day it was used before its acceptance; on its first one it was not."""
    begins = moment("2026-01-12T00:00")
    assert since_good(FIRST, first=True, used=begins, zone=LISBON) == begins
    assert since_good(FIRST, first=True, used=begins - 1, zone=LISBON) == moment("2026-01-10T00:00")


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


@pytest.mark.parametrize(
    ("act", "ends"),
    [("issue", False), ("return", True), ("send", True), ("receive", False), ("retire", True)],
)
def test_what_takes_a_tool_out_of_use(act: str, ends: bool) -> None:
    """Its return, its sending away and its retirement; it stays in use where it is given out or comes in."""
    assert act in ACTS
    found = out_of_use(
        [move(act, "2026-06-03T17:00")], moment("2026-01-12"), moment("2026-06-07T23:59"), None, LISBON
    )
    assert found == moment("2026-06-04T00:00" if ends else "2026-06-08T00:00") - 1


def test_a_return_counts_in_the_time_asked_about_with_both_its_ends() -> None:
    """One in its first and one in its last millisecond end the use; one beside them does not."""
    since, latest = moment("2026-01-12T00:00"), moment("2026-06-07T12:00")

    def ended(*at: Moment) -> Moment:
        moves = [move("return", "2026-01-01")._replace(at=each) for each in at]
        return out_of_use(moves, since, latest, None, LISBON)

    first_day, last_day = moment("2026-01-13T00:00") - 1, moment("2026-06-08T00:00") - 1
    assert (ended(since - 1), ended(since)) == (last_day, first_day)
    assert (ended(since, latest), ended(since, latest + 1)) == (last_day, first_day)


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


def test_each_time_without_results_as_found_is_told_oldest_first() -> None:
    """The time before the first certificate is not one: nobody left the tool in any state then."""
    bare = [certificate(f"2026-0{month}-01", f"2026-0{month}-02T09:00", number=month) for month in (3, 5, 9)]
    window = Window(moment("2026-09-02T00:00"), moment("2026-12-01T23:59"))
    assert without_found((*bare, THIRD._replace(points=SECOND.points)), window, LISBON) == [
        (moment("2026-05-02T00:00"), bare[0], bare[1]),
        (moment("2026-09-02T00:00"), bare[1], bare[2]),
    ]


def test_what_was_found_at_the_beginning_of_the_window_ends_the_search() -> None:
    """Where it was found as the window begins, older times are another matter; where a moment later, they are told."""
    bare = certificate("2026-03-01", "2026-03-02T09:00", number=15)
    known = (FIRST, bare, SECOND)
    begins = moment("2026-06-08T00:00")
    until = moment("2026-12-01T23:59")
    assert without_found(known, Window(begins, until), LISBON) == []
    assert without_found(known, Window(begins - 1, until), LISBON) == [
        (moment("2026-03-02T00:00"), FIRST, bare)
    ]


def test_a_time_that_ended_after_the_window_is_not_told() -> None:
    """On the window's last moment it ended in it, a moment later it did not."""
    bare = certificate("2026-09-01", "2026-09-02T09:00", number=25)
    since, ends = moment("2026-07-01T00:00"), moment("2026-09-02T00:00")
    told = [(ends, SECOND, bare)]
    assert without_found((FIRST, SECOND, bare), Window(since, ends), LISBON) == told
    assert without_found((FIRST, SECOND, bare), Window(since, ends - 1), LISBON) == []


WINDOW = Window(moment("2026-01-12T00:00"), moment("2026-06-07T23:59"))


def test_the_window_begins_with_the_newest_check_that_the_tool_passed() -> None:
    """One that it did not pass shows nothing good; without any the window stays."""
    passed = [check(f"2026-0{month}-10", "60") for month in (2, 4, 3)]
    not_passed = check("2026-05-10", "60", outcome="outside")
    found = narrowed(WINDOW, failed("60"), [*passed, not_passed])
    assert found == Window(moment("2026-04-10"), WINDOW.until)
    assert narrowed(WINDOW, failed("60"), [not_passed]) == WINDOW


def test_a_check_outside_the_window_does_not_move_its_beginning() -> None:
    """An older one is not as good as the certificate, a later one came after the failure."""

    def since(at: Moment) -> Moment:
        return narrowed(WINDOW, failed("60"), [check("2026-02-10", "60")._replace(at=at)]).since

    assert since(WINDOW.since - 1) == WINDOW.since
    assert since(WINDOW.until) == WINDOW.until
    assert since(WINDOW.until + 1) == WINDOW.since


def test_where_no_result_failed_a_check_shows_nothing() -> None:
    """A tool that was not found outside may be in doubt for another reason, which no check at any torque meets."""
    assert narrowed(WINDOW, [], [check("2026-02-10", "60")]) == WINDOW


@pytest.mark.parametrize(
    ("shown", "bad", "moves"),
    [
        (("60",), "66", True),
        (("60",), "66.001", False),
        (("60",), "54", True),
        (("60",), "53.999", False),
        (("20", "60"), "40", True),  # readings on both sides of it
        (("20", "60"), "18", True),
        (("20", "60"), "17.999", False),
        (("60", "20"), "66", True),
        (("60", "20"), "66.001", False),
    ],
)
def test_a_check_speaks_of_what_failed_near_its_readings(
    shown: tuple[str, ...], bad: str, moves: bool
) -> None:
    """Up to a tenth beyond the lowest and the highest reading, and of all that lies between them."""
    found = narrowed(WINDOW, failed(bad), [check("2026-02-10", *shown)])
    assert found.since == (moment("2026-02-10") if moves else WINDOW.since)


def test_a_check_has_to_speak_of_every_result_that_failed() -> None:
    """One that it does not reach, wherever it stands among them, is not shown to have been good."""
    done = [check("2026-02-10", "60")]
    assert narrowed(WINDOW, failed("60", "62"), done).since == moment("2026-02-10")
    assert narrowed(WINDOW, failed("60", "100"), done) == WINDOW
    assert narrowed(WINDOW, failed("100", "60"), done) == WINDOW


def test_a_check_speaks_of_the_direction_in_which_it_was_done() -> None:
    """Good clockwise says nothing of counter-clockwise, whatever was measured besides."""
    both = check("2026-02-10", "60")
    both = both._replace(pairs=both.pairs + check("2026-02-10", "20", direction="ccw").pairs)
    assert narrowed(WINDOW, failed("60", direction="ccw"), [check("2026-02-10", "60")]) == WINDOW
    assert narrowed(WINDOW, failed("60", direction="ccw"), [both]) == WINDOW
    assert narrowed(WINDOW, failed("20", direction="ccw"), [both]).since == moment("2026-02-10")
    assert narrowed(WINDOW, failed("60"), [both]).since == moment("2026-02-10")


def test_a_measured_length_or_ratio_says_how_an_adapter_was_found() -> None:
    """It has no results; either of the two is enough."""
    bare = FIRST._replace(points=())
    assert not has_found(bare)
    assert has_found(bare._replace(length=Length("0", "mm")))
    assert has_found(bare._replace(multiplier=Fraction(5)))


def test_what_says_how_a_tool_was_found() -> None:
    """Results as found or unchanged; as left alone does not."""
    assert has_found(SECOND)
    assert has_found(FIRST._replace(points=points("60 60", state="unchanged")))
    assert not has_found(FIRST)
