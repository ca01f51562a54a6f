"""Gathering and judging a tool, against a naive model: a list of entries and plain loops, at two times."""

from datetime import date, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.rows import Rows
from torquelog.book import cases
from torquelog.book.cases import case, link
from torquelog.facts import calibrations
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tools import tool
from torquelog.rules.fitness import Use, judge
from torquelog.torque.adapter import Extension, Multiplier
from torquelog.torque.units import Length

STEP = 12 * 3_600_000
"""Everything happens at noon or at midnight, so that equal times are common."""

LAST = 9
DAY = 2 * STEP
START = 20_000 * DAY
FIRST_DAY = date(1970, 1, 1) + timedelta(days=20_000)
UTC = ZoneInfo("UTC")
LIMIT = 2
EVERY = 3
STATIONS = ("QHR", "QLX")


def q(value, unit="N·m"):
    return {"value": value, "unit": unit}


TOOL = {
    "tool": "W-1", "sort": "wrench", "type": "setting", "every": f"{EVERY} days", "cycles": str(LIMIT),
    "scales": [{"low": q("20"), "high": q("100"), "graduation": q("1")}],
}  # fmt: skip
RESULTS = [
    {"state": "as-left", "direction": "cw", "indicated": q(value), "reference": q(value), "repeat": "1"}
    for value in ("20", "100")
]


class Entry(NamedTuple):
    """An entry of a small story: what it says, and its two times; `of` is the entry that it names, or 0."""

    kind: str
    what: str
    at: int
    recorded: int
    known: int
    station: str
    number: int
    of: int


CERTIFICATES = ["calibration", "calibration", "acceptance", "acceptance", "strike"]
THEMES = (
    [*CERTIFICATES, "dropped", "repaired"],
    [*CERTIFICATES, "return", "return"],
    ["send", "send", "receive", "issue", "return", "strike"],
    ["lost", "found", "quarantine", "quarantine-release", "strike"],
)
"""What a story is about; a story about everything seldom comes to a point."""


@st.composite
def stories(draw):
    """Up to fourteen entries of two stations, numbered in the order of recording; some are told late, some known late."""
    count = draw(st.integers(5, 14))
    times = sorted(draw(st.lists(st.integers(0, LAST), min_size=count, max_size=count)))
    kinds = st.sampled_from(draw(st.sampled_from(THEMES)))
    story = []
    for place, step in enumerate(times):
        recorded = START + step * STEP
        at = recorded - draw(st.sampled_from([0, 0, 1, 2, 5])) * STEP
        known = recorded + draw(st.sampled_from([0, 0, 3])) * STEP
        station = draw(st.sampled_from(STATIONS)) if known > recorded else "QHR"
        of = draw(st.integers(1, count))
        story.append(Entry(draw(kinds), "", at, recorded, known, station, place + 1, of))
    return story


def text(moment):
    """A moment as a body holds it."""
    from torquelog.clock import utc_text

    return utc_text(moment)


def body_of(entry, story):
    """The kind and the body of an entry as the record holds it; nothing where it would name the wrong thing."""
    named = story[entry.of - 1] if entry.of <= len(story) else None
    name = f"{named.station}-{named.number:06d}" if named else ""
    body: dict[str, Any] = {"tool": "W-1"}
    if entry.kind == "calibration":
        on = (FIRST_DAY + timedelta(days=(entry.at - START) // DAY)).isoformat()
        return "calibration", {**body, "certificate": f"C-{entry.number}", "on": on, "points": RESULTS}
    if entry.kind == "acceptance":
        return "acceptance", {"calibration": name}
    if entry.kind == "strike":
        return "strike", {"entry": name, "why": "mistaken"}
    if entry.kind in ("issue", "return", "send", "receive"):
        more = {"person": "TK"} if entry.kind == "issue" else {"uses": "1"} if entry.kind == "return" else {}
        return "custody", {**body, "act": entry.kind, "at": text(entry.at), **more}
    if entry.kind in ("quarantine", "quarantine-release"):
        when = {"at": text(entry.at)} if entry.kind == "quarantine" else {}
        return entry.kind, {**body, "why": "odd click", **when}
    return "report", {**body, "what": entry.kind, "at": text(entry.at)}


def order(entry):
    return entry.at, entry.recorded, entry.station, entry.number


def newness(one):
    """A certificate's rank: by its day, then by its recording."""
    entry, day, _ = one
    return day, entry.recorded, entry.station, entry.number


def certificates_of(facts):
    """Each certificate with its day and when it was accepted."""
    found = []
    for each in facts:
        if each.kind == "calibration":
            accepted = [
                other.recorded for other in facts if other.kind == "acceptance" and other.of == each.number
            ]
            found.append((each, (each.at - START) // DAY, min(accepted, default=None)))
    return found


def the_one_that_counts(certificates, at):
    """The certificate, its day and since when; or nothing."""
    first = min(((one[0].recorded, one[0].station, one[0].number) for one in certificates), default=None)
    chosen = None
    for one in sorted(certificates, key=newness):
        each, day, accepted = one
        if accepted is None:
            continue
        is_first = (each.recorded, each.station, each.number) == first
        since = min(START + day * DAY, accepted) if is_first else accepted
        if since <= at:
            chosen = (each, day, since)
    return chosen


def by_certificate(facts, at):
    """The grounds that come from certificates, and the one that counts."""
    certificates = certificates_of(facts)
    chosen = the_one_that_counts(certificates, at)
    on_record = [one for one in certificates if one[0].recorded <= at]
    newest = max(on_record, key=newness, default=None)
    if (
        newest
        and (newest[2] is None or newest[2] > at)
        and (chosen is None or newness(newest) > newness(chosen))
    ):
        grounds = {"not-accepted"}
    else:
        grounds = set() if chosen else {"not-calibrated"}
    if chosen and at >= START + (chosen[1] + EVERY + 1) * DAY:
        grounds.add("past-due")
    used = [each for each in facts if chosen and each.kind == "return" and chosen[2] <= each.at <= at]
    return grounds | ({"cycles-used"} if len(used) >= LIMIT else set()), chosen


def naive(story, at, known):
    """The grounds against the tool, by plain loops."""
    seen = [each for each in story if each.known <= known]
    struck = {each.of for each in seen if each.kind == "strike"}
    facts = [each for each in seen if each.number not in struck]
    grounds, chosen = by_certificate(facts, at)
    backwards = ("receive", "found", "quarantine-release")
    counted = [each._replace(at=each.recorded) if each.kind in backwards else each for each in facts]
    past = sorted((each for each in counted if each.at <= at), key=order)
    for each in past:
        if each.kind in ("dropped", "repaired"):
            cleared = chosen and each.at < chosen[2] and chosen[1] >= (each.at - START) // DAY
            grounds |= set() if cleared else {each.kind}
    ends = (
        ({"lost", "found"}, "lost", "lost"),
        ({"quarantine", "quarantine-release"}, "quarantine", "quarantined"),
        ({"issue", "return", "send", "receive"}, "send", "away"),
    )
    for kinds, begins, code in ends:
        last = [each.kind for each in past if each.kind in kinds][-1:]
        grounds |= {code} if last == [begins] else set()
    return grounds


@settings(max_examples=60, deadline=None)
@given(stories(), st.data())
def test_fitness_equals_the_naive_model_at_both_times(story, data):
    """Late entries, strikes before their targets, two chains in any order: the same grounds as plain loops find."""
    rows = Rows()
    rows.put("tool", TOOL, START - DAY, number=1000)
    for place in data.draw(st.permutations(range(len(story)))):
        entry = story[place]
        kind, body = body_of(entry, story)
        rows.put(kind, body, entry.recorded, known=entry.known, number=entry.number, station=entry.station)
    found = tool(rows.connection, "W-1")
    early = START + data.draw(st.integers(2, LAST + 2)) * STEP
    for step in range(-1, LAST + 9):
        at = START + step * STEP
        for known in (END_OF_TIME, early):
            judged = judge(
                case(rows.connection, "QHR", UTC, found, at, AsOf(at, known)), Use(at=at, now=END_OF_TIME)
            )
            assert {ground.code for ground in judged.grounds} == naive(story, at, known)
            if known != END_OF_TIME:
                continue
            with pytest.MonkeyPatch.context() as patch:
                patch.setattr(cases, "FEW", 0)
                few = case(rows.connection, "QHR", UTC, found, at, AsOf(at, known))
            assert judge(few, Use(at=at, now=END_OF_TIME)) == judged


def test_of_many_certificates_the_one_that_counts_is_read(monkeypatch):
    """And those that are newer; however many years lie before it. None of them counts before it was accepted."""
    rows = Rows()
    rows.put("tool", TOOL, START - DAY, number=1000)
    for number in range(30):
        day = (FIRST_DAY + timedelta(days=number)).isoformat()
        at = START + number * DAY
        body = {"tool": "W-1", "certificate": f"K-{number}", "on": day, "points": RESULTS}
        rows.put("calibration", body, at, number=2 * number + 1)
        accepted = {"calibration": f"QHR-{2 * number + 1:06d}"}
        rows.put("acceptance", accepted, at + STEP, number=2 * number + 2)
    read = []
    row = calibrations._calibration
    monkeypatch.setattr(calibrations, "_calibration", lambda given: read.append(given) or row(given))
    found = tool(rows.connection, "W-1")
    for day in (29, 12):
        for at, newest in ((START + day * DAY + STEP, day), (START + day * DAY + STEP - 1, day - 1)):
            read.clear()
            known = case(rows.connection, "QHR", UTC, found, at)
            judged = judge(known, Use(at=at, now=END_OF_TIME))
            assert judged.calibration.certificate == f"K-{newest}"
            assert len(read) == 1 + 29 - newest


def test_of_certificates_of_which_none_counts_all_are_read(monkeypatch):
    """Nobody has accepted any: they come oldest first, as they do where all are asked for."""
    rows = Rows()
    rows.put("tool", TOOL, START - DAY, number=1000)
    for number in (1, 2, 3):
        day = (FIRST_DAY + timedelta(days=number)).isoformat()
        body = {"tool": "W-1", "certificate": f"K-{number}", "on": day, "points": RESULTS}
        rows.put("calibration", body, START + number * DAY, number=number)
    found, at = tool(rows.connection, "W-1"), START + 9 * DAY
    every = case(rows.connection, "QHR", UTC, found, at)
    assert [each.certificate for each in every.calibrations] == ["K-1", "K-2", "K-3"]
    monkeypatch.setattr(cases, "FEW", 0)
    assert case(rows.connection, "QHR", UTC, found, at) == every
    assert {ground.code for ground in judge(every, Use(at=at, now=at)).grounds} == {"not-accepted"}


def test_an_adapter_as_the_arithmetic_takes_it():
    """By what was last measured, else as registered."""
    from tests.support.tools import case as known
    from tests.support.tools import certificate, judged, wrench

    plain = wrench("A-1", sort="adapter", scales=(), accuracy=None, every=None, cycles=None)
    by_length = plain._replace(length=Length("2", "in"))
    assert link(by_length, judged(known(tool=by_length, calibrations=()))) == Extension(
        Length("2", "in").metres
    )
    measured = known(tool=by_length, calibrations=(certificate(length=Length("2.25", "in")),))
    assert link(by_length, judged(measured)) == Extension(Length("2.25", "in").metres)
    gearbox = plain._replace(multiplier=Length("3.8", "m").metres)
    assert link(gearbox, judged(known(tool=gearbox, calibrations=()))) == Multiplier(
        Length("3.8", "m").metres
    )
