"""Questions one after the other, with a way back to the one before."""

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from torquelog.cli import ask
from torquelog.cli.context import Context

Kind = TypeVar("Kind")

BACK: Final = "back"
LETTER: Final = "b"
"""The key of guided work; taken where it can be no answer of its own."""

HOW: Final = 'To go back one question, type back, or b where "b" could be no answer.'


class WentBack(Exception):  # noqa: N818  it tells of a wish, not of an error
    """Somebody wants the question before."""


class Questions:
    """What was answered so far. The questions are asked by a function that is run again for each step back."""

    def __init__(self, context: Context, option: str) -> None:
        """Ask nothing yet.

        Args:
            context: the surroundings.
            option: what answers the questions where nobody can be asked.
        """
        self._context = context
        self._option = option
        self._given: list[str] = []
        self._before: dict[tuple[str, int], str] = {}
        self._place = 0
        self._live = True
        self._asked: Counter[str] = Counter()

    def ask(self, script: Callable[["Questions"], Kind]) -> Kind:
        """Ask what a function asks, again from its beginning after each step back; what stands is not asked again.

        Args:
            script: asks through `text`, `choice` and `yes_no`, shows through `say`, and changes nothing else.
        """
        while True:
            self._place = 0
            self._asked.clear()
            try:
                return script(self)
            except WentBack:
                if self._given:
                    self._given.pop()
                else:
                    ask.say(self._context, "This is the first question.")

    def text(
        self, question: str, read: Callable[[str], Kind], default: str | None = None, *, free: bool = False
    ) -> Kind:
        """The answer to a question. After a step back Enter gives what was answered before, unless it means nothing.

        Args:
            question: what is asked, without its colon.
            read: turns the answer into its value, or raises a `TorquelogError` that is shown.
            default: as in `ask.text`.
            free: whether any text can be an answer, a "b" as well.
        """
        kept = self._before.get(self._next(question)) or default

        def taken(answer: str) -> tuple[str, Kind]:
            wants_back(answer, free=free)
            return answer, read(answer)

        return self._answer(
            question,
            read,
            lambda: ask.text(
                self._context,
                question,
                option=self._option,
                read=taken,
                default=kept if default != "" else "",
            ),
        )

    def choice(self, question: str, choices: Sequence[str]) -> str:
        """One of several words, as `ask.choice` asks for it."""
        self._next(question)
        chosen = ask.one_of(choices)

        def taken(answer: str) -> tuple[str, str]:
            wants_back(answer, free=False)
            return answer, chosen(answer)

        return self._answer(
            question, chosen, lambda: ask.text(self._context, question, option=self._option, read=taken)
        )

    def yes_no(self, question: str) -> bool:
        """Yes or no; Enter alone is no answer."""
        return self.choice(f"{question} y/n", ("yes", "no")) == "yes"

    def say(self, message: str) -> None:
        """Show a line below the answer before, unless that was given before a step back."""
        if self._live:
            ask.say(self._context, message)

    def _next(self, question: str) -> tuple[str, int]:
        self._asked[question] += 1
        return question, self._asked[question]

    def _answer(
        self, question: str, read: Callable[[str], Kind], asked: Callable[[], tuple[str, Kind]]
    ) -> Kind:
        self._place += 1
        self._live = self._place > len(self._given)
        if not self._live:
            return read(self._given[self._place - 1])
        answer, value = asked()
        self._given.append(answer)
        self._before[question, self._asked[question]] = answer
        return value


def wants_back(answer: str, *, free: bool) -> None:
    """Raise `WentBack` where an answer asks for the question before."""
    if answer.lower() == BACK or (answer.lower() == LETTER and not free):
        raise WentBack
