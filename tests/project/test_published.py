"""What other programs may rely on stays: nothing that was published is renamed, dropped or given another form."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.project import make_reference, published
from tests.project.reference_entries import FREE, INSIDE, SAYS
from torquelog.book.opening import open_book
from torquelog.clock import SetClock
from torquelog.demo.story import tell
from torquelog.facts.kinds import Kind, check_body
from torquelog.facts.registry import all_kinds, kind_of
from torquelog.ledger.form import parse_entry
from torquelog.rules.authority import TABLE


def test_nothing_that_was_published_is_gone() -> None:
    """Kinds, members with their forms, codes with their statuses, grounds, remarks, keys of the envelope."""
    assert published.gone(published.kept(), published.now()) == []


def test_everything_there_is_is_published() -> None:
    """What is new is in the list, too, and so can never go again."""
    assert published.gone(published.now(), published.kept()) == [], (
        "not in the list: python -m tests.project.make_reference"
    )


def test_a_list_that_is_taken_in_keeps_what_it_had() -> None:
    """Making the reference again cures no removal."""
    old = {"kinds": {"a": {"x": "text"}, "b": {}}, "inside": {}}
    new = {"kinds": {"a": {"x": "hex", "y": "text?"}}, "inside": {}}
    both = published.merged(old, new)
    assert both == {"kinds": {"a": {"x": "text", "y": "text?"}, "b": {}}, "inside": {}}
    assert published.gone(both, new) == ["kinds.a.x was text, and is hex", "kinds.b is gone"]


def test_a_new_member_that_is_needed_is_found() -> None:
    """Entries that were written before it have none."""
    old = {"kinds": {"a": {"x": "text"}}, "inside": {}}
    new = {"kinds": {"a": {"x": "text", "y": "text"}}, "inside": {}}
    assert published.demanded(old, new) == ["a.y"]


def test_no_published_kind_demands_more_than_it_did() -> None:
    """Entries that were written before keep to their kind."""
    assert published.demanded(published.kept(), published.now()) == []


def test_the_envelope_is_told_key_by_key() -> None:
    """The page of codes tells the keys that an envelope has, and no others."""
    assert make_reference.ENVELOPE.keys() == published.now()["envelope"].keys()


def test_every_status_that_can_be_met_is_told() -> None:
    """The table of statuses has each that a code ends with."""
    assert published.now()["exits"].keys() == {str(status) for status, _ in make_reference.EXITS}


def test_every_kind_is_told_in_a_sentence_and_has_a_signer() -> None:
    """A new kind shows here until both are there."""
    names = {kind.name for kind in all_kinds()}
    assert names <= SAYS.keys()
    assert names <= TABLE.keys() | {"strike"}


def test_every_object_in_a_body_is_told() -> None:
    """An object has its members told, or is told to have none with a fixed name."""
    told = INSIDE.keys() | FREE.keys()
    for kind in all_kinds():
        for member in kind.members:
            if member.form.rstrip("*") == "object":
                assert (kind.name, member.name) in told


def inside(kind: str, body: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    """The objects in a body, each with the kind and the name that its members are told under."""
    found = []
    for member, value in body.items():
        if (kind, member) in INSIDE:
            found += [(kind, member, each) for each in (value if isinstance(value, list) else [value])]
    found += [(kind, "judged tools", each) for each in body.get("judged", {}).get("tools", ())]
    return found


@pytest.fixture(scope="module")
def entries(tmp_path_factory: pytest.TempPathFactory) -> list[Any]:
    """The entries of the demo."""
    path = str(tmp_path_factory.mktemp("demo") / "demo.db")
    tell(path)
    book = open_book(path, "read", SetClock(0))
    try:
        return [parse_entry(text) for (text,) in book.connection.execute("SELECT text FROM entry")]
    finally:
        book.close()


def test_what_the_program_writes_keeps_to_what_is_told(entries: list[Any]) -> None:
    """Each object in the bodies of the demo's entries has the members that the page tells, in their forms."""
    met = set()
    for entry in entries:
        check_body(kind_of(entry.kind), entry.body)
        for kind, member, found in inside(entry.kind, entry.body):
            check_body(Kind(f"{kind}, {member}", INSIDE[kind, member][1]), found)
            met.add((kind, member))
    assert {("reading", "judged"), ("reading", "grounds"), ("tool", "scales")} <= met


def test_the_list_is_written_as_the_script_writes_it() -> None:
    """One name a line, so that what is added shows as what it is."""
    text = published.FILE.read_text(encoding="utf-8")
    assert text == json.dumps(published.kept(), indent=1, ensure_ascii=False) + "\n"
    assert Path(__file__).parent == published.FILE.parent
