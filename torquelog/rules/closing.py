"""What holds a job open: every ground at once, each with the command that clears it."""

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final, NamedTuple

from torquelog.facts.card_form import Card, Group
from torquelog.rules import fastener
from torquelog.rules.demand import CONDITION, locking_steps, slots
from torquelog.rules.fastener import State
from torquelog.rules.names import fasteners_name


class Hold(NamedTuple):
    """One thing that holds a job open.

    Attributes:
        code: its stable name.
        text: what is open, a sentence.
        detail: more about it, a sentence or nothing.
        command: what clears it.
    """

    code: str
    text: str
    detail: str
    command: str


class ToolOut(NamedTuple):
    """A tool still issued to the job: its number, its sort, and who has it."""

    tool: str
    sort: str
    person: str


class Astray(NamedTuple):
    """An assembly that a job names and that is not at its position.

    Attributes:
        sort, serial: what the job names.
        other: the serial number of what is there instead, or "".
        aircraft, position: where, by the aircraft's serial number.
    """

    sort: str
    serial: str
    other: str
    aircraft: str
    position: str


class JobView(NamedTuple):
    """A job as its facts stand, all that the rule of closing looks at.

    Attributes:
        job: the job's name.
        card: its card.
        states: the state of every fastener, by group and number.
        checks: the operational checks on record, by name.
        tools_out: tools still issued to the job.
        strikes_waiting: strikes that took away what left a fastener open and wait for a second person, each as
            group, number of the fastener, station and number of the strike.
        parts_off: parts taken off and not put on again or replaced, as people name them.
        performers: who worked in each group that is to be inspected, by group.
        handed: who handed the job over and to whom, while nobody has taken it over; nothing else.
        tools_clear: tools that somebody signed to be accounted for, clear of the aircraft.
        conditions: what the condition of the threads is on record for in this job: group and number, or group and 0
            for all of a group.
        astray: assemblies that it names and that are not, or no longer, at its position.
        neighbours: fasteners that are to be looked at because others beside them failed, each with those, by group.
    """

    job: str
    card: Card
    states: Mapping[tuple[str, int], State]
    checks: frozenset[str]
    tools_out: Sequence[ToolOut]
    strikes_waiting: Sequence[tuple[str, int, str, int]] = ()
    parts_off: Sequence[str] = ()
    performers: Mapping[str, frozenset[str]] = MappingProxyType({})
    handed: tuple[str, str] | None = None
    tools_clear: frozenset[str] = frozenset()
    conditions: frozenset[tuple[str, int]] = frozenset()
    astray: Sequence[Astray] = ()
    neighbours: Mapping[str, Mapping[int, tuple[int, ...]]] = MappingProxyType({})


def holding(view: JobView) -> tuple[Hold, ...]:
    """Every ground for which a job may not be closed, in the order of the card."""
    holds = list(_astray(view))
    for group in view.card.groups:
        holds.extend(_condition(view, group))
        holds.extend(_of_group(view, group))
        holds.extend(_neighbours(view, group))
        holds.extend(_locking(view, group))
        holds.extend(_inspection(view, group))
    holds.extend(_strikes(view))
    holds.extend(_checks(view))
    holds.extend(_tools(view))
    holds.extend(_parts(view))
    holds.extend(_handed(view))
    return tuple(holds)


def _astray(view: JobView) -> Iterator[Hold]:
    """What was done at the position was done beside another assembly than the job says, or beside none."""
    for each in view.astray:
        there = f"At {each.position} is {each.sort} {each.other}, and {view.job} names {each.serial}."
        gone = f"{each.sort.capitalize()} {each.serial} is not at {each.position} any more."
        fit = f'torquelog assembly fit {each.serial} --aircraft {each.aircraft} --position "{each.position}"'
        yield Hold(
            "other-assembly",
            there if each.other else gone,
            "Work at the position counts for what was there.",
            f"{fit} --replacing" if each.other else fit,
        )


def _condition(view: JobView, group: Group) -> Iterator[Hold]:
    """The condition of the threads that the card asks for, confirmed in this job for the group or one by one."""
    if group.condition and (group.id, 0) not in view.conditions:
        lacking = [item for item in range(1, group.count + 1) if (group.id, item) not in view.conditions]
        what = f'thread condition "{group.condition}" is not confirmed'
        yield from _not_recorded(view, group, lacking, "condition-open", what, CONDITION)


def _not_recorded(
    view: JobView, group: Group, lacking: Sequence[int], code: str, what: str, step: str
) -> Iterator[Hold]:
    """A step that some fasteners of a group lack, with the command for all of them, or for the first."""
    if lacking:
        whole = len(lacking) == group.count
        name = group.id.replace("-", " ") if whole else fasteners_name(group.id, lacking)
        target = group.id if whole else f"{group.id}:{lacking[0]}"
        yield Hold(code, f"{_capital(name)}: {what}.", "", f"torquelog step {view.job} {target} {step}")


def _of_group(view: JobView, group: Group) -> Iterator[Hold]:
    by_reason: dict[tuple[str, str, str], list[int]] = {}
    waiting: list[int] = []
    for item in range(1, group.count + 1):
        now = view.states[group.id, item]
        reason = _why(view, group, now)
        if reason:
            by_reason.setdefault(reason, []).append(item)
        if now.waiting:
            waiting.append(item)
    for (code, words, detail), items in by_reason.items():
        name = fasteners_name(group.id, items)
        verb = "is" if len(items) == 1 else "are"
        command = _loosen(view, group, items) if detail == PASSED_OVER else _command(view, group, items, code)
        yield Hold(code, f"{_capital(name)} {verb} {words}.", detail, command)
    for item in waiting:
        for event in view.states[group.id, item].waiting:
            yield _waiting(group, item, event)


def _neighbours(view: JobView, group: Group) -> Iterator[Hold]:
    """What stands beside a failed one and was not looked at since."""
    by_failed: dict[tuple[int, ...], list[int]] = {}
    for item, failed in view.neighbours.get(group.id, {}).items():
        by_failed.setdefault(failed, []).append(item)
    for failed, items in by_failed.items():
        verb = "is" if len(items) == 1 else "are"
        yield Hold(
            "neighbour-open",
            f"{_capital(fasteners_name(group.id, items))} {verb} to be looked at.",
            f"{_capital(fasteners_name(group.id, failed))} beside failed: tighten or check again, or replace.",
            _again(view, group, items),
        )


def _why(view: JobView, group: Group, now: State) -> tuple[str, str, str] | None:
    """Why a fastener is open in this job; an earlier pass behind one that stands is told with what mends it."""
    reason = why_open(now, group)
    if reason is not None and reason[0] == "not-finished" and fastener.passed_over(now, view.job):
        return (*reason[:2], PASSED_OVER)
    return reason


def why_open(now: State, group: Group) -> tuple[str, str, str] | None:
    """Why a fastener is open: a code, what it is ("not tightened"), and a detail; None where it is done."""
    if now.broken:
        return "hardware-open", "to be replaced", ""
    if now.over:
        return (
            "over-torqued",
            "above the limits",
            "Hardware is replaced, or a disposition names its approved data.",
        )
    if now.refused is not None:
        wrench = now.refused.wrench
        return "refused-tool", "not tightened", f"An attempt with {wrench} was refused: loosen first."
    if now.outside is not None:
        again = "Loosen, then tighten again." if now.loosen_first else "Tighten on, up to the limits."
        return "outside", f"{now.outside.what} the limits", again
    open_ones = fastener.open_slots(now, slots(group))
    if not open_ones:
        return None
    if not now.done:
        return "not-tightened", "not tightened", ""
    return "not-finished", f"not finished: {', '.join(slot.name for slot in open_ones)}", ""


PASSED_OVER: Final = "The torque of a later pass stands: loosen it, then begin again."

LEFT_OPEN: Final = frozenset({"hardware-open", "over-torqued", "outside", "refused-tool", "rejected"})
"""What stays with a fastener from job to job until it is answered."""


def left_open(view: JobView) -> list[Hold]:
    """What a new job takes over from earlier ones: rejections, and what was outside, refused or broken."""
    return [hold for hold in holding(view) if hold.code in LEFT_OPEN]


def _command(view: JobView, group: Group, items: list[int], code: str) -> str:
    if code in ("over-torqued", "hardware-open"):
        return f"torquelog replace {view.job} {group.id}:{items[0]}"
    return _again(view, group, items)


def _loosen(view: JobView, group: Group, items: list[int]) -> str:
    return f"torquelog loosen {view.job} {group.id}:{items[0]}"


def _again(view: JobView, group: Group, items: list[int]) -> str:
    return f"torquelog record {group.id}:{items[0]} READING --job {view.job} --wrench WRENCH"


def _waiting(group: Group, item: int, event: fastener.Event) -> Hold:
    why = "An earlier time changed what the wrench was allowed to do."
    return _unconfirmed(group.id, item, event.station, event.number, why)


def _strikes(view: JobView) -> Iterator[Hold]:
    for group, item, station, number in view.strikes_waiting:
        yield _unconfirmed(group, item, station, number, "It takes away what left the fastener open.")


def _unconfirmed(group: str, item: int, station: str, number: int, why: str) -> Hold:
    entry = f"{station}-{number:06d}"
    return Hold(
        "awaits-confirmation",
        f"{_capital(fasteners_name(group, [item]))}: entry {entry} waits for a second person.",
        why,
        f"torquelog confirm {entry} --why REASON",
    )


def _locking(view: JobView, group: Group) -> Iterator[Hold]:
    """Each fastener is locked after it was last tightened; loosening it undoes that."""
    everybody = range(1, group.count + 1)
    for step, words in locking_steps(group).items():
        lacking = [item for item in everybody if step not in view.states[group.id, item].locked]
        yield from _not_recorded(view, group, lacking, "locking-open", f"{words} is not recorded", step)


def not_accepted(view: JobView, group: Group) -> list[int]:
    """The fasteners of a group that wait for an inspection which the card asks for; rejected ones are told apart."""
    if not group.inspection:
        return []
    states = ((item, view.states[group.id, item]) for item in range(1, group.count + 1))
    return [item for item, now in states if now.accepted is None and now.rejected is None]


def _inspection(view: JobView, group: Group) -> Iterator[Hold]:
    """What is not accepted yet, and what was rejected; also where an earlier job left a rejection behind."""
    lacking = not_accepted(view, group)
    if lacking:
        yield _not_inspected(view, group, lacking)
    for item in range(1, group.count + 1):
        rejected = view.states[group.id, item].rejected
        if rejected is not None:
            name = _capital(fasteners_name(group.id, [item]))
            yield Hold(
                "rejected",
                f"{name} was rejected by {rejected.by}: {_stopped(rejected.why)}",
                "An inspector alone lifts that, by accepting it.",
                f"torquelog job inspect {view.job} --item {group.id}:{item}",
            )


def _not_inspected(view: JobView, group: Group, lacking: list[int]) -> Hold:
    whole = len(lacking) == group.count and group.count > 1
    name = f"{group.id.replace('-', ' ')}s" if whole else fasteners_name(group.id, lacking)
    verb = "is" if len(lacking) == 1 else "are"
    workers = sorted(view.performers.get(group.id, ()))
    who = f"{' and '.join(workers)} did the work, so it takes someone else." if workers else ""
    return Hold(
        "inspection-open", f"{_capital(name)} {verb} not inspected.", who, f"torquelog job inspect {view.job}"
    )


def _handed(view: JobView) -> Iterator[Hold]:
    if view.handed is not None:
        giver, taker = view.handed
        yield Hold(
            "hand-over-open",
            f"{giver} handed the job over to {taker}, who has not taken it over.",
            "",
            f"torquelog job take-over {view.job}",
        )


def _checks(view: JobView) -> Iterator[Hold]:
    for check in view.card.checks:
        if check.id not in view.checks:
            yield Hold(
                "check-open",
                f'Operational check "{check.title}" is not recorded.',
                "",
                f"torquelog step {view.job} {check.id}",
            )


TOOL_CLEAR: Final = "tool-clear"
"""The step by which somebody signs that a tool is accounted for and clear of the aircraft, though not returned."""


def _tools(view: JobView) -> Iterator[Hold]:
    for out in view.tools_out:
        if out.tool in view.tools_clear:
            continue
        who = f", with {out.person}" if out.person else ""
        yield Hold(
            "tool-out",
            f"{out.sort.capitalize()} {out.tool} is still issued to this job{who}.",
            "Return it, or sign that it is clear of the aircraft: "
            f"torquelog step {view.job} {TOOL_CLEAR} --value {out.tool}",
            f"torquelog {out.sort} return {out.tool}",
        )


def _parts(view: JobView) -> Iterator[Hold]:
    for part in view.parts_off:
        yield Hold(
            "part-off",
            f"Part {part} came off and is not accounted for.",
            "",
            f"torquelog part on {view.job} {part}",
        )


def _stopped(words: str) -> str:
    """What somebody wrote, as the end of a sentence."""
    return words if words.endswith((".", "!", "?")) else f"{words}."


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
