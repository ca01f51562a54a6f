"""What the facts say, against a naive model: late times, strikes, two chains merged in any order, asked at two times."""

from collections import Counter
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.model import naive_fastener, naive_place, naive_tool, real
from tests.model.stories import JOBS, OF_TOOLS, SPAN, START, STEP, TOOL, WORLD, stories
from tests.model.told import Told, owner, standing, tools
from tests.support.measure import measured
from torquelog.book.cases import case
from torquelog.clock import Moment
from torquelog.facts import assemblies, strikes
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tools import tool
from torquelog.facts.uses import uses_between
from torquelog.rules.fitness import Use, judge
from torquelog.torque.units import parse_torque

UTC = ZoneInfo("UTC")
MODEST = settings(max_examples=40, deadline=None)
THOROUGH = settings(max_examples=measured(600), deadline=None)


def order_of(draw: Any, story: list[Told]) -> list[Told]:
    """The story as two chains that arrive in any order, each one in its own."""
    chains = {station: [each for each in story if each.station == station] for station in ("QHR", "QST")}
    arriving = draw(st.permutations([each.station for each in story]))
    return [chains[station].pop(0) for station in arriving]


MOMENTS = st.integers(0, SPAN + 4).map(lambda step: START + step * STEP)


def ask(draw: Any) -> tuple[Moment, Moment]:
    """When, and as known when; most often the latest."""
    return draw(st.one_of(st.just(END_OF_TIME), MOMENTS)), draw(st.one_of(st.just(END_OF_TIME), MOMENTS))


def fasteners_as_the_model_says(story: list[Told], data: Any) -> None:
    """The state of each fastener, seen from each job."""
    connection = real.laid(order_of(data.draw, story))
    for at, known in (LATEST, ask(data.draw)):
        for job in JOBS:
            for group, item in (("bolt", 1), ("bolt", 2), ("plug", 1), ("nut", 1)):
                whose = "aircraft 1001 main 2" if group == "nut" else f"assembly {JOBS[job][0]}"
                expected = naive_fastener.fastener(story, WORLD, job, whose, group, item, at, known)
                assert real.fastener(connection, job, group, item, at, known) == expected, (job, group, item)


def tools_as_the_model_says(story: list[Told], data: Any) -> None:
    """Grounds against each wrench, for several torques in both directions, and how often it was used."""
    connection = real.laid(order_of(data.draw, story))
    at, known = data.draw(MOMENTS), ask(data.draw)[1]
    shown = parse_torque(
        data.draw(st.sampled_from(["19 N·m", "20 N·m", "80 N·m", "81 N·m", "101 N·m", "40 lbf·ft"]))
    )
    direction = data.draw(st.sampled_from(["cw", "cw", "ccw"]))
    for name in ("W-1", "W-2"):
        found = tool(connection, name)
        assert found
        use = Use(at=at, now=END_OF_TIME, indicated=shown, direction=direction)
        judged = judge(case(connection, "QHR", UTC, found, at, AsOf(at, known)), use)
        expected = naive_tool.grounds(story, {**TOOL, "tool": name}, at, known, shown, direction)
        assert {ground.code for ground in judged.grounds} == expected
        since = data.draw(MOMENTS)
        used = uses_between(connection, name, since, at, AsOf(at, known))
        assert used == naive_tool.uses(story, name, since, at, known)


def places_as_the_model_says(story: list[Told], data: Any) -> None:
    """Where each assembly is."""
    connection = real.laid(order_of(data.draw, story))
    for at, known in (LATEST, ask(data.draw)):
        for key in WORLD.sorts:
            place = assemblies.place(connection, key, AsOf(at, known))
            if place.kind == "aircraft":
                words = f"{place.aircraft} {place.position}"
            elif place.kind == "unknown":
                words = "never fitted" if place.since is None else "not known"
            else:
                words = place.text or place.kind
            assert words == naive_place.where(naive_place.moves(story, key, at, known))


def touched_as_the_model_says(story: list[Told], data: Any) -> None:
    """What a tool touched, what became of it, and where that is; struck and refused ones too."""
    connection = real.laid(order_of(data.draw, story))
    at = data.draw(st.one_of(st.none(), MOMENTS))
    until = END_OF_TIME if at is None else at
    struck = {each.body["entry"] for each in story if each.kind == "strike"}
    for kind, name in (("wrench", "W-1"), ("wrench", "W-2"), ("adapter", "A-1")):
        mine = [
            each for each in story if each.kind == "reading" and name in tools(each.body) and each.at <= until
        ]
        expected = []
        for each in sorted(mine, key=lambda each: each.order):
            state = naive_fastener.ended(story, WORLD, each, until, END_OF_TIME)
            state = "refused" if each.body["outcome"] == "refused" else state
            expected.append(
                (each.name, "struck" if each.name in struck else state, _where(story, each, until))
            )
        found = real.traced(connection, kind, name, at)
        assert [
            (
                f"{row.reading.station}-{row.reading.number:06d}",
                row.state,
                f"{row.location.registration} {row.location.position}"
                if row.location.flying
                else row.location.text,
            )
            for row in found.rows
        ] == expected
        assert found.named == len(found.rows)
        carried = {(row.reading.owner, row.reading.group, row.reading.item) for row in found.rows
                   if row.state == "tight" and row.reading.act == "tighten"}  # fmt: skip
        assert found.standing == len(carried)
        assert found.flying == sum(each.fasteners for each in found.aircraft if each.now)


SHOWN = {
    "1001 main 2": "QQ-A main 2", "1002 main 1": "QQ-B main 1", "scrap": "scrapped", "apart": "taken apart",
}  # fmt: skip


def _where(story: list[Told], reading: Told, at: Moment) -> str:
    kind, _, name = owner(reading.body).partition(" ")
    if kind == "aircraft":
        return SHOWN[name]
    place = naive_place.where(naive_place.moves(story, name, at, END_OF_TIME))
    return SHOWN.get(place, place)


def known_then_as_if_no_more_had_come(story: list[Told], data: Any) -> None:
    """What was known at a moment is what a file says that holds nothing else; strikes that wait included."""
    known = data.draw(MOMENTS)
    whole = real.laid(order_of(data.draw, story))
    part = real.laid([each for each in story if each.known <= known])
    at = data.draw(MOMENTS)
    for job in JOBS:
        for group in ("bolt", "plug", "nut"):
            assert real.fastener(whole, job, group, 1, at, known) == real.fastener(
                part, job, group, 1, at, END_OF_TIME
            )
        as_of = AsOf(END_OF_TIME, known)
        assert strikes.waiting_in_job(whole, job, as_of) == strikes.waiting_in_job(part, job)


def any_order_gives_the_same_rows(story: list[Told], data: Any) -> None:
    """Row for row, the tally of cycles included, whichever chain came first."""
    first = real.everything_in(real.laid(order_of(data.draw, story)))
    assert real.everything_in(real.laid(order_of(data.draw, story))) == first
    counted = Counter[str]()
    for name, _, uses in first["cycle_tally"]:
        counted[name] += uses
    told = Counter(name for each in standing(story, END_OF_TIME, END_OF_TIME) for name in tools(each.body))
    assert +counted == told


FACTS = [
    fasteners_as_the_model_says, tools_as_the_model_says, places_as_the_model_says, touched_as_the_model_says,
    known_then_as_if_no_more_had_come, any_order_gives_the_same_rows,
]  # fmt: skip


def over(fact: Any, size: int) -> st.SearchStrategy[list[Told]]:
    """Stories of this size, of the crib's work where a fact is about tools."""
    return stories(size, OF_TOOLS) if fact is tools_as_the_model_says else stories(size)


@pytest.mark.parametrize("fact", FACTS, ids=lambda fact: fact.__name__)
def test_model(fact: Any) -> None:
    """Each fact named in its own docstring, over random stories."""
    MODEST(given(over(fact, 24), st.data())(fact))()


@pytest.mark.long
@pytest.mark.parametrize("fact", FACTS, ids=lambda fact: fact.__name__)
def test_model_over_many_stories(fact: Any) -> None:
    """The same over hundreds of longer stories."""
    THOROUGH(given(over(fact, 60), st.data())(fact))()
