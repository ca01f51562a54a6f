"""Facts found by trying many files: what is written as it was judged is, to the letter, what judging again gives."""

import io
from collections.abc import Callable
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, NamedTuple
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.importing.files import bring, csv_of, json_of, reading, wrongs
from tests.importing.test_as_judged import HOUR, MINUTE, on_record
from tests.importing.test_bringing import Chopped
from tests.support.measure import measured
from tests.support.story import WHEEL, Story
from torquelog.book.as_rehearsed import Maker
from torquelog.book.opening import open_book
from torquelog.book.signer import Signer
from torquelog.clock import Moment
from torquelog.importing import judging as judging_module

GROUPS: Final = (
    WHEEL,
    {"id": "rim", "on": "wheel", "count": 2, "torque": "95..105 N·m", "passes": ["50 %", "100 %"]},
    {"id": "nut", "on": "wheel", "count": 2, "torque": "60..70 N·m", "basis": "above-run-on"},
)

NOW: Final = "2026-11-25 15:00"
"""When the file is judged; the sign-in ends at 4 o'clock the next morning."""

SOON: Final = "2026-11-25 15:20"
"""Still to come then, and past before a file that waits long is written."""


class Stock(NamedTuple):
    """A record from which every example goes on: its bytes, who signs, and when."""

    file: bytes
    signed: dict[str, Signer]
    moment: Moment


@cache
def stock() -> Stock:
    """Wrenches for each reason to refuse one, an adapter, a wheel, its card and its job."""
    with TemporaryDirectory() as folder:
        story = Story(Path(folder))
        story.wrench("W-2", on="2025-11-25", cycles=None)  # due today
        story.wrench("W-3", cycles=3)
        story.wrench("W-4", use="before-use")
        story.wrench("W-5", on="")
        story.adapter("A-1", "5 mm")
        story.bench(*GROUPS)
        story.until(NOW)
        story.close_book()
        return Stock(Path(story.book.path).read_bytes(), story.signed, story.clock.moment)


def stocked(folder: Path) -> Story:
    """A copy of it, open."""
    folder.mkdir()
    story = Story(folder)
    story.close_book()
    laid = stock()
    Path(story.book.path).write_bytes(laid.file)
    story.clock.moment, story.signed = laid.moment, dict(laid.signed)
    story.book = open_book(story.book.path, "write", story.clock, clock_ok=True)
    return story


FACTS: Final[dict[str, Callable[[Story], object]]] = {
    "struck": lambda story: story.correct(story.take("tie-bolt:3", "120 N·m", "W-3", id="3" * 32).reference),
    "loosened soon": lambda story: story.take("tie-bolt:1", "100 N·m", loosened=True, at=SOON, id="4" * 32),
    "issued": lambda story: story.issue("W-0417", "IK"),
    "dropped": lambda story: story.report("W-0417", "dropped", at="2026-11-25 13:10"),
    "lost": lambda story: story.report("W-3", "lost", at="2026-11-25 13:05"),
    "used": lambda story: story.take("tie-bolt:1", "100 N·m", "W-3", id="1" * 32),
    "used soon": lambda story: story.take("tie-bolt:2", "100 N·m", "W-3", at=SOON, id="2" * 32),
    "told late": lambda story: story.calibrate("W-5", "2026-11-20"),
}
"""What may have happened before the file is brought in, in this order; some of it at a time that is still to come."""

TIMES: Final = (
    *(f"2026-11-25 13:0{minute}" for minute in range(10)), "2026-11-25 14:29:59", "2026-11-25 14:59:59",
    "2026-11-25 15:00", "2026-11-25 15:00:01", "2026-11-25 15:25", "2026-11-20 09:00", "2026-10-25 03:00",
)  # fmt: skip
ROW: Final = st.fixed_dictionaries({
    "fastener": st.sampled_from(
        ["tie-bolt:1", "tie-bolt:2", "tie-bolt:3", "rim:1", "rim:2", "rim:1", "nut:1", "tie-bolt:9"]
    ),
    "reading": st.sampled_from(["100", "100", "97.5", "50", "70", "140"]),
    "wrench": st.sampled_from(["W-0417", "W-0417", "W-2", "W-3", "W-3", "W-4", "W-5"]),
    "at": st.sampled_from(TIMES),
    "adapter": st.sampled_from(["", "", "A-1"]),
    "loosened": st.sampled_from(["", "yes"]),
    "act": st.sampled_from(["", "", "check"]),
    "pass": st.sampled_from(["", "", "1"]),
    "lot": st.sampled_from(["", "L-1; L-2"]),
    "by": st.sampled_from(["TK", "IK"]),
    "why": st.sampled_from(["", "on paper"]),
    "run_on": st.sampled_from(["", "8"]),
    "id": st.sampled_from(["", "", "", "a" * 32, "b" * 32]),
})  # fmt: skip
FILE: Final = st.fixed_dictionaries({
    "rows": st.lists(ROW, min_size=1, max_size=12),
    "facts": st.lists(st.sampled_from(sorted(FACTS)), max_size=3, unique=True),
    "wait": st.sampled_from([0, -1500, 1000, 26 * MINUTE, 31 * MINUTE, 9 * HOUR + MINUTE]),
    "after": st.integers(1, 12),
    "together": st.integers(1, 4),
    "chopped": st.booleans(),
    "twice": st.booleans(),
    "keep_going": st.sampled_from([True, True, True, False]),
    "as_json": st.booleans(),
})  # fmt: skip


def cells(row: dict[str, str]) -> dict[str, str]:
    """A row as it stands in the file."""
    full = {**reading(1), **row}
    if full["run_on"]:
        full |= {"run_on_unit": "NU", "run_on_wrench": full["wrench"]}
    return {name: cell for name, cell in full.items() if cell}


def lived(drawn: dict[str, Any], *, as_judged: bool) -> list[Any]:
    """What is on record after the file, and what was told of it; with each row judged again where it is said so."""
    rows = [cells(row) for row in drawn["rows"]] * (2 if drawn["twice"] else 1)
    told: list[tuple[int, object]] = []
    with TemporaryDirectory() as folder:
        story = stocked(Path(folder) / "station")
        try:
            for fact in (each for each in FACTS if each in drawn["facts"]):
                FACTS[fact](story)
            judged = count(1)

            def judging() -> None:
                if next(judged) == min(drawn["after"], len(rows)):
                    story.clock.moment += drawn["wait"]

            rejects = io.StringIO()
            ready = Maker.ready if as_judged else lambda *_: None
            with patch.object(Maker, "ready", ready), patch.object(judging_module, "STRIDE", 1):
                tally = bring(
                    story, json_of(rows) if drawn["as_json"] else csv_of(rows), rejects=rejects,
                    keep_going=drawn["keep_going"], together=drawn["together"],
                    judging=judging,
                    tell=lambda unit, done: told.append((unit.line, done if isinstance(done, tuple) else len(done))),
                    **({"seconds": Chopped()} if drawn["chopped"] else {}),
                )  # fmt: skip
            story.demand_that_it_holds()
            stopped = tally.stopped and (tally.stopped.line, tally.stopped.wrong.error.code)
            return [
                *on_record(story), tally.outcomes, wrongs(tally), tally.first, tally.last, tally.left, tally.changed,
                stopped, rejects.getvalue(), told,
            ]  # fmt: skip
        finally:
            story.close_book()


def demand_the_same(drawn: dict[str, Any]) -> None:
    """Two records, one written in either way."""
    for one, other in zip(lived(drawn, as_judged=True), lived(drawn, as_judged=False), strict=True):
        assert one == other


@settings(max_examples=2, deadline=None)
@given(drawn=FILE)
def test_a_few_files_come_out_as_judged_again(drawn: dict[str, Any]) -> None:
    """Whatever the rows and what happened before, in every table; both records hold when verified."""
    demand_the_same(drawn)


@pytest.mark.long
def test_many_files_come_out_as_judged_again(record_property: Callable[[str, object], None]) -> None:
    """The same with many of them."""
    files: list[int] = []

    @settings(max_examples=measured(400), deadline=None)
    @given(drawn=FILE)
    def try_out(drawn: dict[str, Any]) -> None:
        demand_the_same(drawn)
        files.append(len(drawn["rows"]))

    try_out()
    record_property("count", f"{len(files)} files of {sum(files)} rows")
