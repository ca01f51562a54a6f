"""docs/reference/manners.md: thirty points, each with a test that there is."""

import ast
import re

import pytest

from tests.project.source import ROOT, tree

PAGE = (ROOT / "docs" / "reference" / "manners.md").read_text(encoding="utf-8")
POINTS = re.split(r"^(?=\d+\. )", PAGE, flags=re.MULTILINE)[1:]
NAMED = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")


def test_there_are_thirty_points() -> None:
    """Numbered from 1 to 30, each with a sentence of its own in bold."""
    assert [int(point.partition(".")[0]) for point in POINTS] == list(range(1, 31))
    sentences = [re.search(r"\*\*(.+?[.])\*\*", point.replace("\n", " ")) for point in POINTS]
    assert len({sentence[1] for sentence in sentences if sentence}) == len(POINTS)


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.partition(".")[0])
def test_every_point_names_its_test(point: str) -> None:
    """At least one, and each is a function of that file."""
    named = NAMED.findall(point)
    assert named
    for file, name in named:
        functions = {node.name for node in ast.walk(tree(ROOT / file)) if isinstance(node, ast.FunctionDef)}
        assert name in functions, f"{file} has no {name}"
