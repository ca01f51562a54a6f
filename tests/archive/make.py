"""Makes the archive of a record in today's format: python -m tests.archive.make

Run when a format is published, and its result kept for good: every later version must still read it, verify it and
answer the same questions in the same way. What the record is about is invented.
"""

import json
import lzma
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.archive.answers import answers
from tests.book.elsewhere import other_station
from tests.support.books import DAY, HOUR, NOON
from tests.support.story import AXLE, PASSES, WHEEL, Story
from torquelog.book import checkpointing, exporting, takein
from torquelog.book.writing import writing
from torquelog.clock import SetClock
from torquelog.ledger import database, keys
from torquelog.ledger.database import FORMAT
from torquelog.quality import people, station
from torquelog.work.enrolling import enrol

FOLDER = Path(__file__).parent
RECORD = FOLDER / f"format-{FORMAT}.db.xz"
ANSWERS = FOLDER / f"format-{FORMAT}.json"


def tell(story: Story) -> None:
    """A few weeks of work, with something of most kinds."""
    story.aircraft()
    story.aircraft("QQ-MRA", "1002")
    story.adapter("A-03", "3 in")
    story.bench(WHEEL, checks=[{"id": "leak-check", "title": "No leak under pressure"}])
    story.wrench("W-0402", on="2025-11-20")
    story.wrench("W-0355", cycles=3)
    story.issue("W-0417", job="J-1")
    story.take("tie-bolt:1", "100 N·m", lots=("L-7",))
    story.take("tie-bolt:2", "112 N·m", why="the wrench slipped")
    story.act("tie-bolt:2", "replaced")
    story.take("tie-bolt:2", "100 N·m", wrench="W-0355", loosened=True)
    story.take("tie-bolt:3", "100 N·m", wrench="W-0402", by="IK")
    wrong = story.take("tie-bolt:3", "99 N·m", by="IK")
    story.correct(wrong.reference, by="IK", reading="100 N·m")
    story.step("", "leak-check")
    story.give_back("W-0417")
    story.later(hours=2)
    story.close()
    story.fit("WH-2231")
    mount(story)
    story.later(days=1)
    late(story)
    story.remove("WH-2231")
    story.fit("WH-2231", "QQ-MRA", "main 1")


def mount(story: Story) -> None:
    """A wheel on its axle, through an adapter, in two passes."""
    story.assembly("WH-2240")
    story.card("TWO", PASSES)
    story.job("J-2", "TWO", "WH-2240")
    for item in (1, 2):
        story.take(f"tie-bolt:{item}", "36 N·m", job="J-2")
        story.take(f"tie-bolt:{item}", "60 N·m", job="J-2", adapters=("A-03",))
    story.card("AXLE", AXLE)
    story.job("J-3", "AXLE", "WH-2231", on="QQ-HLB", position="main 2")
    story.take("axle-nut:1", "100 N·m", job="J-3")


def late(story: Story) -> None:
    """A drop, a quarantine, work told late that awaits a second person, and a better certificate."""
    story.report("W-0417", "dropped")
    told = story.take("tie-bolt:3", "36 N·m", job="J-2", at="2026-11-25T14:30", why="told late")
    story.confirm(told.reference)
    story.says("quarantine", {"tool": "W-0417", "why": "dropped"})
    story.calibrate("W-0417", "2026-11-26")
    story.says("quarantine-release", {"tool": "W-0417", "why": "calibrated"}, own=True)


def govern(story: Story) -> None:
    """People, rules, a clock that was wrong."""
    given = people.add_person(story.book, story.own["TK"], "BA", "Bao Anh", ("crib",), "PT.66.17")
    enrol(story.book, "BA", given.code, "ten pears under the keel", scrypt_n=keys.SMALLEST_N)
    story.later(seconds=1)
    people.change_role(
        story.book,
        story.own["TK"],
        "BA",
        "technician",
        add=True,
        since=NOON - 30 * DAY,
        why="licence of October",
    )
    station.set_rule(story.book, story.own["TK"], "late-minutes", "45", "as our manual says")
    story.clock.moment += 400 * DAY
    people.new_code(story.book, story.own["TK"], "BA")
    story.clock.moment -= 400 * DAY - HOUR
    station.release_clock(story.book, story.own["TK"], "the battery was changed")
    story.later(hours=1)


def exchange(story: Story, folder: Path) -> None:
    """Another station, taken in and accepted."""
    other = other_station(folder, "LGW", SetClock(NOON - DAY))
    with writing(other.book) as w:
        w.append(other.signer, "report", {"tool": "W-0417", "what": "overloaded"})
    lines = exporting.lines(other.book.connection, exporting.parts(other.book.connection))
    takein.take_in(story.book, story.signed["TK"], lines)
    other.book.close()
    story.later(seconds=1)
    station.accept_station(story.book, story.own["TK"], "LGW", "same company")


def made(folder: Path) -> tuple[bytes, Mapping[str, Any]]:
    """The record's file, and what it answers."""
    story = Story(folder)
    tell(story)
    govern(story)
    exchange(story, folder)
    checkpoint = checkpointing.make(story.book, story.signed["TK"]).line
    found = answers(story.book) | {"checkpoint": checkpoint, "moment": story.clock.moment}
    database.copy(story.book.connection, folder / "archive.db")
    story.close_book()
    return (folder / "archive.db").read_bytes(), found


def main() -> None:
    """Write the archive beside this script."""
    with tempfile.TemporaryDirectory() as folder:
        content, found = made(Path(folder))
    RECORD.write_bytes(lzma.compress(content, preset=9))
    ANSWERS.write_text(json.dumps(found, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
