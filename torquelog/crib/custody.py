"""Where tools go: issued, returned, sent away, received back, retired. Several tools at once are one act: all or none."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, offset_text
from torquelog.crib.calibration import accept_in, newest_waiting, not_acceptable
from torquelog.errors import TorquelogError
from torquelog.facts import custody, people
from torquelog.facts.calibrations import Calibration
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Tool
from torquelog.rules.fitness import Fitness


class Moved(NamedTuple):
    """One tool that went somewhere.

    Attributes:
        tool: the tool.
        before, after: where it was, and where it is now.
        fitness: how fit it is now.
        reference: the entry, or "" where only a certificate was accepted.
        accepted: the certificate accepted with it, or nothing.
        not_accepted: why a waiting certificate was not accepted, as code and sentence, or nothing.
    """

    tool: Tool
    before: Whereabouts
    after: Whereabouts
    fitness: Fitness
    reference: str
    accepted: Calibration | None = None
    not_accepted: tuple[str, str] | None = None


class Unfit(NamedTuple):
    """A tool that was not issued, with the judgement that says why."""

    tool: Tool
    fitness: Fitness


class Issue(NamedTuple):
    """An issue: the tools handed out, or, where one of them is unfit, none of them and which are unfit."""

    moved: tuple[Moved, ...]
    unfit: tuple[Unfit, ...]
    now: Moment


def issue(
    book: Book, signer: Signer, names: Sequence[str], to: str, *, job: str = "", sort: str = ""
) -> Issue:
    """Hand tools out to a person or a place. One unfit tool holds all of them back; nothing is written then.

    Args:
        book, signer: where, and who signs (crib).
        names: the tools' numbers.
        to: a person's id, else a place in words.
        job: the job they are for, or "" for any.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `tool-out` for a tool that somebody else has.
    """
    with writing(book) as w:
        now = w.time()
        found = _tools(w, names, sort)
        person = to.upper() if people.person(w.connection, to.upper()) else ""
        for tool in found:
            _demand_in(w, tool)
        fits = [fitness_at(w.connection, book, tool, now, person=person, job=job) for tool in found]
        unfit = tuple(Unfit(*pair) for pair in zip(found, fits, strict=True) if pair[1].grounds)
        if unfit:
            return Issue((), unfit, now)
        where = {"person": person} if person else {"place": to}
        body = {"act": "issue"} | where | ({"job": job} if job else {})
        moved = tuple(_move(w, book, signer, tool, body) for tool in found)
        return Issue(moved, (), now)


def give_back(
    book: Book, signer: Signer, names: Sequence[str], *, uses: int = 0, place: str = "", sort: str = ""
) -> tuple[Moved, ...]:
    """Take tools back into the crib.

    Args:
        book, signer: where, and who signs (crib).
        names: the tools' numbers.
        uses: actuations while each was out that are not on record here; they count as cycles.
        place: where it is put, or "" for its own place.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `tool-not-out`, `tool-away`, `tool-retired`.
    """
    with writing(book) as w:
        moved = []
        for tool in _tools(w, names, sort):
            _demand_out(w, tool)
            body = {"act": "return"} | _told(place=place, uses=str(uses) if uses else "")
            moved.append(_move(w, book, signer, tool, body))
        return tuple(moved)


def send(
    book: Book, signer: Signer, names: Sequence[str], *, to: str, why: str = "", at: Moment | None = None, sort: str = ""
) -> tuple[Moved, ...]:  # fmt: skip
    """Send tools away, to a laboratory or another station; they may not be used until received back.

    Raises:
        TorquelogError: `tool-unknown`, `tool-away`, `tool-retired`, `in-the-future`.
    """
    with writing(book) as w:
        moved = []
        for tool in _tools(w, names, sort):
            _demand_not(w, tool, "away", "retired")
            body = {"act": "send"} | _told(place=to, why=why, at=_time(w, book, at))
            moved.append(_move(w, book, signer, tool, body))
        return tuple(moved)


def receive(
    book: Book, signer: Signer, names: Sequence[str], *, why: str = "", at: Moment | None = None, sort: str = ""
) -> tuple[Moved, ...]:  # fmt: skip
    """Take tools back that were away, and accept the newest certificate of each: fit from this moment.

    A certificate that leaves a tool outside its accuracy, or does not say how it was left, is not accepted; the tool
    is received all the same.

    Args:
        book, signer: where, and who signs: crib; where no tool was away, quality may accept as well.
        names: the tools' numbers.
        why: a reason, or "".
        at: when they came back; whatever is told, they are fit from now on only.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `nothing-to-receive`, `tool-retired`, `in-the-future`; where
            it was not away, also `as-left-failed` and `as-left-missing`.
    """
    with writing(book) as w:
        return tuple(_receive(w, book, signer, tool, why, at) for tool in _tools(w, names, sort))


def retire(
    book: Book, signer: Signer, names: Sequence[str], *, why: str, at: Moment | None = None, sort: str = ""
) -> tuple[Moved, ...]:  # fmt: skip
    """Take tools out of use for good.

    Raises:
        TorquelogError: `tool-unknown`, `tool-retired`, `in-the-future`.
    """
    with writing(book) as w:
        moved = []
        for tool in _tools(w, names, sort):
            _demand_not(w, tool, "retired")
            body = {"act": "retire"} | _told(why=why, at=_time(w, book, at))
            moved.append(_move(w, book, signer, tool, body))
        return tuple(moved)


def _receive(w: Writing, book: Book, signer: Signer, tool: Tool, why: str, at: Moment | None) -> Moved:
    where = _demand_not(w, tool, "retired")
    waiting = newest_waiting(w, book, tool)
    if where.kind != "away" and waiting is None:
        raise TorquelogError(
            "nothing-to-receive",
            f"{tool.tool} was not away, and no certificate of it waits to be accepted.",
            hint=f"torquelog {tool.sort} show {tool.tool}",
        )
    refusal = not_acceptable(tool, waiting) if waiting else None
    if refusal is not None and where.kind != "away":
        raise refusal
    if waiting is not None and refusal is None:
        accept_in(w, signer, tool, waiting)
    body = {"act": "receive"} | _told(why=why, at=_time(w, book, at))
    moved = _move(w, book, signer, tool, body if where.kind == "away" else None)
    said = (refusal.code, refusal.what) if refusal else None
    return moved._replace(accepted=None if said else waiting, not_accepted=said)


def _tools(w: Writing, names: Sequence[str], sort: str) -> list[Tool]:
    """Each tool once, in the order named."""
    found = {tool.tool: tool for tool in (tool_named(w.connection, name, sort) for name in names)}
    return list(found.values())


def _move(w: Writing, book: Book, signer: Signer, tool: Tool, body: dict[str, Any] | None) -> Moved:
    """Write an act of custody, if there is one, and say how things stand after it."""
    before = custody.whereabouts(w.connection, tool.tool)
    written = w.append(signer, "custody", {"tool": tool.tool, **body}).reference if body else ""
    after = custody.whereabouts(w.connection, tool.tool)
    return Moved(tool, before, after, fitness_at(w.connection, book, tool, w.time()), written)


def _told(**members: str) -> dict[str, str]:
    return {name: text for name, text in members.items() if text}


def _time(w: Writing, book: Book, at: Moment | None) -> str:
    """An earlier time as a body holds it, "" for now; raises `in-the-future`."""
    return "" if at is None else offset_text(earlier(w, at), book.zone)


def earlier(w: Writing, at: Moment) -> Moment:
    """The time told, which is not later than now; raises `in-the-future`."""
    if at > w.time():
        raise TorquelogError("in-the-future", "That time is later than now. Nothing was recorded.")
    return at


def _demand_in(w: Writing, tool: Tool) -> None:
    """A tool that is out already is not issued again; away and retired are grounds of the judgement."""
    where = custody.whereabouts(w.connection, tool.tool)
    if where.kind in ("person", "place"):
        raise TorquelogError(
            "tool-out",
            f"{tool.tool} is out already, {holder(where)}. Nothing was issued.",
            hint=f"torquelog {tool.sort} return {tool.tool}",
        )


def _demand_out(w: Writing, tool: Tool) -> None:
    where = _demand_not(w, tool, "away", "retired")
    if where.kind == "crib":
        raise TorquelogError(
            "tool-not-out", f"{tool.tool} is in the crib already. Nothing was recorded.",
            hint=f"torquelog {tool.sort} show {tool.tool}",
        )  # fmt: skip


def _demand_not(w: Writing, tool: Tool, *kinds: str) -> Whereabouts:
    where = custody.whereabouts(w.connection, tool.tool)
    if where.kind in kinds:
        code, words, hint = _WRONG[where.kind](tool, where)
        raise TorquelogError(code, f"{words} Nothing was recorded.", hint=hint)
    return where


_WRONG: dict[str, Callable[[Tool, Whereabouts], tuple[str, str, str]]] = {
    "away": lambda tool, where: (
        "tool-away",
        f"{tool.tool} was sent to {where.place or 'somewhere'} and is not received back.",
        f"torquelog {tool.sort} receive {tool.tool}",
    ),
    "retired": lambda tool, where: ("tool-retired", f"{tool.tool} is retired.", ""),
}


def holder(where: Whereabouts) -> str:
    """Who or what place has a tool that is out: "with TK for J-118", "at the wheel shop"."""
    who = f"with {where.person}" if where.kind == "person" else f"at {where.place}"
    return who + (f" for {where.job}" if where.job else "")
