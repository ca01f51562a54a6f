"""The questions of a trace and of a recall as a person would put them to the tables, to measure against.

    python -m tests.benchmark.by_hand QUESTION PATH

prints the rows of one question, a line of JSON each; the question `nothing` asks nothing, which is what starting
costs. The rows are those that the command shows, each with what it tells of it.
"""

import json
import sqlite3
import sys
from contextlib import closing

BUSY = "W-BUSY"

_READING = """r.station, r.number, r.at, r.job, r.performed_by, r.owner, r.grp, r.item, r.step, r.pass, r.act, r.wrench,
 r.value, r.unit, r.gain, r.low, r.high, r.specified, r.outcome, r.certificate,
 EXISTS (SELECT 1 FROM strike AS s WHERE s.target_station = r.station AND s.target_number = r.number) AS struck,
 (SELECT min(l.at) FROM reading AS l WHERE l.owner = r.owner AND l.grp = r.grp AND l.item = r.item
  AND l.loosened = 1 AND l.at > r.at) AS loosened,
 (SELECT min(p.at) FROM placement AS p WHERE p.assembly = substr(r.owner, 10) AND p.act = 'take-apart'
  AND p.at > r.at) AS apart,
 (SELECT p.act || ' ' || coalesce(p.aircraft, '') || ' ' || coalesce(p.position, '') || ' ' || p.at
  FROM placement AS p WHERE p.assembly = substr(r.owner, 10)
  ORDER BY p.at DESC, p.recorded DESC, p.station DESC, p.number DESC LIMIT 1) AS place"""

TRACE = f"""
SELECT {_READING}
FROM tool_use AS u JOIN reading AS r USING (station, number)
WHERE u.tool = :tool
ORDER BY r.at, r.recorded, r.station, r.number
"""

RECALL = f"""
SELECT {_READING},
 (SELECT t.at || ' ' || t.wrench || ' ' || t.number FROM reading AS t WHERE t.owner = r.owner AND t.grp = r.grp
  AND t.item = r.item AND t.at > r.at AND t.act = 'tighten' AND t.outcome = 'within'
  ORDER BY t.at DESC LIMIT 1) AS tightened_again
FROM tool_use AS u JOIN reading AS r USING (station, number)
WHERE u.tool = :tool AND u.at >= (
 SELECT max(a.recorded) FROM calibration AS c JOIN acceptance AS a
 ON a.calibration_station = c.station AND a.calibration_number = c.number
 WHERE c.tool = :tool AND c.certificate <> :failed)
ORDER BY r.at, r.recorded, r.station, r.number
"""

FASTENERS = """
SELECT owner, grp, item, max(number), max(known) FROM reading WHERE performed_by = 'AA' AND at <= 9e15
GROUP BY owner, grp, item
"""

FAILED = "FAIL-1"
QUESTIONS = {"nothing": "", "trace": TRACE, "recall": RECALL, "fasteners": FASTENERS}


def rows(path: str, question: str) -> list[tuple[object, ...]]:
    """The rows of one question."""
    if not QUESTIONS[question]:
        return []
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        named = {"tool": BUSY, "failed": FAILED}
        return connection.execute(QUESTIONS[question], named).fetchall()


def main() -> None:
    """Print the rows of the question that is named."""
    question, path = sys.argv[1:]
    sys.stdout.write("".join(f"{json.dumps(row, ensure_ascii=False)}\n" for row in rows(path, question)))


if __name__ == "__main__":
    main()
