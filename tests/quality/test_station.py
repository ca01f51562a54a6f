"""The station's rules, its clock and the stations it accepts."""

import pytest

from tests.support.books import DAY, HOUR, NOON
from torquelog.facts import stations
from torquelog.quality import people, station
from torquelog.work import signing

YEAR_2099 = NOON + 73 * 365 * DAY


def rules(story):
    return stations.rules(story.book.connection, "QHR")


def test_a_rule_counts_from_now_on(story):
    """The rule set is named by its entry; what was in force before is asked by a time before."""
    before = story.clock.moment
    story.clock.moment += 1000
    done = station.set_rule(story.book, story.own["TK"], "due-through", "month", "as our manual says")
    assert (done.before, done.value) == ("day", "month")
    assert rules(story).due_through == "month"
    assert f"QHR-{rules(story).number:06d}" == done.reference
    as_of = stations.AsOf(before, stations.LATEST.known)
    assert stations.rules(story.book.connection, "QHR", as_of).due_through == "day"


@pytest.mark.parametrize(
    ("rule", "value", "code"),
    [
        ("due-through", "year", "rule-value"),
        ("shift-hours", "17", "rule-value"),
        ("shift-hours", "0", "rule-value"),
        ("shift-hours", "twelve", "rule-value"),
        ("shift-hours", "-1", "rule-value"),
        ("shift-hours", "\u0663", "rule-value"),
        ("idle-minutes", "1" * 400, "rule-value"),
        ("late-minutes", "30", "rule-same"),
        ("shift-length", "12", "rule-name"),
    ],
)
def test_what_no_rule_can_be_is_refused(story, rule, value, code):
    """Unknown rules, other words, numbers outside the range, digits of another script, and no change at all."""
    with story.refused(code):
        station.set_rule(story.book, story.own["TK"], rule, value)


def test_numbers_are_kept_without_leading_zeros(story):
    """08 hours are 8."""
    assert station.set_rule(story.book, story.own["TK"], "shift-hours", "08").value == "8"


def test_only_quality_sets_rules(story):
    """An inspector's passphrase is not enough, nor is quality's sign-in."""
    with story.refused("no-role"):
        station.set_rule(story.book, story.own["MS"], "shift-hours", "8")
    with story.refused("key-level"):
        station.set_rule(story.book, story.signed["TK"], "shift-hours", "8")


def test_the_station_shows_its_rules_and_its_head(story):
    """Which entry stands last, and when it was recorded."""
    station.set_rule(story.book, story.own["TK"], "shift-hours", "8")
    found = station.show(story.book)
    assert found.station.code == "QHR"
    assert found.station.identity == story.book.identity
    assert found.rules.whole("shift-hours") == 8
    assert found.head == story.entries()
    assert found.recorded == story.clock.moment
    assert found.held == ()


def test_a_clock_that_is_right_needs_no_release(story):
    """There is nothing to release while the last entry lies in the past."""
    with story.refused("clock-right"):
        station.release_clock(story.book, story.own["TK"], "no reason")


def test_a_head_in_the_future_is_released_by_quality_alone(story):
    """After an entry of 2099 nothing can be recorded with the right clock, until quality says why."""
    story.clock.moment = YEAR_2099
    people.new_code(story.book, story.own["TK"], "IK")
    story.clock.moment = NOON + HOUR
    with story.refused("clock-behind"):
        people.new_code(story.book, story.own["TK"], "IK")
    with story.refused("no-role"):
        station.release_clock(story.book, story.own["MS"], "a new battery")
    with story.refused("key-level"):
        station.release_clock(story.book, story.signed["TK"], "a new battery")
    done = station.release_clock(story.book, story.own["TK"], "a new battery")
    assert (done.head, done.now) == (YEAR_2099, NOON + HOUR)
    story.clock.moment += 1000
    people.new_code(story.book, story.own["TK"], "IK")


def test_a_release_revives_nothing(story):
    """A sign-in that had ended in 2099, and one that was made there, sign nothing after the release."""
    story.clock.moment = YEAR_2099
    story.later(hours=1)
    late = story.signed["TK"]
    story.clock.moment = NOON + 2 * HOUR
    station.release_clock(story.book, story.own["TK"], "a new battery")
    story.clock.moment += 1000
    with story.refused("key-ended"):
        story.signed["TK"] = late
        story.says("report", {"tool": "W-0417", "what": "dropped"})
    story.signed["TK"] = fresh = signing.sign_in(story.book, story.own["TK"]).signer
    assert fresh.level == "sign-in"
    story.says("report", {"tool": "W-0417", "what": "dropped"})


def test_a_sign_in_of_before_the_release_is_over_too(story):
    """It would run on until midnight by the clock, but a time of the future lay in between."""
    before = story.signed["TK"]
    story.clock.moment = YEAR_2099
    people.new_code(story.book, story.own["TK"], "IK")
    story.clock.moment = NOON + HOUR
    station.release_clock(story.book, story.own["TK"], "a new battery")
    story.signed["TK"] = before
    with story.refused("key-ended"):
        story.says("report", {"tool": "W-0417", "what": "dropped"})


def test_a_station_of_which_nothing_is_held_cannot_be_accepted(story):
    """Neither an unknown one nor the own one."""
    for code in ("LGW", "QHR"):
        with story.refused("station-unknown"):
            station.accept_station(story.book, story.own["TK"], code, "same company")
