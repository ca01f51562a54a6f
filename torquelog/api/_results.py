"""What the Python face answers: frozen values with their units, times with their zone."""

from datetime import date, datetime
from fractions import Fraction
from typing import NamedTuple

from torquelog.rules.grounds import Ground, Remark
from torquelog.torque.units import Torque


class Setting(NamedTuple):
    """What to set on a wrench so that the fastener gets its torque.

    Attributes:
        low, high: lowest and highest torque to indicate; None where that limit is open.
        target: the torque to aim at; None where one limit is open.
        dial: the mark of the scale nearest the target, inside the limits and the range; None where none is.
        at_fastener: what the dial value gives at the fastener, or None.
        ratio: torque indicated per torque at the fastener, exactly.
        remarks: `one-limit`, `outside-range`, `range-cuts-limits`, `no-graduation`, where they apply.
    """

    low: Torque | None
    high: Torque | None
    target: Torque | None
    dial: Torque | None
    at_fastener: Torque | None
    ratio: Fraction
    remarks: tuple[Remark, ...]


class Applied(NamedTuple):
    """What an indicated torque gives at the fastener.

    Attributes:
        torque: in the unit of the reading, up to 16 digits.
        newton_metres: the same in N·m, exactly.
        ratio: torque indicated per torque at the fastener, exactly.
    """

    torque: Torque
    newton_metres: Fraction
    ratio: Fraction


class Converted(NamedTuple):
    """A torque in another unit.

    Attributes:
        value: up to 16 digits, half to even.
        unit: the printed symbol of its unit.
        exact: whether these digits are the value itself.
    """

    value: str
    unit: str
    exact: bool


class Fastener(NamedTuple):
    """Which fastener.

    Attributes:
        assembly: part and serial number of the assembly that it travels with, one blank between; None where it stays.
        msn, position: serial number of the aircraft that it stays with, and where on it; None where it travels.
        group, number: its group on the card, and its number there.
    """

    assembly: str | None
    msn: str | None
    position: str | None
    group: str
    number: int

    def __str__(self) -> str:
        return f"{self.group}:{self.number}"


class Place(NamedTuple):
    """Where a fastener is.

    Attributes:
        registration, position: the aircraft that it is on, and where on it; None where it is on none.
        since: since when it is there; None where it belongs to the aircraft itself, or nobody ever said.
        text: the place in words.
    """

    registration: str | None
    position: str | None
    since: datetime | None
    text: str


class Whereabouts(NamedTuple):
    """Where a tool is.

    Attributes:
        kind: `crib`, `person`, `place`, `away` or `retired`.
        person, place, job: who has it, where it lies or was sent, which job it is out for; None where not told.
        since: since when; None where it never left the crib.
    """

    kind: str
    person: str | None
    place: str | None
    job: str | None
    since: datetime | None


class Fitness(NamedTuple):
    """Whether a tool may be used.

    Attributes:
        tool: its number.
        sort: `wrench`, `adapter` or `tester`.
        at: the moment that was judged.
        grounds: why it may not be used, each as code, tool and sentence; empty where it may.
        remarks: what else there is to say.
        certificate: the certificate that counts, or None.
        calibration: the entry that put it on record, or None.
        due: the due date, or None where none is set.
        valid_until: the first moment at which it may not be used any more by date or event, or None.
        cycles_left: uses left under its limit, this one included; None without a limit.
        whereabouts: where it is.
    """

    tool: str
    sort: str
    at: datetime
    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]
    certificate: str | None
    calibration: str | None
    due: date | None
    valid_until: datetime | None
    cycles_left: int | None
    whereabouts: Whereabouts

    @property
    def fit(self) -> bool:
        """Whether it may be used: no ground speaks against it."""
        return not self.grounds


class Hold(NamedTuple):
    """One thing that holds a job open: a code, a sentence, more about it or "", and the command that clears it."""

    code: str
    text: str
    detail: str
    command: str


class Job(NamedTuple):
    """How far a job is.

    Attributes:
        job: its name.
        card, revision: the card that it works by.
        msn, position: the aircraft, by serial number, and where on it; None where it is on none.
        assemblies: kind of assembly, and its part and serial number.
        opened, opened_by: when, by whom.
        closed: when it was closed, or None.
        taken, asked: how many readings are done, and how many the card asks for.
        holds: what holds it open; empty where it can be closed.
    """

    job: str
    card: str
    revision: str
    msn: str | None
    position: str | None
    assemblies: tuple[tuple[str, str], ...]
    opened: datetime
    opened_by: str
    closed: datetime | None
    taken: int
    asked: int
    holds: tuple[Hold, ...]


class Traced(NamedTuple):
    """One reading of a trace.

    Attributes:
        entry: its entry.
        performed_at: when the work was done.
        job, person, wrench, fastener: in which job, by whom, with which wrench, on which fastener.
        indicated: what was set or read on the wrench, as it was read.
        applied: the torque at the fastener in N·m, exactly.
        low, high: the limits at the fastener in N·m, exactly; None where one is open.
        outcome: `within`, `below`, `above` or `refused`, as it was judged.
        certificate: the wrench's certificate that it was judged by, or None.
        state: `tight`, `loosened`, `apart`, `refused` or `struck`: what became of it.
        place: where its fastener is.
    """

    entry: str
    performed_at: datetime
    job: str
    person: str
    wrench: str
    fastener: Fastener
    indicated: Torque
    applied: Fraction
    low: Fraction | None
    high: Fraction | None
    outcome: str
    certificate: str | None
    state: str
    place: Place


class Trace(NamedTuple):
    """What somebody or something tightened, and where it is.

    Attributes:
        kind, name: what was asked.
        readings: every reading, refused and struck ones too, oldest first.
        standing: how many fasteners carry a tightening of it.
        flying: how many of these are on an aircraft.
        complete_as_of: the entry up to which this is complete.
        stations: the stations whose records are in the file; others are not covered.
    """

    kind: str
    name: str
    readings: tuple[Traced, ...]
    standing: int
    flying: int
    complete_as_of: str
    stations: tuple[str, ...]


class RecallItem(NamedTuple):
    """One fastener of a recall.

    Attributes:
        number: its number in the recall.
        fastener: which.
        entry: the reading that governs.
        indicated: what was set or read, as it was read.
        as_found, as_left: the torque at the fastener in N·m by the results as found and as left; None where unknown.
        low, high: the limits at the fastener in N·m; None where one is open.
        verdict: `within`, `outside` or `indeterminate`, by what is known now; reasons: codes, why.
        probability: that it lay within its limits, 0 to 1; None where it cannot be told.
        state: `tight`, `loosened`, `apart`, `refused` or `struck`: whether what was done still stands.
        retightened: whether a tightening that counts came after.
        place: where it is.
        decision: the newest decision about it, or None; decided: whether it is final.
    """

    number: int
    fastener: Fastener
    entry: str
    indicated: Torque
    as_found: Fraction | None
    as_left: Fraction | None
    low: Fraction | None
    high: Fraction | None
    verdict: str
    reasons: tuple[str, ...]
    probability: float | None
    state: str
    retightened: bool
    place: Place
    decision: str | None
    decided: bool


class Recall(NamedTuple):
    """A recall with everything that it finds.

    Attributes:
        recall: its number, as R-1.
        entry: the entry that opened it.
        state: `open`, `closed`, or `re-opened` by an entry that came in after its closing.
        subject, name: `wrench`, `adapter`, `tester`, `lot`, `person`, `card` or `shop`, and what that names; None for
            time alone.
        since, until: its window, both included.
        items: every fastener, the most urgent first.
        not_covered: what it cannot speak of, each as a code and a sentence.
        complete_as_of: the entry up to which this is complete.
    """

    recall: str
    entry: str
    state: str
    subject: str | None
    name: str | None
    since: datetime
    until: datetime
    items: tuple[RecallItem, ...]
    not_covered: tuple[Remark, ...]
    complete_as_of: str
