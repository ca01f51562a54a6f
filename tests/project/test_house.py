"""Rules about the project's own files."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.project.source import ROOT, modules, strings, tracked, tree

TOP = {"DEVELOPERS.md", "README.md", "docs", "pyproject.toml", "sample_data", "tests", "torquelog"}

MACHINE_PATH = re.compile(r"(?<![\w.~$}])/(home|root|work|Users|mnt)/\w")
UNFINISHED = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X)\b")
NOT_SAID = re.compile(r"\b(in" r"valid|il" r"legal|fail" r"ed to)\b|\ber" r"ror:", re.IGNORECASE)
SKIPPED = {"skip", "skipif", "xfail", "importorskip"}


def texts() -> Iterator[tuple[Path, str]]:
    """Every file of text under version control."""
    for path in tracked():
        try:
            yield path, (ROOT / path).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


def test_the_top_of_the_project_holds_the_seven_agreed_entries() -> None:
    """Nothing else is laid there, but for hidden files."""
    assert {path.parts[0] for path in tracked() if not path.parts[0].startswith(".")} <= TOP


def test_no_file_names_a_path_of_somebodys_machine() -> None:
    """What works here only is no part of the project."""
    found = [f"{path}: {match[0]}" for path, text in texts() if (match := MACHINE_PATH.search(text))]
    assert not found, found


def test_nothing_is_left_half_done() -> None:
    """What is to be done later is no comment in the code."""
    found = [f"{path}: {match[0]}" for path, text in texts() if (match := UNFINISHED.search(text))]
    assert not found, found


def test_every_test_runs() -> None:
    """No test is passed over or expected to break."""
    found = [
        f"{path}:{node.lineno}"
        for path in tracked()
        if path.suffix == ".py" and path.parts[0] == "tests"
        for node in ast.walk(tree(ROOT / path))
        if isinstance(node, ast.Attribute) and node.attr in SKIPPED
    ]
    assert not found, found


@pytest.mark.parametrize(("name", "path"), list(modules()))
def test_people_are_not_scolded(name: str, path: Path) -> None:
    """No message uses the words that blame instead of help."""
    found = [
        f"line {node.lineno}: {node.value!r}"
        for node in strings(tree(path))
        if NOT_SAID.search(str(node.value))
    ]
    assert not found, f"{name} {found}"


def test_every_test_states_a_fact() -> None:
    """A test's docstring says what is true when it is green."""
    found = [
        f"{path}:{node.lineno} {node.name}"
        for path in tracked()
        if path.suffix == ".py" and path.parts[0] == "tests"
        for node in ast.walk(tree(ROOT / path))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert not found, found
