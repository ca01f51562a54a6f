"""The fenced blocks of a document.

Needs nothing but Python, so that `.ci/run` can ask before anything is installed:

`python tests/project/blocks.py README.md bash` prints the commands of the bash blocks, one a line.
"""

import sys
from pathlib import Path
from typing import NamedTuple

FENCE = "```"


class Block(NamedTuple):
    """A fenced block.

    Attributes:
        language: the first word behind the fence, such as "console".
        name: the second word, a file's name, or nothing.
        line: where its first line stands in the document, counted from 1.
        lines: what it holds.
    """

    language: str
    name: str
    line: int
    lines: tuple[str, ...]


def blocks(text: str) -> list[Block]:
    """Every fenced block of a document, in order; one that is never closed is an error."""
    found: list[Block] = []
    opened: tuple[str, str, int] | None = None
    inside: list[str] = []
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.startswith(FENCE):
            inside.append(line)
        elif opened is None:
            language, _, name = line.removeprefix(FENCE).strip().partition(" ")
            opened, inside = (language, name.strip(), number + 1), []
        else:
            found.append(Block(*opened, tuple(inside)))
            opened = None
    if opened is not None:
        raise ValueError(f"the block before line {opened[2]} is never closed")
    return found


def commands(text: str, language: str) -> list[str]:
    """The commands of all blocks of a language, without comments and blank lines."""
    lines = [line for block in blocks(text) if block.language == language for line in block.lines]
    return [line for line in lines if line.strip() and not line.startswith("#")]


if __name__ == "__main__":
    print("\n".join(commands(Path(sys.argv[1]).read_text(encoding="utf-8"), sys.argv[2])))
