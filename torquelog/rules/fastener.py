"""The life of one fastener, told from its dated events: tight or not, what is done, what holds it open.

A pure fold over events in the order (at, recorded, station, number). It knows nothing of how they are stored.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.rules.demand import RECHECK, Slot

BROKEN: Final = frozenset({"sheared", "missing", "damaged"})

CHECK_REMARKS: Final = frozenset({"already-tight", "loosen-first"})
"""The remarks of a reading that is a check although nobody asked for one."""


class Event(NamedTuple):
    """Something that happened to a fastener.

    Attributes:
        at, recorded, station, number: when, and its entry; the order of events.
        kind: `reading`, `act`, `step`, `inspection`, `disposition` (accepted as it is) or `ending` (the assembly
            came off, or apart).
        job: the job it belongs to, "" for an ending.
        what: for a reading or inspection its outcome; for an act the act; for a step its name; for an ending
            what ended it.
        slot: (step, pass) of a reading or step.
        tighten: whether a reading tightens; a check does not.
        loosened: whether a reading was taken after loosening.
        over: a reading above all that the card allows, or not.
        worn: a reading whose run-on torque was outside its limits.
        waits: a reading that still waits for a second person's confirmation.
        found: what was found, where an act says so.
        wrench: the wrench of a reading.
        own: for an inspection, whether its performer looked again himself.
        by, why: for an inspection, who inspected and what was found.
        spares: for an ending, the jobs whose work it leaves as it is.
    """

    at: Moment
    recorded: Moment
    station: str
    number: int
    kind: str
    job: str
    what: str
    slot: tuple[str, int] = ("", 0)
    tighten: bool = False
    loosened: bool = False
    over: bool = False
    worn: bool = False
    waits: bool = False
    found: str = ""
    wrench: str = ""
    spares: frozenset[str] = frozenset()
    own: bool = False
    by: str = ""
    why: str = ""


class State(NamedTuple):
    """A fastener as its events leave it, seen from one job.

    Attributes:
        tight: whether a torque stands on it.
        tight_in: the job that tightened it, "" where nothing did.
        done: the slots of this job that are done.
        over: it got more than the card allows and neither hardware nor a disposition has answered that.
        broken: it was found sheared, missing or damaged, or its nut worn, and was not replaced since.
        loosen_first: the next tightening counts only after loosening.
        governing: the event whose torque stands, or nothing.
        outside: the last reading that left it outside, or nothing.
        refused: the last refused attempt that nothing has answered yet, or nothing.
        waiting: readings that wait for a second person.
        locked: the lockings on record since it was last tightened, each as the step's name.
        accepted: the inspection that accepted it since it was last touched, or nothing.
        rejected: the inspection that rejected it and that no inspector has answered, or nothing.
        lost: the slots that were done before a reading left it outside.
    """

    tight: bool = False
    tight_in: str = ""
    done: frozenset[tuple[str, int]] = frozenset()
    over: bool = False
    broken: bool = False
    loosen_first: bool = False
    governing: Event | None = None
    outside: Event | None = None
    refused: Event | None = None
    waiting: tuple[Event, ...] = ()
    locked: frozenset[str] = frozenset()
    accepted: Event | None = None
    rejected: Event | None = None
    lost: frozenset[tuple[str, int]] = frozenset()


NEW: Final = State()


def state(
    events: Iterable[Event], job: str, *, above: str, continues: bool = False,
    locking: Collection[str] = (), start: State = NEW,
) -> State:  # fmt: skip
    """Fold the events of one fastener.

    Args:
        events: of this fastener, in order.
        job: the job whose slots are counted as done.
        above: what the card says about a reading above its limits: `replace`, `loosen` or `engineering`.
        continues: whether the card allows going on from a reading below its limits without loosening.
        locking: the names of the steps that lock it.
        start: how it stood before these events; new where they are all there are.
    """
    now = start
    for event in events:
        if event.kind == "reading":
            now = _after_reading(now, event, job, above, continues)
        elif event.kind == "act":
            now = _after_act(now, event, above)
        elif event.kind == "inspection":
            now = _after_inspection(now, event)
        elif event.kind == "step":
            now = _after_step(now, event, job, locking)
        elif event.kind == "disposition":
            now = _after_disposition(now, job)
        else:
            now = _ended(now, event)
    return now


def _ended(now: State, event: Event) -> State:
    """After an assembly came or went; a refused attempt of a job that this spares is not answered by it either."""
    job = now.refused.job if now.refused is not None else now.tight_in
    return now if job in event.spares else _loose(now)


def _loose(now: State) -> State:
    return now._replace(
        tight=False, tight_in="", done=frozenset(), loosen_first=False, governing=None, refused=None,
        locked=frozenset(), outside=now.outside if now.over else None, accepted=None, lost=frozenset(),
    )  # fmt: skip


def _after_reading(now: State, event: Event, job: str, above: str, continues: bool) -> State:
    if event.waits:
        now = now._replace(waiting=(*now.waiting, event))
    if event.loosened:
        now = _loosened(now, above)
    if event.what == "refused":
        return now._replace(refused=event, loosen_first=True)
    if event.worn:
        now = now._replace(broken=True)
    if event.what == "within":
        return _within(now, event, job)
    return _outside(now, event, continues)


def _loosened(now: State, above: str) -> State:
    cured = above == "loosen"
    return _loose(now._replace(over=now.over and not cured))


def _within(now: State, event: Event, job: str) -> State:
    if not event.tighten and event.slot[0] == RECHECK and event.job == job and now.tight:
        return now._replace(done=now.done | {event.slot})
    if not event.tighten or now.loosen_first or stands_beyond(now, event.job, event.slot):
        return now
    done = now.done | {event.slot} if event.job == job else now.done
    return now._replace(
        tight=True,
        tight_in=event.job,
        done=done,
        governing=event,
        outside=None,
        locked=frozenset(),
        accepted=None,
        lost=frozenset(),
    )


def _outside(now: State, event: Event, continues: bool) -> State:
    over = event.over or now.over
    goes_on = continues and event.what == "below" and not now.loosen_first
    done = now.done - {event.slot} if goes_on else frozenset[tuple[str, int]]()
    return now._replace(
        tight=True, tight_in=event.job, done=done, over=over, loosen_first=not goes_on, outside=event,
        governing=None if not goes_on else now.governing, locked=frozenset(), accepted=None,
        lost=now.lost if goes_on else now.lost | now.done,
    )  # fmt: skip


def _after_act(now: State, event: Event, above: str) -> State:
    if event.what == "replaced":
        return _loose(now._replace(over=False, broken=False, outside=None))
    if event.what == "loosened":
        return _loosened(now, above)
    if event.what == "found":
        return _loose(now)._replace(broken=now.broken or event.found in BROKEN)
    return now._replace(locked=now.locked | {event.found}) if event.found else now


def _after_step(now: State, event: Event, job: str, locking: Collection[str]) -> State:
    if event.job != job:
        return now
    if event.what in locking:
        return now._replace(locked=now.locked | {event.what})
    return now._replace(done=now.done | {event.slot})


def _after_disposition(now: State, job: str) -> State:
    """Quality accepts it as it is, on approved data: what left it outside counts like a torque within its limits."""
    if now.outside is None or not now.tight:
        return now._replace(over=False, outside=None)
    done = now.done | now.lost | ({now.outside.slot} if now.outside.job == job else set())
    return now._replace(
        over=False, outside=None, governing=now.outside, done=done, lost=frozenset(),
        loosen_first=now.refused is not None,
    )  # fmt: skip


def _after_inspection(now: State, event: Event) -> State:
    """An inspector accepts or rejects; a performer who looks again accepts, but lifts no rejection."""
    if event.what == "rejected":
        return now._replace(rejected=event, accepted=None)
    if event.own:
        return now._replace(accepted=event)
    return now._replace(accepted=event, rejected=None)


def needs_rework(now: State) -> bool:
    """Whether a fastener stands as it was rejected: nothing was done to it since."""
    if now.rejected is None or now.governing is None:
        return False
    return _place(now.governing) < _place(now.rejected)


def _place(event: Event) -> tuple[Moment, Moment, str, int]:
    return event.at, event.recorded, event.station, event.number


def stands_beyond(now: State, job: str, slot: tuple[str, int]) -> bool:
    """Whether the torque of a later pass of that job stands already: a click at an earlier one shows nothing."""
    if now.governing is None or now.governing.job != job:
        return False
    return not slot[0] and slot[1] < now.governing.slot[1]


def passed_over(now: State, job: str) -> bool:
    """Whether a later pass stands while an earlier one of the job is open, which loosening alone can mend."""
    if now.governing is None or now.governing.job != job:
        return False
    return any(("", number) not in now.done for number in range(1, now.governing.slot[1]))


def open_slots(now: State, slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """The slots that are not done yet, in order."""
    return tuple(slot for slot in slots if slot.key not in now.done)


def is_done(now: State, slots: Sequence[Slot]) -> bool:
    """Whether every slot is done and nothing else holds the fastener open; a waiting confirmation is told apart."""
    return not (now.over or now.broken or now.loosen_first or open_slots(now, slots))


def counts_as(
    now: State, job: str, slots: Sequence[Slot], slot: Slot, *, loosened: bool, asked: str | None
) -> tuple[str, str]:
    """Whether a reading tightens or only checks.

    A click on a tight nut shows nothing about it, so a fastener that is tight already, with nothing open in this
    job or tightened elsewhere, is checked, unless it was loosened first. The same after a refusal or an outside
    reading, and at a pass before the one whose torque stands.

    Args:
        now: the fastener before the reading.
        job: the job of the reading.
        slots: what the card demands.
        slot: which of them the reading is for.
        loosened: whether it was loosened first.
        asked: `tighten` or `check` where the person said so.

    Returns:
        `tighten` or `check`, and the code of the remark that goes with it or "".
    """
    if asked == "check":
        return "check", ""
    if loosened:
        return "tighten", ""
    if now.loosen_first:
        return "check", "loosen-first"
    if slot.checks and now.tight:
        return "check", ""
    if now.tight and (now.tight_in != job or not open_slots(now, slots)):
        return "check", "already-tight"
    if stands_beyond(now, job, slot.key):
        return "check", "already-tight" if slot.key in now.done else "loosen-first"
    return "tighten", ""


def next_slot(now: State, slots: Sequence[Slot], *, loosened: bool) -> Slot:
    """The slot that a reading without step and pass is for: the first open one that asks for a torque."""
    for slot in slots:
        if slot.spec is not None and (loosened or slot.key not in now.done):
            return slot
    return [slot for slot in slots if slot.spec is not None][-1]
