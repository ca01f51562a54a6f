"""What else was done in a job, beside its readings: acts, steps, parts, hand-overs, and who the people are."""

from collections.abc import Iterator
from itertools import groupby

from torquelog.book.opening import Book
from torquelog.ledger.form import reference
from torquelog.rules.names import fastener_name, fasteners_name
from torquelog.sheets.job_facts import JobFacts
from torquelog.sheets.model import Cell, Row, Section, grid
from torquelog.sheets.wording import sentence, short_moment


def done_sections(book: Book, facts: JobFacts) -> Iterator[Section]:
    """A section for each kind of thing that was done; none for what there is none of."""
    for heading, caption, titles, rows in (
        ("Loosened, replaced, found", "Acts on fasteners", "=When|Fastener|What|Parts|By|=Entry", _acts(book, facts)),
        ("Steps, locking and checks", "Steps on record", "=When|Of|What|Seen or measured|By|=Entry", _steps(book, facts)),
        ("Parts off and on", "Parts", "=When|Part|What|Serial or lot|By|=Entry", _parts(book, facts)),
        ("Inspections", "Inspections on record", "=When|Fasteners|Outcome|Found|=By|=Entry", _inspections(book, facts)),
        ("Left out for now", "Fasteners left out", "=When|Fastener|Why|=By|=Entry", _left_out(book, facts)),
        ("Handed over", "Hand-overs", "=When|From|To|Accepted by|Said|=Entry", _hand_overs(book, facts)),
        ("Struck", "Entries struck besides readings", "=When|What|By|=Entry|=Struck by|Why", _struck(book, facts)),
        ("People", "Who is meant", "Id|Name", _people(facts)),
    ):  # fmt: skip
        if rows:
            yield Section(heading, (grid(caption, titles, rows),))


def _acts(book: Book, facts: JobFacts) -> list[Row]:
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(sentence(fastener_name(each.group, each.item))),
            Cell(" ".join(word for word in (each.act, each.what) if word), each.why or ""),
            Cell(
                ", ".join(word for word in (each.hardware, each.serial) if word),
                f"lot {each.lot}" if each.lot else "",
            ),
            Cell(each.performed_by),
            Cell(reference(each.station, each.number)),
        )
        for each in facts.acts
    ]


def _steps(book: Book, facts: JobFacts) -> list[Row]:
    titles = {check.id: check.title for check in facts.state.card.checks}
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(_of(each.group, each.item)),
            Cell(titles.get(each.step, each.step.replace("-", " ")), each.why or ""),
            Cell(each.value or ""),
            Cell(each.performed_by),
            Cell(reference(each.station, each.number)),
        )
        for each in facts.steps
    ]


def _of(group: str | None, item: int | None) -> str:
    if not group:
        return "the job" if group is None else ""
    return group.replace("-", " ") if item is None else fastener_name(group, item)


def _parts(book: Book, facts: JobFacts) -> list[Row]:
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(each.part),
            Cell(each.change, each.why or ""),
            Cell(", ".join(word for word in (each.serial, f"lot {each.lot}" if each.lot else "") if word)),
            Cell(each.performed_by),
            Cell(reference(each.station, each.number)),
        )
        for each in facts.parts
    ]


def _inspections(book: Book, facts: JobFacts) -> list[Row]:
    """An entry a line, with its fasteners folded."""
    rows: list[Row] = []
    for _, run in groupby(facts.inspections, key=lambda each: (each.station, each.number)):
        items = list(run)
        first = items[0]
        name = sentence(fasteners_name(first.group, [each.item for each in items]))
        rows.append(
            (
                Cell(short_moment(first.at, book.zone)),
                Cell(name),
                Cell(
                    first.outcome,
                    "looked at again by the performer: not independent" if first.own else "",
                    "outside" if first.outcome == "rejected" else "",
                ),
                Cell(first.why),
                Cell(first.performed_by),
                Cell(reference(first.station, first.number)),
            )
        )
    return rows


def _left_out(book: Book, facts: JobFacts) -> list[Row]:
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(sentence(fastener_name(each.group, each.item))),
            Cell(each.why),
            Cell(each.signer),
            Cell(reference(each.station, each.number)),
        )
        for each in facts.left_out
    ]


def _hand_overs(book: Book, facts: JobFacts) -> list[Row]:
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(each.giver),
            Cell(each.taker),
            Cell(each.accepted_by or "nobody yet"),
            Cell(each.why),
            Cell(reference(each.station, each.number)),
        )
        for each in facts.hand_overs
    ]


def _struck(book: Book, facts: JobFacts) -> list[Row]:
    return [
        (
            Cell(short_moment(each.at, book.zone)),
            Cell(
                " ".join(part for part in (_of(each.group, each.item or None), each.what) if part),
                state="left",
            ),
            Cell(each.performed_by),
            Cell(reference(each.station, each.number)),
            Cell(reference(strike.station, strike.number)),
            Cell(strike.why),
        )
        for each, strike in facts.struck
    ]


def _people(facts: JobFacts) -> list[Row]:
    return [(Cell(person), Cell(name)) for person, name in facts.names.items()]
