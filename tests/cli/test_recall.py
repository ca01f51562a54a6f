"""How a recall is told: folded for people, whole for programs, and never with a reading to confirm."""

import csv
import io
import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.cli.terminal import Played, play
from tests.quality.recalled import Wheel, found, set_up, told
from tests.support.books import PASSPHRASE
from tests.support.story import Story

WHEELS = (
    Wheel("STORES-1", 3, "45", "stores"),
    Wheel("LOW-1", 4, "22", "flies"),
    Wheel("NEAR-1", 3, "25", "sent"),
)


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, int]:
    """The file of a small scene in which a wrench failed, and the moment at which it stands."""
    scene = Story(tmp_path_factory.mktemp("scene"))
    set_up(scene, WHEELS)
    scene.until("2027-06-04T08:00")
    for act in told(scene, WHEELS):
        act()
    found(scene)
    path, now = scene.book.path, scene.clock.moment + 1000
    scene.close_book()
    return Path(path).read_bytes(), now


class Hangar:
    """A copy of the scene at which command lines are typed."""

    def __init__(self, folder: Path, file: bytes, now: int) -> None:
        self.path, self.now = folder / "qhr.db", now
        self.path.write_bytes(file)
        self.type("sign-in", "TK", "--passphrase-stdin", stdin=PASSPHRASE)

    def type(self, *words: str, terminal: bool = False, stdin: str = "") -> Played:
        """Carry out a command line a second later; a passphrase is typed where one is asked for in a pipe."""
        self.now += 1000
        return play(["--db", str(self.path), *words], terminal=terminal, stdin=stdin, now=self.now)

    def signed(self, *words: str) -> Played:
        """The same with the passphrase."""
        return self.type(*words, "--passphrase-stdin", stdin=PASSPHRASE + "\n")

    def data(self, *words: str) -> Any:
        """What a program gets."""
        envelope = json.loads(self.type(*words, "--json").out)
        assert envelope["ok"], envelope
        return envelope["data"]


@pytest.fixture
def hangar(tmp_path: Path, laid: tuple[bytes, int]) -> Hangar:
    """The scene, with TK signed in."""
    return Hangar(tmp_path, *laid)


def offered(played: Played) -> list[str]:
    """The commands that an answer says to go on with."""
    _, _, after = played.out.partition("Next: ")
    return [line.strip() for line in after.splitlines()]


def test_what_waits_is_listed_and_the_next_command_opens_it(hangar: Hangar) -> None:
    """The whole way through: list, open, decide, refused to close, decide, close."""
    listed = hangar.type("recall", "list")
    assert listed.out.startswith("1 thing waits for a recall. 0 recalls are open.\n")
    assert "20 N·m shown was 18.69 N·m applied" in listed.out
    assert offered(listed) == ["torquelog recall open --wrench W-1"]
    opened = hangar.type(*offered(listed)[0].split()[1:])
    assert opened.exit == 0
    assert opened.out.startswith("Recall R-1 is open. 10 of 10 fasteners are undecided.\n")
    refused = hangar.signed("recall", "close", "R-1")
    assert (refused.exit, refused.out) == (3, "")
    assert refused.err.startswith("R-1 cannot close yet: 10 of 10 items are undecided.")
    flying = ("recall", "disposition", "R-1", "--aircraft", "QQ-HLB", "--why", "replaced on the ramp")
    decided = hangar.signed(*flying, "--decision", "replaced", "--reference", "WO-12")
    assert decided.out.startswith("4 items of R-1: replaced. 6 items are undecided.\n")
    wide = hangar.signed("recall", "disposition", "R-1", "5-10", "--decision", "accepted", "--why", "x")
    assert (wide.exit, wide.out) == (2, "")
    hangar.signed(
        "recall",
        "disposition",
        "R-1",
        "5-10",
        "--decision",
        "accepted",
        "--why",
        "x",
        "--reference",
        "EO-EX-31",
    )
    closed = hangar.signed("recall", "close", "R-1")
    assert closed.out.startswith("Recall R-1 is closed: 10 fasteners, every one decided.\n")
    assert hangar.type("recall", "list").out.startswith("Nothing waits for a recall. 0 recalls are open.\n")
    assert (
        "R-1, opened Mon 7 Jun 2027 by TK, closed. Nothing is undecided."
        in hangar.type("recall", "show", "R-1").out
    )


def test_rows_are_folded_on_a_terminal_and_whole_in_a_pipe(
    hangar: Hangar, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four bolts that read alike are one row for a person, unless each is asked for."""
    hangar.type("recall", "open", "--wrench", "W-1")
    monkeypatch.setenv("COLUMNS", "200")
    folded = hangar.type("recall", "show", "R-1", terminal=True).out
    assert "LOW-1 bolts 1 to 4" in folded
    assert re.search(
        r"1-4 +LOW-1 bolts 1 to 4 +22 N·m +20\.73 N·m ±0\.1\d* +20\.9 to 23\.1 N·m +outside", folded
    )
    for words, terminal in ((("--each",), True), ((), False)):
        whole = hangar.type("recall", "show", "R-1", *words, terminal=terminal).out
        assert all(f"LOW-1 bolt {bolt} " in whole for bolt in (1, 2, 3, 4))


@pytest.mark.parametrize("width", ["80", "40"])
def test_nothing_is_lost_on_a_narrow_terminal(
    hangar: Hangar, monkeypatch: pytest.MonkeyPatch, width: str
) -> None:
    """No line is longer than the terminal, but for commands, and each fact is there."""
    hangar.type("recall", "open", "--wrench", "W-1")
    monkeypatch.setenv("COLUMNS", width)
    told = hangar.type("recall", "show", "R-1", terminal=True).out
    plain = re.sub(r"\x1b\[[0-9;]*m", "", told)
    assert all(len(line) <= int(width) for line in plain.splitlines() if "torquelog " not in line)
    joined = " ".join(plain.split())
    sums = "30 readings = 10 that decide (one for each fastener)"
    for fact in ("QQ-HLB main 1", sums, "Other Air, Porto", "undecided"):
        assert fact in joined, plain


def test_no_next_line_holds_a_reading(hangar: Hangar) -> None:
    """Nobody confirms a value without a wrench in hand."""
    told = [hangar.type("recall", "list"), hangar.type("recall", "open", "--wrench", "W-1")]
    told += [hangar.type("recall", "show", "R-1")]
    for played in told:
        assert offered(played)
        assert not any(re.search(r"\d\s*(N·m|lbf|Nm)", line) for line in offered(played))


def test_a_program_gets_every_member(hangar: Hangar) -> None:
    """The keys are those that other programs rely on; numbers are text with their unit."""
    data = hangar.data("recall", "open", "--wrench", "W-1")
    assert {"recall", "window", "items", "counts", "not_covered", "state", "causes", "measure"} <= set(data)
    assert set(data["window"]) == {"from", "until"}
    assert data["window"]["from"] == "2027-01-12T00:00:00.000+00:00"
    asked = {
        "item", "entry", "assembly", "fastener", "recorded", "as_found", "as_left", "limits", "verdict", "reason",
        "probability", "retightened", "now_on", "place", "disposition",
    }  # fmt: skip
    assert all(asked <= set(item) for item in data["items"])
    first = data["items"][0]
    assert (first["item"], first["assembly"], first["fastener"]) == (1, "EX-4410-1 LOW-1", "bolt:1")
    assert (first["recorded"], first["as_found"]) == (
        {"value": "22", "unit": "N·m"},
        {"value": "20.7255", "unit": "N·m"},
    )
    assert (first["verdict"], first["reason"], first["limits"]["low"]) == ("outside", None, "20.9")
    assert 0 <= float(first["probability"]) < 0.01
    assert first["now_on"][0]["aircraft"] == "QQ-HLB"
    counts = data["counts"]
    assert (counts["readings"], counts["items"]) == (30, 10)
    assert counts["outside"] + counts["indeterminate"] + counts["within"] == counts["items"]
    assert data == {**hangar.data("recall", "show", "R-1"), "complete_as_of": data["complete_as_of"]}


def test_lists_come_as_csv(hangar: Hangar) -> None:
    """One line an item, and one a recall."""
    hangar.type("recall", "open", "--wrench", "W-1")
    items = list(csv.DictReader(io.StringIO(hangar.type("recall", "show", "R-1", "--csv").out)))
    assert [(each["item"], each["verdict"]) for each in items][:2] == [("1", "outside"), ("2", "outside")]
    recalls = list(csv.DictReader(io.StringIO(hangar.type("recall", "list", "--csv").out)))
    assert [(each["recall"], each["state"], each["undecided"]) for each in recalls] == [("R-1", "open", "10")]


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        (("open", "--wrench", "W-1", "--lot", "L-1"), "recall-subject", 2),
        (("open", "--wrench", "W-1", "--revision", "B"), "recall-subject", 2),
        (("open",), "recall-window", 2),
        (("open", "--wrench", "W-9"), "tool-unknown", 2),
        (("open", "--wrench", "W-2", "--until", "2027-01-01"), "recall-window", 2),
        (("open", "--lot", "L-1"), "recall-empty", 2),
        (("show", "R-7"), "recall-unknown", 2),
        (("disposition", "R-7", "--decision", "accepted", "--why", "x"), "needs-option", 2),
        (("disposition", "R-7", "1", "--decision", "nothing", "--why", "x"), "decision-unknown", 2),
        (("disposition", "R-7", "x", "--decision", "accepted", "--why", "x"), "items-form", 2),
    ],
)
def test_what_cannot_be_is_told_by_its_code(
    hangar: Hangar, words: Sequence[str], code: str, status: int
) -> None:
    """With the exit status that programs rely on; nothing is on record."""
    played = hangar.type("recall", *words, "--json")
    envelope = json.loads(played.out)
    assert (played.exit, envelope["problems"][0]["code"]) == (status, code)


def test_the_stores_wheel_is_not_fitted(hangar: Hangar) -> None:
    """Refused before the recall is opened and after; the answer says where to look."""
    fit = ("assembly", "fit", "STORES-1", "--aircraft", "QQ-HLB", "--position", "nose")
    before = hangar.type(*fit)
    assert (before.exit, offered(Played(0, before.err, ""))) == (3, ["torquelog recall list"])
    hangar.type("recall", "open", "--wrench", "W-1")
    after = hangar.type(*fit)
    assert (after.exit, offered(Played(0, after.err, ""))) == (3, ["torquelog recall show R-1"])


def test_a_withdrawn_certificate_is_told_with_what_it_calls_for(hangar: Hangar) -> None:
    """The wrench is refused from then on, and the work by it waits for a recall."""
    played = hangar.type("wrench", "withdraw", "W-2", "C-W-2-2027-01-11", "--why", "letter 12")
    assert played.exit == 0
    assert played.out.startswith("Certificate C-W-2-2027-01-11 of W-2 is withdrawn.")
    assert offered(played) == ["torquelog recall open --wrench W-2"]
    assert [each["code"] for each in hangar.data("recall", "list")["pending"]] == [
        "failed-as-found",
        "withdrawn",
    ]
    checked = json.loads(hangar.type("wrench", "check", "W-2", "--json").out)
    assert checked["exit"] == 3
    assert "was withdrawn" in json.dumps(checked)
