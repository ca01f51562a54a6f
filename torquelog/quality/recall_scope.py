"""What a recall that somebody opens goes by, and the window that it looks through."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from torquelog.book.named import card_named, station_named
from torquelog.book.opening import Book
from torquelog.book.recall_causes import Cause, Facts
from torquelog.book.recall_judging import Scope
from torquelog.book.toolbox import tool_named
from torquelog.book.writing import Writing
from torquelog.clock import Moment, day_end, local_date
from torquelog.errors import TorquelogError
from torquelog.facts import people
from torquelog.facts.calibrations import Calibration
from torquelog.rules import recall_window
from torquelog.rules.recall_window import Window

EARLIEST: Moment = 0
"""Where a window begins that nobody bounded: 1970, before any record, so that nothing told late is lost."""

AS_MEASURED = frozenset({"failed-as-found", "measured-different"})


class Asked(NamedTuple):
    """A recall as a person asks for it.

    Attributes:
        subject, name: one of `facts.recalls.SUBJECTS` and what it names; both "" for a bare window.
        calibration: the certificate that it rests on, by its number or entry, or "".
        since, until: the window, both included, or nothing where it is to be found.
        revision: of a card, the only one meant, or "".
        why: the reason, or "".
    """

    subject: str = ""
    name: str = ""
    calibration: str = ""
    since: Moment | None = None
    until: Moment | None = None
    revision: str = ""
    why: str = ""


def resolved(w: Writing, book: Book, asked: Asked, waiting: Sequence[Cause]) -> Scope:
    """By what a recall goes, with its window.

    Args:
        w, book: where.
        asked: what was asked for.
        waiting: what calls for a recall.

    Raises:
        TorquelogError: `tool-unknown`, `person-unknown`, `card-unknown`, `station-unknown`, `calibration-unknown`,
            `recall-window`.
    """
    name, certificate, window = asked.name, "", None
    now = day_end(local_date(w.time(), book.zone), book.zone) - 1
    if asked.subject in ("wrench", "adapter", "tester"):
        name = tool_named(w.connection, asked.name, asked.subject).tool
        certificate, window = _of_tool(w, name, asked, waiting, now)
    elif asked.subject == "person":
        if people.person(w.connection, name) is None:
            raise TorquelogError("person-unknown", f"Nobody is enrolled as {name}. Nothing was recorded.")
    elif asked.subject == "shop":
        station_named(w.connection, name)
    elif asked.subject == "card":
        name = card_named(w.connection, name).card
    elif not asked.subject and (asked.since is None or asked.until is None):
        raise TorquelogError(
            "recall-window",
            "A recall by time alone needs both ends. Nothing was recorded.",
            hint="Add --since and --until, or say by what it goes",
        )
    found = window or Window(EARLIEST, now)
    since = found.since if asked.since is None else asked.since
    until = found.until if asked.until is None else asked.until
    if until < since:
        raise TorquelogError("recall-window", "The window ends before it begins. Nothing was recorded.")
    return Scope(asked.subject, name, asked.revision, certificate, since, until)


def _of_tool(
    w: Writing, tool: str, asked: Asked, waiting: Iterable[Cause], now: Moment
) -> tuple[str, Window]:
    """The certificate that a tool's recall rests on, or "", and its window.

    Where nothing calls for it, the window reaches from the last time that a certificate ended until now, if
    the tool was used since.
    """
    facts = Facts(w.connection)
    every = facts.calibrations(tool)
    if asked.calibration:
        found = _named(every, tool, asked.calibration)
        return found.reference, _window(facts, tool, found)
    causes = [each for each in waiting if each.tool == tool]
    if causes:
        cause = max(causes, key=lambda each: (each.code in AS_MEASURED, each.recorded))
        return cause.calibration, _joined(cause.window, causes)
    good = next((each for each in reversed(every) if each.accepted is not None), None)
    with_found = [each for each in every if recall_window.has_found(each)]
    if not with_found:
        return "", Window(facts.since_of(tool, good, now), now)
    newest = _window(facts, tool, with_found[-1])
    used_since = facts.used_between(tool, newest.until + 1, now + 1)
    return with_found[-1].reference, newest._replace(until=now) if used_since else newest


def _window(facts: Facts, tool: str, found: Calibration) -> Window:
    measured = found.length is not None or found.multiplier is not None
    return facts.measured_window(tool, found) if measured else facts.window(tool, found)


def _joined(window: Window, causes: Iterable[Cause]) -> Window:
    """The window of one cause, with those of others that overlap it."""
    for each in causes:
        other = each.window
        if other.since <= window.until and window.since <= other.until:
            window = Window(min(window.since, other.since), max(window.until, other.until))
    return window


def _named(every: Sequence[Calibration], tool: str, name: str) -> Calibration:
    wanted = name.casefold()
    found = [each for each in every if wanted in (each.certificate.casefold(), each.reference.casefold())]
    if not found:
        known = ", ".join(each.certificate for each in every) or "none"
        raise TorquelogError(
            "calibration-unknown",
            f"{tool} has no certificate {name}. Nothing was recorded.",
            why=f"On record: {known}.",
        )
    return found[-1]
