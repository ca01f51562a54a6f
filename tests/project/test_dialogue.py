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
