"""Tools by the number people give them, and how fit one is at a moment."""

import sqlite3
from typing import Final

from torquelog.book.cases import case
from torquelog.book.named import close_to
from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.tools import Tool
from torquelog.ledger.text import gate_identifier
from torquelog.rules import fitness
from torquelog.rules.fitness import Fitness, Use

ARTICLES: Final = {"wrench": "a wrench", "adapter": "an adapter", "tester": "a tester"}
PLURALS: Final = {"wrench": "wrenches", "adapter": "adapters", "tester": "testers"}


def tool_named(connection: sqlite3.Connection, text: str, sort: str = "") -> Tool:
    """The tool with a number, of one sort or of any.

    Raises:
        TorquelogError: `tool-unknown` with the numbers close to it, or `identifier-form`.
    """
    number = gate_identifier(text, "a tool")
    found = tools.tool(connection, number)
    if found is None:
        sorts = (sort,) if sort else tools.SORTS
        known = [each.tool for name in sorts for each in tools.tools(connection, name)]
        raise TorquelogError(
            "tool-unknown",
            f"No {sort or 'tool'} {number} is registered.",
            why=close_to(number, known),
            hint="Read the label again, or scan it.",
        )
    if sort and found.sort != sort:
        raise TorquelogError(
            "tool-unknown",
            f"{number} is {ARTICLES[found.sort]}, not {ARTICLES[sort]}.",
            hint=f"torquelog {found.sort} show {number}",
        )
    return found


def fitness_at(
    connection: sqlite3.Connection,
    book: Book,
    tool: Tool,
    at: Moment,
    *,
    person: str = "",
    job: str = "",
    direction: str = "",
) -> Fitness:
    """How fit a tool is at a moment, by itself, for no torque in particular."""
    known = case(connection, book.station, book.zone, tool, at)
    return fitness.judge(known, Use(at=at, now=at, person=person, job=job, direction=direction))
