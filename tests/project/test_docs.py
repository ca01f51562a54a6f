"""README and docs/: what they tell is what torquelog does."""

import re
from pathlib import Path

import pytest

from tests.project import make_reference
from tests.project.blocks import blocks, commands
from tests.project.dialogue import check, lay_samples
from tests.project.source import ROOT
from torquelog.cli.table import paths
from torquelog.errors import CODES

DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]
NAMES = [str(path.relative_to(ROOT)) for path in DOCUMENTS]

LANGUAGES = {"console", "bash", "text", "json", "toml", "csv", "python", "sql"}
LINK = re.compile(r"\]\(([^)#]*)(#[^)]*)?\)")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)


@pytest.mark.parametrize(("name", "path"), list(zip(NAMES, DOCUMENTS, strict=True)))
def test_every_console_block_says_what_torquelog_says(name: str, path: Path, tmp_path: Path) -> None:
    """Typed into torquelog line by line, in a folder with the project's sample data."""
    folder = tmp_path / "played"
    folder.mkdir()
    lay_samples(folder)
    typed = check(path.read_text(encoding="utf-8"), folder)
    assert typed == sum(
        line.startswith("$ ")
        for block in blocks(path.read_text(encoding="utf-8"))
        if block.language == "console"
        for line in block.lines
    )


@pytest.mark.parametrize(("name", "path"), list(zip(NAMES, DOCUMENTS, strict=True)))
def test_every_block_is_of_a_kind_that_something_looks_at(name: str, path: Path) -> None:
    """Console blocks are played here, bash blocks by .ci/run; the others are no commands."""
    for block in blocks(path.read_text(encoding="utf-8")):
        assert block.language in LANGUAGES, f"{name} line {block.line}: a block of no known kind"
        if block.language != "console":
            assert not any(line.startswith("$ ") for line in block.lines), f"{name} line {block.line}"


def test_every_bash_block_is_run_by_ci() -> None:
    """README's commands are what .ci/run does; no other document has any that nobody runs."""
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "tests/project/blocks.py README.md bash" in ci
    assert len(commands((ROOT / "README.md").read_text(encoding="utf-8"), "bash")) == 2
    for path in DOCUMENTS[1:]:
        for line in commands(path.read_text(encoding="utf-8"), "bash"):
            assert line in ci, f"{path.name}: nobody runs {line}"


@pytest.mark.parametrize(("name", "path"), list(zip(NAMES, DOCUMENTS, strict=True)))
def test_every_link_leads_somewhere(name: str, path: Path) -> None:
    """Links lead to files of the project; what lies elsewhere is named, not linked."""
    for match in LINK.finditer(path.read_text(encoding="utf-8")):
        target = path.parent / match[1] if match[1] else path
        assert target.exists(), f"{name}: {match[1]} is not there"
        if match[2]:
            anchors = {anchor(heading) for heading in HEADING.findall(target.read_text(encoding="utf-8"))}
            assert match[2][1:] in anchors, f"{name}: {match[1]} has no {match[2]}"


def anchor(heading: str) -> str:
    """A heading as a link names it: in small letters, hyphens for blanks, no other signs."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


@pytest.mark.parametrize("page", make_reference.PAGES)
def test_the_reference_is_up_to_date(page: str) -> None:
    """Made from the commands and the codes; a change of either shows here until it is made again."""
    made = make_reference.PAGES[page]()
    assert (make_reference.FOLDER / page).read_text(encoding="utf-8") == made, (
        "out of date: python -m tests.project.make_reference"
    )


def test_the_reference_holds_every_command_and_every_code() -> None:
    """Nothing that can be typed or met is left out."""
    shown = make_reference.commands_page()
    assert all(f"\n## torquelog {name}\n" in shown for name, _ in paths())
    told = make_reference.codes_page()
    assert all(f"| `{code}` |" in told for code in CODES)


def test_codes_stand_in_order_with_a_status_of_the_interface() -> None:
    """Alphabetical, so that two people adding one meet in the same place."""
    assert list(CODES) == sorted(CODES)
    assert {status for status, _ in CODES.values()} <= {status for status, _ in make_reference.EXITS}
