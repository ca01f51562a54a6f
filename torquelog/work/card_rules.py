"""What the keys of one group ask of each other, the numbers an order stands for, and what looks unlikely."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import AIRCRAFT, Card
from torquelog.torque.limits import Spec, check_basis, parse_basis, parse_spec
from torquelog.torque.sequence import check_order, order
from torquelog.work.card_values import wrong

Conflict = tuple[str, TorquelogError]


class Question(NamedTuple):
    """Something unlikely in a card: the group, and the question to put to the document."""

    group: str
    text: str


def missing(meaning: str) -> TorquelogError:
    """The error for a key that a table lacks."""
    return TorquelogError("card-key", f"This key is missing: {meaning}.")


def conflicts(content: Mapping[str, Any], *, torque_given: bool) -> Iterator[Conflict]:
    """Keys of a group that do not go together, each with its problem.

    Args:
        content: the group as far as it could be read.
        torque_given: whether a torque stands in the file, be it readable or not.
    """
    steps = content.get("steps", ())
    torques = [content, *steps]
    if not torque_given:
        yield "torque", missing("the torque at the fastener, or steps of which one has a torque")
    if steps:
        for key in ("torque", "passes"):
            if key in content:
                yield key, wrong("The steps stand in its place.", "Take one of the two out.")
    if "holds" in content and content.get("on") != AIRCRAFT:
        yield "holds", wrong("Only a fastener of the aircraft holds an assembly.", 'Add on = "aircraft".')
    if "hold" in content and "inspection" not in content:
        yield "hold", wrong("There is no inspection to hold for.", 'Add inspection = "independent".')
    if "count" in content and int(content["count"]) <= _number(content.get("neighbours", "0")):
        yield "neighbours", wrong("A failed one has fewer others.", 'Write "all" for all of them.')
    yield from _basis(content, torques)
    yield from _locking(content)


def _number(text: str) -> int:
    return int(text) if text.isdigit() else 0


def _basis(content: Mapping[str, Any], torques: Iterable[Mapping[str, Any]]) -> Iterator[Conflict]:
    basis, share = parse_basis(content.get("basis", "total"))
    for each in torques:
        if "torque" in each:
            try:
                check_basis(parse_spec(each["torque"]).limits, basis, share)
            except TorquelogError as error:
                yield "basis", error


def _locking(content: Mapping[str, Any]) -> Iterator[Conflict]:
    """Locking is recorded as a step is, with hyphens for its blanks, so no two of these may be the same."""
    names = [step.get("id") for step in content.get("steps", ())]
    for words in content.get("locking", ()):
        name = words.replace(" ", "-")
        if name in names:
            yield "locking", wrong(f'"{words}" and another step would both be recorded as {name}.')
        names.append(name)


def numbers(count: int, given: str | Sequence[int]) -> Sequence[int]:
    """The numbers that an order stands for.

    Args:
        count: how many fasteners.
        given: the name of a pattern, or the numbers.

    Raises:
        TorquelogError: order-form.
    """
    return order(count, given) if isinstance(given, str) else check_order(count, given)


def questions(card: Card) -> Iterator[Question]:
    """What looks unlikely in a card: torques that handbook figures for their thread make doubtful."""
    for group in card.groups:
        for spec in (group.spec, *(step.spec for step in group.steps)):
            asked = thread_question(group.thread, spec) if group.thread and spec else None
            if asked:
                yield Question(group.id, asked)


def thread_question(thread: str, spec: Spec) -> str | None:
    """What to ask about a torque that handbook figures for its thread make doubtful; nothing for most."""
    from torquelog.torque.thread import question_for

    try:
        return question_for(thread, spec.limits)
    except TorquelogError:
        return None  # a thread that the handbook does not have says nothing about the torque
