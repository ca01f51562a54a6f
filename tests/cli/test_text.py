"""Text that is safe and legible, and lines that fit."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.cli.text import ascii_only, columns, speaks_utf_8, visible, wrapped

LINES = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=200)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("plain · ± 26.5", "plain · ± 26.5"),
        ("\x1b[31mred", "\\x1b[31mred"),
        ("a\nb\tc", "a\\x0ab\\x09c"),
        ("\u202egnirts", "\\u202egnirts"),
        ("\udcff", "\\xff"),
        ("\U000e0041", "\\U000e0041"),
        ("[bold]no markup[/bold]", "[bold]no markup[/bold]"),
    ],
)
def test_unseen_characters_are_written_out(typed: str, shown: str) -> None:
    """Control, bidirectional and tag characters and stray bytes become visible; markup is only text."""
    assert visible(typed) == shown


@given(st.text(st.characters(), max_size=60))
@settings(max_examples=100)
def test_whatever_was_typed_can_be_printed(text: str) -> None:
    """No text leaves a character that steers a terminal, and none raises."""
    assert visible(text).isprintable()
    assert ascii_only(visible(text)).isascii()


def test_own_signs_have_ascii_forms() -> None:
    """Without UTF-8 the dot of a unit is a hyphen, and the other signs are spelled out."""
    assert ascii_only("44 N·m ± 2, 30°, 3×8, −1, é") == "44 N-m +/- 2, 30 deg, 3x8, -1, ?"


@pytest.mark.parametrize(
    ("encoding", "speaks"),
    [("UTF-8", True), ("utf_8", True), (None, True), ("latin-1", False), ("ascii", False)],
)
def test_only_utf_8_shows_every_sign(encoding: str | None, speaks: bool) -> None:
    """Any other encoding gets ASCII, even one that has some of the signs."""
    assert speaks_utf_8(encoding) is speaks


def test_wide_and_combining_characters_are_counted_as_the_terminal_does() -> None:
    """A wide character takes two columns, a combining one none."""
    assert columns("ab") == 2
    assert columns("扳手") == 4
    assert columns("e\u0301") == 1


def test_a_continuation_hangs_under_the_last_column() -> None:
    """A label stays alone at the left; the value goes on under itself."""
    assert wrapped("  W-0402   due Mon 23 Nov 2026, 2 days ago", 30) == [
        "  W-0402   due Mon 23 Nov",
        "           2026, 2 days ago",
    ]


def test_a_number_keeps_its_unit() -> None:
    """No line ends between the two, nor within a unit."""
    assert wrapped('"lb" does not say inches or feet. 640 lbf·in is 72.31 N·m.', 40) == [
        '"lb" does not say inches or feet.',
        "640 lbf·in is 72.31 N·m.",
    ]
    assert wrapped("the sum of it is near 5 % here", 23) == ["the sum of it is near", "5 % here"]


def test_a_pipe_breaks_no_line() -> None:
    """Without a width the line stays as it is."""
    assert wrapped("word " * 100, None) == ["word " * 100]


@given(LINES, st.integers(min_value=1, max_value=60))
@settings(max_examples=100)
def test_breaking_a_line_loses_no_word(line: str, width: int) -> None:
    """The words of the pieces are the words of the line; a piece is too wide only where it is one word."""
    pieces = wrapped(line, width, indent=0)
    assert " ".join(pieces).split() == line.split()
    assert all(columns(piece.strip(" ")) <= width or " " not in piece.strip(" ") for piece in pieces)
