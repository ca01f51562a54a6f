"""Answers kept by which things were asked about, not by what is in them.

A group of a card is a large value: to hash it for a look-up takes longer than most questions about it. The same card
is asked about again and again in one run, though, and what a frozen thing answers never changes.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, Final, ParamSpec, TypeVar

Given = ParamSpec("Given")
Answer = TypeVar("Answer")

MOST: Final = 1024
"""How many answers of one question are kept at most; then all of them are worked out anew."""


def kept(question: Callable[Given, Answer]) -> Callable[Given, Answer]:
    """Let a pure function of frozen things work each answer out once for the same things.

    Each answer holds on to what it was asked about, so that no other thing can come to lie in its place.
    """
    answers: dict[tuple[int, ...], tuple[Any, Answer]] = {}

    @wraps(question)
    def ask(*given: Given.args, **named: Given.kwargs) -> Answer:
        if named:
            return question(*given, **named)
        key = tuple(map(id, given))
        found = answers.get(key)
        if found is None:
            if len(answers) >= MOST:
                answers.clear()
            found = answers[key] = (given, question(*given, **named))
        return found[1]

    return ask
