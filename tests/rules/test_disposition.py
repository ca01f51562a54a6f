"""What may be decided about the items of a recall."""

from typing import Any

import pytest

from tests.rules.test_recall_item import AT, GOOD, OUT, OVER, made, taken
from torquelog.errors import TorquelogError
from torquelog.facts.recalls import DECISIONS
from torquelog.rules.disposition import MEANINGS, check, chosen, known
from torquelog.rules.recall_item import Item


def refusal(item: Item, decision: str, **more: Any) -> str:
    """The code with which a decision about an item is refused, or "" where it may be taken."""
    try:
        check([item], decision, **more)
    except TorquelogError as error:
        return error.code
    return ""


IN = made(taken())
BELOW = made(taken(**OUT))
ABOVE = made(taken(**OVER))
CURED = made(taken(**OUT), again=GOOD, undone="loosened")


@pytest.mark.parametrize(
    ("item", "decision", "more", "code"),
    [
        (IN, "accepted", {}, ""),
        (BELOW, "accepted", {}, "needs-reference"),
        (BELOW, "accepted", {"document": "EO-EX-31"}, ""),
        (CURED, "accepted", {}, ""),
        (BELOW, "re-tightened", {}, "not-re-tightened"),
        (CURED, "re-tightened", {}, ""),
        (CURED, "re-tightened", {"reading": GOOD.entry}, ""),
        (CURED, "re-tightened", {"reading": "QHR-000001"}, "not-re-tightened"),
        (ABOVE, "re-tightened", {}, "over-torque"),
        (ABOVE._replace(again=GOOD), "re-tightened", {}, "over-torque"),
        (ABOVE._replace(over="possible", verdict="indeterminate", again=GOOD), "re-tightened", {}, "over-torque"),
        (ABOVE._replace(again=GOOD, replaced=AT + 50), "re-tightened", {}, ""),
        (ABOVE, "replaced", {}, "not-replaced"),
        (ABOVE, "replaced", {"document": "WO 12"}, ""),
        (ABOVE._replace(replaced=AT + 50), "replaced", {}, ""),
        (BELOW, "notified", {}, "needs-reference"),
        (BELOW, "notified", {"document": "letter 12"}, ""),
        (ABOVE, "removed-from-service", {}, ""),
        (ABOVE, "scrapped", {}, ""),
        (BELOW, "not-affected", {}, ""),
    ],
)  # fmt: skip
def test_what_each_decision_asks(item: Item, decision: str, more: dict[str, str], code: str) -> None:
    """Approved data for what is not known to be inside, a good tightening, a replacement, a letter."""
    assert refusal(item, decision, **more) == code


def test_every_decision_has_its_meaning_and_no_other_is_taken() -> None:
    """The list is closed."""
    assert set(MEANINGS) == set(DECISIONS)
    assert [known(each) for each in DECISIONS] == list(DECISIONS)
    with pytest.raises(TorquelogError, match="no decision"):
        known("ignored")


@pytest.mark.parametrize(
    ("text", "numbers"), [("7", [7]), ("1-4", [1, 2, 3, 4]), ("1–2, 9", [1, 2, 9]), ("3,3,2-3", [3, 2])]
)
def test_items_are_named_by_number_and_range(text: str, numbers: list[int]) -> None:
    """In the order in which they were named, each once."""
    assert chosen(text) == numbers


@pytest.mark.parametrize("text", ["", "0", "4-1", "1-", "-3", "a", "1..4", "٣", "1-99999", "1,,2"])
def test_other_words_are_refused(text: str) -> None:
    """Nothing is guessed."""
    with pytest.raises(TorquelogError) as caught:
        chosen(text)
    assert caught.value.code == "items-form"
