"""Many requests on standard input, one JSON object a line, each answered by one envelope a line.

Lines that have arrived together are handed on together, so that they can share a commit; a client that waits
for each answer gets it at once. A bad line is answered and does not stop the run; trouble with
the storage does.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Final, TypeAlias

from torquelog.cli.answer import Answer, Json, from_error
from torquelog.cli.context import Context
from torquelog.cli.reading import LONGEST, Line, batches
from torquelog.cli.render import envelope_text, write_lines
from torquelog.errors import STORAGE, TorquelogError
from torquelog.ledger.jsontext import strict_json

PRECEDENCE: Final = (6, 5, 1, 2, 3, 4, 0)
"""Of all the lines' exit statuses the run ends with the first of these that is present."""

Request: TypeAlias = Mapping[str, Json]
Answers: TypeAlias = Callable[[Sequence[Request]], Iterable[Answer]]


def answer_lines(context: Context, answers: Answers) -> Answer:
    """Answer every line of standard input as it comes; blank ones are passed over.

    Args:
        context: the surroundings; its standard input is read to the end.
        answers: takes the requests that arrived together and gives one answer for each, in order. What is
            wrong with one of them is that one's answer (`answer.from_error`); an error it raises is told for
            the first line that has no answer yet, and ends the run.

    Returns:
        An answer that holds the run's exit status and is written already.
    """
    exits: list[int] = []
    for arrived in batches(context.stdin):
        for line, answer, last in answered(context, arrived, answers):
            write_lines(context.stdout, [envelope_text(context, answer, line.number)])
            exits.append(answer.exit)
            if last:
                return Answer(exit=worst(exits), written=True)
    return Answer(exit=worst(exits), written=True)


def answered(
    context: Context, arrived: Sequence[Line], answers: Answers
) -> Iterator[tuple[Line, Answer, bool]]:
    """Each line with its answer, and whether the run ends with it."""
    requests = [(line, request_of(line)) for line in arrived if line.content.strip() or not line.whole]
    replies = given(answers, [request for _, request in requests if not isinstance(request, TorquelogError)])
    for line, request in requests:
        if isinstance(request, TorquelogError):
            yield line, from_error(request), False
            continue
        try:
            answer = next(replies)
        except TorquelogError as error:
            yield line, from_error(error), True
        except Exception as error:
            from torquelog.cli.fault import explained

            yield line, from_error(explained(context, error)), True
        else:
            yield line, answer, answer.exit == STORAGE


def given(answers: Answers, requests: Sequence[Request]) -> Iterator[Answer]:
    """The answers, asked for only when the first one is needed."""
    if requests:
        yield from answers(requests)


def request_of(line: Line) -> Request | TorquelogError:
    """What a line asks for, or why it cannot be read."""
    if not line.whole:
        return TorquelogError("argument", f"The line is longer than {LONGEST} bytes.")
    try:
        request = strict_json(line.content.decode("utf-8"))
    except UnicodeDecodeError:
        return TorquelogError("argument", "The line holds a byte that is not UTF-8 text.")
    except TorquelogError as error:
        return error
    if not isinstance(request, dict):
        return TorquelogError("argument", "The line is not one JSON object.", hint='Begin it with "{".')
    return request


def worst(exits: Iterable[int]) -> int:
    """The exit status of a run whose lines had these."""
    present = set(exits)
    return next((status for status in PRECEDENCE if status in present), 0)
