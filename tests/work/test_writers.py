"""Several people write at once: each reading is acknowledged once, in one chain without a gap, nobody in vain."""

import subprocess
import sys
from itertools import pairwise

import pytest

from tests.support.books import HOUR
from tests.support.story import WHEEL, Story
from tests.work.writer import ROUND
from torquelog.book.writing import writing
from torquelog.clock import offset_text
from torquelog.ledger import keys


def terminals(story: Story, count: int) -> dict[int, bytes]:
    """So many sign-ins of TK, each with its private key."""
    found = {}
    for _ in range(count):
        seed = keys.new_seed()
        with writing(story.book) as w:
            body = {
                "public_key": keys.public_key(seed),
                "until": offset_text(w.time() + HOUR, story.book.zone),
            }
            found[w.append(story.own["TK"], "sign-in", body).number] = seed
    return found


def all_at_once(story: Story, writers: int, readings: int) -> list[list[str]]:
    """What each writer was told, in its order; they begin each round together."""
    path, now = str(story.book.path), str(story.clock.moment)
    begun = []
    for key, seed in terminals(story, writers).items():
        command = [sys.executable, "-m", "tests.work.writer", path, str(key), str(readings), now]
        writer = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert writer.stdin
        writer.stdin.write(seed.hex() + "\n")
        writer.stdin.flush()
        begun.append(writer)
    for writer in begun:
        assert writer.stdout
        assert writer.stdout.readline() == "ready\n"
    told: list[list[str]] = [[] for _ in begun]
    for _ in range(0, readings, ROUND):
        for writer in begun:
            assert writer.stdin
            writer.stdin.write("go\n")
            writer.stdin.flush()
        for writer, names in zip(begun, told, strict=True):
            assert writer.stdout
            names += [writer.stdout.readline().strip() for _ in range(ROUND)]
    assert [writer.communicate()[0] for writer in begun] == [""] * writers
    return told


def together(story: Story, writers: int, readings: int) -> list[list[str]]:
    """Let them write, and look at what became of it; gives what each was told."""
    story.bench({**WHEEL, "count": 8})
    story.clock.moment += 1000
    before = story.entries() + writers
    told = all_at_once(story, writers, readings)
    assert [len(each) for each in told] == [readings] * writers
    acknowledged = [name for each in told for name in each]
    assert sorted(acknowledged) == [f"QHR-{before + 1 + place:06d}" for place in range(writers * readings)]
    assert story.entries() == before + writers * readings
    assert all(each == sorted(each) for each in told)
    (uses,) = story.book.connection.execute(
        "SELECT sum(uses) FROM cycle_tally WHERE tool = 'W-0417'"
    ).fetchone()
    assert uses == writers * readings
    return told


def test_four_writers_at_once(story: Story) -> None:
    """Four people with 25 readings each: 100 entries that verify, no gap, no error for anybody."""
    together(story, 4, 25)


@pytest.mark.long
def test_eight_writers_at_once(story: Story) -> None:
    """Eight people with 250 readings each: 2,000 entries that verify, no gap, no error for anybody."""
    told = together(story, 8, 250)
    turns = [who for _, who in sorted((name, who) for who, names in enumerate(told) for name in names)]
    one_after_another = 8 * 250 // ROUND - 1
    assert sum(before != after for before, after in pairwise(turns)) > one_after_another
