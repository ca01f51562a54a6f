"""Facts about the page of promises: every test that it names is there, and every promise names one."""

import re

import pytest

from tests.project.source import ROOT

PAGE = ROOT / "docs" / "explanation" / "trust.md"
NAMED = re.compile(r"`([a-z_/]+\.py)::(test_\w+)`")
ROWS = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| ")][2:]


@pytest.mark.parametrize("row", ROWS)
def test_every_promise_is_held_by_tests_that_are_there(row: str) -> None:
    """By their files and names; a test that is renamed takes the page along."""
    named = NAMED.findall(row)
    assert named
    for file, name in named:
        text = (ROOT / "tests" / file).read_text(encoding="utf-8")
        assert re.search(rf"^ *def {name}\(", text, re.MULTILINE), f"{file} has no {name}"


def test_the_page_has_promises() -> None:
    """There is more than a heading."""
    assert len(ROWS) > 10
