"""The names that a half-typed word may become: asked of the registers alone, without a judgement.

A name that is no identifier is left out: whoever laid it into the file, it never reaches a shell.
"""

import re
import sqlite3
from collections.abc import Iterator
from typing import Final

MOST: Final = 300
"""So many names are offered; who types one more letter gets the others."""

PLAIN: Final = r"[A-Za-z0-9][A-Za-z0-9._/:-]{0,63}"
"""What a name may look like: nothing that a shell gives a meaning."""

_STANDS: Final = "(station, number) NOT IN (SELECT target_station, target_number FROM strike)"
_BETWEEN: Final = "{0} >= :low AND {0} < :high"
_OF: Final = "SELECT DISTINCT {0} FROM {1} WHERE {2} AND " + _BETWEEN + " ORDER BY {0} LIMIT :most"

_TOOL: Final = _OF.format("tool", "tool", f"sort = '{{}}' AND {_STANDS}")
_OPEN: Final = (
    f"{_STANDS} AND job NOT IN (SELECT job FROM job_closed "
    "WHERE (station, number) NOT IN (SELECT target_station, target_number FROM strike))"
)

QUERIES: Final = {
    "wrench": _TOOL.format("wrench"),
    "adapter": _TOOL.format("adapter"),
    "tester": _TOOL.format("tester"),
    "job": _OF.format("job", "job", _STANDS),
    "open-job": _OF.format("job", "job", _OPEN),
    "card": _OF.format("card", "card", _STANDS),
    "aircraft": _OF.format("registration", "registration", _STANDS),
    "assembly": _OF.format("serial", "assembly", _STANDS),
    "recall": _OF.format("recall", "recall", "recall IS NOT NULL"),
    "station": _OF.format("code", "station", "code IS NOT NULL"),
    "person": _OF.format("person", "person", "person IS NOT NULL"),
}
"""Each kind of name with its question; `low` and `high` bound what a word may become."""

_CARDS: Final = (
    "SELECT card.content FROM job JOIN card ON card.digest = job.digest WHERE {} "
    "GROUP BY card.digest ORDER BY max(job.recorded) DESC LIMIT 8"
)
_ONE_JOB: Final = _CARDS.format("job.job = :job")
_OPEN_JOBS: Final = _CARDS.format("job.job NOT IN (SELECT job FROM job_closed)")
_EVERY_JOB: Final = _CARDS.format("job.job IS NOT NULL")


def names(connection: sqlite3.Connection, kind: str, begun: str) -> list[str]:
    """The names of a kind that a word may become, in order.

    Args:
        connection: the record.
        kind: one of `QUERIES`.
        begun: what was typed, in whatever case.
    """
    low = begun.upper()
    rows = connection.execute(QUERIES[kind], {"low": low, "high": low + "\U0010ffff", "most": MOST})
    return [str(name) for (name,) in rows if re.fullmatch(PLAIN, str(name))]


def fasteners(connection: sqlite3.Connection, job: str, begun: str, *, closed: bool) -> list[str]:
    """The fasteners, `tie-bolt:3`, that a word may become, of the newest few cards at work.

    Args:
        connection: the record.
        job: the job, or "" for every open one.
        begun: what was typed.
        closed: whether closed jobs are meant as well.
    """
    query = _ONE_JOB if job else _EVERY_JOB if closed else _OPEN_JOBS
    found: dict[str, None] = {}
    for (content,) in connection.execute(query, {"job": job.upper()} if job else {}):
        found.update(dict.fromkeys(each for each in _of_card(str(content)) if each.startswith(begun)))
        if len(found) >= MOST:
            break
    return list(found)[:MOST]


def _of_card(content: str) -> Iterator[str]:
    from json import loads

    try:
        groups = loads(content)["groups"]
        counted = [(str(group["id"]), int(group["count"])) for group in groups]
    except (KeyError, TypeError, ValueError):
        return
    for group, count in counted:
        if re.fullmatch(PLAIN, group):
            yield from (f"{group}:{number}" for number in range(1, min(count, 999) + 1))
