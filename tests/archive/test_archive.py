"""Records of every published format are read, verified and answer what they answered when they were made."""

import json
import lzma
from pathlib import Path

import pytest

from tests.archive.answers import answers
from tests.ledger import checker
from torquelog.book.exporting import lines, parts
from torquelog.book.opening import open_book
from torquelog.book.rebuilding import rebuild
from torquelog.book.verification import verify_file
from torquelog.clock import SetClock
from torquelog.ledger.database import FORMAT

FOLDER = Path(__file__).parent
LATER = {"other-assembly"}
"""What holds a job open today and was not asked for when a record was archived: it is no answer of that time."""

FORMATS = sorted(path.name.partition(".")[0] for path in FOLDER.glob("format-*.db.xz"))


@pytest.fixture(name="kept", params=FORMATS)
def _kept(request, tmp_path, monkeypatch):
    """An archived record, brought to today's tables, and what it answered."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    answered = json.loads((FOLDER / f"{request.param}.json").read_text(encoding="utf-8"))
    path = tmp_path / "archive.db"
    path.write_bytes(lzma.decompress((FOLDER / f"{request.param}.db.xz").read_bytes()))
    rebuild(str(path), SetClock(answered["moment"]))
    return path, answered


def test_there_is_an_archive_of_todays_format():
    """Whoever changes the format keeps a record of the one before, and adds one."""
    assert f"format-{FORMAT}" in FORMATS


def test_it_verifies_with_every_judgement(kept):
    """The checkpoint that was taken holds, too."""
    path, answered = kept
    report, checkpoint, wrong = verify_file(str(path), answered["checkpoint"])
    assert report.holds, report.findings
    assert report.judged >= answered["kinds"]["reading"] > 0
    assert wrong is None
    assert checkpoint is not None


def test_it_answers_as_it_did(kept):
    """People, rules, tools, jobs, places and traces. Rules and holds that came later are no answer of that time."""
    path, answered = kept
    with open_book(path, "read", SetClock(answered["moment"])) as book:
        found = answers(book)
    rules = answered["rules"]
    found["rules"] = {name: value for name, value in found["rules"].items() if name in rules}
    found["jobs"] = without_later(found["jobs"])
    for subject, answer in found.items():
        assert json.loads(json.dumps(answer)) == answered[subject], subject


def without_later(jobs):
    """The jobs without what is asked for only since."""
    return {
        name: {**job, "holds": [hold for hold in job["holds"] if hold not in LATER]}
        for name, job in jobs.items()
    }


def test_the_checker_that_stands_alone_reads_it(kept):
    """An export of it is checked by a program that knows nothing of this one."""
    path, answered = kept
    chains = {}
    with open_book(path, "read", SetClock(answered["moment"])) as book:
        for line in lines(book.connection, parts(book.connection)):
            checker.check_entry(chains, **json.loads(line))
    checker.check_checkpoint(chains, **json.loads(answered["checkpoint"]))
    heads = {station: chain["digests"][-1] for station, chain in chains.items()}
    assert heads == {station: digest for station, _, _, digest in answered["chains"]}


def test_the_script_makes_such_a_record_today(tmp_path, monkeypatch):
    """The one that is kept, so that the next format can be archived in the same way."""
    from tests.archive import make

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    _, found = make.made(tmp_path)
    newest = json.loads(make.ANSWERS.read_text(encoding="utf-8"))
    assert found["kinds"] == newest["kinds"]
    assert without_later(found["jobs"]) == without_later(newest["jobs"])
    assert found["traces"] == newest["traces"]
