"""The worksheet of a job: a blank to fill in by hand where no screen is at hand, and how to enter it later."""

from collections.abc import Iterator, Sequence
from typing import Final

from torquelog.book.jobview import JobState
from torquelog.book.opening import Book
from torquelog.facts import custody
from torquelog.facts.card_form import Group
from torquelog.rules.cautions import BEFORE_THESE, cautions
from torquelog.rules.demand import Slot, locking_steps, needs_run_on, slots
from torquelog.sheets.circle import Bolt, bolt_drawing
from torquelog.sheets.group_words import group_pairs, slot_limits, slot_name, step_words
from torquelog.sheets.job_facts import about, job_owner
from torquelog.sheets.model import (
    Block,
    Cell,
    Facts,
    Figure,
    Grid,
    Lines,
    Page,
    Row,
    Section,
    Signatures,
    grid,
)
from torquelog.sheets.origin import AS_OF, DATA_FIRST, RELEASES_NOTHING, origin
from torquelog.sheets.tool_words import cycles_left, where_words
from torquelog.sheets.wording import sentence, short_day
from torquelog.work.job_tools import Draw, job_tools

RUN_ON_FIRST: Final = (
    "Measure the run-on torque first, with the nut nearly down, and add it: the settings here are without it."
)
WRITE: Final = "Write what was set or read, with its unit; then wrench and adapters, time and initials, at each fastener."
OUTSIDE: Final = "A torque outside its limits is written down as it was, never made better."
ON_RECORD: Final = "on record"


def worksheet_sheet(book: Book, name: str, *, adapters: Sequence[str] = ()) -> Page:
    """The worksheet of a job: what is on record already is marked, the rest is blank. Tools issued to the job are among
    those that could be used.

    Args:
        book: the record.
        name: the job.
        adapters: adapters in line, from the wrench outwards, for which the settings are computed.

    Raises:
        TorquelogError: `job-unknown`, `tool-unknown`.
    """
    out = [where.person for _, where in custody.issued(book.connection, job=name) if where.person]
    found = job_tools(book, name, adapters=adapters, person=out[0] if out else "")
    state = found.state
    job, card = state.job, state.card
    draws = {group: each for group, _, each in found.groups}
    return Page(
        title=f"Worksheet, job {job.job}",
        purpose="To be filled in by hand",
        head=(
            ("Task card", f"{card.card}, {card.title}"),
            ("Approved data", card.document),
            ("Revision", f"{card.revision} of {card.date}"),
            *about(book.connection, job),
            ("Adapters reckoned with", " + ".join(adapters) or "none"),
            ("Date", ""),
            ("Sheet, of", ""),
        ),
        safety=(RELEASES_NOTHING, DATA_FIRST, AS_OF),
        sections=(
            *_cautions(state),
            *(_group(book, state, group, draws.get(group.id, ())) for group in card.groups),
            *_checks(state),
            Section("Signatures", (Signatures(("Work performed", "Work inspected", "Entered on record")),)),
            Section("How to enter it", (Lines(tuple(_commands(state)), "commands"),)),
        ),
        foot=origin(book),
    )


def _cautions(state: JobState) -> Iterator[Section]:
    found = (*cautions(state.card.kind, on_aircraft=state.job.aircraft is not None), *state.card.cautions)
    if found:
        yield Section("Before you begin", (Lines((*found, BEFORE_THESE), "caution"),))


def _group(book: Book, state: JobState, group: Group, draws: Sequence[Draw]) -> Section:
    name = sentence(_plural(group))
    blocks: list[Block] = [_scheme(book, state, group), _tools(group, draws)]
    blocks.append(Lines((RUN_ON_FIRST, WRITE, OUTSIDE) if needs_run_on(group) else (WRITE, OUTSIDE)))
    blocks += [_boxes(state, group, slot, name) for slot in slots(group)]
    blocks += _locking(state, group, name)
    blocks += _hardware(group, name)
    blocks += _inspection(state, group, name)
    return Section(f"{name}, {group.count}", tuple(blocks))


def _plural(group: Group) -> str:
    words = group.id.replace("-", " ")
    return words if group.count == 1 else f"{words}s"


def _scheme(book: Book, state: JobState, group: Group) -> Block:
    asked = (("On", job_owner(book.connection, state.job, group)), *group_pairs(group))
    bolts = [Bolt(item, "") for item in range(1, group.count + 1)]
    drawn = bolt_drawing(bolts, group.order if group.ordered else (), _plural(group))
    if drawn is None:
        return Facts(asked)
    turn = "In brackets: the turn of each. " if group.ordered else ""
    return Figure(
        drawn,
        f"Scheme, not to scale, seen from the side that is turned. {turn}Agree where number 1 is before you begin.",
        asked,
    )


def _tools(group: Group, draws: Sequence[Draw]) -> Block:
    """Tools that reach every setting of the group, and what to set for each step or pass."""
    asked = [slot for slot in slots(group) if slot.spec is not None]
    if not draws:
        return Lines(("No wrench on record that may be used reaches every setting of these.",))
    titles = "|".join(
        ("=Wrench", "Where", "=Due", *(f"=Set: {slot_name(slot)}" for slot in asked), ">Cycles left")
    )
    return grid(
        f"Wrenches that could be drawn for {_plural(group)}",
        titles,
        [_tool_row(each) for each in draws[:MOST_TOOLS]],
    )


MOST_TOOLS: Final = 6


def _tool_row(draw: Draw) -> Row:
    fit = draw.able.fitness
    dials = [Cell(str(each.dial)) if each.dial else Cell("no mark inside") for each in draw.settings]
    return (
        Cell(draw.able.tool.tool),
        Cell(where_words(draw.able.tool, draw.able.where)),
        Cell(short_day(fit.due) if fit.due else "no due date"),
        *dials,
        Cell(cycles_left(draw.able.tool, fit)),
    )


def _boxes(state: JobState, group: Group, slot: Slot, name: str) -> Grid:
    """A table to fill in for one step or pass, in the card's order."""
    torque = slot.spec is not None
    run_on = needs_run_on(group) and torque
    titles = [
        "Turn",
        "No.",
        *(["Run-on torque, tool"] if run_on else []),
        *(["Set or read, unit"] if torque else ["Done"]),
    ]
    titles += ["Wrench, adapters"] if torque else []
    caption = f"{name}, {slot_name(slot).lower()}: {slot_limits(slot)}"
    if slot.step:
        step = group.step(slot.step)
        caption += f"; {step_words(step)}" if step and step_words(step) else ""
    rows = []
    for turn, item in enumerate(group.order, 1):
        done = slot.key in state.view.states[group.id, item].done
        boxes = [Cell() for _ in titles[2:]]
        boxes[1 if run_on else 0] = Cell(ON_RECORD if done else "")
        rows.append((Cell(str(turn)), Cell(str(item)), *boxes, Cell(), Cell()))
    return grid(caption, "|".join((*titles, "Time", "Initials")), rows, blank=True)


def _locking(state: JobState, group: Group, name: str) -> Iterator[Block]:
    named = locking_steps(group)
    if named:
        everybody = range(1, group.count + 1)
        rows: list[Row] = []
        for step, words in named.items():
            done = all(step in state.view.states[group.id, item].locked for item in everybody)
            rows.append(
                (
                    Cell(sentence(words)),
                    Cell("1" if group.count == 1 else f"1 to {group.count}"),
                    Cell(ON_RECORD if done else ""),
                    Cell(),
                    Cell(),
                )
            )
        yield grid(f"{name}: locking", "What|Fasteners|Done|Time|Initials", rows, blank=True)


def _hardware(group: Group, name: str) -> Iterator[Block]:
    if group.hardware:
        rows = [
            (
                Cell(each.part, each.name),
                Cell("" if each.lot else "-"),
                Cell("" if each.serial else "-"),
                Cell(),
                Cell(),
            )
            for each in group.hardware
        ]
        yield grid(f"{name}: parts fitted", "Part|Lot|Serial number|Time|Initials", rows, blank=True)


def _inspection(state: JobState, group: Group, name: str) -> Iterator[Block]:
    """Boxes for the inspector where the card asks for an inspection: fastener by fastener, wrenches read blind."""
    if group.inspection:
        rows = [
            (
                Cell(str(item)),
                Cell(ON_RECORD if state.view.states[group.id, item].accepted else ""),
                *(Cell(),) * 4,
            )
            for item in range(1, group.count + 1)
        ]
        caption = f"{name}: {group.inspection} inspection, by somebody who did none of this work"
        yield grid(
            caption, "No.|Accepted or rejected|What was found|Wrench read|Time|Stamp", rows, blank=True
        )


def _checks(state: JobState) -> Iterator[Section]:
    if state.card.checks:
        rows = [
            (Cell(each.title), Cell(ON_RECORD if each.id in state.view.checks else ""), Cell(), Cell())
            for each in state.card.checks
        ]
        table = grid(
            "Operational checks", "What is to be shown|Seen or measured|Time|Initials", rows, blank=True
        )
        yield Section("Checks", (table,))


def _commands(state: JobState) -> Iterator[str]:
    """How to enter what was written; words in capitals are to be replaced."""
    job = state.job.job
    for group in state.card.groups:
        run_on = ' --run-on "TORQUE" --run-on-wrench WRENCH' if needs_run_on(group) else ""
        yield (
            f'torquelog record {group.id}:NUMBER "TORQUE" --job {job} --wrench WRENCH --adapter ADAPTER{run_on} '
            '--by INITIALS --at "DATE TIME" --why "written on a worksheet"'
        )
        for step in locking_steps(group):
            yield f"torquelog step {job} {group.id} {step}"
    for check in state.card.checks:
        yield f"torquelog step {job} {check.id}"
    yield f"torquelog job show {job}"
