"""`torquelog work` as it is seen: screens at 80 and 40 columns, lines in a pipe, ASCII, no colour, and how it ends."""

import json
import re

import pytest

from tests.cli.technician import Technician, compare

READY = ("y", "none", "w-0417 26.5")
FIRST_PASS = (*READY, *[""] * 12)
BOLD = re.compile(r"\x1b\[[01]m")


@pytest.fixture
def technician() -> Technician:
    """TK at a station with a wrench and an open job of 12 tie bolts in two passes."""
    return Technician()


def plain(screen: str) -> str:
    """A screen without the signs that make a line bold."""
    return BOLD.sub("", screen)


AT_WIDTH = {
    "reading": (*READY, "", "", "", "q"),
    "outside": (*READY, "", "62", "q"),
    "struck": (*READY, "", "62", "t", "q"),
    "next-pass": (*FIRST_PASS, "q"),
    "help": (*READY, "", "?", "q"),
    "slip": (*READY, "", "265", "q"),
    "left-out": (*READY, "s", "no reach", "", "q"),
    "garbled": (*READY, "", "TQ1WW-0417", "q"),
    "adapter": (*READY, "", "TQ1AA-03H", "q"),
}


@pytest.mark.parametrize("width", [80, 40])
@pytest.mark.parametrize("name", AT_WIDTH)
def test_the_screen_is_the_one_that_was_read(
    technician: Technician, monkeypatch: pytest.MonkeyPatch, name: str, width: int
) -> None:
    """At either width every line fits, and 24 lines hold the whole screen with its prompt."""
    monkeypatch.setenv("COLUMNS", str(width))
    *_, last = technician.screens(*AT_WIDTH[name])
    shown = plain(last).partition("> q\n")[0] if "> q\n" in last else plain(last).partition(" q\n")[0]
    assert all(len(line) <= width for line in shown.split("\n"))
    assert len(shown.split("\n")) <= 24
    compare(f"{name}-{width}", shown)


def test_the_beginning_says_job_and_cautions_once(technician: Technician) -> None:
    """Then the condition, the lot and the wrench are asked; going on names the last entry and asks anew."""
    first, *_ = technician.screens(*READY, "", "q")
    compare("beginning", plain(first))
    again, *_ = technician.screens("none", "w-0417 26.5", "q")
    compare("going-on", plain(again))


def test_the_same_in_a_pipe_is_one_line_a_reading(technician: Technician) -> None:
    """No escape, nothing broken to a width; each pass begins with what to set."""
    status, shown = technician.work(*FIRST_PASS, "53", *[""] * 12, command="work J-5 --lines", terminal=False)
    assert status == 0
    assert "\x1b" not in shown
    assert len(re.findall(r"^tie bolt .* within ", shown, re.MULTILINE)) == 24
    compare("lines", shown)


def test_no_escape_is_sent_where_colours_are_not_wanted(
    technician: Technician, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR gives lines with prompts instead of a screen that is drawn."""
    monkeypatch.setenv("NO_COLOR", "1")
    _, shown = technician.work(*READY, "", "62", "n", "q")
    assert "\x1b" not in shown
    compare("no-colour", shown)


def test_a_terminal_without_utf_8_gets_ascii(technician: Technician) -> None:
    """The dot of a unit becomes a hyphen."""
    *_, last = technician.screens(*READY, "", "q", encoding="ascii")
    assert last.isascii()
    compare("ascii", plain(last))


def test_json_answers_every_line_with_an_envelope(technician: Technician) -> None:
    """Each tells its line, what it recorded and what is asked next."""
    status, shown = technician.work(*READY, "26.5", "62", "n", command="work J-5 --json", terminal=False)
    lines = [json.loads(line) for line in shown.split("\n") if line]
    assert status == 4
    assert [line["line"] for line in lines] == [1, 2, 3, 4, 5, 6]
    assert [reading["outcome"] for line in lines for reading in line["data"]["readings"]] == [
        "within",
        "above",
    ]
    assert [line["data"]["asks"] for line in lines] == [
        "lots",
        "wrench",
        "reading",
        "reading",
        "hurt",
        "setting",
    ]


def test_the_end_names_what_is_open(technician: Technician) -> None:
    """All readings are there; the wrench that is issued to the person does not hold the job."""
    _, shown = technician.work(*FIRST_PASS, "53", *[""] * 12)
    assert "24 of 24 readings on record. Nothing is open in J-5." in plain(shown)
    assert "torquelog job close J-5" in shown
    assert technician.hangar.did("job close J-5")


def test_the_end_of_the_input_stops_it_and_nothing_is_lost(technician: Technician) -> None:
    """A lost terminal is like q: what was acknowledged is on record."""
    status, _ = technician.work(*READY, "", "")
    assert status == 0
    assert technician.hangar.data("job show J-5")["readings"] == {"taken": 2, "asked": 24}


def test_nobody_signed_in_is_said_before_anything_is_asked(technician: Technician) -> None:
    """As everywhere, with the command that helps."""
    technician.hangar.did("sign-out")
    status, shown = technician.work()
    assert status == 3
    assert "sign-in" in shown


def test_a_sign_in_that_ends_in_the_middle_stops_it(technician: Technician) -> None:
    """The reading after it is not on record, and it is said so."""
    technician.work(*READY, "", "q")
    technician.clock.moment += 13 * 3_600_000
    technician.hangar.now = technician.clock.moment
    status, shown = technician.work("none", "w-0417 26.5", "")
    assert status == 3
    assert "sign-in" in shown
    assert "ended" in shown


def test_a_job_that_was_handed_over_is_taken_over_first(technician: Technician) -> None:
    """Its taker is asked on a terminal; in a pipe it is only told, and the closing is held."""
    technician.hangar.did("job hand-over J-5 --to TK --why 'end of shift'")
    _, shown = technician.work("q", command="work J-5 --lines", terminal=False)
    assert "TK handed J-5 over to TK. end of shift." in shown
    assert "torquelog job take-over J-5" in shown
    _, shown = technician.work("y", "q")
    assert "Do you take it over, with what is open in it? y/n: y" in shown
    assert "Tie bolts 1 to 12: pass 1" in shown
    opened = technician.hangar.data("job show J-5")["open"]
    assert "hand-over-open" not in {hold["code"] for hold in opened}


def test_in_a_pipe_a_line_of_which_nothing_could_be_made_is_told_by_the_exit(technician: Technician) -> None:
    """The work goes on after it; an outside reading does not hide it, as 2 comes before 4."""
    status, shown = technician.work(*READY, "26,5", "26.5", "62", command="work J-5 --lines", terminal=False)
    assert status == 2
    assert len(re.findall(r"^tie bolt ", shown, re.MULTILINE)) == 2


def test_a_reading_is_told_before_anything_else_is_looked_up(
    technician: Technician, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where what follows a reading goes wrong, the reading has been told with its entry, on a line that has ended."""
    from torquelog.work import session_news

    def goes_wrong(*_: object) -> object:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(session_news, "recorded", goes_wrong)
    _, shown = technician.work(*READY, "", command="work J-5 --lines", terminal=False)
    assert re.search(r"^tie bolt +1 .* within +Q[A-Z]+-\d{6}\s*$", shown, re.MULTILINE)


@pytest.mark.parametrize("width", [80, 76, 40])
def test_a_reading_told_at_once_is_one_line_in_the_end(
    technician: Technician, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    """With --lines on a terminal, how far the job is ends the line that was begun; one that is broken comes whole."""
    monkeypatch.setenv("COLUMNS", str(width))
    _, shown = technician.work(*READY, "", "", command="work J-5 --lines")
    lines = [" ".join(line.split()) for line in plain(shown).split("\n")]
    assert all(len(line) <= width for line in plain(shown).split("\n") if "tie bolt  1" in line)
    assert re.search(r"tie bolt 1 26\.5 lbf·ft .* within Q[A-Z]+-\d{6}.* 1 of 24", " ".join(lines))
