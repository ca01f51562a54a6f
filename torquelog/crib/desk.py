"""The crib's counter as a machine: a person and a tool make an issue, a tool that is out makes a return.

Pure: a state and what a line names give a state and effects. Two scans hand a tool out; a return is recorded once it
was asked whether anything is wrong, and a scan never answers that.
"""

from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Tool

STAYS: Final[Moment] = 2 * 60_000
"""Milliseconds for which somebody counts as standing at the counter without anything being scanned."""

WHAT: Final = {"d": "dropped", "o": "overloaded", "m": "damaged"}


class Named(NamedTuple):
    """What a line names, as it was looked up.

    Attributes:
        kind: `person`, `tool`, `job`, `garbled` (a scan that cannot be read), or `nothing`.
        name: the identifier; text: the person's full name, or what was typed.
        tool, where: of a tool, and where the record has it.
        scanned: whether it was scanned rather than typed.
    """

    kind: str
    name: str = ""
    text: str = ""
    tool: Tool | None = None
    where: Whereabouts | None = None
    scanned: bool = False


class Issue(NamedTuple):
    """Hand a tool out to a person, for a job or for any ("")."""

    tool: Tool
    person: str
    job: str


class GiveBack(NamedTuple):
    """Take a tool back that somebody has."""

    tool: Tool
    where: Whereabouts


class Report(NamedTuple):
    """Report what befell a tool: dropped, overloaded or damaged."""

    tool: Tool
    what: str


class ShowPerson(NamedTuple):
    """Say what a person has."""

    person: str
    name: str


class ShowOut(NamedTuple):
    """Say what is out."""


Effect = Issue | GiveBack | Report | ShowPerson | ShowOut


class Returning(NamedTuple):
    """A tool that comes back, and what is asked about it: `wrong` (is anything?), then `what`."""

    tool: Tool
    where: Whereabouts
    asks: str = "wrong"


class Desk(NamedTuple):
    """The counter.

    Attributes:
        person: who stands there, or ""; seen: when somebody was last busy with them.
        job: the job that tools are issued for, or "".
        returning: the tool that comes back, while something is asked about it.
        said: what is to be read about the last line.
        ended: whether the crib has stopped.
    """

    person: str = ""
    seen: Moment = 0
    job: str = ""
    returning: Returning | None = None
    said: tuple[str, ...] = ()
    ended: bool = False


class Turn(NamedTuple):
    """What a line brought: the counter after it, and what it wants done."""

    desk: Desk
    effects: tuple[Effect, ...] = ()


def prompt(desk: Desk) -> str:
    """What stands before the cursor."""
    if desk.returning is None:
        return f"{desk.person} > " if desk.person else "> "
    tool = desk.returning.tool.tool
    if desk.returning.asks == "wrong":
        return f"{tool} back from {whose(desk.returning.where)}. Dropped, or anything wrong? y/n: "
    return "Was it (d)ropped, (o)verloaded or da(m)aged? "


def whose(where: Whereabouts) -> str:
    """Who has a tool, or where it lies."""
    return where.person or where.place or "somebody"


def take(desk: Desk, line: str, named: Named, now: Moment) -> Turn:
    """What a line brings.

    Args:
        desk: as it stands.
        line: what was typed or scanned.
        named: what it names.
        now: when it was read, in milliseconds since 1970 UTC.
    """
    fresh = _alone_again(desk, now)._replace(said=())
    if line.strip().lower() == "q":
        return Turn(fresh._replace(ended=True))
    if fresh.returning is not None:
        return _answered(fresh, fresh.returning, line.strip().lower(), named, now)
    if not line.strip():
        return Turn(fresh, (ShowOut(),))
    if named.kind == "person":
        here = fresh._replace(person=named.name, seen=now, job="")
        return Turn(here, (ShowPerson(named.name, named.text),))
    if named.kind == "job":
        return Turn(fresh._replace(job=named.name, said=(f"Tools are issued for {named.name} now.",)))
    if named.kind == "tool" and named.tool is not None and named.where is not None:
        return _tool(fresh, named.tool, named.where, now)
    if named.kind == "garbled":
        return Turn(fresh._replace(said=("That scan is garbled. Scan it again, or type it.",)))
    return Turn(fresh._replace(said=(f"{line.strip()[:40]} is neither a person, a tool nor a job here.",)))


def _alone_again(desk: Desk, now: Moment) -> Desk:
    """Nobody stands at the counter any more after a while, so that nothing goes to the one before."""
    return desk if now - desk.seen <= STAYS else desk._replace(person="", job="")


def _tool(desk: Desk, tool: Tool, where: Whereabouts, now: Moment) -> Turn:
    if where.kind in ("person", "place"):
        return Turn(desk._replace(returning=Returning(tool, where), seen=now))
    if where.kind != "crib":
        words = {"away": "was sent away, and is not received back", "retired": "is retired"}
        return Turn(desk._replace(said=(f"{tool.tool} {words[where.kind]}. It is NOT issued.",)))
    if not desk.person:
        return Turn(
            desk._replace(said=(f"{tool.tool} is in the crib. Scan the person first, then the tool.",))
        )
    return Turn(desk._replace(seen=now), (Issue(tool, desk.person, desk.job),))


def _answered(desk: Desk, returning: Returning, answer: str, named: Named, now: Moment) -> Turn:
    tool, where, asks = returning
    known = desk._replace(seen=now)
    if named.scanned:
        return Turn(known._replace(said=("A scan does not answer that.",)))
    if asks == "wrong" and answer in ("n", "no"):
        return Turn(known._replace(returning=None), (GiveBack(tool, where),))
    if asks == "wrong" and answer in ("y", "yes"):
        return Turn(known._replace(returning=returning._replace(asks="what")))
    if asks == "what" and answer in WHAT:
        return Turn(known._replace(returning=None), (Report(tool, WHAT[answer]), GiveBack(tool, where)))
    if answer == ".":
        return Turn(
            known._replace(returning=None, said=(f"{tool.tool} is still out. Nothing was recorded.",))
        )
    keys = "y or n" if asks == "wrong" else "d, o or m"
    return Turn(known._replace(said=(f"Type {keys}; a full stop leaves it as it was.",)))
