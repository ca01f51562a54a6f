"""Facts, tables and commands as lines."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.cli.answer import Column, Table
from torquelog.cli.layout import commands, facts, table
from torquelog.cli.text import columns

DUE = Table(
    columns=(
        Column("wrench"),
        Column("due", fold=True),
        Column("left", right=True),
        Column("where", fold=True),
    ),
    rows=(
        ("W-0402", "Mon 23 Nov 2026, 2 days ago", "0", "with TK since 20 Nov"),
        ("W-0391", "Thu 18 Mar 2027, in 113 days", "130", "crib, B1"),
    ),
)


def test_values_stand_below_each_other() -> None:
    """Labels at the left, values in one column, an empty label continues."""
    pairs = (("On the wrench", "26.5 lbf·ft"), ("At the bolt", "35.9 N·m"), ("", "inside 34 to 38 N·m"))
    assert facts(pairs, None) == [
        "  On the wrench   26.5 lbf·ft",
        "  At the bolt     35.9 N·m",
        "                  inside 34 to 38 N·m",
    ]


def test_a_narrow_screen_puts_the_value_below_its_label() -> None:
    """Where fewer than twenty columns are left the value gets a line of its own."""
    assert facts([("Applied at the fastener", "35.9 N·m, inside 34 to 38 N·m")], 40) == [
        "  Applied at the fastener",
        "    35.9 N·m, inside 34 to 38 N·m",
    ]


def test_a_word_that_does_not_fit_beside_its_label_stands_below_it() -> None:
    """A path is not pushed out of the screen by its label."""
    assert facts([("Looked in", "~/.local/share/torquelog/ledger.db")], 40) == [
        "  Looked in",
        "    ~/.local/share/torquelog/ledger.db",
    ]


def test_next_commands_are_never_broken() -> None:
    """They are pasted; notes stand in a column of their own."""
    assert commands(("torquelog work  goes on with J-118", "torquelog wrench due  why")) == [
        "Next: torquelog work         goes on with J-118",
        "      torquelog wrench due   why",
    ]


def test_a_note_that_does_not_fit_stands_below_its_command() -> None:
    """The command stays whole, and so do the words of the note."""
    entries = ("torquelog wrench due  why those may not be used", "torquelog --help")
    assert commands(entries, 40) == [
        "Next: torquelog wrench due",
        "        why those may not be used",
        "      torquelog --help",
    ]
    assert commands(entries, 80)[0] == "Next: torquelog wrench due   why those may not be used"


def test_a_column_without_a_title_names_its_block() -> None:
    """Where a table becomes blocks, its name stands alone above the others."""
    shown = Table(
        (Column(""), Column("where"), Column("due")), (("W-1", "crib, shelf B12", "Mon 23 Nov 2026"),)
    )
    assert list(table(shown, 24))[:2] == ["  W-1", "  where"]


def test_a_table_in_a_pipe_keeps_its_cells_whole() -> None:
    """Numbers stand to the right; nothing is cut."""
    assert table(DUE, None) == [
        "  wrench   due                            left   where",
        "  W-0402   Mon 23 Nov 2026, 2 days ago       0   with TK since 20 Nov",
        "  W-0391   Thu 18 Mar 2027, in 113 days    130   crib, B1",
    ]


def test_a_table_folds_where_it_may() -> None:
    """At 60 columns the cells that may fold take two lines, the others stay."""
    assert table(DUE, 60) == [
        "  wrench   due                   left   where",
        "  W-0402   Mon 23 Nov 2026, 2       0   with TK since 20 Nov",
        "           days ago",
        "  W-0391   Thu 18 Mar 2027, in    130   crib, B1",
        "           113 days",
    ]


def test_a_table_too_wide_for_the_screen_becomes_blocks() -> None:
    """At 30 columns each row is a block of title and value."""
    lines = table(DUE, 30)
    assert lines[0] == "  wrench   W-0402"
    assert "" in lines
    assert all(columns(line) <= 30 for line in lines)


@pytest.mark.parametrize("width", [None, 80, 20])
def test_an_empty_table_has_no_lines(width: int | None) -> None:
    """A heading over nothing says nothing."""
    assert table(DUE._replace(rows=()), width) == []


CELLS = st.text("ab -,", max_size=30).map(lambda text: " ".join(text.split()))


@given(st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=5), st.integers(30, 120))
@settings(max_examples=100)
def test_no_table_loses_a_word_or_leaves_the_screen(rows: list[tuple[str, str, str]], width: int) -> None:
    """Every word of every cell is there, and no line is wider than the terminal unless one word is."""
    shown = Table(
        (Column("one", fold=True), Column("two", fold=True), Column("three", fold=True)), tuple(rows)
    )
    lines = table(shown, width)
    words = sorted(word for row in rows for cell in row for word in cell.split())
    printed = sorted(word for line in lines for word in line.split() if word not in {"one", "two", "three"})
    assert printed == words
    assert all(
        columns(line) <= width or columns(max(line.split(), key=columns)) > width - 16 for line in lines
    )
