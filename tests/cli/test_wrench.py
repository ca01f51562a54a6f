"""The crib at the command line: its commands, their exit statuses, what they say and what programs get."""

import io
import json
import shutil
from pathlib import Path

import pytest

from tests.cli.terminal import NOON, play
from tests.project.dialogue import Screen
from tests.project.source import ROOT
from torquelog.cli.run import run
from torquelog.cli.tool_show import show_next
from torquelog.clock import SetClock

RESULTS = """state,direction,indicated,reference,unit
as-left,cw,20,20.1,lbf-ft
as-left,cw,60,60.2,lbf-ft
as-left,cw,100,100.9,lbf-ft
"""
FAILED = RESULTS.replace("100,100.9", "100,92")
FOUND = RESULTS + "as-found,cw,100,92,lbf-ft\n"
PASSPHRASE = "nine apples on the wing\n"
DAY = 86_400_000

INIT = [
    "init",
    "--station",
    "QHR",
    "--zone",
    "Europe/Lisbon",
    "--first",
    "TK",
    "--name",
    "Tove Kallas",
    "--passphrase-stdin",
]
WRENCH = ["--type", "setting", "--range", "20..100 ft-lb", "--graduation", "0.5", "--lever", "12 in",
          "--accuracy", "4 %", "--every", "12 months", "--cycles", "5000"]  # fmt: skip


@pytest.fixture(scope="module")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a station in which TK is signed in; made once, copied for each test."""
    home = tmp_path_factory.mktemp("founded")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        patch.setenv("XDG_DATA_HOME", str(home / "data"))
        for name in ("XDG_RUNTIME_DIR", "TORQUELOG_DB"):
            patch.delenv(name, raising=False)
        assert play(INIT, stdin=PASSPHRASE).exit == 0
    return home


@pytest.fixture(autouse=True)
def station(founded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The station, fresh, with results to calibrate from in the current folder."""
    home = tmp_path / "station"
    shutil.copytree(founded, home)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.delenv("XDG_RUNTIME_DIR")
    monkeypatch.setenv("NO_COLOR", "1")
    for name, text in (("good.csv", RESULTS), ("failed.csv", FAILED), ("found.csv", FOUND)):
        (tmp_path / name).write_text(text, encoding="utf-8")


def done(*args, now=NOON, stdin=""):
    """Carry out a command that has to end well; its envelope."""
    played = play([*args, "--json"], now=now, stdin=stdin)
    assert played.exit == 0, played.out
    return json.loads(played.out)


def refused(*args, exit=2, now=NOON, stdin=""):
    """Carry out a command that has to end with this status; the codes of its problems, and its envelope."""
    played = play([*args, "--json"], now=now, stdin=stdin)
    assert played.exit == exit, played.out
    envelope = json.loads(played.out)
    return [problem["code"] for problem in envelope["problems"]], envelope


def said(*args, now=NOON):
    """What a person reads on a terminal."""
    return play(args, terminal=True, now=now).out


def fit(number="W-0417", certificate="C-118", on="2026-11-09", *more):
    """Register a wrench and accept its certificate."""
    done("wrench", "add", number, *WRENCH, *more)
    return calibrated(number, certificate, on)


def calibrated(number="W-0417", certificate="C-118", on="2026-11-09", points="good.csv", *more):
    return done(
        "wrench",
        "calibrate",
        number,
        "--certificate",
        certificate,
        "--on",
        on,
        "--points",
        points,
        "--accept",
        *more,
    )


def typed(line, *answers):
    """Play a dialogue on a terminal; everything on the screen and the status."""
    screen = Screen()

    class Keyboard(io.StringIO):
        encoding = "utf-8"

        def isatty(self):
            return True

        def readline(self, *_):
            answer = next(rest, None)
            screen.write("" if answer is None else answer + "\n")
            return "" if answer is None else answer + "\n"

    rest = iter(answers)
    status = run(line.split(), clock=SetClock(NOON), stdin=Keyboard(), stdout=screen, stderr=screen)
    return status, screen.getvalue()


class TestAdd:
    """Registering."""

    def test_from_options(self):
        """Everything comes back as it was told."""
        data = done(
            "wrench",
            "add",
            "w-0417",
            *WRENCH,
            "--maker",
            "Acme",
            "--serial",
            "X1",
            "--scale",
            "27..136 Nm by 1",
        )["data"]
        assert (data["tool"], data["type"], data["accuracy"], data["every"], data["cycles"]) == (
            "W-0417", "setting", "4 %", "12 months", "5000",
        )  # fmt: skip
        assert data["scales"] == [
            {"low": "20", "high": "100", "graduation": "0.5", "unit": "lbf·ft"},
            {"low": "27", "high": "136", "graduation": "1", "unit": "N·m"},
        ]
        assert data["lever"] == {"value": "12", "unit": "in"}

    def test_number_twice(self):
        """Exit 2, exists."""
        done("wrench", "add", "W-0417", *WRENCH)
        assert refused("wrench", "add", "W-0417", *WRENCH)[0] == ["exists"]
        assert refused("adapter", "add", "W-0417", "--length", "2 in")[0] == ["exists"]

    @pytest.mark.parametrize(
        ("args", "code"),
        [
            ((), "needs-option"),
            (("W-1",), "tool-facts"),
            (("W-1", "--type", "setting", "--graduation", "0.5"), "needs-option"),
            (("W-1", "--type", "setting", "--range", "20-100 ft-lb"), "range-form"),
            (("W-1", "--type", "setting", "--range", "20..100 lb"), "unit-ambiguous"),
            (("W-1", *WRENCH, "--cycles", "0"), "number-form"),
            (("W-1", *WRENCH, "--cycles", "1.5"), "number-form"),
            (("W-1", *WRENCH, "--accuracy", "4"), "percent-form"),
            (("W-1", *WRENCH, "--every", "soon"), "period-form"),
            (("W 1", *WRENCH), "identifier-form"),
        ],
    )
    def test_what_is_missing_or_wrong_is_named(self, args, code):
        """Exit 2 and a code; nobody is asked in a pipe."""
        assert refused("wrench", "add", *args)[0] == [code]

    def test_adapters_and_testers(self):
        """A length that reaches back begins with a minus; a ratio; a tester."""
        assert done("adapter", "add", "A-1", "--length", "-2 in", "--angle", "30")["data"]["length"] == {
            "value": "-2",
            "unit": "in",
        }
        assert done("adapter", "add", "A-2", "--multiplier", "3.8")["data"]["multiplier"] == "3.8"
        assert (
            done("tester", "add", "T-1", "--range", "5..200 Nm", "--accuracy", "1 %")["data"]["sort"]
            == "tester"
        )
        assert "may be used as it is" in said("adapter", "add", "A-3", "--length", "2 in")

    def test_in_questions(self):
        """Each answer is printed back, a slip is asked again, and no answer is assumed."""
        status, screen = typed(
            "wrench add", "w-0417", "Acme", "Acme X1", "x", "s", "20-100 ft-lb", "20..100 ft-lb", "0.5", "", "12 in",
            "12 months", "5000", "4 %",
        )  # fmt: skip
        assert status == 0
        assert "such as Exemplar 4471-A" in screen
        assert "Type both, the maker first." in screen
        assert "  20 to 100 lbf·ft  (27.1 to 135.6 N·m)" in screen
        assert "W-0417 is registered. It may not be used yet: it has no calibration." in screen
        assert "Next: torquelog wrench calibrate W-0417" in screen
        assert done("wrench", "show", "W-0417")["data"]["serial"] == "X1"

    def test_the_input_ends(self):
        """Nothing is registered by half an answer."""
        assert typed("wrench add", "w-0417", "")[0] == 2
        assert refused("wrench", "show", "W-0417")[0] == ["tool-unknown"]


class TestCalibrate:
    """Certificates."""

    def test_accepted_at_once(self):
        """Fit from then on, with each result's deviation."""
        data = fit()["data"]
        assert (data["fit"], data["due"], data["certificate"]) == (True, "2027-11-09", "C-118")
        assert [result["deviation"] for result in data["results"]] == ["-0.50 %", "-0.33 %", "-0.89 %"]
        assert data["calibrated"] == {"low": "20", "high": "100", "unit": "lbf·ft"}
        assert data["acceptance"] == "QHR-000005"

    def test_waits_for_its_acceptance_in_a_pipe(self):
        """Without --accept it is on record only."""
        done("wrench", "add", "W-0417", *WRENCH)
        data = done(
            "wrench",
            "calibrate",
            "W-0417",
            "--certificate",
            "C-1",
            "--on",
            "9 nov 2026",
            "--points",
            "good.csv",
        )["data"]
        assert (data["fit"], data["acceptance"], [ground["code"] for ground in data["grounds"]]) == (
            False,
            None,
            ["not-accepted"],
        )
        assert done("wrench", "receive", "W-0417")["data"]["moved"][0]["fit"] is True

    def test_in_questions(self):
        """In the manner of the certificate; the question at its end accepts."""
        done("wrench", "add", "W-0417", *WRENCH)
        status, screen = typed(
            "wrench calibrate W-0417", "C-2026-118", "9/11/26", "9 nov 2026", "", "Metrolab", "20 20.1", "60", "60 60.2",
            "100 100.9", "", "", "", "y",
        )  # fmt: skip
        assert status == 0
        assert "  Mon 9 Nov 2026, 16 days ago" in screen
        assert "Due [Tue 9 Nov 2027, 12 months later]:" in screen
        assert "Two values are needed." in screen
        assert "20 lbf·ft    20.1 lbf·ft     -0.50 %   inside 4 %" in screen
        assert "W-0417 may be used clockwise, 20 to 100 lbf·ft, through Tue 9 Nov 2027, 349 days" in screen

    def test_said_no(self):
        """Not what the certificate says: nothing is recorded."""
        done("wrench", "add", "W-0417", *WRENCH)
        status, screen = typed(
            "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points good.csv", "n"
        )
        assert (status, "Nothing was recorded." in screen) == (0, True)
        assert done("wrench", "show", "W-0417")["data"]["certificates"] == []

    def test_found_and_left_the_same(self):
        """One set of results for both, told by one word; the other direction with another unit on its line."""
        done("wrench", "add", "W-0417", *WRENCH)
        status, _ = typed(
            "wrench calibrate W-0417", "C-1", "9 nov 2026", "1 may 2027", "", "20 20.1", "100 100", "", "same",
            "40 40.2", "", "40 41", "", "y",
        )  # fmt: skip
        assert status == 0
        shown = done("wrench", "show", "W-0417")["data"]
        assert shown["due"] == "2027-05-01"
        assert done("wrench", "check", "W-0417")["data"]["fit"] is True

    def test_found_outside_is_said(self):
        """What was tightened with it is in doubt, and the next command looks at it."""
        done("wrench", "add", "W-0417", *WRENCH)
        played = play(
            [
                "wrench",
                "calibrate",
                "W-0417",
                "--certificate",
                "C-1",
                "--on",
                "2026-11-09",
                "--points",
                "found.csv",
                "--accept",
            ]
        )
        assert played.exit == 0
        assert "As found it was outside its 4 %: 100 lbf·ft shown was 92 lbf·ft." in played.out
        assert "Next: torquelog trace wrench W-0417" in played.out

    @pytest.mark.parametrize(
        ("args", "code", "exit"),
        [
            (("--on", "2026-11-09", "--points", "good.csv"), "needs-option", 2),
            (("--certificate", "C-1", "--points", "good.csv"), "needs-option", 2),
            (("--certificate", "C-1", "--on", "2026-11-09"), "points-form", 2),
            (("--certificate", "C-1", "--on", "03/04/26", "--points", "good.csv"), "date-unclear", 2),
            (("--certificate", "C-1", "--on", "2026-11-26", "--points", "good.csv"), "in-the-future", 2),
            (("--certificate", "C-1", "--on", "2026-11-09", "--points", "none.csv"), "file-missing", 2),
            (
                ("--certificate", "C-1", "--on", "2026-11-09", "--due", "2026-11-08", "--points", "good.csv"),
                "certificate-facts",
                2,
            ),
            (
                ("--certificate", "C-1", "--on", "2026-11-09", "--points", "failed.csv", "--accept"),
                "as-left-failed",
                3,
            ),
        ],
    )
    def test_what_a_certificate_cannot_say(self, args, code, exit):
        """A code and the status of the table; nothing is recorded."""
        done("wrench", "add", "W-0417", *WRENCH)
        assert refused("wrench", "calibrate", "W-0417", *args, exit=exit)[0] == [code]
        assert done("wrench", "show", "W-0417")["data"]["certificates"] == []

    def test_results_from_standard_input(self):
        """A dash."""
        done("wrench", "add", "W-0417", *WRENCH)
        args = (
            "wrench",
            "calibrate",
            "W-0417",
            "--certificate",
            "C-1",
            "--on",
            "2026-11-09",
            "--points",
            "-",
        )
        assert len(done(*args, stdin=RESULTS)["data"]["results"]) == 3

    def test_an_adapter_as_measured(self):
        """Its length from the certificate counts from then on."""
        done("adapter", "add", "A-03", "--length", "3 in")
        data = done(
            "adapter",
            "calibrate",
            "A-03",
            "--certificate",
            "C-1",
            "--on",
            "2026-11-09",
            "--length",
            "3.01 in",
            "--accept",
        )["data"]
        assert (data["fit"], data["due"]) == (True, None)


class TestCheckAndIssue:
    """The same judgement before the work; exit 3 where a tool is unfit."""

    def test_fit(self):
        """Exit 0, and what it stands by."""
        fit()
        data = done("wrench", "check", "W-0417")["data"]
        assert (data["fit"], data["due"], data["cycles_left"]) == (True, "2027-11-09", "5000")
        assert "W-0417 may be used clockwise" in said("wrench", "check", "W-0417")

    def test_every_ground_and_exit_3(self):
        """Overdue and in quarantine: both are told."""
        fit("W-0402", "C-1", "2025-11-23")
        done("wrench", "quarantine", "W-0402", "--why", "odd click")
        codes, envelope = refused("wrench", "check", "W-0402", exit=3)
        assert codes == ["quarantined", "past-due"]
        assert envelope["data"]["fit"] is False
        assert "W-0402 was due Mon 23 Nov 2026, 2 days ago." in play(["wrench", "check", "W-0402"]).err

    def test_issue_refuses_and_names_others(self):
        """Nothing is handed out, exit 3; a fit one in the crib is named with its place."""
        fit("W-0402", "C-1", "2025-11-23")
        fit("W-0391", "C-2", "2026-11-09", "--place", "B1")
        codes, envelope = refused("wrench", "issue", "W-0402", "--to", "tk", exit=3)
        assert codes == ["past-due"]
        assert envelope["data"]["alternatives"] == [
            {"wrench": "W-0391", "where": "crib, B1", "due": "2027-11-09"}
        ]
        assert envelope["data"]["moved"] == []

    def test_issue_and_return(self):
        """To a person for a job, and back with uses elsewhere."""
        fit()
        moved = done("wrench", "issue", "W-0417", "--to", "tk", "--job", "j-1")["data"]["moved"][0]
        assert (moved["where"]["person"], moved["where"]["job"]) == ("TK", "J-1")
        assert refused("wrench", "issue", "W-0417", "--to", "wheel shop", exit=3)[0] == ["tool-out"]
        assert done("wrench", "return", "W-0417", "--uses", "12")["data"]["moved"][0]["cycles_left"] == "4988"
        assert refused("wrench", "return", "W-0417")[0] == ["tool-not-out"]
        assert refused("wrench", "return", "W-0417", "--uses", "-1")[0] == ["number-form"]

    def test_unknown_number_with_what_may_have_been_meant(self):
        """Exit 2 and a did-you-mean that runs nothing."""
        fit()
        codes, envelope = refused("wrench", "check", "W-0471")
        assert codes == ["tool-unknown"]
        assert "Did you mean W-0417?" in envelope["problems"][0]["message"]

    def test_a_fastener_needs_its_job(self):
        """Exit 2."""
        fit()
        assert refused("wrench", "check", "W-0417", "--fastener", "tie-bolt:1")[0] == ["needs-option"]
        assert refused("wrench", "check", "W-0417", "--job", "J-9", "--fastener", "tie-bolt:1")[0] == [
            "job-unknown"
        ]


class TestCondition:
    """Reports, quarantine, restriction."""

    def test_report_and_what_was_done_meanwhile(self):
        """Told late: how often it was used since."""
        fit()
        done("wrench", "issue", "W-0417", "--to", "TK")
        done("wrench", "return", "W-0417", "--uses", "3")
        data = done(
            "wrench", "report", "W-0417", "dropped", "--at", "2026-11-25 14:00", "--why", "from the stand"
        )["data"]
        assert ([ground["code"] for ground in data["grounds"]], len(data["used_since"])) == (["dropped"], 1)
        assert refused("wrench", "report", "W-0417", "borrowed")[0] == ["report-unknown"]
        assert refused("wrench", "report", "W-0417", "lost", "--at", "2026-11-26 14:00")[0] == [
            "in-the-future"
        ]

    def test_release_takes_the_passphrase(self):
        """Quality's; with a reason."""
        fit()
        assert refused("wrench", "quarantine", "W-0417")[0] == ["why-missing"]
        done("wrench", "quarantine", "W-0417", "--why", "odd click")
        assert refused("wrench", "release", "W-0417")[0] == ["why-missing"]
        wrong = refused(
            "wrench",
            "release",
            "W-0417",
            "--why",
            "x",
            "--passphrase-stdin",
            stdin="not this one, no\n",
            exit=3,
        )
        assert wrong[0] == ["passphrase-wrong"]
        data = done(
            "wrench", "release", "W-0417", "--why", "looked at", "--passphrase-stdin", stdin=PASSPHRASE
        )["data"]
        assert [each["fit"] for each in data["told"]] == [True]
        fit("W-2")
        several = play(["wrench", "quarantine", "W-0417", "W-2", "--why", "odd click"])
        assert "W-0417 and W-2 are in quarantine, until quality releases them." in several.out

    def test_restrict_and_lift(self):
        """A range, a direction, and their end."""
        fit()
        args = ("wrench", "restrict", "W-0417", "--passphrase-stdin", "--why", "spring")
        done(*args, "--range", "20..80 ft-lb", "--direction", "cw", stdin=PASSPHRASE)
        assert refused(*args, stdin=PASSPHRASE)[0] == ["restriction-empty"]
        assert refused(*args, "--lift", "--direction", "cw", stdin=PASSPHRASE)[0] == ["argument"]
        done(*args, "--lift", stdin=PASSPHRASE)
        assert refused(*args, "--lift", stdin=PASSPHRASE)[0] == ["nothing-to-end"]

    def test_send_receive_retire(self):
        """Away, back with its certificate, out of use."""
        fit()
        done("wrench", "send", "W-0417", "--to", "Lab")
        assert refused("wrench", "check", "W-0417", exit=3)[0] == ["away"]
        again = (
            "wrench",
            "calibrate",
            "W-0417",
            "--certificate",
            "C-2",
            "--on",
            "2026-11-25",
            "--points",
            "good.csv",
        )
        assert refused(*again, "--accept", exit=3)[0] == ["tool-away"]
        done(*again)
        moved = done("wrench", "receive", "W-0417")["data"]["moved"][0]
        assert (moved["fit"], moved["certificate"]) == (True, "C-2")
        assert refused("wrench", "receive", "W-0417")[0] == ["nothing-to-receive"]
        assert refused("wrench", "retire", "W-0417")[0] == ["why-missing"]
        done("wrench", "retire", "W-0417", "--why", "worn out")
        assert refused("wrench", "issue", "W-0417", "--to", "TK", exit=3)[0] == ["retired"]


class TestLists:
    """What stands in the lists, and that CSV and JSON say the same."""

    def test_due_on_a_screen(self):
        """Unfit first, with every reason and where each is; then what falls due; then the rest."""
        fit("W-0402", "C-1", "2025-11-23")
        done("wrench", "quarantine", "W-0402", "--why", "odd click")
        fit("W-0420", "C-2", "2025-12-01")
        fit("W-0377", "C-3", "2026-01-15", "--place", "B4")
        lines = said("wrench", "due").splitlines()
        assert lines[0] == "QHR, Wed 25 Nov 2026 14:07 Lisbon. 3 wrenches, looking 30 days ahead."
        assert lines[2:6] == [
            "Not to be used, 1",
            "  W-0402   in quarantine since Wed 25 Nov 2026, today    crib",
            "           and due Mon 23 Nov 2026, 2 days ago",
            "",
        ]
        assert lines[6:9] == [
            "Due soon, 1",
            "  W-0420   due Tue 1 Dec 2026, in 6 days                 crib",
            "",
        ]
        assert lines[9] == "The other one is in date. The next of them: Fri 15 Jan 2027, in 51 days."
        assert lines[10] == "A wrench may be used through its due day (station rule)."
        assert lines[12] == "Next: torquelog wrench show W-0402"

    def test_a_long_reason_moves_every_place(self):
        """Where each tool is stands in one column, also beside a reason that is longer than usual."""
        fit("W-0402", "C-1", "2025-11-23")
        fit("W-0403", "C-2", "2026-11-09")
        long = "K-2026-104"
        done(
            "wrench",
            "calibrate",
            "W-0403",
            "--certificate",
            long,
            "--on",
            "2026-11-24",
            "--points",
            "good.csv",
        )
        rows = [line for line in said("wrench", "due").splitlines() if line.startswith("  W-")]
        assert any(long in row for row in rows)
        assert len({row.index("   crib") for row in rows}) == 1

    def test_nothing_to_say_is_said(self):
        """And when the next one is due; or that there is none."""
        assert said("wrench", "due").startswith("QHR has no wrench yet.")
        fit()
        assert said("wrench", "due").splitlines() == [
            "QHR, Wed 25 Nov 2026. The only wrench is in date and in cycles.",
            "",
            "The next is due Tue 9 Nov 2027, in 349 days: W-0417.",
            "",
            "Next: torquelog wrench list",
        ]

    def test_cycles_running_out(self):
        """How many are left, and how long they last at the pace of late."""
        fit("W-0391", "C-1", "2026-11-09", "--cycles", "200")
        done("wrench", "issue", "W-0391", "--to", "TK")
        done("wrench", "return", "W-0391", "--uses", "150")
        screen = said("wrench", "due")
        assert "Cycles running out, 1" in screen
        assert "W-0391   150 of 200 cycles used, 50 left" in screen
        assert "at the pace of the last 30 days that is about 10 days" in screen

    def test_csv_and_json(self):
        """One record a tool."""
        fit()
        done("wrench", "add", "W-2", *WRENCH)
        rows = play(["wrench", "list", "--csv"]).out.splitlines()
        assert len(rows) == 3
        assert rows[0].startswith("tool,sort,type,")
        data = done("wrench", "list")["data"]["wrenches"]
        assert [(each["tool"], each["fit"], each["grounds"]) for each in data] == [
            ("W-0417", True, []), ("W-2", False, ["not-calibrated"]),
        ]  # fmt: skip
        assert play(["wrench", "due", "--csv"]).out.splitlines()[1].startswith("unfit,W-2,")
        assert done("wrench", "due", "--within", "2 weeks")["data"]["within_days"] == "14"
        assert refused("wrench", "due", "--within", "soon")[0] == ["period-form"]

    def test_show_as_of(self):
        """As it stood before it was dropped."""
        fit()
        done("wrench", "report", "W-0417", "dropped", now=NOON + 3_600_000)
        assert done("wrench", "show", "W-0417", now=NOON + 3_600_000)["data"]["fit"] is False
        data = done("wrench", "show", "W-0417", "--as-of", "2026-11-25T14:30", now=NOON + 3_600_000)["data"]
        assert (data["fit"], [event["what"] for event in data["events"]]) == (True, ["certificate"])

    def test_end_of_month_rule_in_the_list(self):
        """The list says by which rule, and a wrench due in the month may still be used."""
        done("station", "set", "due-through", "month", "--passphrase-stdin", stdin=PASSPHRASE)
        fit("W-0402", "C-1", "2025-11-05")
        fit("W-0403", "C-2", "2025-10-30")
        screen = said("wrench", "due")
        assert "Due soon, 1" in screen
        assert "W-0403   usable through Sat 31 Oct 2026, 25 days ago" in screen
        assert "A wrench may be used through its due month (station rule)." in screen


def test_nobody_signed_in():
    """Exit 3, before any question."""
    done("sign-out")
    assert refused("wrench", "add", "W-1", *WRENCH, exit=3)[0] == ["sign-in-none"]


def test_a_narrow_screen_breaks_no_line(monkeypatch: pytest.MonkeyPatch):
    """At 40 columns nothing is wider than the screen."""
    monkeypatch.setenv("COLUMNS", "40")
    fit("W-0402", "C-1", "2025-11-23")
    for args in (
        ("wrench", "due"),
        ("wrench", "list"),
        ("wrench", "show", "W-0402"),
        ("wrench", "check", "W-0402"),
    ):
        lines = [line for line in said(*args).splitlines() if not line.startswith(("Next:", "      "))]
        assert max(map(len, lines)) <= 40


class TestForAFastener:
    """`wrench check` for a fastener of a job: its setting is judged as well."""

    @pytest.fixture(autouse=True)
    def job(self, station):
        """J-5 by the sample card: 12 tie bolts at 68 to 76 N·m, the first pass at half of it."""
        card = str(ROOT / "sample_data" / "main-wheel-build.toml")
        done("card", "load", card)
        done("card", "approve", "MW-BUILD", "--why", "alone", "--passphrase-stdin", stdin=PASSPHRASE)
        done("assembly", "add", "WH-2231", "--part", "EX-4410-1", "--kind", "wheel")
        done("job", "open", "J-5", "--card", "MW-BUILD", "--assembly", "WH-2231")

    def check(self, *more, exit=0, fastener="tie-bolt:1"):
        args = ("wrench", "check", *more, "--job", "J-5", "--fastener", fastener)
        return refused(*args, exit=exit) if exit else done(*args)["data"]

    def test_what_to_set(self):
        """The mark nearest the middle; through an adapter less."""
        fit()
        demanded = self.check("W-0417")["demanded"]
        assert (demanded["slot"], demanded["dial"]) == ("pass 1", {"value": "26.5", "unit": "lbf·ft"})
        assert demanded["limits"] == {"low": "34", "high": "38", "unit": "N·m"}
        done("adapter", "add", "A-03", "--length", "3 in")
        data = self.check("W-0417", "--adapter", "A-03")
        assert (data["demanded"]["dial"]["value"], data["adapters"][0]["fit"]) == ("21", True)

    def test_a_wrench_that_does_not_reach_it(self):
        """Refused by its range, with one that could do it."""
        fit()
        small = ["2..10 ft-lb" if word.startswith("20..") else word for word in WRENCH]
        done("wrench", "add", "W-2", *small)
        assert self.check("W-2", exit=3)[0] == ["not-calibrated", "outside-range"]
        assert "W-0417   crib   due Tue 9 Nov 2027" in said(
            "wrench", "check", "W-2", "--job", "J-5", "--fastener", "tie-bolt:1"
        )

    def test_an_adapter_on_a_wrench_without_lever_or_in_quarantine(self):
        """What is wrong with the adapter is told with the wrench's."""
        fit("W-0417", "C-1", "2026-11-09")
        bare = [word for word in WRENCH if word not in ("--lever", "12 in")]
        done("wrench", "add", "W-3", *bare)
        calibrated("W-3")
        done("adapter", "add", "A-03", "--length", "3 in")
        assert self.check("W-3", "--adapter", "A-03", exit=3)[0] == ["no-lever"]
        done("adapter", "quarantine", "A-03", "--why", "bent")
        codes, envelope = self.check("W-0417", "--adapter", "A-03", exit=3)
        assert (codes, envelope["data"]["fit"]) == (["quarantined"], False)

    def test_no_mark_inside_the_limits(self):
        """In range and fit, but its graduation steps over them."""
        coarse = ["10" if word == "0.5" else word for word in WRENCH]
        done("wrench", "add", "W-4", *coarse)
        calibrated("W-4")
        codes, envelope = self.check("W-4", exit=3)
        assert codes == ["no-graduation"]
        assert envelope["problems"][0]["message"].startswith("W-4: No mark of a scale by 10 lbf·ft lies in")

    def test_a_fastener_that_is_not_there(self):
        """Exit 2."""
        fit()
        assert self.check("W-0417", fastener="tie-bolt:13", exit=2)[0] == ["fastener-unknown"]
        assert self.check("W-0417", fastener="tie-bot:1", exit=2)[0] == ["group-unknown"]


@pytest.mark.parametrize(
    ("grounds", "said"),
    [
        ((), "torquelog trace wrench W-1"),
        (("past-due",), "torquelog wrench calibrate W-1"),
        (("past-due", "quarantined"), "torquelog wrench release W-1 --why REASON"),
        (("not-accepted", "away"), "torquelog wrench receive W-1"),
        (("retired", "not-calibrated"), "torquelog wrench list"),
        (("dropped",), "torquelog wrench send W-1 --to LABORATORY"),
    ],
)
def test_a_tool_that_may_not_be_used_names_its_cure(grounds: tuple[str, ...], said: str) -> None:
    """What has to be done first; a new certificate makes no tool good that is in quarantine."""
    assert show_next("wrench", "W-1", grounds) == (said,)
    assert show_next("tester", "T-1", ()) == ("torquelog tester due",)
