"""A fastener, told by looking back: what was done since it was last loose, and what before still holds it open."""

from typing import Any, NamedTuple

from tests.model.naive_place import Change, changes, matters
from tests.model.told import Told, owner, standing
from torquelog.clock import Moment

BROKEN = ("sheared", "missing", "damaged")
LOOSENS = ("loosened", "replaced", "found")


class World(NamedTuple):
    """What the entries are about.

    Attributes:
        jobs: job to the assemblies that it names.
        sorts: assembly to what sort of thing it is.
        groups: group to what its card says: holds, above, continues, locking, slots.
    """

    jobs: dict[str, set[str]]
    sorts: dict[str, str]
    groups: dict[str, dict[str, Any]]


class Found(NamedTuple):
    """How a fastener stands, as far as anybody asks.

    Attributes:
        tight: whether a torque stands on it, and
        tight_in: by the work of which job.
        loosen_first: whether a tightening counts only after loosening.
        reason: why it is open, by code; nothing where it is done.
        done: what of this job is done, where it need not be loosened first.
        governing: the entry whose torque stands, or nothing.
        waiting: the readings that wait for a second person.
        locked: what locks it, of this job.
        passed_over: whether a later pass stands while an earlier one of this job is open.
        stands: the pass whose torque stands, by this job; 0 where none does.
    """

    tight: bool
    tight_in: str
    loosen_first: bool
    reason: str | None
    done: frozenset[tuple[str, int]] | None
    governing: str | None
    waiting: tuple[str, ...]
    locked: frozenset[str]
    passed_over: bool = False
    stands: int = 0


Event = Told | Change


def order(event: Event) -> tuple[Moment, Moment, str, int]:
    """The place of an event among others."""
    return event.told.order if isinstance(event, Change) else event.order


def fastener(
    everything: list[Told],
    world: World,
    job: str,
    whose: str,
    group: str,
    item: int,
    at: Moment,
    known: Moment,
) -> Found:
    """How a fastener stands, seen from a job."""
    card = world.groups[group]
    facts = standing(everything, at, known)
    events = _events(everything, facts, world, job, whose, group, item, at, known)
    slate = events[_last_loose(events, world, card) :]
    mine = _Slate(slate, card, job)
    over, broken = _over(events, card), _broken(events)
    confirmed = {each.body["entry"] for each in _all_known(everything, known) if each.kind == "confirmation"}
    waiting = tuple(
        each.name for each in events
        if isinstance(each, Told) and "awaits" in each.body and each.name not in confirmed
    )  # fmt: skip
    return Found(
        tight=bool(mine.tightenings),
        tight_in=mine.tightenings[-1].body["job"] if mine.tightenings else "",
        loosen_first=bool(mine.blockers),
        reason=_reason(mine, card, over=over, broken=broken),
        done=None if mine.blockers else mine.done,
        governing=mine.governing,
        waiting=waiting,
        locked=mine.locked,
        passed_over=not mine.blockers and mine.passed_over(),
        stands=mine.stands[2] if mine.governing and mine.stands[:2] == (job, "") else 0,
    )


def _all_known(everything: list[Told], known: Moment) -> list[Told]:
    return standing(everything, 1 << 62, known)


def _events(
    everything: list[Told], facts: list[Told], world: World, job: str, whose: str, group: str, item: int,
    at: Moment, known: Moment,
) -> list[Event]:  # fmt: skip
    found: list[Event] = []
    for each in facts:
        body = each.body
        if each.kind in ("reading", "act") and body["fastener"] == f"{group}:{item}" and owner(body) == whose:
            found.append(each)
        if each.kind == "step" and body["job"] == job and body.get("group") == group:
            found += [each] if body.get("item", str(item)) == str(item) else []
    found += changes(everything, whose, world.sorts, world.groups[group].get("holds", ""), at, known)
    return sorted(found, key=order)


def _is(event: Event, kind: str) -> bool:
    return isinstance(event, Told) and event.kind == kind


def _last_loose(events: list[Event], world: World, card: dict[str, Any]) -> int:
    """Where what stands now begins: at the last reading after a loosening, or behind whatever else loosened it."""
    begin = 0
    for place, event in enumerate(events):
        if isinstance(event, Change):
            worker = _worker(events[begin:place], card)
            named = world.jobs.get(worker, set()) if worker else set()
            if matters(event, named):
                begin = place + 1
        elif event.kind == "reading" and "loosened" in event.body:
            begin = place
        elif event.kind == "act" and event.body["act"] in LOOSENS:
            begin = place + 1
    return begin


def _worker(slate: list[Event], card: dict[str, Any]) -> str:
    """The job whose work lies on the fastener: of its last refused attempt, else of its last torque."""
    refused = [each for each in slate if _is(each, "reading") and each.body["outcome"] == "refused"]  # type: ignore[union-attr]
    if refused:
        return str(refused[-1].body["job"])  # type: ignore[union-attr]
    torques = _Slate(slate, card, "").tightenings
    return str(torques[-1].body["job"]) if torques else ""


class _Slate:
    """What was done to a fastener since it was last loose."""

    def __init__(self, slate: list[Event], card: dict[str, Any], job: str) -> None:
        self.blockers: list[Told] = []
        self.tightenings: list[Told] = []
        self.outside: list[Told] = []
        self.governing: str | None = None
        self.stands: tuple[str, str, int] = ("", "", 0)
        self.locked: frozenset[str] = frozenset()
        self._card, self._job = card, job
        slots: dict[tuple[str, int], bool] = {}
        for each in slate:
            if isinstance(each, Told):
                self._take(each, slots)
        self.done = frozenset(slot for slot, holds in slots.items() if holds)

    def _take(self, each: Told, slots: dict[tuple[str, int], bool]) -> None:
        body, own = each.body, each.body.get("job") == self._job
        if each.kind == "step" and own:
            if body["step"] in self._card["locking"]:
                self.locked |= {body["step"]}
            else:
                slots[body["step"], 0] = True
        elif each.kind == "act" and body["act"] == "locked" and "what" in body:
            self.locked |= {body["what"]}
        elif each.kind == "reading":
            slot = (body.get("step", ""), int(body["pass"]))
            if self._torque(each):
                self.locked = frozenset()
                if body["outcome"] == "within":
                    slots |= {slot: True} if own else {}
                else:
                    slots[slot] = False

    def _torque(self, each: Told) -> bool:
        """Note a reading; gives whether it left a torque that counts for something."""
        body = each.body
        if body["outcome"] == "refused":
            self.blockers.append(each)
            return False
        if body["outcome"] == "within":
            stands = (body["job"], body.get("step", ""), int(body["pass"]))
            clicks = (
                self.governing and not stands[1] and stands[:2] == self.stands[:2] and stands < self.stands
            )
            if body["act"] != "tighten" or self.blockers or clicks:
                return False
            self.outside, self.governing, self.stands = [], each.name, stands
        else:
            goes_on = self._card["continues"] and body["outcome"] == "below" and not self.blockers
            self.outside = [each]
            if not goes_on:
                self.blockers.append(each)
                self.governing = None
        self.tightenings.append(each)
        return True

    def passed_over(self) -> bool:
        """Whether the torque of a later pass stands while an earlier pass of the job is open."""
        job, step, number = self.stands
        if self.governing is None or job != self._job or step:
            return False
        return any(("", each) not in self.done for each in range(1, number))


def _over(events: list[Event], card: dict[str, Any]) -> bool:
    """Whether it got too much and nothing has answered that since."""
    over = False
    for each in events:
        if isinstance(each, Told):
            cures = each.kind == "act" and (
                each.body["act"] == "replaced"
                or (each.body["act"] == "loosened" and card["above"] == "loosen")
            )
            if cures or (each.kind == "reading" and "loosened" in each.body and card["above"] == "loosen"):
                over = False
            over = over or (each.kind == "reading" and "beyond" in each.body)
    return over


def _broken(events: list[Event]) -> bool:
    """Whether its hardware was found broken or worn, and not replaced since."""
    broken = False
    for each in events:
        if isinstance(each, Told):
            if each.kind == "act" and each.body["act"] == "replaced":
                broken = False
            found = each.kind == "act" and each.body["act"] == "found" and each.body.get("what") in BROKEN
            broken = broken or found or (each.kind == "reading" and "worn" in each.body)
    return broken


def _reason(slate: _Slate, card: dict[str, Any], *, over: bool, broken: bool) -> str | None:
    if broken:
        return "hardware-open"
    if over:
        return "over-torqued"
    if any(each.body["outcome"] == "refused" for each in slate.blockers):
        return "refused-tool"
    if slate.outside:
        return "outside"
    if not slate.done:
        return "not-tightened"
    return None if slate.done >= card["slots"] else "not-finished"


def ended(everything: list[Told], world: World, reading: Told, at: Moment, known: Moment) -> str:
    """What became of a tightening: tight, loosened, apart."""
    body = reading.body
    group, _, _ = body["fastener"].partition(":")
    holds = world.groups[group].get("holds", "")
    happened: list[tuple[tuple[Moment, Moment, str, int], str]] = []
    for each in standing(everything, at, known):
        if (
            each.kind in ("reading", "act")
            and each.body["fastener"] == body["fastener"]
            and owner(each.body) == owner(body)
        ):
            loosens = "loosened" in each.body if each.kind == "reading" else each.body["act"] in LOOSENS
            happened += [(each.order, "loosened")] if loosens else []
    for change in changes(everything, owner(body), world.sorts, holds, at, known):
        if matters(change, world.jobs.get(body["job"], set())):
            happened.append((change.told.order, "apart"))
    later = sorted(each for each in happened if each[0] > reading.order)
    return later[0][1] if later else "tight"
