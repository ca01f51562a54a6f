"""Members of a body whose text is written once."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.ledger.form import FIRST_PREVIOUS, Entry, entry_text, parse_entry
from torquelog.ledger.jsontext import Fixed, canonical

VALUES = st.recursive(
    st.text(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=8
)


def entry(judged: dict[str, object]) -> Entry:
    return Entry(
        {"judged": judged}, "0" * 32, 1, "reading", 2, FIRST_PREVIOUS, "2026-11-25T12:00:00.000Z", "TK", "QHR"
    )


@given(st.dictionaries(st.text(), VALUES))
def test_an_entry_with_a_fixed_member_has_the_same_text(members: dict[str, object]) -> None:
    """As with the plain object, and is read back as that."""
    assert entry_text(entry(Fixed(members))) == entry_text(entry(members))
    assert parse_entry(entry_text(entry(Fixed(members)))) == entry(members)
    assert Fixed(members).text == canonical(members)


CHANGES = {
    "set": lambda fixed: fixed.__setitem__("a", "2"),
    "delete": lambda fixed: fixed.__delitem__("a"),
    "update": lambda fixed: fixed.update(b="2"),
    "pop": lambda fixed: fixed.pop("a"),
    "clear": lambda fixed: fixed.clear(),
    "or": lambda fixed: fixed.__ior__({"b": "2"}),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_is_fixed_is_not_changed(change: str) -> None:
    """Else its text would lie."""
    fixed = Fixed({"a": "1"})
    with pytest.raises(TypeError):
        CHANGES[change](fixed)
    assert fixed == {"a": "1"}


@pytest.mark.parametrize("value", [1, None, True, 1.5, ("a",)])
def test_what_an_entry_may_not_hold_is_not_fixed_either(value: object) -> None:
    """No numbers, nothing, no truth values, no tuples."""
    with pytest.raises(TorquelogError) as caught:
        Fixed({"a": value})
    assert caught.value.code == "entry-form"
