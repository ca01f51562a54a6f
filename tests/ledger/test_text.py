"""The gate that every text from outside passes."""

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.ledger.text import (
    gate_identifier,
    gate_name,
    gate_station,
    gate_text,
    is_gated,
    is_identifier,
    is_name,
    is_station,
)

FEW = settings(max_examples=100, deadline=None)


def code_of(act, *arguments, **named):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments, **named)
    return caught.value.code


def test_plain_text_passes_as_it_is():
    """Letters of any script, signs and inner blanks are kept."""
    for text in ("Inês Almeida", "26.5 lbf·ft", "修理工場", 'bolt  "A" \\ B', "±5 % – 90°", "Zoë 👩"):
        assert gate_text(text, "the name") == text
        assert is_gated(text)


def test_text_is_composed():
    """A letter with its accent written after it becomes the one letter."""
    assert gate_text("Ine\u0302s", "the name") == "In\u00eas"
    assert not is_gated("Ine\u0302s")


def test_blanks_are_plain_and_not_at_the_ends():
    """A pasted hard blank becomes a blank; blanks around go."""
    assert gate_text(" 20\u00a0N·m\u3000", "the range") == "20 N·m"
    assert not is_gated(" x")


@pytest.mark.parametrize(
    "mark",
    [
        "\x00",
        "\t",
        "\r",
        "\x1b",
        "\x7f",
        "\x85",
        "\u00ad",
        "\u061c",
        "\u200b",
        "\u200d",
        "\u200e",
        "\u200f",
        "\u2028",
        "\u2029",
        "\u202a",
        "\u202e",
        "\u2060",
        "\u2066",
        "\u2069",
        "\ufeff",
        "\U000e0041",
        "\u034f",
        "\u115f",
        "\u3164",
        "\uffa0",
        "\ufe00",
        "\ufe0f",
        "\U000e0100",
        "\U000e01ef",
        "\ufffe",
        "\U0001ffff",
    ],
)
def test_marks_that_cannot_be_seen_are_refused(mark):
    """Controls, directions, zero widths, blank letters: each refused, in a reason too."""
    assert code_of(gate_text, f"wheel{mark}bolt", "the name") == "text-mark"
    assert code_of(gate_text, f"wheel{mark}bolt", "the reason", reason=True) == "text-mark"


def test_the_message_names_the_mark_and_its_place():
    """Whoever pasted it learns which character it was."""
    with pytest.raises(TorquelogError, match=r"Character 6 of the name .*U\+202E, right-to-left override"):
        gate_text("wheel\u202e", "the name")


def test_lines_are_broken_in_reasons_only():
    """A line feed is text in a reason and a control in a name; other line ends are turned into it."""
    assert gate_text("worn\nreplaced", "the reason", reason=True) == "worn\nreplaced"
    assert gate_text("worn\r\nreplaced\n", "the reason", reason=True) == "worn\nreplaced"
    assert code_of(gate_text, "worn\nreplaced", "the name") == "text-mark"


def test_a_line_end_of_two_marks_is_named_by_its_first():
    """Only a reason has its line ends put right; elsewhere what was pasted is what is named."""
    with pytest.raises(TorquelogError, match=r"Character 5 of the name .*U\+000D"):
        gate_text("worn\r\nreplaced", "the name")


@pytest.mark.parametrize("character", ["~", "\ufdff", "\ufe10", "\U000e01f0", "\ufffd", "\u00a1"])
def test_neighbours_of_unseen_marks_are_text(character):
    """The characters beside the blocks that show nothing show something, or are nobody's yet."""
    assert gate_text(f"a{character}é", "the name") == unicodedata.normalize("NFC", f"a{character}é")


def test_a_text_far_too_long_is_told_as_that():
    """Up to 8,000 characters a mark is looked for; of a longer text only its length is told."""
    assert code_of(gate_text, "x" * 7999 + "\u200b", "the note") == "text-mark"
    assert code_of(gate_text, "x" * 8000 + "\u200b", "the note") == "text-long"


def test_half_characters_are_refused():
    """A lone surrogate, which a stray byte in an argument becomes, is refused by name."""
    assert code_of(gate_text, "wheel\udce9", "the name") == "text-surrogate"
    assert code_of(gate_text, "\ud83d", "the name") == "text-surrogate"


def test_line_breaks_are_gated_text():
    """What a reason may hold counts as having passed the gate."""
    assert is_gated("worn\nreplaced")
    assert not is_gated("worn\treplaced")


def test_length_and_emptiness():
    """1 to 2,000 characters, counted after composing and without blanks around."""
    assert len(gate_text("x" * 2000 + "  ", "the note")) == 2000
    assert len(gate_text("e\u0301" * 2000, "the note")) == 2000
    assert code_of(gate_text, "x" * 2001, "the note") == "text-long"
    assert code_of(gate_text, "é" * 10_000_000, "the note") == "text-long"
    for nothing in ("", "  ", "\u00a0"):
        assert code_of(gate_text, nothing, "the note") == "text-empty"


@FEW
@given(st.text(max_size=60), st.booleans())
def test_what_passed_passes_again_unchanged(text, reason):
    """The gate changes nothing that came out of it, and it is composed."""
    try:
        kept = gate_text(text, "the note", reason=reason)
    except TorquelogError:
        return
    assert gate_text(kept, "the note", reason=reason) == kept
    assert unicodedata.is_normalized("NFC", kept)
    assert is_gated(kept)


@pytest.mark.parametrize(
    ("text", "kept"),
    [("tw-0117", "TW-0117"), (" A.B/C_9 ", "A.B/C_9"), ("7", "7"), ("x" * 32, "X" * 32)],
)
def test_identifiers_are_kept_in_capitals(text, kept):
    """Small letters and blanks around are taken."""
    assert gate_identifier(text, "a tool number") == kept
    assert is_identifier(kept)


@pytest.mark.parametrize(
    "text",
    ["", " ", "-A", ".A", "A B", "A:B", "x" * 33, "É", "ıd", "ß", "Ａ1", "٣", "A\n", "A\u200b", "\udce9"],
)
def test_identifiers_that_are_refused(text):
    """No other letters, even those whose capitals are A to Z; no blanks, colons or other digits."""
    assert code_of(gate_identifier, text, "a tool number") == "identifier-form"
    assert not is_identifier(text)


def test_a_long_identifier_is_shown_in_part():
    """A message shows 64 characters of what was typed, and all of what is shorter."""
    with pytest.raises(TorquelogError) as caught:
        gate_identifier("x" * 65, "a tool number")
    assert f'"{"x" * 64}…"' in caught.value.what
    with pytest.raises(TorquelogError) as caught:
        gate_identifier("x" * 64, "a tool number")
    assert f'"{"x" * 64}"' in caught.value.what


def test_names_are_kept_in_small_letters():
    """Groups, steps and kinds."""
    assert gate_name(" Tie-Bolt ", "a group") == "tie-bolt"
    for name in ("a", "z9", "x" * 32):
        assert gate_name(name, "a group") == name
    assert is_name("tie-bolt")
    for text in ("", "7-bolt", "-bolt", "tie bolt", "tie_bolt", "x" * 33, "éclisse", "\u212a"):
        assert code_of(gate_name, text, "a group") == "name-form"
        assert not is_name(text)


def test_station_codes():
    """Two to eight capitals and digits."""
    assert gate_station("qhr") == "QHR"
    for station in ("A0", "ZZ", "QHR45678"):
        assert gate_station(station) == station
    assert is_station("Q1")
    for text in ("Q", "1Q", "QHR-1", "QHRQHRQHR", "Q R", "ÉÉ", ""):
        assert code_of(gate_station, text) == "station-form"
        assert not is_station(text)


@FEW
@given(st.text(max_size=40))
def test_gates_and_questions_agree(text):
    """What a gate lets through is what its question says yes to; other types are never."""
    for gate, question in ((gate_identifier, is_identifier), (gate_name, is_name)):
        try:
            assert question(gate(text, "it"))
        except TorquelogError:
            assert not question(text)
    assert not is_identifier(7)
    assert not is_name(["a"])
    assert not is_station(None)
