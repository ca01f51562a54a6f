"""Facts, tables and commands as lines."""

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.cli.answer import Column, Stack, Stacked, Table
from torquelog.cli.layout import commands, facts, table, widest_cells
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


PILED = DUE._replace(
    stacked=Stacked(
        columns=(Column("wrench"), Column("left", right=True)),
        rows=(
            Stack("two days ago", ("W-0402", "0"), "with TK since 20 Nov"),
            Stack("in 113 days", ("W-0391", "130"), "crib, shelf B1, behind the door"),
            Stack("in 113 days", ("W-0392", "7"), ""),
        ),
        title="By the day",
    )
)


def test_a_table_with_no_room_side_by_side_is_stacked() -> None:
    """What rows have in common stands once above them, what has no column below each; nothing is cut."""
    assert table(PILED, 31) == [
        "By the day",
        "    wrench   left",
        "  two days ago",
        "    W-0402      0",
        "      with TK since 20 Nov",
        "  in 113 days",
        "    W-0391    130",
        "      crib, shelf B1, behind",
        "      the door",
        "    W-0392      7",
    ]


def test_a_stacked_table_moves_together_before_a_word_is_broken() -> None:
    """Two blanks between its columns are enough where three do not fit."""
    assert table(PILED, 16)[1] == "    wrench  left"
    assert table(PILED, 17)[1] == "    wrench   left"


def test_a_table_is_stacked_only_where_it_has_to_be() -> None:
    """With room for all of its columns, or in a pipe, it is the table; where not even that fits, blocks as ever."""
    assert table(PILED, 80) == table(DUE, 80)
    assert table(PILED, None) == table(DUE, None)
    assert table(PILED, 15) == table(DUE, 15)


def test_a_table_that_is_too_wide_goes_on_below_its_rows() -> None:
    """On a terminal of sixty columns and more its last columns stand below each row, behind their titles."""
    wide = Table(
        (Column("entry"), Column("tool"), Column("performed"), Column("outcome"), Column("")),
        (("QHR-000012", "W-0355", "x" * 30, "refused", "y" * 9), ("QHR-000013", "W-0391", "z", "", "")),
    )
    assert table(wide, 60) == [
        "    entry        tool     performed",
        f"    QHR-000012   W-0355   {'x' * 30}",
        f"      outcome: refused; {'y' * 9}",
        "    QHR-000013   W-0391   z",
    ]
    assert table(wide, 59)[0] == "  entry       QHR-000012"


def test_a_walk_that_can_give_no_table_ends_early() -> None:
    """Where what cannot be folded is too wide in the first row, the others are not read for their widths."""
    read = []

    def rows() -> Iterator[tuple[str, ...]]:
        for number in range(3):
            read.append(number)
            yield ("W-0402", "Mon", "x" * 40, "crib")

    widest_cells(DUE.columns, rows(), 30)
    assert read == [0]


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


@given(st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), min_size=1, max_size=5), st.integers(34, 60))
@settings(max_examples=100)
def test_no_stacked_table_loses_a_word_or_leaves_the_screen(
    rows: list[tuple[str, str, str, str]], width: int
) -> None:
    """Every word of every row is there as often as it has to be, and no line is wider than the terminal."""
    pile = Stacked(
        (Column("one", fold=True), Column("two")),
        tuple(Stack(over, (one, two[:8].strip()), below) for over, one, two, below in rows),
    )
    lines = table(Table((Column("x" * 90),), (("",),), stacked=pile), width)
    printed = sorted(word for line in lines[1:] for word in line.split())
    told: list[str] = []
    for before, row in zip([None, *pile.rows], pile.rows, strict=False):
        told += (row.over if before is None or before.over != row.over else "").split()
        told += [word for text in (*row.cells, row.below) for word in text.split()]
    assert printed == sorted(told)
    longest = max((columns(word) for word in told), default=0)
    assert all(columns(line) <= max(width, longest + 6) for line in lines)
