"""Codes of labels: the check character against published numbers, and what a garbled code gives."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.work.scan import (
    CHARACTERS,
    KINDS,
    check_character,
    code,
    fastener_scanned,
    is_scan,
    parse_scan,
)

names = st.text(CHARACTERS + "-", min_size=1, max_size=32).filter(lambda text: text[0] != "-")


@pytest.mark.parametrize(
    ("number", "printed"),
    [
        ("00000000D07A0090", "Q"),
        ("00000000D07A009000000000", "X"),
        ("000000003A8D0000", "Z"),
        ("000000003A8D000000000000", "6"),
        ("A12425GABC1234002", "M"),
    ],
)
def test_the_check_character_is_that_of_published_numbers(number: str, printed: str) -> None:
    """ISAN and GRid use ISO/IEC 7064 MOD 37,36: example numbers of both, from memory."""
    assert check_character(number) == printed


@given(st.sampled_from(sorted(KINDS.values())), names)
@settings(max_examples=60)
def test_a_code_names_what_it_was_made_for(kind: str, name: str) -> None:
    """What is printed on a label is what a scan of it selects, also in small letters."""
    made = code(kind, name)
    assert is_scan(made)
    assert parse_scan(made) == parse_scan(made.lower()) == (kind, name)


@given(names, st.integers(4, 36), st.sampled_from(CHARACTERS))
@settings(max_examples=60)
def test_one_wrong_character_is_found(name: str, place: int, other: str) -> None:
    """The system finds every single substitution of a letter or digit."""
    made = code("wrench", name)
    place = 4 + (place - 4) % (len(made) - 4)
    if made[place] in ("-", other):
        return
    with pytest.raises(TorquelogError, match="garbled"):
        parse_scan(made[:place] + other + made[place + 1 :])


@pytest.mark.parametrize("text", ["TQ1", "TQ1W", "TQ1XW-0417A", "TQ1WW 0417A", "TQ1W-0417A"])
def test_a_code_of_another_form_is_garbled(text: str) -> None:
    """Whatever begins like a label's code but is none is said to be garbled, never taken for a number."""
    assert is_scan(text)
    with pytest.raises(TorquelogError) as caught:
        parse_scan(text)
    assert caught.value.code == "scan-form"


def test_a_name_with_other_signs_has_no_label() -> None:
    """A label holds capitals, digits and hyphens alone."""
    with pytest.raises(TorquelogError) as caught:
        code("wrench", "W/0417")
    assert caught.value.code == "scan-form"


def test_a_fastener_is_written_with_a_hyphen() -> None:
    """`tie-bolt:7` stands on a label as TIE-BOLT-7."""
    assert parse_scan(code("fastener", "tie-bolt:7")).name == "TIE-BOLT-7"
    assert fastener_scanned("TIE-BOLT-7") == ("tie-bolt", 7)
    assert fastener_scanned("TIE-BOLT") is None
