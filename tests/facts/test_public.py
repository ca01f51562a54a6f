"""The views for other programs say what torquelog's own questions answer, at every point of a story."""

import re
import sqlite3
from contextlib import closing, suppress
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.archive import make
from tests.book.elsewhere import other_station
from tests.facts.public_answers import COMPARED, demand_agreement, rows
from tests.support.books import DAY
from tests.support.story import Story
from torquelog.book import exporting, takein
from torquelog.book.writing import writing
from torquelog.clock import Period, SetClock, add_period, utc_text
from torquelog.crib import condition, tested
from torquelog.errors import TorquelogError
from torquelog.facts.public import VIEWS
from torquelog.facts.public_form import decimal, moment
from torquelog.facts.public_tools import _later_day
from torquelog.facts.registry import kind_of
from torquelog.facts.tested import Pair
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry, reference
from torquelog.quality import limits, recall
from torquelog.quality.recall_scope import Asked
from torquelog.torque.number import display
from torquelog.torque.units import parse_torque

NAMES = [view.name for view in VIEWS]


class Watched(Story):
    """A story in which every view is compared before each third act."""

    compared = 0
    acts = 0

    def _tick(self) -> None:
        super()._tick()
        self.acts += 1
        if self.acts % 3 == 0:
            self.compare()

    def compare(self) -> None:
        self.compared += demand_agreement(self.book)


def more(story: Watched) -> None:
    """What the archive's story does not tell: a tester, limits, restrictions, parts, inspections, a recall."""
    book, own = story.book, story.own["TK"]
    story.says("tool", {"tool": "T-1", "sort": "tester", "accuracy": {"value": "0.5", "unit": "%"}, "scales": [
        {"low": {"value": "10", "unit": "N·m"}, "high": {"value": "200", "unit": "N·m"}}]})  # fmt: skip
    results = [
        {"state": "as-left", "direction": "cw", "indicated": {"value": end, "unit": "N·m"},
         "reference": {"value": end, "unit": "N·m"}, "repeat": "1"}
        for end in ("10", "200")
    ]  # fmt: skip
    story.says("calibration", {"tool": "T-1", "certificate": "C-T-1", "on": "2026-11-25", "points": results})
    pairs = [Pair(parse_torque("100 N·m"), parse_torque("101 N·m"), "cw")]
    story.says("acceptance", {"calibration": story_calibration(story, "T-1")})
    tested.record(book, story.signed["TK"], "W-0402", "T-1", pairs)
    story.compare()
    limits.set_limits(book, own, "W-0402", every=Period(6, "month"), cycles=None, why="as it drifts")
    limits.set_limits(book, own, "W-0402", every=Period(26, "week"), cycles=900, why="as it drifts on")
    story.compare()
    condition.quarantine(book, story.signed["TK"], ["W-0402"], why="to be looked at")
    story.says(
        "restriction",
        {"tool": "W-0355", "why": "worn above", "high": {"value": "90", "unit": "N·m"}},
        own=True,
    )
    story.report("W-0355", "lost")
    story.compare()
    story.says("part", {"job": "J-2", "change": "on", "part": "EX-1", "lot": "L-9", "performed_by": "TK",
                        "performed_at": "2026-11-26T10:00:00.000+00:00"})  # fmt: skip
    story.says("inspection", {"job": "J-2", "group": "tie-bolt", "items": ["1", "2"], "assembly": "EX-4410-1 WH-2240",
                              "outcome": "rejected", "wrench_seen": ["W-0417"], "performed_by": "MS", "why": "no wire",
                              "performed_at": "2026-11-26T10:00:00.000+00:00"}, by="MS", own=True)  # fmt: skip
    recall.open_recall(
        book, story.signed["TK"], Asked("wrench", "W-0417", since=0, until=story.clock.moment, why="doubt")
    )
    story.compare()
    recall.decide(book, own, "R-1", "notified", "a letter", items=[1, 2], document="EX-LETTER 3")
    story.later(seconds=1)
    recall.decide(book, own, "R-1", "accepted", "as the engineer says", items=[2], document="EX-LETTER 4")
    story.compare()


def unheard(story: Watched, folder: Path) -> None:
    """A station whose word does not count here: it may be more careful with a tool, and no less."""
    other = other_station(folder, "FAO", SetClock(story.clock.moment - DAY))
    for tool, limit in (
        ("W-0402", {"every": "5 years"}),
        ("W-0402", {"cycles": "100"}),
        ("W-0355", {"cycles": "9000"}),
    ):
        with writing(other.book) as w:
            w.append(other.quality, "tool-limits", {"tool": tool, "why": "as they do it", **limit})
    lines = exporting.lines(other.book.connection, exporting.parts(other.book.connection))
    takein.take_in(story.book, story.signed["TK"], lines)
    other.book.close()
    story.compare()
    limits.set_limits(story.book, story.own["TK"], "W-0355", every=None, cycles=50, why="worn")
    story.compare()


def withdrawn(story: Watched) -> None:
    """A certificate that counted is withdrawn: none counts then, an older one neither."""
    told = {row["tool"]: row["calibration"] for row in rows(story.book, "public_tools")}
    story.says("withdrawal", {"calibration": told["W-0417"], "why": "the laboratory wrote"}, own=False)
    story.compare()
    assert {row["tool"]: row["due"] for row in rows(story.book, "public_tools")}["W-0417"] is None


def at_once(story: Watched) -> None:
    """Several things of one moment: the number of the entry says which came last."""
    signer = story.signed["TK"]
    with writing(story.book) as w:
        for place in ("shelf 1", "shelf 2", "shelf 3"):
            w.append(signer, "custody", {"tool": "W-0402", "act": "issue", "place": place})
    at = "2026-11-26T15:30:00.000+00:00"
    with writing(story.book) as w:
        for to in ("stores", "shop"):
            moved = {"act": "move", "part": "EX-4410-1", "serial": "WH-2240", "to": to, "at": at}
            w.append(signer, "placement", moved)
    story.compare()


def story_calibration(story: Story, tool: str) -> str:
    """The entry of a tool's only certificate."""
    return next(str(row["entry"]) for row in rows(story.book, "public_calibrations") if row["tool"] == tool)


@pytest.fixture(name="told")
def _told(tmp_path, monkeypatch):
    """A record in which something of most kinds is told, two stations and strikes among it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    story = Watched(tmp_path)
    make.tell(story)
    make.govern(story)
    story.compare()
    make.exchange(story, tmp_path)
    at_once(story)
    more(story)
    unheard(story, tmp_path)
    withdrawn(story)
    yield story
    story.close_book()


def test_every_view_says_what_is_answered_at_every_point_of_a_story(told, record_property):
    """Compared before each third act: readings, refusals, late entries, corrections, another station, a recall."""
    told.compare()
    record_property("count", str(told.compared))
    assert told.compared > 1000
    assert not [name for name in NAMES if not rows(told.book, name)]


def strikes_come_in(told: Watched, step: int) -> int:
    """Strike whatever can be struck, one entry after the other, the newest first; gives how many that were.

    Views are compared after every `step` of them.
    """
    entries = [
        parse_entry(stored.text)
        for station in store.stations(told.book.connection)
        for stored in store.entries(told.book.connection, station)
    ]
    struck = 0
    for each in reversed(entries):
        if kind_of(each.kind).strikable and strike(told, reference(each.station, each.number), each.signer):
            struck += 1
            if struck % step == 0:
                told.compare()
    return struck


@pytest.mark.long
def test_every_view_says_what_is_answered_as_strikes_come_in(told, record_property):
    """Whatever can be struck is struck, one entry after the other, the newest first."""
    struck = strikes_come_in(told, 8)
    record_property("count", str(struck))
    assert struck > 50


@pytest.mark.long
def test_every_view_says_what_is_answered_after_each_strike(told, record_property):
    """The same, compared after every single one."""
    record_property("count", str(strikes_come_in(told, 1)))


def strike(story: Watched, entry: str, signer: str) -> bool:
    """Strike an entry, unless it is one that is answered instead: its own signer by sign-in, quality by passphrase."""
    own = signer != "TK"
    with suppress(TorquelogError):
        return bool(story.says("strike", {"entry": entry, "why": "to see"}, own=own))
    return False


def test_each_view_is_compared():
    """No view is told of that nobody compares."""
    assert sorted(COMPARED) == sorted(NAMES)


@pytest.mark.parametrize("view", VIEWS, ids=NAMES)
def test_a_view_has_plain_names_and_a_meaning_for_each_column(view):
    """Names in small letters, each once; a sentence about the view; something about each column."""
    names = [column.name for column in view.columns]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z][a-z_]*", name) for name in [view.name, *names])
    assert view.meaning.endswith(".")
    assert all(column.meaning for column in view.columns)


@given(st.integers(-2_208_988_800_000, 253_370_764_799_999))
def test_a_time_is_written_as_entries_write_it(at):
    """UTC with three decimals, to the millisecond, from 1900 through 9998."""
    assert _asked(moment("?"), at) == utc_text(at)


@given(
    st.dates(date(1900, 1, 1), date(2400, 1, 1)),
    st.integers(1, 9999),
    st.sampled_from(["day", "week", "month", "year"]),
)
def test_an_interval_ends_on_the_day_that_the_rules_say(day, count, unit):
    """Calendar months and years, the last day of a month where the day does not exist; weeks, days."""
    period = Period(count if unit != "year" else count % 900 + 1, unit)
    later = _asked(_later_day("?1", "?2"), day.isoformat(), str(period))
    assert later == add_period(day, period).isoformat()


@given(st.fractions(min_value=0, max_value=10**6, max_denominator=10**6))
def test_a_fraction_is_shown_as_a_decimal(value):
    """Rounded to six decimals; what is a decimal already stands as it is."""
    shown = _asked(decimal("?1"), str(value))
    assert abs(Fraction(shown) - value) <= Fraction(1, 10**6)
    text = display(value)
    assert _asked(decimal("?1"), text) == text


def _asked(expression: str, *values: object) -> str:
    with closing(sqlite3.connect(":memory:")) as connection:
        (found,) = connection.execute(f"SELECT {expression}", values).fetchone()
    return str(found)


def test_month_ends_of_leap_years():
    """29 February and a year is 28 February; 31 August and six months the last day of February."""
    assert _asked(_later_day("?1", "?2"), "2024-02-29", "1 year") == "2025-02-28"
    assert _asked(_later_day("?1", "?2"), "2027-08-31", "6 months") == "2028-02-29"
    assert date(2028, 2, 29) + timedelta(days=1) == date(2028, 3, 1)
