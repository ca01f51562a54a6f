"""The sheet of a job: every fastener with what it got, by what and by whom, and what is still open."""

from collections.abc import Iterator

from torquelog.book.opening import Book
from torquelog.facts.card_form import Group
from torquelog.rules.closing import why_open
from torquelog.rules.sayings import own_confirmation
from torquelog.sheets.circle import Bolt, bolt_drawing
from torquelog.sheets.group_words import group_pairs, step_words
from torquelog.sheets.job_done import done_sections
from torquelog.sheets.job_facts import JobFacts, Told, job_facts, job_owner
from torquelog.sheets.job_rows import OTHER_TITLES, STANDING_TITLES, applied_words, other_row, standing_row
from torquelog.sheets.model import Block, Facts, Figure, Lines, Page, Row, Section, Signatures, grid
from torquelog.sheets.origin import AS_OF, DATA_FIRST, RELEASES_NOTHING, origin
from torquelog.sheets.wording import city, count, day_and_time, sentence

SIGNS = "Signs: “=” done; “.” open; “!” outside its limits or refused; “-” struck, it does not count."
OWN_APPROVAL = "The drafter approved this card, as nobody else could."


def job_sheet(book: Book, name: str) -> Page:
    """The sheet of a job as it stands now.

    Args:
        book: the record.
        name: the job.

    Raises:
        TorquelogError: `job-unknown`.
    """
    facts = job_facts(book, name)
    groups = [_group(book, facts, group) for group in facts.state.card.groups]
    closing = Section("Signatures", (Signatures(("Work performed", "Work inspected", "Sheet checked")),))
    return Page(
        title=f"Job {facts.state.job.job}",
        purpose="Record of tightening",
        head=tuple(_head(book, facts)),
        safety=tuple(_safety(facts)),
        sections=(_open(facts), *groups, *done_sections(book, facts), closing),
        foot=origin(book),
    )


def _head(book: Book, facts: JobFacts) -> Iterator[tuple[str, str]]:
    job, card = facts.state.job, facts.state.card
    yield "Task card", f"{card.card}, {card.title}"
    yield "Approved data", card.document
    yield "Revision", f"{card.revision} of {card.date}"
    yield from facts.about
    yield "State", _state(book, facts)
    yield "Opened", f"{day_and_time(job.opened, book.zone)} by {job.opened_by}, entry {job.reference}"
    if facts.approval is not None:
        yield "Card approved", f"{day_and_time(facts.approval.at, book.zone)} by {facts.approval.approver}"
    yield "Digest of the card", card.digest[:16]
    yield "All times", city(book.zone)


def _state(book: Book, facts: JobFacts) -> str:
    job = facts.state.job
    if job.closed is not None:
        return f"closed {day_and_time(job.closed, book.zone)}"
    return f"open, {facts.state.taken} of {count(facts.state.asked, 'torque')} done"


def _safety(facts: JobFacts) -> Iterator[str]:
    yield RELEASES_NOTHING
    yield DATA_FIRST
    yield AS_OF
    if facts.approval is not None and facts.approval.own:
        yield OWN_APPROVAL
    yield from (own_confirmation(*each) for each in facts.own_confirmed)


def _open(facts: JobFacts) -> Section:
    holds = tuple(f"{each.text} {each.detail}".strip() for each in facts.state.holds)
    if holds:
        return Section("What is open", (Lines(holds, "list"),))
    return Section("What is open", (Lines(("Nothing that its card asks for is open.",)),))


def _group(book: Book, facts: JobFacts, group: Group) -> Section:
    mine = [each for each in facts.readings if each.reading.group == group.id]
    by_entry = {(each.reading.station, each.reading.number): each for each in mine}
    standing = [_standing(facts, group, item, by_entry) for item in range(1, group.count + 1)]
    asked = (("On", job_owner(book.connection, facts.state.job, group)), *group_pairs(group))
    blocks: list[Block] = list(_figure(facts, group, standing, asked))
    blocks += [Lines(tuple(_steps(group)), "list")] if group.steps else []
    rows = [standing_row(book, facts, group, item, told) for item, told in enumerate(standing, 1)]
    blocks += [
        grid(
            f"{sentence(_plural(group))} as {'it stands' if group.count == 1 else 'they stand'}",
            STANDING_TITLES,
            rows,
        ),
        Lines((SIGNS,)),
    ]
    shown = {(each.reading.station, each.reading.number) for each in standing if each is not None}
    rest: list[Row] = [other_row(book, each) for key, each in by_entry.items() if key not in shown]
    if rest:
        caption = f"{sentence(_plural(group))}: earlier passes, checks, refused and struck entries"
        blocks.append(grid(caption, OTHER_TITLES, rest))
    return Section(f"{sentence(_plural(group))}, {group.count}", tuple(blocks))


def _plural(group: Group) -> str:
    words = group.id.replace("-", " ")
    return words if group.count == 1 else f"{words}s"


def _steps(group: Group) -> Iterator[str]:
    for number, step in enumerate(group.steps, 1):
        torque = f"torque {step.spec.text}" if step.spec is not None else ""
        told = ", ".join(part for part in (torque, step_words(step)) if part)
        yield f"Step {number}, {step.id.replace('-', ' ')}{f': {told}' if told else ''}"


def _standing(facts: JobFacts, group: Group, item: int, by_entry: dict[tuple[str, int], Told]) -> Told | None:
    """The reading that speaks for a fastener: whose torque stands, else the one that left it outside or was refused."""
    now = facts.state.view.states[group.id, item]
    for event in (now.governing, now.outside, now.refused):
        if event is not None and (event.station, event.number) in by_entry:
            return by_entry[event.station, event.number]
    return None


def _figure(
    facts: JobFacts, group: Group, standing: list[Told | None], asked: tuple[tuple[str, str], ...]
) -> Iterator[Block]:
    """What the card asks of a group, with its fasteners drawn where there are neither too few nor too many."""
    bolts = [_bolt(facts, group, item, told) for item, told in enumerate(standing, 1)]
    drawn = bolt_drawing(bolts, group.order if group.ordered else (), _plural(group))
    if drawn is None:
        yield Facts(asked)
        return
    caption = (
        "Scheme, not to scale, seen from the side that is turned. "
        + ("In brackets: the turn of each. " if group.ordered else "")
        + "Filled: done. Dashed: open. Crossed: outside its limits, or rejected. Beside each: the torque at the fastener."
    )
    yield Figure(drawn, caption, asked)


def _bolt(facts: JobFacts, group: Group, item: int, told: Told | None) -> Bolt:
    now = facts.state.view.states[group.id, item]
    reason = why_open(now, group)
    text = applied_words(told) if told is not None and told.reading.outcome != "refused" else ""
    if now.rejected is not None:
        return Bolt(item, "outside", text)
    if reason is None:
        return Bolt(item, "done", text)
    return Bolt(item, "outside" if now.outside is not None or now.broken or now.over else "open", text)
