"""Facts about chains whose owner signs what no program of ours writes: refused in our own words, or harmless."""

import os
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli.terminal import Played, play
from tests.strangers.foreign import WORDS, Mutation, exported, home, places
from tests.support.measure import measured
from torquelog.book.opening import open_book
from torquelog.book.takein import take_in
from torquelog.book.verification import verify_file
from torquelog.clock import SetClock
from torquelog.errors import STORAGE, TorquelogError
from torquelog.quality.station import accept_station

Record = Callable[[str, object], None]

SHOWING = (
    "", "adapter list", "adapter show A-1", "aircraft list", "assembly list", "assembly show WH-2231",
    "audit certificates", "audit intervals", "audit overdue", "audit people", "audit struck",
    "card list", "card show BUILD", "job list", "job rechecks", "job show J-1", "job tools J-1",
    "person list", "recall list", "recall show R-1", "refused", "review",
    "sheet aircraft QQ-HLB --out -", "sheet crib --out -", "sheet job J-1 --out -",
    "sheet recall R-1 --out -", "sheet worksheet J-1 --out -", "sheet wrench W-0417 --out -",
    "station show", "trace adapter A-1", "trace aircraft QQ-HLB", "trace assembly WH-2231",
    "trace card BUILD", "trace fastener WH-2231 tie-bolt:3", "trace lot L-77", "trace person TK",
    "trace wrench W-0417", "verify", "wrench check W-0417", "wrench due", "wrench interval W-0417",
    "wrench list", "wrench show W-0417",
)  # fmt: skip
"""Commands that show what was taken in."""


@st.composite
def mutations(draw: st.DrawFn) -> Mutation:
    """Any member of any body, dropped, doubled, or exchanged for anything."""
    entry, place = draw(st.sampled_from(places()))
    how = draw(st.sampled_from(["put", "put", "put", "put", "drop", "add", "double"]))
    return Mutation(entry, place, how, draw(st.sampled_from(WORDS)))


def brought(mutation: Mutation, folder: str) -> str:
    """Take a mutated chain in and let it count; the code of the error that it ended with, or ""."""
    lines = exported(mutation)
    path = f"{folder}/fao.db"
    Path(path).write_bytes(home().file)
    with closing(open_book(path, "write", SetClock(home().now), clock_ok=True)) as book:
        try:
            take_in(book, home().crib, lines)
            accept_station(book, home().quality, "QHR", "same company")
        except TorquelogError as error:
            return error.code
    return ""


def demand_harmless(mutation: Mutation, folder: str) -> str:
    """Demand that a mutated chain is refused with the record as it was, or can be looked at with every command."""
    code = brought(mutation, folder)
    path = f"{folder}/fao.db"
    if code:
        report, _, _ = verify_file(path)
        assert report.findings == ()
        return code
    for line in SHOWING:
        demand_shown(line, play([*line.split(), "--db", path], now=home().now))
    return ""


def demand_shown(line: str, played: Played) -> None:
    """Demand an answer without a fault, and nothing in it that steers a terminal."""
    assert played.exit not in (1, STORAGE), f"{line or 'torquelog'}: {played.exit} {played.err} {details()}"
    told = played.out + played.err
    assert all(sign.isprintable() or sign == "\n" for sign in told), line
    assert "<script>" not in played.out or not line.startswith("sheet"), line


def details() -> str:
    """What the newest file of details holds."""
    files = sorted(Path(os.environ["XDG_DATA_HOME"]).rglob("fault-*.txt"), key=os.path.getmtime)
    return files[-1].read_text(encoding="utf-8")[-3000:] if files else ""


def tried(examples: int) -> str:
    """Try so many mutations; what came of them."""
    ended: dict[str, int] = {}

    @settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(mutation=mutations())
    def each(mutation: Mutation) -> None:
        with TemporaryDirectory() as folder:
            code = demand_harmless(mutation, folder)
            ended[code or "taken in"] = ended.get(code or "taken in", 0) + 1

    each()
    return ", ".join(f"{count} {code}" for code, count in sorted(ended.items()))


def test_a_chain_that_nobody_changed_is_taken_in(tmp_path: Path) -> None:
    """Signed anew and with everything as it was, it counts; so what is refused below is refused for its change."""
    assert demand_harmless(Mutation(places()[0][0], (), "put"), str(tmp_path)) == ""


@pytest.mark.parametrize("mark", ["\x1b[31mred", "\u202edetrever", "\u200b", "\x9b31m"])
def test_text_that_passed_no_gate_is_not_taken_in(tmp_path: Path, mark: str) -> None:
    """In a member of the body as well as deep inside it; a sheet would show it."""
    deep = [place for place in places() if place[1][-2:] == (0, "certificate") and "judged" in place[1]]
    flat = [place for place in places() if place[1] == ("why",)]
    assert deep
    assert flat
    for entry, place in (deep[0], flat[0]):
        assert brought(Mutation(entry, place, "put", mark), str(tmp_path)) == "body-form"


def test_whatever_a_station_signs_does_no_harm(record_property: Record) -> None:
    """No traceback from any body, neither at take-in nor later, and nothing raw on a screen."""
    record_property("count", tried(25))


@pytest.mark.long
def test_whatever_a_station_signs_does_no_harm_at_length(record_property: Record) -> None:
    """The same with two thousand bodies."""
    record_property("count", tried(measured(2000)))
