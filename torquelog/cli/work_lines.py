"""The guided session as lines, for a log, a script or a screen reader: one line a reading, nothing drawn."""

from collections.abc import Iterator

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json
from torquelog.cli.text import padded
from torquelog.cli.work_words import Shown, part_of, say, slot_words
from torquelog.errors import MISUSE
from torquelog.rules.names import fastener_name
from torquelog.work.plan import progress
from torquelog.work.session_question import Question
from torquelog.work.session_state import Last, Session, group_of
from torquelog.work.session_words import NOTHING, limits_words

EXITS = {"within": 0, "below": 4, "above": 4, "refused": 3}


def since(before: Session, after: Session) -> Iterator[str]:
    """What a line brought: its readings, one line each, and what is to be read about it."""
    for last in after.history[len(before.history) :]:
        yield reading_line(last) + so_far(after)
    yield from after.said


def reading_line(last: Last) -> str:
    """A reading that is on record, without how far the job is."""
    name = fastener_name(last.group, 0).rpartition(" ")[0]
    cells = (
        f"{name} {last.item:>2}", padded(str(last.indicated), 12), padded(last.applied, 10),
        padded(last.outcome, 8), padded(last.entry, 11),
    )  # fmt: skip
    return "   ".join(cells)


def so_far(after: Session) -> str:
    """How far the job is, as it stands behind a reading."""
    taken, every = progress(after.facts)
    return f"   {taken} of {every}"


def heading(session: Session, asked: Question) -> str:
    """The line at the beginning of a pass: what to set, and the limits; nothing where no reading is asked for."""
    target, aimed, bench = asked.target, asked.aim, session.bench
    if (
        asked.kind not in ("reading", "setting")
        or target is None
        or target.slot is None
        or not aimed
        or not bench
    ):
        return ""
    group = group_of(session, target.group)
    what = f"set {aimed.dial}" if bench.clicks else "read the dial"
    return f"{slot_words(group, target.slot)}: {what}, at the {part_of(group)} {limits_words(aimed)}"


def asking(session: Session, asked: Question) -> tuple[list[str], str]:
    """The lines before a prompt that is no fastener's, and the prompt."""
    shown: Shown = say(session, asked)
    if asked.kind == "reading":
        return [], shown.prompt
    told = [*([shown.large] if shown.large and asked.kind != "setting" else [])]
    told += [line for line in shown.beside if line] if asked.kind != "setting" else []
    if asked.kind == "hurt":
        told += [f"  {key}  {what}" for key, what in shown.keys]
    return told, shown.prompt


def answer_to(before: Session, after: Session, asked: Question) -> Answer:
    """The envelope of one line: what it brought, and what is asked next."""
    readings: list[Json] = [
        {
            "fastener": f"{last.group}:{last.item}", "slot": last.slot, "entry": last.entry, "act": last.act,
            "indicated": {"value": last.indicated.value, "unit": last.indicated.unit}, "outcome": last.outcome,
        }
        for last in after.history[len(before.history) :]
    ]  # fmt: skip
    target = asked.target
    taken, every = progress(after.facts)
    data: dict[str, Json] = {
        "readings": readings,
        "said": list(after.said),
        "asks": asked.kind,
        "fastener": f"{target.group}:{target.item}" if target and target.item else None,
        "step": target.name if target and not target.item else None,
        "progress": {"taken": taken, "asked": every},
    }
    return Answer(data=data, exit=exit_of(before, after))


def exit_of(before: Session, after: Session) -> int:
    """The exit status of one line, from the readings that it brought; 2 where nothing could be made of it."""
    found = [EXITS[last.outcome] for last in after.history[len(before.history) :]]
    if not found and any(NOTHING in sentence for sentence in after.said):
        return MISUSE
    return max(found, key=lambda status: (status == 3, status), default=0)


def slot_heading(session: Session, asked: Question) -> tuple[str, str]:
    """What tells one round from the next, so that its heading is said once."""
    target = asked.target
    if target is None or target.slot is None:
        return "", ""
    return target.group, words.sentence(target.slot.name)
