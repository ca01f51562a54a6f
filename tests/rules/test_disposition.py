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
        (CURED._replace(again=GOOD._replace(good_now=False)), "re-tightened", {}, "not-re-tightened"),
        (CURED._replace(again=GOOD._replace(good_then=False)), "re-tightened", {}, "not-re-tightened"),
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


def test_an_items_form_is_refused_with_its_words() -> None:
    """Cut after forty letters."""
    with pytest.raises(TorquelogError) as caught:
        chosen("x" * 41)
    assert caught.value.message == f"'{'x' * 40}' names no items. Nothing was recorded."
    with pytest.raises(TorquelogError) as caught:
        known("y" * 41)
    assert caught.value.message == f"'{'y' * 40}' is no decision. Nothing was recorded."


def test_a_recall_has_up_to_9999_items() -> None:
    """A range may be one item, and a number has four digits at most."""
    assert chosen("9999") == [9999]
    assert chosen("3-3") == [3]
    for text in ("10000", "00001", "1-10000"):
        with pytest.raises(TorquelogError):
            chosen(text)


def named(count: int) -> list[Item]:
    """So many items, below their limits."""
    return [
        BELOW._replace(number=number, fastener=("assembly EX-1 S-9", "tie-bolt", number))
        for number in range(1, count + 1)
    ]


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "item 1 (S-9 tie bolt 1)."),
        (2, "items 1 (S-9 tie bolt 1), 2 (S-9 tie bolt 2)."),
        (3, "items 1 (S-9 tie bolt 1), 2 (S-9 tie bolt 2), 3 (S-9 tie bolt 3)."),
        (5, "items 1 (S-9 tie bolt 1), 2 (S-9 tie bolt 2), 3 (S-9 tie bolt 3) and 2 more."),
    ],
)
def test_the_first_three_items_are_named(count: int, words: str) -> None:
    """With the assembly's serial number and the fastener, and how many more there are."""
    with pytest.raises(TorquelogError) as caught:
        check(named(count), "accepted")
    assert caught.value.message.startswith(
        f"Not known to be within the limits: {words} Nothing was recorded."
    )


@pytest.mark.parametrize(
    ("decision", "words"),
    [
        ("re-tightened", "No tightening since with a wrench that is good now is on record for item"),
        ("replaced", "No replacement is on record for item"),
        ("notified", "A notice has a letter."),
    ],
)
def test_what_is_missing_is_said(decision: str, words: str) -> None:
    """With the items that lack it."""
    with pytest.raises(TorquelogError) as caught:
        check(named(1), decision)
    assert caught.value.message.startswith(words)


def test_the_meanings_are_those_of_the_seven_decisions() -> None:
    """In the order in which they are offered."""
    assert list(MEANINGS) == [
        "accepted", "re-tightened", "replaced", "not-affected", "removed-from-service", "scrapped", "notified",
    ]  # fmt: skip
