"""Questions that the record raises about itself. None accuses: each names its entries, and a person answers it.

A question is about what was entered, not about the torque. What was entered later than the work (from paper, say) has
times of its own making, so nothing is asked about how close its readings are.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final, NamedTuple, Protocol

from torquelog.clock import Moment
from torquelog.facts.custody import Move, after
from torquelog.facts.review import Answered, Inspection, Signature, Work
from torquelog.facts.tools import Tool
from torquelog.rules.names import fastener_name
from torquelog.torque.units import in_unit

SECOND: Final[Moment] = 1000
MINUTE: Final[Moment] = 60 * SECOND
HOUR: Final[Moment] = 60 * MINUTE

QUESTIONS: Final[dict[str, str]] = {
    "close-readings": "readings closer to one another than hands allow",
    "inspected-at-once": "an inspection right after the work it looks at",
    "long-after": "entries long after the work",
    "not-issued": "a wrench used by somebody it was not issued to",
    "own-work": "a disposition by somebody who did the work it decides on",
    "revived": "an earlier time that changed a verdict",
    "signed-in-a-burst": "many signatures of one person within a short time",
    "too-fine": "readings finer than the graduation they were read on",
    "two-places": "one wrench in two places",
}
"""What a review asks, by code."""


class Question(NamedTuple):
    """Something to ask about.

    Attributes:
        code: one of `QUESTIONS`.
        message: what is asked, a sentence.
        entries: what it is about, in the order in which they were recorded; an answer names the last one.
        people: whose entries they are.
        at: when the first of it was done.
        recorded: when the last of it was recorded.
    """

    code: str
    message: str
    entries: tuple[str, ...]
    people: tuple[str, ...]
    at: Moment
    recorded: Moment


class Entered(Protocol):
    """What every entry in a question has."""

    @property
    def recorded(self) -> Moment:
        """When it was recorded."""
        ...

    @property
    def reference(self) -> str:
        """Its name."""
        ...


class Decided(NamedTuple):
    """A disposition by somebody who performed work that it decides on: its entry, when, who, and the recall."""

    reference: str
    recorded: Moment
    person: str
    recall: str


def _question(
    code: str, message: str, entries: Sequence[Entered], people: Iterable[str], at: Moment
) -> Question:
    told = sorted(entries, key=lambda each: (each.recorded, each.reference))
    names = tuple(dict.fromkeys(each.reference for each in told))
    return Question(code, message, names, tuple(sorted(set(people))), at, told[-1].recorded)


def at_once(each: Work) -> bool:
    """Whether a reading was entered as it was made, and not afterwards."""
    return each.recorded - each.at <= SECOND


def close_readings(work: Iterable[Work], seconds: int) -> Iterator[Question]:
    """Runs of readings of one person, each within so many seconds of the one before; only those entered at once."""
    runs: dict[str, list[Work]] = {}
    for each in work:
        if at_once(each):
            run = runs.setdefault(each.performed_by, [])
            if run and each.at - run[-1].at >= seconds * SECOND:
                yield from _close(run)
                run.clear()
            run.append(each)
    for run in runs.values():
        yield from _close(run)


def _close(run: Sequence[Work]) -> Iterator[Question]:
    if len(run) > 1:
        person = run[0].performed_by
        yield _question(
            "close-readings",
            f"{person} recorded {len(run)} readings within {_seconds(max(run[-1].at - run[0].at, 1))}, from "
            f"{_named(run[0])} to {_named(run[-1])}.",
            run, [person], run[0].at,
        )  # fmt: skip


def two_places(work: Iterable[Work], minutes: int) -> Iterator[Question]:
    """Uses of one wrench in two jobs by two people, or on two aircraft, one shortly after the other."""
    last: dict[str, Work] = {}
    for two in work:
        one = last.get(two.wrench)
        last[two.wrench] = two
        if one and one.job != two.job and two.at - one.at < minutes * MINUTE and _apart(one, two):
            yield _question(
                "two-places",
                f"{two.wrench} was used by {one.performed_by} on {_named(one)}, and {_seconds(two.at - one.at)} later "
                f"by {two.performed_by} on {_named(two)}.",
                [one, two], [one.performed_by, two.performed_by], one.at,
            )  # fmt: skip


def _apart(one: Work, two: Work) -> bool:
    """Whether two uses were in two places: by two people, or at two aircraft."""
    aircraft = [each.owner.split()[1] for each in (one, two) if each.owner.startswith("aircraft ")]
    return one.performed_by != two.performed_by or len(set(aircraft)) == 2


def too_fine(work: Iterable[Work], tools: Mapping[str, Tool]) -> Iterator[Question]:
    """Readings of an indicating wrench between two of its marks. What is set, and not read, is no question."""
    found: dict[tuple[str, str, str], list[Work]] = {}
    for each in work:
        tool = tools.get(each.wrench)
        if tool is not None and tool.type == "indicating" and _between_marks(each, tool):
            found.setdefault((each.wrench, each.job, each.performed_by), []).append(each)
    for (wrench, job, person), mine in found.items():
        scale = next(scale for scale in tools[wrench].scales if scale.unit == mine[0].indicated.unit)
        yield _question(
            "too-fine",
            f"{person} read {mine[0].indicated} on {wrench} ({_count(len(mine), 'reading')} of {job}); its graduation "
            f"is {scale.graduation}.",
            mine, [person], mine[0].at,
        )  # fmt: skip


def _between_marks(each: Work, tool: Tool) -> bool:
    scale = next((scale for scale in tool.scales if scale.unit == each.indicated.unit), None)
    if scale is None or scale.graduation is None or scale.graduation.newton_metres == 0:
        return False
    steps: Fraction = each.indicated.newton_metres / scale.graduation.newton_metres
    return steps.denominator != 1 and in_unit(each.indicated.newton_metres, scale.unit) > 0


def not_issued(work: Iterable[Work], moves: Mapping[str, Sequence[Move]]) -> Iterator[Question]:
    """Uses of a wrench by somebody it was not issued to, nor for that job; by wrench, person and job.

    Args:
        work: the readings, in the order of the work.
        moves: what is asked about: the acts of custody of each wrench that is handed out here, oldest first.
    """
    found: dict[tuple[str, str, str], list[Work]] = {}
    holder: dict[tuple[str, str, str], str] = {}
    place: dict[str, int] = {}
    for each in work:
        mine = moves.get(each.wrench)
        if not mine:
            continue
        at = place.get(each.wrench, 0)
        while at < len(mine) and mine[at].at <= each.at:
            at += 1
        place[each.wrench] = at
        where = after(mine[at - 1]) if at else None
        if where is not None and (
            where.kind == "place"
            or where.person == each.performed_by
            or (where.job and where.job == each.job)
        ):
            continue
        key = (each.wrench, each.performed_by, each.job)
        found.setdefault(key, []).append(each)
        holder[key] = (
            f"it was issued to {where.person}" if where and where.person else "it was not issued to anybody"
        )
    for key, mine_ in found.items():
        wrench, person, job = key
        yield _question(
            "not-issued",
            f"{person} used {wrench} on {job}, {_count(len(mine_), 'reading')}; {holder[key]}.",
            mine_, [person], mine_[0].at,
        )  # fmt: skip


def bursts(signatures: Iterable[Signature], count: int, minutes: int) -> Iterator[Question]:
    """So many signatures of one person who checks others' work, within so many minutes."""
    by_person: dict[str, list[Signature]] = {}
    for each in signatures:
        by_person.setdefault(each.person, []).append(each)
    for person, mine in by_person.items():
        run: list[Signature] = []
        end = 0
        for place, last in enumerate(mine[count - 1 :]):
            if last.recorded - mine[place].recorded < minutes * MINUTE:
                if run and place >= end:
                    yield _burst(person, run)
                    run = []
                run += mine[max(place, end) : place + count]
                end = place + count
        if run:
            yield _burst(person, run)


def _burst(person: str, run: Sequence[Signature]) -> Question:
    span = run[-1].recorded - run[0].recorded
    what = _count(len(run), "inspection or approval", "inspections or approvals")
    message = f"{person} signed {what} within {_seconds(max(span, 1))}."
    return _question("signed-in-a-burst", message, run, [person], run[0].recorded)


def inspected_at_once(inspections: Iterable[Inspection], minutes: int) -> Iterator[Question]:
    """Inspections that came within so many minutes of the last reading they look at."""
    for each in inspections:
        if each.at - each.worked < minutes * MINUTE:
            yield _question(
                "inspected-at-once",
                f"{each.person} inspected the {each.group.replace('-', ' ')}s of {each.job} "
                f"{_seconds(each.at - each.worked)} after the last reading.",
                [each], [each.person], each.at,
            )  # fmt: skip


def revived(work: Iterable[Work]) -> Iterator[Question]:
    """Readings whose claimed time changed the verdict: at the time of the entry the tool would have been refused."""
    for each in work:
        if each.awaits:
            yield _question(
                "revived",
                f"{_named(each)} counts by an earlier time that {each.performed_by} is said to have worked at; at the "
                f"time of the entry {each.wrench} would have been refused.",
                [each], [each.performed_by], each.at,
            )  # fmt: skip


def long_after(work: Iterable[Work], hours: int) -> Iterator[Question]:
    """Entries more than so many hours after the work, by person and job."""
    found: dict[tuple[str, str], list[Work]] = {}
    for each in work:
        if each.recorded - each.at > hours * HOUR:
            found.setdefault((each.performed_by, each.job), []).append(each)
    for (person, job), mine in found.items():
        longest = max(each.recorded - each.at for each in mine) // HOUR
        yield _question(
            "long-after",
            f"{_count(len(mine), 'reading')} of {job} by {person}, entered up to {_count(longest, 'hour')} after the "
            "work.",
            mine, [person], mine[0].at,
        )  # fmt: skip


def own_work(decided: Iterable[Decided]) -> Iterator[Question]:
    """Dispositions of people who did the work themselves."""
    for each in decided:
        message = f"{each.person} decided in {each.recall} on fasteners that {each.person} tightened."
        yield _question("own-work", message, [each], [each.person], each.recorded)


def answer_of(question: Question, answers: Iterable[Answered]) -> Answered | None:
    """The newest answer that knew all of a question: what was recorded after it asks anew."""
    named = [
        each for each in answers if each.entry in question.entries and each.recorded >= question.recorded
    ]
    return named[-1] if named else None


def _named(each: Work) -> str:
    return f"{fastener_name(each.group, each.item)} of {each.job}"


def _seconds(span: Moment) -> str:
    seconds = -(-span // SECOND)
    return _count(seconds, "second") if seconds < 120 else _count(seconds // 60, "minute")


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number:,} {one if number == 1 else many or one + 's'}"
