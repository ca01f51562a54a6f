"""The life of one fastener as it is told."""

import json

import pytest

from tests.cli.test_recall import Hangar, hangar, laid, offered

__all__ = ["hangar", "laid"]

ASKED = ("trace", "fastener", "bolt:1", "--assembly", "LOW-1")


def test_a_person_sees_then_and_now(hangar: Hangar) -> None:
    """The headline says that it was not as good as it seemed; the next thing to look at is the wrench."""
    told = hangar.type(*ASKED)
    assert told.exit == 0
    assert told.out.startswith("Bolt 1 of LOW-1: 3 torques, 3 of them not as good as they seemed.\n")
    assert "QQ-HLB main 1" in told.out
    assert "20.73 N·m" in told.out
    assert offered(told) == ["torquelog trace wrench W-1"]


def test_a_program_gets_both_judgements(hangar: Hangar) -> None:
    """Each torque with what it was and what it is."""
    data = hangar.data(*ASKED)
    assert (data["fastener"], data["neighbours"]) == ("bolt:1", ["bolt:4", "bolt:2"])
    first = data["history"][0]
    assert (first["what"], first["good_then"], first["good_now"], first["verdict"]) == (
        "tightened", True, False, "outside",
    )  # fmt: skip
    assert first["found"] == {"value": "20.7255", "unit": "N·m"}
    assert len(first["in_doubt"]) == 1
    lines = hangar.type(*ASKED, "--csv").out.splitlines()
    assert len(lines) == 4


@pytest.mark.parametrize(
    "words", [(), ("--aircraft", "QQ-HLB"), ("--assembly", "LOW-1", "--aircraft", "QQ-HLB")]
)
def test_whose_it_is_has_to_be_said(hangar: Hangar, words: tuple[str, ...]) -> None:
    """An assembly, or an aircraft's position."""
    played = hangar.type("trace", "fastener", "bolt:1", *words, "--json")
    envelope = json.loads(played.out)
    assert (played.exit, envelope["problems"][0]["code"]) == (2, "needs-option")
