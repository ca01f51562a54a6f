"""What a person said is carried over to the next command, on a terminal only: the job, the wrench and adapters.

It is a convenience and no record: it lies in a private file beside the sign-ins, ends after an hour, and every
answer names what it used. Never carried over: a fastener, a reading, anything that was not said.
"""

import json
import os
from typing import Any, Final

from torquelog.book.opening import Book
from torquelog.cli.context import Context
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.ledger import private
from torquelog.ledger.folders import runtime_folder

LASTS: Final[Moment] = 60 * 60_000


def current_job(context: Context, book: Book, person: str) -> str | None:
    """The job this person named last, while it is open; nothing without a terminal."""
    name = _kept(context, book, person).get("job")
    if not isinstance(name, str):
        return None
    from torquelog.facts.jobs import job

    found = job(book.connection, name)
    return name if found is not None and found.closed is None else None


def remember_job(context: Context, book: Book, person: str, job: str) -> None:
    """Keep the job that this person named."""
    if context.can_ask:
        kept = _kept(context, book, person)
        _keep(book, person, kept | {"job": job})


def wrench_of(context: Context, book: Book, person: str, job: str) -> tuple[str | None, tuple[str, ...]]:
    """The wrench and adapters this person named last in this job, within the hour; nothing without a terminal."""
    tools = _kept(context, book, person).get("tools")
    if not isinstance(tools, dict) or tools.get("job") != job:
        return None, ()
    if not 0 <= context.now - tools.get("at", 0) <= LASTS:
        return None, ()
    return tools.get("wrench"), tuple(tools.get("adapters", ()))


def remember_wrench(
    context: Context, book: Book, person: str, job: str, wrench: str, adapters: tuple[str, ...]
) -> None:
    """Keep what this person holds in this job."""
    if context.can_ask:
        tools = {"job": job, "wrench": wrench, "adapters": list(adapters), "at": context.now}
        _keep(book, person, _kept(context, book, person) | {"tools": tools})


def _folder() -> str:
    return os.path.join(runtime_folder(), "carried")


def _name(book: Book, person: str) -> str:
    return f"{book.identity}-{person.replace('/', '+')}"


def _kept(context: Context, book: Book, person: str) -> dict[str, Any]:
    if not context.can_ask:
        return {}
    try:
        contents = private.read(_folder(), _name(book, person))
        found = json.loads(contents) if contents else {}
    except (TorquelogError, private.UnsafeError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _keep(book: Book, person: str, kept: dict[str, Any]) -> None:
    try:
        private.replace(_folder(), _name(book, person), json.dumps(kept).encode())
    except (TorquelogError, private.UnsafeError):
        return  # what cannot be kept has to be said again
