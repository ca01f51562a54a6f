"""Reviewing the record: what it raises questions about, and the answers that quality gives."""

from collections.abc import Iterator
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.recall_doubts import scope_of
from torquelog.book.recall_items import readings_of
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import Moment
from torquelog.counted import Progress, counted
from torquelog.errors import TorquelogError
from torquelog.facts import custody, people, recalls, review, stations, tools
from torquelog.facts.review import Answered
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.rules import review as rules
from torquelog.rules.authority import second_person
from torquelog.rules.review import Decided, Question


class Asked(NamedTuple):
    """A question with its answer, or nothing where nobody has answered it."""

    question: Question
    answer: Answered | None


class Given(NamedTuple):
    """An answer on record: its entry, what it answers, and whether somebody answered about entries of their own."""

    reference: str
    questions: tuple[Question, ...]
    own: bool


def questions(
    book: Book,
    *,
    since: Moment | None = None,
    as_of: Moment | None = None,
    progress: Progress | None = None,
) -> tuple[Asked, ...]:
    """What the record raises questions about, the newest last.

    Args:
        book: the record.
        since: only questions with something recorded at this moment or later, or nothing for all.
        as_of: what was known then, or nothing for now.
        progress: told how many readings were looked at.
    """
    known = AsOf(END_OF_TIME, END_OF_TIME if as_of is None else as_of)
    answers = review.answers(book.connection, known)
    found = [
        Asked(each, rules.answer_of(each, answers))
        for each in _all(book, known, progress)
        if since is None or each.recorded >= since
    ]
    return tuple(
        sorted(found, key=lambda each: (each.question.recorded, each.question.code, each.question.entries))
    )


def answer(book: Book, signer: Signer, name: str, why: str) -> Given:
    """Answer what is asked about an entry. Quality, by passphrase, and not whoever the question is about.

    Args:
        book, signer: where, and who signs.
        name: an entry that a question names, `QHR-000123`.
        why: the answer.

    Raises:
        TorquelogError: `not-asked`, `needs-another`.
    """
    asked = [
        each.question for each in questions(book) if name in each.question.entries and each.answer is None
    ]
    if not asked:
        raise TorquelogError(
            "not-asked",
            f"Nothing is asked about {name}, or it is answered. Nothing was recorded.",
            hint="torquelog review",
        )
    with writing(book) as w:
        now = w.time()
        concerned = frozenset(person for each in asked for person in each.people)
        holders = people.holders(w.connection, w.station, "quality", now)
        own = second_person(signer.person, concerned, holders, why, "own-answer")
        body = {"entry": name, "why": why} | ({"own": "yes"} if own else {})
        appended = w.append(signer, "review-answer", body, at=now)
    return Given(appended.reference, tuple(asked), bool(own))


def _all(book: Book, known: AsOf, progress: Progress | None) -> Iterator[Question]:
    connection = book.connection
    values = stations.rules(connection, book.station, known)
    asked: list[rules.Rule] = [
        rules.CloseReadings(values.whole("hands-seconds")),
        rules.TwoPlaces(values.whole("places-minutes")),
        rules.TooFine(tools.tools(connection, "wrench", known)),
        rules.NotIssued(custody.ever_issued(connection, known), custody.every_move(connection, known)),
        rules.Revived(),
        rules.LongAfter(values.whole("review-late-hours")),
    ]
    work = counted(review.work(connection, known), review.size(connection, known), progress)
    yield from rules.raised(work, asked)
    signed = review.signatures(connection, known)
    yield from rules.bursts(signed, values.whole("burst-count"), values.whole("burst-minutes"))
    minutes = values.whole("inspection-minutes")
    yield from rules.inspected_at_once(review.inspections(connection, minutes * rules.MINUTE, known), minutes)
    yield from rules.own_work(_own_dispositions(book, known))


def _own_dispositions(book: Book, known: AsOf) -> Iterator[Decided]:
    for recall in recalls.recalls(book.connection, known):
        decided = list(recalls.dispositions(book.connection, recall, known))
        if not decided:
            continue
        performed: dict[tuple[str, str, int], set[str]] = {}
        for each in readings_of(book.connection, scope_of(recall), known):
            reading = each.reading
            performed.setdefault((reading.owner, reading.group, reading.item), set()).add(
                reading.performed_by
            )
        for disposition, fasteners in decided:
            if any(disposition.signer in performed.get(each, ()) for each in fasteners):
                yield Decided(disposition.reference, disposition.decided, disposition.signer, recall.recall)
