"""Answers as text, envelope and CSV."""

import io
import json

import pytest

from tests.cli.terminal import Terminal, play
from torquelog.cli.answer import Answer, Column, Problem, Remark, Table
from torquelog.cli.render import AT_ONCE, Page, write_pieces

KEYS = ["torquelog", "command", "ok", "exit", "station", "ledger", "data", "problems", "remarks"]

REFUSED = Answer(
    headline="Refused. Tie bolt 3 of J-118 stays open; nothing counts from this.",
    body=("What you typed is kept as QHR-000209.",),
    next=("torquelog wrench return W-0402",),
    data={"outcome": "refused"},
    problems=(Problem("due-date", "W-0402 was due Mon 23 Nov 2026, 2 days ago."),),
    remarks=(Remark("entered-late", "Entered 3 hours after it was performed."),),
    exit=3,
)

LIST = Answer(
    headline="2 wrenches.",
    table=Table(
        columns=(Column("wrench"), Column("due")),
        rows=(("W-1", "Mon 23 Nov 2026, 2 days ago"), ("W-2", "no date")),
        records=(
            {"wrench": "W-1", "due": "2026-11-23", "range": {"low": "20", "unit": "N·m"}, "tags": ["a", "b"]},
            {"wrench": "W-2", "due": None, "range": {"low": "5", "unit": "N·m"}, "fit": True},
        ),
    ),
)


def test_the_envelope_has_exactly_its_keys(trial) -> None:
    """Additions are welcome, renames are not: this list is frozen."""
    trial(lambda context: REFUSED)
    played = play(["trial", "--json"])
    envelope = json.loads(played.out)
    assert list(envelope) == KEYS
    assert played.out.count("\n") == 1
    assert played.err == ""
    assert envelope["torquelog"] == 1
    assert envelope["command"] == "trial"
    assert (envelope["ok"], envelope["exit"], played.exit) == (False, 3, 3)
    assert envelope["problems"] == [
        {"code": "due-date", "message": "W-0402 was due Mon 23 Nov 2026, 2 days ago.", "hint": ""}
    ]
    assert envelope["remarks"] == [
        {"code": "entered-late", "message": "Entered 3 hours after it was performed."}
    ]


def test_text_on_a_terminal_tells_the_answer_first(trial) -> None:
    """Headline, grounds, remarks, body, what to do next, in this order; one blank line between them."""
    trial(lambda context: REFUSED)
    played = play(["trial"], terminal=True)
    assert played.out.startswith("\x1b[1;31mRefused. Tie bolt 3")
    assert played.err == "\n  W-0402 was due Mon 23 Nov 2026, 2 days ago.\n"
    assert played.out.endswith("\n\nNext: torquelog wrench return W-0402\n")
    assert "\n  Entered 3 hours after it was performed.\n" in played.out


def test_problems_go_to_standard_error_only(trial) -> None:
    """A pipe keeps the answer; the problem stands on the other stream."""
    trial(lambda context: REFUSED)
    played = play(["trial"])
    assert "W-0402 was due" not in played.out
    assert played.err == "  W-0402 was due Mon 23 Nov 2026, 2 days ago.\n"


@pytest.mark.parametrize("setting", [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_no_escape_where_colours_are_not_wanted(trial, monkeypatch, setting) -> None:
    """NO_COLOR and a dumb terminal get none; neither does a pipe, whatever FORCE_COLOR says."""
    trial(lambda context: REFUSED)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b" not in play(["trial"]).out
    monkeypatch.setenv(*setting)
    assert "\x1b" not in play(["trial"], terminal=True).out


def test_nothing_is_broken_in_a_pipe_and_all_fits_a_terminal(trial, monkeypatch) -> None:
    """A pipe keeps lines whole; a terminal of 40 columns has none longer."""
    trial(
        lambda context: Answer(headline="word " * 60, facts=(("label", "value " * 30),), body=("body " * 50,))
    )
    assert len(play(["trial"]).out.split("\n")[0]) == 299 + 1
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setenv("NO_COLOR", "1")
    assert max(map(len, play(["trial"], terminal=True).out.split("\n"))) <= 40


def test_an_output_that_is_not_utf_8_gets_ascii(trial) -> None:
    """Text in signs that every encoding has; the envelope with its own escapes."""
    trial(lambda context: Answer(headline="26.5 lbf·ft ± 5 %, José", data={"unit": "lbf·ft"}))
    assert play(["trial"], encoding="latin-1").out == "26.5 lbf-ft +/- 5 %, Jos?\n"
    envelope = play(["trial", "--json"], encoding="ascii").out
    assert envelope.isascii()
    assert json.loads(envelope)["data"] == {"unit": "lbf·ft"}


@pytest.mark.parametrize("hostile", ["\x1b]0;title\x07", "a\u202eb", "x\ny", "\x9b31m", "[red]"])
def test_user_text_never_steers_the_terminal(trial, hostile: str) -> None:
    """Wherever it stands in an answer it is shown, and the envelope gives it back unharmed."""
    table = Table((Column(hostile),), ((hostile,),), title=hostile)
    answer = Answer(
        headline=hostile,
        facts=((hostile, hostile),),
        body=(hostile,),
        table=table,
        next=(hostile,),
        data={"x": hostile},
        problems=(Problem("fault", hostile, hostile),),
        remarks=(Remark("late", hostile),),
    )
    trial(lambda context: answer)
    for encoding in ("utf-8", "ascii"):
        played = play(["trial"], encoding=encoding)
        assert all(line.isprintable() for line in (played.out + played.err).split("\n"))
        envelope = play(["trial", "--json"], encoding=encoding).out
        assert envelope.rstrip("\n").isprintable()
        assert json.loads(envelope)["data"] == {"x": hostile}


def test_lists_can_be_had_as_csv(trial) -> None:
    """What stands inside is spread over columns; nothing is null, and no headline stands in between."""
    trial(lambda context: LIST, csv=True)
    assert play(["trial", "--csv"]).out == (
        "wrench,due,range_low,range_unit,tags\nW-1,2026-11-23,20,N·m,a; b\nW-2,,5,N·m,\n"
    )


def test_an_empty_list_still_has_its_heading(trial) -> None:
    """A program that reads the CSV finds its columns."""
    trial(lambda context: Answer(table=Table((Column("wrench"),), (), fields=("wrench", "due"))), csv=True)
    assert play(["trial", "--csv"]).out == "wrench,due\n"


def test_a_command_without_a_list_has_no_csv(trial) -> None:
    """--csv belongs to lists."""
    trial(lambda context: Answer(headline="one thing"))
    assert play(["trial", "--csv"]).exit == 2


def test_an_answer_that_is_written_already_is_not_written_again(trial) -> None:
    """Line by line answers and dialogues leave only their exit status."""
    trial(lambda context: Answer(exit=4, written=True))
    assert play(["trial", "--json"]) == (4, "", "")


def test_a_command_in_the_text_stays_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is to be pasted; a sentence that begins with the name, and a command with a note, give way as any text."""
    monkeypatch.setenv("COLUMNS", "40")
    page = Page(Terminal())
    command = "      torquelog record tie-bolt:4 READING --job J-1 --wrench WRENCH"
    assert page.prose(command) == [command]
    assert len(page.prose("torquelog supplies no torque values, it takes those of your data.")) == 2
    assert len(page.prose("  torquelog demo      a week in an invented hangar, in ten seconds")) == 3


def test_no_more_is_held_for_writing_than_one_go_takes() -> None:
    """However long the pieces of an answer are, they are let through before they become much; none is lost."""
    goes: list[int] = []

    class Stream(io.StringIO):
        def write(self, text: str) -> int:
            goes.append(len(text))
            return super().write(text)

    stream, pieces = Stream(), [f"{number}," * 2000 for number in range(200)]
    write_pieces(stream, iter(pieces))
    assert stream.getvalue() == "".join(pieces)
    assert max(goes) < AT_ONCE + max(map(len, pieces))
    assert len(goes) < 30


def test_nothing_is_written_of_no_pieces() -> None:
    """An answer without a line writes nothing, not even an empty text."""
    stream = io.StringIO()
    write_pieces(stream, [])
    assert stream.getvalue() == ""
