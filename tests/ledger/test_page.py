"""docs/ledger.md: the page says what the golden entries and the code are."""

import json

import pytest

from tests.ledger import checker
from tests.ledger.golden import make
from tests.project.blocks import blocks
from tests.project.source import ROOT
from torquelog.ledger import form, keys, signin
from torquelog.ledger.checkpoint import Checkpoint, parse_line

PAGE = (ROOT / "docs" / "ledger.md").read_text(encoding="utf-8")
GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))
SHOWN = {block.name: block.lines for block in blocks(PAGE) if block.name}


def test_the_entry_on_the_page_is_a_golden_one():
    """The shown text, digest and signature are those of golden entry 5."""
    golden = GOLDEN["entries"][4]
    assert SHOWN["entry"] == (golden["text"],)
    assert f"`{golden['digest']}`" in PAGE
    assert f"`{golden['signature'][:64]}` `{golden['signature'][64:]}`" in PAGE
    assert form.parse_entry(SHOWN["entry"][0]).key == 4


def test_the_checkpoint_on_the_page_is_the_golden_one():
    """The shown line is read, and is the kept one."""
    (line,) = SHOWN["checkpoint"]
    assert json.loads(line) == GOLDEN["checkpoint"]
    assert parse_line(line)[0].station == "QHR"


@pytest.mark.parametrize(
    "context",
    [form.ENTRY_CONTEXT, form.CHECKPOINT_CONTEXT, form.POSSESSION_CONTEXT, form.CODE_CONTEXT],
)
def test_every_context_stands_on_the_page(context):
    """Whoever writes a checker from the page finds what stands before each signed thing."""
    assert context.decode().replace("\n", r"\n") in PAGE


def test_every_member_and_bound_stands_on_the_page():
    """The members of entries, checkpoints and key parameters, and the figures of the form."""
    for name in (
        *form.Entry._fields,
        *Checkpoint._fields,
        *keys.Kdf._fields,
        "code_key",
        "possession",
        "sign_in",
    ):
        assert f"`{name}`" in PAGE, name
    for figure in (keys.SMALLEST_N, keys.LARGEST_N, f"{form.BODY_BYTES // 1024} KiB", keys.CODE_DIGITS):
        assert str(figure) in PAGE
    assert f"at most {form.DEEPEST} deep" in PAGE
    assert sorted(form.Entry._fields) == sorted(checker.MEMBERS)


def test_the_last_member_of_a_sign_in_file_is_its_last_use():
    """The part of the file that changes with each use stands at its end."""
    assert sorted(signin.MEMBERS)[-1] == "used"
