"""The player of documents itself: it must see what is not as it is told."""

from pathlib import Path

import pytest

from tests.project.blocks import Block, blocks, commands
from tests.project.dialogue import check, exchanges, fits


@pytest.mark.parametrize(
    ("expected", "actual", "fit"),
    [
        (["a"], ["a"], True),
        (["a"], ["b"], False),
        (["a"], ["a", "b"], False),
        (["a", "..."], ["a", "b", "c"], True),
        (["...", "c"], ["a", "b", "c"], True),
        (["a", "...", "d"], ["a", "b", "c"], False),
        (["kept in ..."], ["kept in /somewhere/else"], True),
        (["kept in ..."], ["held in /somewhere/else"], False),
        ([], [], True),
    ],
)
def test_dots_stand_for_any_lines_and_nothing_else_does(
    expected: list[str], actual: list[str], fit: bool
) -> None:
    """A line is compared letter by letter unless it ends in dots; a line of dots takes any lines."""
    assert fits(expected, actual) is fit


def test_blocks_know_their_language_name_and_line() -> None:
    """Every fence is read; text between blocks is not."""
    text = "# T\n```toml my.toml\na = 1\n```\ntext\n```bash\n# no\nmake it\n\n```\n"
    assert blocks(text) == [
        Block("toml", "my.toml", 3, ("a = 1",)),
        Block("bash", "", 7, ("# no", "make it", "")),
    ]
    assert commands(text, "bash") == ["make it"]
    with pytest.raises(ValueError, match="never closed"):
        blocks("```console\n$ torquelog\n")


def test_each_typed_line_has_what_is_said_to_it() -> None:
    """A block can hold several typed lines."""
    block = Block("console", "", 5, ("$ torquelog", "one", "$ torquelog -h"))
    assert [(part.line, part.typed, part.said) for part in exchanges(block)] == [
        (5, "torquelog", ("one",)),
        (7, "torquelog -h", ()),
    ]


TRUE = "```console\n$ torquelog --version\ntorquelog 0.1.0\n```\n"


def test_a_document_that_tells_the_truth_passes(tmp_path: Path) -> None:
    """Its one typed line is counted, and files named in it are laid."""
    assert check(TRUE + "```toml card.toml\nx = 1\n```\n", tmp_path) == 1
    assert (tmp_path / "card.toml").read_text() == "x = 1\n"


@pytest.mark.parametrize(
    "lie",
    [
        TRUE.replace("0.1.0", "0.2.0"),
        "```console\n$ torquelog --nonsense\n```\n",
        "```console\n$ rm -r x\n```\n",
    ],
)
def test_a_document_that_does_not_is_found_out(lie: str, tmp_path: Path) -> None:
    """Another output, a command that ends badly where nothing is told, another program."""
    with pytest.raises(AssertionError, match="line 2"):
        check(lie, tmp_path)


INIT = "torquelog init --station QHR --zone Europe/Lisbon --first TK --name 'Tove Kallas' --passphrase-stdin"
BEFORE = f"<!-- played here\nclock 2026-11-24T08:00:00.000Z\n{INIT}\n-->\n"


def test_a_page_finds_what_its_comment_says(tmp_path: Path) -> None:
    """The comment's lines are carried out before the first block; what a block then says is compared as ever."""
    page = BEFORE + "```console\n$ torquelog sign-out\nNobody is signed in ...\n...\n```\n"
    assert check(BEFORE + "```console\n$ torquelog person list\n...\n  TK ...\n...\n```\n", tmp_path) == 1
    (tmp_path / "again").mkdir()
    with pytest.raises(AssertionError, match="lies at"):
        check(page, tmp_path / "again")


def test_what_a_comment_tells_of_a_refusal_is_held_to_it(tmp_path: Path) -> None:
    """A line that should be refused and is not, and one that should not be and is."""
    with pytest.raises(AssertionError, match="init"):
        check(BEFORE.replace("torquelog init", "! torquelog init") + TRUE, tmp_path)


def test_a_code_that_was_shown_can_be_typed(tmp_path: Path) -> None:
    """CODE in a typed line is the one-time code that stood on the screen last."""
    page = BEFORE + (
        "```console\n$ torquelog person add MS --name 'Mira Solheim' --role quality --as TK\n...\n"
        "$ torquelog person enrol MS --code CODE\n...\nMS ...\n...\n```\n"
    )
    assert check(page, tmp_path) == 2
