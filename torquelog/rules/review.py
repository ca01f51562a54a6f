"""Questions that the record raises about itself. None accuses: each names its entries, and a person answers it.

A question is about what was entered, not about the torque. What was entered later than the work (from paper, say) has
times of its own making, so nothing is asked about how close its readings are.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import chain
from typing import Final, NamedTuple, Protocol

from torquelog.clock import Moment
from torquelog.facts.custody import Move, Whereabouts, after
from torquelog.facts.review import Answered, Inspection, Signature, Work
from torquelog.facts.tools import Tool
from torquelog.rules.names import fastener_name

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


class Rule(Protocol):
    """A question to readings that come one by one, in the order of the work: so one walk answers all of them."""

    def see(self, each: Work) -> Iterable[Question]:
        """The next reading; gives what is settled by it."""
        ...

    def end(self) -> Iterable[Question]:
        """What is settled only after the last one."""
        ...


def raised(work: Iterable[Work], rules: Sequence[Rule]) -> Iterator[Question]:
    """What some rules ask about readings, which are walked through once.

    Args:
        work: the readings, in the order of the work.
        rules: each used once.
    """
    sees = [rule.see for rule in rules]
    for each in work:
        for see in sees:
            yield from see(each)
    for rule in rules:
        yield from rule.end()


class CloseReadings:
    """Runs of readings of one person, each within so many seconds of the one before; only those entered at once."""

    def __init__(self, seconds: int) -> None:
        self._within = seconds * SECOND
        self._runs: dict[str, list[Work]] = {}

    def see(self, each: Work) -> Iterable[Question]:
        """A reading too far from the last one of its person ends a run."""
        if each.recorded - each.at > SECOND:
            return ()
        run = self._runs.get(each.performed_by)
        if run is not None and each.at - run[-1].at < self._within:
            run.append(each)
            return ()
        self._runs[each.performed_by] = [each]
        return _close(run) if run else ()

    def end(self) -> Iterable[Question]:
        """The runs that nothing ended."""
        return chain.from_iterable(map(_close, self._runs.values()))


def _close(run: Sequence[Work]) -> Sequence[Question]:
    first, last = run[0], run[-1]
    if first is last:
        return ()
    message = (
        f"{first.performed_by} recorded {len(run)} readings within {_span(first.at, last.at)}, from "
        f"{_named(first)} to {_named(last)}."
    )
    return (_question("close-readings", message, run, [first.performed_by], first.at),)


class TwoPlaces:
    """Uses of one wrench in two jobs by two people, or on two aircraft, one shortly after the other."""

    def __init__(self, minutes: int) -> None:
        self._within = minutes * MINUTE
        self._last: dict[str, Work] = {}

    def see(self, each: Work) -> Iterable[Question]:
        """A reading, beside the last one with its wrench."""
        one = self._last.get(each.wrench)
        self._last[each.wrench] = each
        if one is None or one.job == each.job or each.at - one.at >= self._within or not _apart(one, each):
            return ()
        message = (
            f"{each.wrench} was used by {one.performed_by} on {_named(one)}, and {_seconds(each.at - one.at)} later "
            f"by {each.performed_by} on {_named(each)}."
        )
        people = [one.performed_by, each.performed_by]
        return (_question("two-places", message, [one, each], people, one.at),)

    def end(self) -> Iterable[Question]:
        """Nothing waits."""
        return ()


def _apart(one: Work, two: Work) -> bool:
    """Whether two uses were in two places: by two people, or at two aircraft."""
    aircraft = [each.owner.split()[1] for each in (one, two) if each.owner.startswith("aircraft ")]
    return one.performed_by != two.performed_by or len(set(aircraft)) == 2


class TooFine:
    """Readings of an indicating wrench between two of its marks. What is set, and not read, is no question."""

    def __init__(self, tools: Iterable[Tool]) -> None:
        self._tools = {each.tool: each for each in tools if each.type == "indicating"}
        self._found: dict[tuple[str, str, str], list[Work]] = {}

    def see(self, each: Work) -> Iterable[Question]:
        """Kept by wrench, job and person."""
        tool = self._tools.get(each.wrench)
        if tool is not None and _between_marks(each, tool):
            self._found.setdefault((each.wrench, each.job, each.performed_by), []).append(each)
        return ()

    def end(self) -> Iterable[Question]:
        """One question for each wrench, job and person."""
        for (wrench, job, person), mine in self._found.items():
            scale = next(scale for scale in self._tools[wrench].scales if scale.unit == mine[0].unit)
            message = (
                f"{person} read {mine[0].indicated} on {wrench} ({_count(len(mine), 'reading')} of {job}); its "
                f"graduation is {scale.graduation}."
            )
            yield _question("too-fine", message, mine, [person], mine[0].at)


def _between_marks(each: Work, tool: Tool) -> bool:
    scale = next((scale for scale in tool.scales if scale.unit == each.unit), None)
    if scale is None or scale.graduation is None or scale.graduation.newton_metres == 0:
        return False
    steps: Fraction = each.indicated.newton_metres / scale.graduation.newton_metres
    return steps.denominator != 1


class NotIssued:
    """Uses of a wrench by somebody it was not issued to, nor for that job; by wrench, person and job."""

    def __init__(self, issued: Collection[str], moves: Iterable[Move]) -> None:
        """Begin before the first reading.

        Args:
            issued: the wrenches that are ever issued here; nothing is asked about the others.
            moves: the acts of custody of every tool, oldest first; they are read as far as the readings go.
        """
        self._issued = frozenset(issued)
        self._moves = iter(moves)
        self._next = next(self._moves, None)
        self._where: dict[str, Whereabouts] = {}
        self._found: dict[tuple[str, str, str], list[Work]] = {}
        self._holder: dict[tuple[str, str, str], str] = {}

    def see(self, each: Work) -> Iterable[Question]:
        """Kept by wrench, person and job."""
        while self._next is not None and self._next.at <= each.at:
            self._where[self._next.tool] = after(self._next)
            self._next = next(self._moves, None)
        if each.wrench in self._issued:
            where = self._where.get(each.wrench)
            if where is None or not _held(where, each):
                key = (each.wrench, each.performed_by, each.job)
                self._found.setdefault(key, []).append(each)
                self._holder[key] = where.person if where else ""
        return ()

    def end(self) -> Iterable[Question]:
        """One question for each wrench, person and job."""
        for key, mine in self._found.items():
            wrench, person, job = key
            holder = self._holder[key]
            issued = f"it was issued to {holder}" if holder else "it was not issued to anybody"
            message = f"{person} used {wrench} on {job}, {_count(len(mine), 'reading')}; {issued}."
            yield _question("not-issued", message, mine, [person], mine[0].at)


def _held(where: Whereabouts, each: Work) -> bool:
    """Whether a wrench is where a reading may well use it."""
    return where.kind == "place" or where.person == each.performed_by or where.job == each.job


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
    first, last = run[0].recorded, run[-1].recorded
    what = _count(len(run), "inspection or approval", "inspections or approvals")
    message = f"{person} signed {what} within {_span(first, last)}."
    return _question("signed-in-a-burst", message, run, [person], first)


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


class Revived:
    """Readings whose claimed time changed the verdict: at the time of the entry the tool would have been refused."""

    def see(self, each: Work) -> Iterable[Question]:
        """Each is a question of its own."""
        if not each.awaits:
            return ()
        message = (
            f"{_named(each)} counts by an earlier time that {each.performed_by} is said to have worked at; at the "
            f"time of the entry {each.wrench} would have been refused."
        )
        return (_question("revived", message, [each], [each.performed_by], each.at),)

    def end(self) -> Iterable[Question]:
        """Nothing waits."""
        return ()


class LongAfter:
    """Entries more than so many hours after the work, by person and job."""

    def __init__(self, hours: int) -> None:
        self._within = hours * HOUR
        self._found: dict[tuple[str, str], list[Work]] = {}

    def see(self, each: Work) -> Iterable[Question]:
        """Kept by person and job."""
        if each.recorded - each.at > self._within:
            self._found.setdefault((each.performed_by, each.job), []).append(each)
        return ()

    def end(self) -> Iterable[Question]:
        """One question for each person and job."""
        for (person, job), mine in self._found.items():
            longest = max(each.recorded - each.at for each in mine) // HOUR
            message = (
                f"{_count(len(mine), 'reading')} of {job} by {person}, entered up to {_count(longest, 'hour')} after "
                "the work."
            )
            yield _question("long-after", message, mine, [person], mine[0].at)


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


def _span(first: Moment, last: Moment) -> str:
    """What lies between two moments, a second at least."""
    return _seconds(last - first or SECOND)


def _seconds(span: Moment) -> str:
    seconds = -(-span // SECOND)
    return _count(seconds, "second") if seconds < 120 else _count(seconds // 60, "minute")


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number:,} {one if number == 1 else many or one + 's'}"
