"""The guided session on a screen: 80 columns with the fasteners as pairs in tightening order, or 40 for a handheld.

Lines of plain text; nothing here writes, clears or colours.
"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from torquelog.cli import words
from torquelog.cli.text import columns, padded, wrapped
from torquelog.cli.work_words import Shown, place_words, say, slot_words
from torquelog.facts.card_form import Group
from torquelog.rules.demand import Slot, slots
from torquelog.work.plan import Target, is_hurt, job_that_tightens, progress, rows
from torquelog.work.session_question import Question
from torquelog.work.session_state import Session, group_of, state_of
from torquelog.work.session_words import limits_words, line_words

NARROW: Final = 60
"""Columns below which the screen of a handheld is shown."""

MOST_ROWS: Final = 12
LONG: Final = 8
"""Sentences beyond which they stand alone, without the fasteners: the list of keys."""

BELOW: Final = 2
"""Lines below the screen: a blank one and the prompt."""

LEGEND: Final = "    = done   . open   > now   ! outside   - left out   * somebody else"
IN_A_ROW: Final = 6


class Head(NamedTuple):
    """What stands at the top: the job, what it is about, the time of day."""

    job: str
    about: str
    time: str


def screen(head: Head, session: Session, asked: Question, width: int, height: int = 24) -> list[str]:
    """The lines of the screen at a question, the prompt left out.

    Args:
        head: what stands at the top.
        session, asked: as it stands, and what is asked.
        width: columns; a line is never longer.
        height: lines, prompt included; where they are too few, what can be spared is left out.
    """
    every = _screen(head, session, asked, width)
    for spared in _SPARED:
        if len(every) + BELOW <= height:
            break
        every = spared(every)
    over = len(every) + BELOW - height
    return every[:2] + every[2 + over :] if over > 0 else every


def _screen(head: Head, session: Session, asked: Question, width: int) -> list[str]:
    narrow = width < NARROW
    shown = say(session, asked)
    if len(session.said) > LONG:
        told = [_short(line) for line in session.said] if narrow else session.said
        return [_apart(head.job, head.time, width), "-" * width, *_pieces(told, width)]
    lines = list(
        _narrow(head, session, asked, shown, width) if narrow else _wide(head, session, asked, shown, width)
    )
    lines += ["", *_below(session, shown, narrow)]
    return _pieces(lines, width)


def _short(line: str) -> str:
    """A line of the list of keys without what only explains it."""
    for sign in ("; ", ": ", " (", ", and "):
        line = line.partition(sign)[0]
    return line


def _pieces(lines: Sequence[str], width: int) -> list[str]:
    return [piece for line in lines for piece in wrapped(line, width)]


def _without_legend(lines: list[str]) -> list[str]:
    if LEGEND not in lines:
        return lines
    at = lines.index(LEGEND)
    return lines[: at - 1] + lines[at + 1 :]


def _without_blanks(lines: list[str]) -> list[str]:
    return [line for line in lines if line]


_SPARED: Final = (_without_legend, _without_blanks)

# The marks


def mark(session: Session, place: tuple[str, int], slot: Slot | None, now: tuple[str, int] | None) -> str:
    """One sign that says how a fastener stands at this pass or step."""
    state = state_of(session, place)
    tightens = job_that_tightens(session.job, group_of(session, place[0]))
    if place == now:
        return ">"
    if is_hurt(state, tightens, place in session.tolerated):
        return "!"
    if slot is None or slot.key in state.done:
        return "="
    if (*place, "") in session.left or place in session.left_out:
        return "-"
    return "*" if place in session.others else "."


def _now(asked: Question) -> tuple[str, int] | None:
    return asked.target.place if asked.target is not None and asked.target.item else None


def _slot(asked: Question, group: Group) -> Slot:
    return asked.target.slot if asked.target is not None and asked.target.slot else slots(group)[-1]


# 80 columns


def _wide(head: Head, session: Session, asked: Question, shown: Shown, width: int) -> Iterator[str]:
    yield _heading(head, session, asked, width)
    yield "-" * width
    group = _group(session, asked)
    texts = [*([shown.large] if shown.large else []), *shown.beside]
    if group is None:
        yield from (f"    {text}" for text in texts)
        return
    board = _board(session, asked, group)
    room = max((columns(line) for line in board), default=0) + 4
    folded = [piece for text in texts for piece in wrapped(text, width - room)]
    for number in range(max(len(board), len(folded))):
        left = board[number] if number < len(board) else ""
        right = folded[number] if number < len(folded) else ""
        yield (padded(left, room) + right).rstrip()
    if group.count > 1:
        yield ""
        yield LEGEND


def _heading(head: Head, session: Session, asked: Question, width: int) -> str:
    group = _group(session, asked)
    slot = slot_words(group, asked.target.slot) if group and asked.target and asked.target.slot else ""
    left = "   ".join(part for part in (head.job, head.about, slot) if part)
    bench = session.bench.wrench.tool if session.bench else ""
    right = "   ".join(part for part in (session.person, bench, head.time) if part)
    gap = width - columns(left) - columns(right)
    return f"{left}{' ' * gap}{right}" if gap > 1 else left


def _group(session: Session, asked: Question) -> Group | None:
    return group_of(session, asked.target.group) if asked.target is not None and asked.target.group else None


def _board(session: Session, asked: Question, group: Group) -> list[str]:
    """The fasteners in rows, in tightening order; of many only those around the one that is asked for."""
    if group.count == 1:
        return []
    slot, now = _slot(asked, group), _now(asked)
    every = rows(group.order, group.ordered)
    lines = ["".join(_cell(session, group, item, slot, now) for item in row) for row in every]
    at = next((number for number, row in enumerate(every) if now is not None and now[1] in row), 0)
    first = max(0, min(at - MOST_ROWS // 2, len(lines) - MOST_ROWS))
    return lines[first : first + MOST_ROWS]


def _cell(session: Session, group: Group, item: int, slot: Slot, now: tuple[str, int] | None) -> str:
    return f"{item:>5} {mark(session, (group.id, item), slot, now)}"


# 40 columns


def _narrow(head: Head, session: Session, asked: Question, shown: Shown, width: int) -> Iterator[str]:
    group = _group(session, asked)
    target = asked.target
    slot = slot_words(group, target.slot).partition(",")[0] if group and target and target.slot else ""
    yield _apart(f"{head.job} {_serial(head.about)}", f"{slot}  {head.time}".strip(), width)
    yield "-" * width
    if group is None or target is None:
        yield from ([shown.large] if shown.large else [])
        yield from shown.beside
        return
    yield from _narrow_text(session, asked, shown, target, width)
    yield from _grid(session, asked, group, width)


def _serial(about: str) -> str:
    """What a job is about, as short as it can be said: the serial number, or the aircraft."""
    return about.removesuffix(", on the bench").rpartition(", ")[2].rpartition(" ")[2]


def _narrow_text(
    session: Session, asked: Question, shown: Shown, target: Target, width: int
) -> Iterator[str]:
    taken, every = progress(session.facts)
    if asked.kind not in ("reading", "slip") or asked.aim is None or session.bench is None:
        yield from ([shown.large] if shown.large else [])
        yield from shown.beside
        return
    yield _apart(place_words(session, target), f"{min(taken + 1, every)} of {every}", width)
    yield _apart(shown.large, session.bench.wrench.tool, width)
    yield f"Limits {limits_words(asked.aim)}, {line_words(session.bench)}"
    yield from (line for line in shown.beside if line.startswith(("Turn ", "run-on", "from there")))


def _apart(left: str, right: str, width: int) -> str:
    """Two texts at the ends of a line; below each other where there is no room."""
    gap = width - columns(left) - columns(right)
    return f"{left}{' ' * gap}{right}" if gap > 0 else left


def _grid(session: Session, asked: Question, group: Group, width: int) -> Iterator[str]:
    """The fasteners as they are numbered, six in a row."""
    if group.count == 1:
        return
    slot, now = _slot(asked, group), _now(asked)
    fit = max(1, min(IN_A_ROW, width // IN_A_ROW))
    every = [range(first, min(first + fit, group.count + 1)) for first in range(1, group.count + 1, fit)]
    at = next((number for number, row in enumerate(every) if now is not None and now[1] in row), 0)
    first = max(0, min(at - 2, len(every) - 5))
    yield ""
    for row in every[first : first + 5]:
        yield "".join(f"{item:>2} {mark(session, (group.id, item), slot, now)}  " for item in row).rstrip()


# Below


def _below(session: Session, shown: Shown, narrow: bool) -> Iterator[str]:
    """What is to be read about the last line; else what can be typed."""
    indent = "" if narrow else "    "
    if narrow and session.history and not session.said:
        last = session.history[-1]
        yield f"Last  {words.group(last.group)} {last.item}  {last.applied}  {last.outcome}"
    yield from (f"{indent}{sentence}" for sentence in session.said)
    if session.said and shown.keys:
        yield ""
    yield from (f"{indent}{line}" for line in _key_lines(shown.keys, narrow))


def _key_lines(keys: Sequence[tuple[str, str]], narrow: bool) -> Iterator[str]:
    if narrow and keys and keys[0][0] == "Enter" and keys[-1][0] == "?":
        yield f"Enter: {keys[0][1]}"
        yield "A number: what was set.  ? other keys"
        return
    wide = max((len(key) for key, _ in keys), default=0) + (2 if narrow else 3)
    yield from (f"{padded(key, wide)}{what}" for key, what in keys)
