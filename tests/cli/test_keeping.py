"""The commands that keep the record: verify, checkpoint, export, take-in, backup, restore, rebuild."""

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.book.tampering import change_text, other_id, tamper
from tests.cli.hangar import PASSPHRASE, Hangar
from tests.cli.terminal import Terminal
from tests.ledger import checker
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.ledger import keys


@pytest.fixture
def hangar(monkeypatch: pytest.MonkeyPatch) -> Hangar:
    monkeypatch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
    return Hangar("aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05")


@pytest.fixture
def lgw(hangar: Hangar) -> str:
    """An export of another station."""
    init = (
        "init --db lgw.db --station LGW --zone Europe/London --first AB --name 'Ann Bold' --passphrase-stdin"
    )
    hangar.did(init, PASSPHRASE)
    hangar.did("export lgw.jsonl --db lgw.db")
    return "lgw.jsonl"


def path() -> str:
    return os.path.join(os.environ["XDG_DATA_HOME"], "torquelog", "ledger.db")


def test_a_record_that_holds_is_told_in_a_sentence(hangar: Hangar) -> None:
    """With how far each chain stands, and what was judged again."""
    said = hangar.did("verify")
    assert said.startswith("The record holds: 4 entries, every signature and every link in order.\n")
    assert "1 to 4   identity " in said
    data = hangar.data("verify")
    members = "holds chains judged compared findings newer since not_judged_from checkpoint"
    assert set(data) == set(members.split())
    assert data["chains"][0]["through"] == 4
    assert (data["holds"], data["findings"], data["newer"], data["checkpoint"]) == (True, [], None, None)


def test_what_was_not_looked_at_is_told(hangar: Hangar) -> None:
    """From the last checkpoint on: the answer says what lies before it, for people and for programs."""
    hangar.did("checkpoint --out kept.json")
    said = hangar.did("verify --since-checkpoint")
    assert said.startswith(
        "The record holds: 5 entries, every signature from QHR-000005 on and every link in order."
    )
    assert "signatures, authority and judgements before QHR-000005" in said
    assert hangar.data("verify --since-checkpoint")["since"] == "QHR-000005"
    assert hangar.data("verify")["since"] is None


def test_a_long_verification_tells_how_long_it_still_takes() -> None:
    """Once there is a speed to speak of; on a terminal only, and at the end nothing of it stays."""
    passing = iter((0.0, 1.0, 10.0, 600.0, 700.0))
    stream = Terminal()
    context = Context(stdin=stream, stdout=stream, stderr=stream)
    told = Progress(context, "entries", lambda: next(passing))
    for done in (100, 1000, 2000, 10_000):
        told(done, 10_000)
    shown = [part.strip() for part in stream.getvalue().split("\r")]
    assert shown == [
        "", "100 of 10,000 entries", "1,000 of 10,000 entries, about 2 minutes left",
        "2,000 of 10,000 entries, about 40 minutes left", "", "",
    ]  # fmt: skip


def test_the_first_bad_entry_is_named(hangar: Hangar) -> None:
    """Exit 5, what is wrong, and what stands."""
    change_text(path(), 3, other_id)
    played = hangar.type("verify")
    assert played.exit == 5
    assert played.out.startswith("The record does not hold at QHR-000003.\n")
    assert "1 to 2 of 4" in played.out
    assert "QHR-000003: A signature does not hold." in played.err
    assert hangar.refused("verify") == (5, ["signature"])


def test_a_changed_register_is_named(hangar: Hangar) -> None:
    """Exit 5; rebuilding puts it right and keeps the old file."""
    tamper(path(), "UPDATE aircraft SET type = 'EX-300'")
    played = hangar.type("verify")
    assert played.exit == 5
    assert 'type reads "EX-300", and the entry gives "EX-200"' in played.err
    said = hangar.did("rebuild")
    assert said.startswith("The registers were made anew from 4 entries, and the record holds.\n")
    assert "ledger.db.kept-20261125T140731Z" in said
    assert hangar.data("verify")["holds"]


def test_a_checkpoint_is_a_line_to_keep(hangar: Hangar) -> None:
    """Written to standard output or into a file; verified against from both."""
    line = hangar.did("checkpoint")
    assert json.loads(line).keys() == {"checkpoint", "signature"}
    hangar.did("checkpoint --out kept.json")
    assert hangar.refused("checkpoint --out kept.json") == (2, ["exists"])
    for words, stdin in (("-", line), ("kept.json", "")):
        said = hangar.did(f"verify --checkpoint {words}", stdin)
        assert "of 2026-11-25, by TK: still here" in said
    data = hangar.data("verify --checkpoint kept.json")
    assert data["checkpoint"]["station"] == "QHR"


def test_a_tail_cut_off_is_found_by_the_checkpoint(hangar: Hangar) -> None:
    """The older copy holds by itself; the line that was kept tells what is missing."""
    hangar.did("backup old.db")
    hangar.did("checkpoint")
    hangar.did("checkpoint --out kept.json")
    assert hangar.data("verify --db old.db")["holds"]
    played = hangar.type("verify --db old.db --checkpoint kept.json")
    assert played.exit == 5
    assert "Entries are missing." in played.err
    assert hangar.refused("verify --checkpoint kept.json --db old.db") == (5, ["older-copy"])


@pytest.mark.parametrize("content", ["", "{}", "not json", '{"checkpoint":"x","signature":"y"}'])
def test_what_is_no_checkpoint_is_told_at_once(hangar: Hangar, content: str) -> None:
    """Before anything is verified."""
    Path("kept.json").write_text(content, encoding="utf-8")
    assert hangar.refused("verify --checkpoint kept.json") == (2, ["checkpoint-form"])
    assert hangar.refused("verify --checkpoint none.json") == (2, ["file-missing"])


def test_an_export_is_checked_by_a_program_of_anybodys(hangar: Hangar) -> None:
    """Into a file or to standard output, the same lines; never over a file."""
    said = hangar.did("export all.jsonl")
    assert said.startswith("4 entries written to all.jsonl.\n")
    lines = Path("all.jsonl").read_text(encoding="utf-8")
    assert hangar.did("export") == hangar.did("export -") == lines
    chains: dict[str, dict[str, list[str]]] = {}
    for line in lines.splitlines():
        checker.check_entry(chains, **json.loads(line))
    assert len(chains["QHR"]["digests"]) == 5
    assert hangar.refused("export all.jsonl") == (2, ["exists"])
    hangar.did("export all.jsonl --replace --since QHR-000004")
    assert len(Path("all.jsonl").read_text(encoding="utf-8").splitlines()) == 1
    hangar.did("export all.jsonl --replace --since 2026-11-26")
    assert Path("all.jsonl").read_text(encoding="utf-8") == ""
    assert hangar.refused("export") == (2, ["argument"])
    assert hangar.refused("export x.jsonl --since QHR-000009") == (2, ["entry-unknown"])
    assert hangar.refused("export x.jsonl --since 03/04/26") == (2, ["date-unclear"])
    assert not os.path.exists("x.jsonl")


def test_another_station_is_taken_in_and_accepted(hangar: Hangar, lgw: str) -> None:
    """What was new is told, then nothing is; quality accepts it."""
    said = hangar.did(f"take-in {lgw}")
    assert said.startswith("2 entries taken in.\n")
    assert "2 new entries, held 1 to 2" in said
    assert "torquelog station accept LGW" in said
    assert hangar.did(f"take-in {lgw}").startswith("Nothing in it is new.\n")
    hangar.did("station accept LGW --why 'same company' --passphrase-stdin", PASSPHRASE)
    shown = hangar.data("station show")["held"]
    assert [(each["station"], each["through"], each["accepted"]) for each in shown] == [("LGW", 2, True)]
    assert [chain["station"] for chain in hangar.data("verify")["chains"]] == ["QHR", "LGW"]
    assert hangar.data(f"take-in {lgw}")["stations"][0]["new"] == 0


def test_an_export_comes_from_standard_input(hangar: Hangar, lgw: str) -> None:
    """With - in the place of a file."""
    lines = Path(lgw).read_text(encoding="utf-8")
    assert hangar.did("take-in -", lines).startswith("2 entries taken in.\n")


def test_a_spoilt_export_is_refused(hangar: Hangar, lgw: str) -> None:
    """Exit 5 with the line; a file that is not there or empty is a mistake of the command."""
    lines = Path(lgw).read_text(encoding="utf-8").splitlines()
    Path("bad.jsonl").write_text("\n".join([lines[0], lines[1].replace("2026", "2027")]), encoding="utf-8")
    played = hangar.type("take-in bad.jsonl")
    assert played.exit == 5
    assert played.err.startswith("Line 2 of the export: ")
    Path("bad.jsonl").write_text(lines[1], encoding="utf-8")
    assert hangar.refused("take-in bad.jsonl") == (5, ["gap"])
    Path("bad.jsonl").write_bytes(b"\xff\xfe\n")
    assert hangar.refused("take-in bad.jsonl") == (2, ["file-encoding"])
    Path("bad.jsonl").write_text("\n\n", encoding="utf-8")
    assert hangar.refused("take-in bad.jsonl") == (2, ["export-empty"])
    assert hangar.refused("take-in none.jsonl") == (2, ["file-missing"])
    assert hangar.data("station show")["held"] == []


def test_a_backup_is_told_with_what_it_holds(hangar: Hangar) -> None:
    """Never over the record, and over another file only when told to."""
    said = hangar.did("backup copy.db")
    assert "copy.db, and the copy was checked.\n" in said
    assert hangar.data("backup other.db")["through"] == "QHR-000004"
    assert hangar.refused("backup copy.db") == (2, ["exists"])
    assert hangar.refused(f"backup {path()} --replace") == (2, ["live-file"])
    hangar.did("backup copy.db --replace")
    assert hangar.data("verify --db copy.db")["holds"]


def test_a_restore_asks_how_the_record_goes_on(hangar: Hangar) -> None:
    """Both ways are told; nothing is put back before one is chosen."""
    hangar.did("backup copy.db")
    assert hangar.refused("restore copy.db") == (2, ["exists"])
    played = hangar.type("restore copy.db --replace")
    assert played.exit == 2
    assert "--old-file-is-gone" in played.err
    assert "--station CODE" in played.err
    hangar.did("checkpoint")
    assert hangar.refused("restore copy.db --replace") == (5, ["older-copy"])
    assert hangar.data("station show")["entries"] == 5
    assert hangar.refused("restore copy.db --replace --old-file-is-gone --station QHS") == (2, ["argument"])
    assert hangar.refused("restore none.db --db new.db") == (6, ["database-missing"])


def test_a_record_goes_on_from_its_backup(hangar: Hangar) -> None:
    """Quality says what became of the file; what lay there is kept, what it held more is told."""
    hangar.did("backup copy.db")
    hangar.did("checkpoint")
    line = "restore copy.db --replace --old-file-is-gone --why 'the disk died' --passphrase-stdin --as TK"
    said = hangar.did(line, PASSPHRASE)
    assert "and goes on as QHR.\n" in said
    assert "The backup ended at   QHR-000004\n" in said
    assert "QHR-000005 of the file that lay there are not on record here." in said
    assert "ledger.db.kept-20261125T140731Z" in said
    assert hangar.data("verify")["holds"]
    data = hangar.data("sign-in TK --passphrase-stdin", PASSPHRASE)
    assert data["head"] == "QHR-000005"


def test_a_restore_by_questions(hangar: Hangar) -> None:
    """On a terminal everything is asked for: whether the file is gone, what became of it, who says so."""
    hangar.did("backup copy.db")
    status, screen = hangar.talked(
        "restore copy.db --db new.db",
        "Is the file that this backup was made of gone for good? y/n: y",
        "What became of the file: stolen",
        "Who of quality says so (initials): tk",
    )
    assert status == 0, screen
    assert "Passphrase for TK, Tove Kallas (not shown): " in screen
    assert hangar.data("verify --db new.db")["holds"]


def test_a_restore_under_a_new_code(hangar: Hangar) -> None:
    """A new chain begins, with the old one beside it."""
    hangar.did("backup copy.db")
    named = "--station QHS --first TK --name 'Tove Kallas' --why 'may come back' --passphrase-stdin"
    said = hangar.did(f"restore copy.db --db new.db {named}", PASSPHRASE)
    assert "and goes on as QHS.\n" in said
    chains = hangar.data("verify --db new.db")["chains"]
    assert [chain["station"] for chain in chains] == ["QHS", "QHR"]


def test_a_wrong_passphrase_leaves_everything_as_it_was(hangar: Hangar) -> None:
    """No file is left lying about."""
    hangar.did("backup copy.db")
    line = "restore copy.db --db new.db --old-file-is-gone --why 'gone' --as TK --passphrase-stdin"
    before = sorted(os.listdir("."))
    assert hangar.refused(line, "a wrong passphrase\n") == (3, ["passphrase-wrong"])
    assert sorted(os.listdir(".")) == before


def test_other_files_are_told_from_records(hangar: Hangar) -> None:
    """A text, a database of something else, a folder, nothing; for every command that opens a record."""
    Path("text").write_text("hello", encoding="utf-8")
    with closing(sqlite3.connect("other.db")) as connection:
        connection.execute("CREATE TABLE x (y)")
    Path("folder").mkdir()
    for command in ("verify", "checkpoint", "export x", "backup x", "rebuild", "station show", "take-in x"):
        for place, code in (
            ("text", "not-a-ledger"),
            ("other.db", "not-a-ledger"),
            ("folder", "not-a-ledger"),
            ("none", "database-missing"),
        ):
            assert hangar.refused(f"{command} --db {place}") == (6, [code]), (command, place)
