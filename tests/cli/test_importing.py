"""The commands that bring in files: what they say, what they end with, the file of rejects, how to go on."""

import json
from io import StringIO
from pathlib import Path

import pytest

from tests.cli.hangar import Hangar
from tests.cli.terminal import Terminal
from tests.importing.files import csv_of, json_of
from torquelog.cli import importing
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.importing import ways
from torquelog.ledger import keys

ROW = {
    "job": "J-5", "fastener": "tie-bolt:1", "reading": "26.5", "unit": "M92", "wrench": "W-0417",
    "at": "2026-11-20 09:00",
}  # fmt: skip


def row(item: int, **cells: str) -> dict[str, str]:
    """A reading at a fastener, each a minute after the one before."""
    return {**ROW, "fastener": f"tie-bolt:{item}", "at": f"2026-11-20 09:{item:02}", **cells}


@pytest.fixture
def hangar(monkeypatch: pytest.MonkeyPatch) -> Hangar:
    """A wheel with its job, a wrench that is fit, and one that fell due on 20 Nov."""
    monkeypatch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
    wrench = "--type setting --range '20..100 ft-lb' --graduation 0.5 --accuracy '4 %' --every '12 months'"
    results = "--points sample_data/wrench-results.csv --accept"
    return Hangar(
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "card load sample_data/main-wheel-build.toml",
        'card approve MW-BUILD --why "nobody else is here" --passphrase-stdin',
        f"wrench add W-0417 {wrench}",
        f"wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 {results}",
        f"wrench add W-0355 {wrench}",
        f"wrench calibrate W-0355 --certificate C-2 --on 2025-11-20 {results}",
        "job open J-5 --card MW-BUILD --assembly WH-2231",
    )


def laid(name: str, text: str) -> str:
    """Lay a file; its name."""
    Path(name).write_text(text, encoding="utf-8", newline="")
    return name


def test_a_file_is_brought_in_with_a_summary(hangar: Hangar) -> None:
    """Counts by outcome, the entries; again, nothing in it is new."""
    file = laid("old.csv", csv_of([row(1), row(2)]))
    said = hangar.did(f"import readings {file}")
    assert said.startswith("2 readings are on record.\n")
    assert "Within limits   2" in said
    assert hangar.did(f"import readings {file}").startswith("Nothing in it is new.\n")


def test_a_dry_run_says_what_would_come(hangar: Hangar) -> None:
    """And how to do it."""
    file = laid("old.csv", csv_of([row(1)]))
    said = hangar.did(f"import readings {file} --dry-run")
    assert said.startswith("1 row judged, can be brought in. Nothing was written.\n")
    assert "Next: torquelog import readings old.csv   brings them in" in said
    assert hangar.data(f"import readings {file}")["outcomes"] == {"within": "1"}


def test_errors_bear_line_column_and_reason(hangar: Hangar) -> None:
    """Exit 2; nothing is recorded, and keeping going is offered."""
    file = laid("old.csv", csv_of([row(1), row(2, unit="lb"), row(3, job="J-9")]))
    played = hangar.type(f"import readings {file}")
    assert played.exit == 2
    assert played.out.startswith("Nothing was recorded: of 3 rows, 2 cannot be brought in.\n")
    assert 'Line 3, reading: "lb" does not say inches or feet.' in played.err
    assert "Line 4, job: There is no job J-9." in played.err
    assert "--keep-going" in played.out


def test_the_envelope_counts_and_names(hangar: Hangar) -> None:
    """One envelope, with data on errors as on success."""
    file = laid("old.csv", csv_of([row(1), row(2, unit="lb")]))
    envelope = json.loads(hangar.type(f"import readings {file} --json").out)
    assert (envelope["ok"], envelope["exit"], envelope["command"]) == (False, 2, "import readings")
    (shown,) = envelope["data"].pop("shown")
    assert (shown["line"], shown["column"], shown["code"]) == (3, "reading", "unit-ambiguous")
    assert envelope["data"] == {
        "kind": "readings", "file": "old.csv", "dry_run": False, "rows": "2", "outcomes": {}, "first": None, "last": None,
        "errors": {"unit-ambiguous": "1"}, "rejected": "1", "rejects": None, "changed": [], "left": "1",
    }  # fmt: skip
    assert [each["code"] for each in envelope["problems"]] == ["unit-ambiguous"]


def test_rejects_are_kept_beside_the_file_and_mended(hangar: Hangar) -> None:
    """The file of rejects is brought in like any other once its rows are mended."""
    file = laid("old.csv", csv_of([row(1), row(2, unit="lb"), row(3, job="J-9")]))
    played = hangar.type(f"import readings {file} --keep-going")
    assert played.exit == 2
    assert played.out.startswith("1 reading is on record; 2 rows could not be brought in.\n")
    assert "Next: torquelog import readings old.rejects.csv   once its rows are mended" in played.out
    rejects = Path("old.rejects.csv")
    rejects.write_text(
        rejects.read_text(encoding="utf-8").replace(",lb,", ",M92,").replace("J-9,tie", "J-5,tie")
    )
    assert hangar.did("import readings old.rejects.csv").startswith("2 readings are on record.\n")


def test_a_file_of_rejects_is_not_written_over(hangar: Hangar) -> None:
    """Before anything is recorded; --replace lets it give way, --rejects names another, standard input needs one."""
    file = laid("old.csv", csv_of([row(1), row(2, unit="lb")]))
    laid("old.rejects.csv", "mine")
    assert hangar.refused(f"import readings {file} --keep-going") == (2, ["exists"])
    assert hangar.refused("import readings - --keep-going", csv_of([row(1)])) == (2, ["needs-option"])
    hangar.type(f"import readings {file} --keep-going --rejects other.csv")
    assert Path("other.csv").read_text(encoding="utf-8").startswith("reason,")
    hangar.type(f"import readings {file} --keep-going --replace")
    assert Path("old.rejects.csv").read_text(encoding="utf-8").startswith("reason,")


def test_no_rejects_no_file(hangar: Hangar) -> None:
    """Where every row comes in, and in a dry run, none is written."""
    hangar.did(f"import readings {laid('old.csv', csv_of([row(1)]))} --keep-going")
    hangar.type(f"import readings {laid('bad.csv', csv_of([row(2, unit='lb')]))} --keep-going --dry-run")
    assert sorted(path.name for path in Path().glob("*.csv")) == ["bad.csv", "old.csv"]


def test_refused_readings_and_readings_outside_show_in_the_exit_status(hangar: Hangar) -> None:
    """3 where one was refused, 4 where one lies outside; both are on record."""
    outside = laid("outside.csv", csv_of([row(1, reading="40")]))
    assert hangar.type(f"import readings {outside}").exit == 4
    late = laid("late.csv", csv_of([row(2, wrench="W-0355", at="2026-11-21 09:00")]))
    played = hangar.type(f"import readings {late}")
    assert (played.exit, played.out.splitlines()[0]) == (3, "1 reading is on record.")
    assert "Refused, kept   1" in played.out
    assert hangar.did("refused").count("W-0355") >= 1


def test_a_reason_for_the_whole_file(hangar: Hangar) -> None:
    """Where the rules demand one, as a tool could be used then and could not be now."""
    file = laid("old.csv", csv_of([row(1, wrench="W-0355")]))
    assert hangar.refused(f"import readings {file}") == (2, ["why-missing"])
    assert hangar.data(f'import readings {file} --why "kept on paper"')["outcomes"] == {"within": "1"}


def test_standard_input_and_json_lines(hangar: Hangar) -> None:
    """The form is told by the first sign."""
    assert hangar.data("import readings -", json_of([row(1), row(2)]))["outcomes"] == {"within": "2"}
    assert hangar.data("import assemblies -", "serial;part;kind\nWH-1;EX-4410-1;wheel\n")["outcomes"] == {
        "added": "1"
    }


def test_decimal_commas_only_where_they_are_announced(hangar: Hangar) -> None:
    """Without the option the right form is shown."""
    file = laid("komma.csv", csv_of([row(1, reading="26,5")], ";"))
    played = hangar.type(f"import readings {file}")
    assert played.exit == 2
    assert "26.5" in played.err
    assert hangar.data(f"import readings {file} --decimal-comma")["outcomes"] == {"within": "1"}


def test_one_envelope_a_line(hangar: Hangar) -> None:
    """Each with its line, as `record --lines` answers; the last one, without a line, is of the whole file."""
    file = laid("old.csv", csv_of([row(1), row(2, unit="lb"), row(3)]))
    played = hangar.type(f"import readings {file} --keep-going --lines")
    *lines, last = map(json.loads, played.out.splitlines())
    assert played.exit == last["exit"] == 2
    assert sorted((each["line"], each["ok"], each["exit"]) for each in lines) == [
        (2, True, 0), (3, False, 2), (4, True, 0)
    ]  # fmt: skip
    assert "line" not in last
    assert last["data"]["outcomes"] == {"within": "2"}


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("", "file-empty"), ("job,reading\n", "field-missing"), ("a,b\n1,2\n", "field-unknown"),
        ("serial,part,kind\n\"A", "field-unknown"), ("{", "json-form"), ("job" * 40_000, "file-form"),
    ],
)  # fmt: skip
def test_a_file_that_is_none_is_told(hangar: Hangar, content: str, code: str) -> None:
    """Exit 2, in one sentence, and nothing is recorded."""
    file = laid("strange.csv", content)
    assert hangar.refused(f"import readings {file}") == (2, [code])
    assert hangar.refused("import readings nowhere.csv") == (2, ["file-missing"])


def test_bytes_that_are_no_text_are_told(hangar: Hangar) -> None:
    """With their line."""
    Path("latin.csv").write_bytes(csv_of([row(1)]).encode() + "na\u00efve\n".encode("latin-1"))
    played = hangar.type("import readings latin.csv")
    assert played.exit == 2
    assert "Line 3 is not UTF-8 text" in played.err


def test_ctrl_c_says_how_to_go_on(hangar: Hangar) -> None:
    """Exit 130; what is counted is on record, no file of rejects is left, and the same command goes on."""
    hold = iter(range(1_000_000))
    line = (
        f"import readings {laid('old.csv', csv_of([row(1), row(2, unit='lb'), row(3), row(4)]))} --keep-going"
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ways.Ways, "__new__", _impatient(ways.Ways.__new__, lambda: float(next(hold))))
        played = hangar.type(line)
    assert played.exit == 130
    assert played.out.startswith("Interrupted. 1 reading is on record, and nothing is half written.\n")
    assert "Run the same command again: it goes on where it stopped." in played.err
    assert not Path("old.rejects.csv").exists()
    assert "On record before   1" in hangar.type(line).out


def _impatient(make: object, seconds: object) -> object:
    """Ways in which each transaction takes one row, and somebody presses Ctrl-C after the first."""

    def written(done: int, _total: int) -> None:
        if done == 1:
            raise KeyboardInterrupt

    def changed(cls: object, *given: object, **named: object) -> object:
        more = {**named, "seconds": seconds, "written": written, "pause": lambda _: None, "together": 1}
        return make(cls, *given, **more)  # type: ignore[operator]  # the tuple's own constructor

    return changed


def test_progress_is_quiet_for_a_second() -> None:
    """Most files are done by then; after it, a line that goes away."""
    passing = iter((0.0, 0.5, 1.5, 10.0, 11.0))
    stream = Terminal()
    told = Progress(
        Context(stdin=stream, stdout=stream, stderr=stream), "written", lambda: next(passing), quiet=1.0
    )
    for done in (1, 10, 50, 100):
        told(done, 100)
    shown = [part.strip() for part in stream.getvalue().split("\r")]
    assert shown == ["", "10 of 100 written", "50 of 100 written, about 10 seconds left", "", ""]


def test_the_judging_shows_how_much_of_the_file_is_read() -> None:
    """Only where its size is known; its time does not count for the writing after it."""
    laid("old.csv", "x" * 200_000)
    stream = Terminal()
    context = Context(stdin=stream, stdout=stream, stderr=stream)
    passing = iter((0.0, 90.0, 92.5))
    writing = Progress(context, "written", lambda: next(passing), quiet=0.0)
    meter = importing.Meter(context, "old.csv", writing)
    meter._progress = Progress(context, "KiB judged", quiet=0.0)
    next(meter.chunks())
    meter()
    meter.clear()
    assert "64 of 195 KiB judged" in stream.getvalue()
    writing(50, 100)
    assert "50 of 100 written, about 2 seconds left" in stream.getvalue()
    assert importing.beside("a/old.rejects.csv") == "a/old.rejects.csv"


def test_nobody_signed_in_brings_nothing_in(hangar: Hangar) -> None:
    """Exit 3, before the file is judged."""
    hangar.did("sign-out")
    assert hangar.refused(f"import readings {laid('old.csv', csv_of([row(1)]))}") == (3, ["sign-in-none"])


def test_rows_that_came_out_otherwise_are_a_remark() -> None:
    """With the first of them."""
    from torquelog.cli.imported import answer_of
    from torquelog.importing.tally import Tally

    tally = Tally()
    tally.rows = tally.left = 2
    tally.wrote("QHR-000009", "refused")
    tally.change(7, "within", "refused")
    stream = StringIO()
    context = Context(stdin=stream, stdout=stream, stderr=stream)
    given = {"file": "old.csv", "dry_run": False, "keep_going": False, "lines": False}
    answer = answer_of(context, "readings", given, tally, "")
    assert [remark.code for remark in answer.remarks] == ["changed-meanwhile"]
    assert "the first in line 7 (within when judged, refused when written)" in answer.remarks[0].message
    assert answer.exit == 3
