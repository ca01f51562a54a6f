"""`wrench calibrate --dcc`: a digital certificate at the command line, and what is asked beside it."""

import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.hangar import SAMPLES, Hangar
from torquelog.cli.run import run
from torquelog.clock import SetClock

WRENCH = "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --accuracy '4 %' --every '12 months'"
FIRST = "wrench calibrate W-0417 --certificate C-1 --on 2026-01-09 --points sample_data/wrench-results.csv --accept"
DCC = "wrench calibrate W-0417 --dcc sample_data/wrench-certificate.xml"
TEXT = (SAMPLES / "wrench-certificate.xml").read_text(encoding="utf-8")


def put(name: str, before: str = "", after: str = "") -> str:
    """A file beside the samples, from theirs with something else in it."""
    assert before in TEXT
    Path(name).write_text(TEXT.replace(before, after) if before else TEXT, encoding="utf-8")
    return f"wrench calibrate W-0417 --dcc {name}"


@pytest.fixture
def hangar() -> Hangar:
    """A station with one wrench, calibrated once."""
    return Hangar(WRENCH, FIRST)


def test_everything_from_the_file(hangar: Hangar):
    """Number, days, laboratory, results and the digest; accepted, the wrench is fit to the date it recommends."""
    data = hangar.data(f"{DCC} --accept")
    assert (data["certificate"], data["on"], data["due"]) == ("EX-DCC-2026-0452", "2026-11-20", "2027-10-31")
    assert (data["fit"], len(data["results"])) == (True, 6)
    shown = hangar.data("wrench show W-0417")["certificates"][-1]
    assert (shown["certificate"], shown["laboratory"]) == (
        "EX-DCC-2026-0452",
        "Example Calibration Laboratory",
    )
    text = hangar.did("export")
    assert "found_on" in text
    assert "2026-11-19" in text


def test_what_it_does_not_say_is_asked_for(hangar: Hangar):
    """On a terminal a question, elsewhere an error with the option; then the option answers."""
    line = put("silent.xml", ", clockwise", "")
    assert hangar.refused(line) == (2, ["needs-option"])
    status, screen = hangar.talked(
        line, "Direction of the results (cw, ccw): cw", "Is this what the certificate says? y/n: y"
    )
    assert status == 0, screen
    assert "Laboratory:      Example Calibration Laboratory" in screen
    assert "Direction of the results (cw, ccw):" in screen
    unadjusted = put("unadjusted.xml", "<dcc:status>beforeAdjustment</dcc:status>", "").replace(
        "0452", "0453"
    )
    assert hangar.refused(unadjusted) == (2, ["needs-option"])
    assert hangar.refused(f"{line} --direction up") == (2, ["certificate-facts"])


def test_an_option_fills_a_gap_and_changes_nothing(hangar: Hangar):
    """What the file says, an option cannot say otherwise; an earlier due date only shortens."""
    for option in (
        "--certificate C-9",
        "--on 2026-11-19",
        "--laboratory Another",
        "--direction cw",
        "--points x.csv",
    ):
        assert hangar.refused(f"{DCC} {option}") == (2, ["certificate-facts"]), option
    assert hangar.data(f"{DCC} --due 2027-05-01 --certificate EX-DCC-2026-0452")["due"] == "2027-05-01"


def test_twice(hangar: Hangar):
    """The same certificate of the same laboratory is on record already."""
    hangar.did(DCC)
    assert hangar.refused(DCC) == (2, ["exists"])


def test_of_another_wrench(hangar: Hangar):
    """A file that names another wrench of ours is not taken for this one."""
    hangar.did(WRENCH.replace("W-0417", "W-0418"))
    assert hangar.refused(DCC.replace("W-0417", "W-0418")) == (2, ["certificate-facts"])


@pytest.mark.parametrize(
    ("before", "after", "code"),
    [
        ("27.61", "0", "dcc-form"),
        ("27.61", "-27.61", "dcc-form"),
        ("https://ptb.de/dcc", "https://example.org", "dcc-form"),
        ("<dcc:uniqueIdentifier>EX-DCC-2026-0452</dcc:uniqueIdentifier>", "", "dcc-form"),
        ('<?xml version="1.0" encoding="UTF-8"?>', "<!DOCTYPE a>", "dcc-form"),
        ("27.2 ", "20.1 ", "points-form"),
        ("2027-10-31", "2026-10-31", "certificate-facts"),
        ("2026-11-20", "2026-11-26", "in-the-future"),
    ],
)
def test_bad_files(hangar: Hangar, before: str, after: str, code: str):
    """A clear error, nothing written."""
    line = put("bad.xml", before, after)
    assert hangar.refused(line) == (2, [code])
    assert len(hangar.data("wrench show W-0417")["certificates"]) == 1


class Endless(io.RawIOBase):
    """Bytes of a certificate that never ends, made as they are read; it counts them."""

    def __init__(self, size: int) -> None:
        self.left, self.read_so_far = size, 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        count = min(len(buffer), self.left)
        buffer[:count] = b"<" * count
        self.left -= count
        self.read_so_far += count
        return count


def test_a_hundred_megabytes(hangar: Hangar):
    """Of a file of 100 MB, 8 MiB and no more are read before it is refused."""
    source = Endless(100 * 1000 * 1000)
    stdin = io.TextIOWrapper(io.BufferedReader(source), encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    words = ["wrench", "calibrate", "W-0417", "--dcc", "-", "--json"]
    status = run(words, clock=SetClock(hangar.now), stdin=stdin, stdout=out, stderr=err)
    assert (status, "file-too-large" in out.getvalue()) == (2, True)
    assert source.read_so_far < (8 << 20) + (1 << 16)


def found_only() -> Iterator[str]:
    """Results as found of which one is outside."""
    yield "state,direction,indicated,reference,unit"
    yield from ("as-found,cw,20,20.1,lbf-ft", "as-found,cw,60,60.2,lbf-ft", "as-found,cw,100,92,lbf-ft")


def test_a_laboratory_that_stops_after_as_found(hangar: Hangar):
    """It is on record, the wrench is out, and the recall waits; a wrench never used needs to say how it was left."""
    Path("found.csv").write_text("\n".join(found_only()), encoding="utf-8")
    data = hangar.data("wrench calibrate W-0417 --certificate C-2 --on 2026-11-20 --points found.csv")
    assert [ground["code"] for ground in data["grounds"]] == ["not-accepted", "as-left-missing"]
    assert hangar.refused("wrench receive W-0417") == (3, ["as-left-missing"])
    assert hangar.type("wrench issue W-0417 --to TK").exit == 3
    assert "W-0417" in hangar.did("recall list")
    hangar.did(WRENCH.replace("W-0417", "W-0418"))
    new = "wrench calibrate W-0418 --certificate C-3 --on 2026-11-20 --points found.csv"
    assert hangar.refused(new) == (2, ["points-form"])


def test_found_only_in_questions(hangar: Hangar):
    """An empty list as left, then how it was found; said yes, it is on record and not accepted."""
    status, screen = hangar.talked(
        "wrench calibrate W-0417", "Certificate number: C-2", "Calibrated on: 20 nov 2026",
        "Due [Sat 20 Nov 2027, 12 months later]:", "Laboratory (Enter if it has no name): Lab", "  1:",
        "  1: 20 18", "  2: 100 92", "  3:", "  1:", "Is this what the certificate says? y/n: y",
    )  # fmt: skip
    assert status == 0, screen
    assert "says how W-0417 was found, not how it was left." in " ".join(screen.split())
    assert hangar.data("wrench show W-0417")["fit"] is False


def test_a_signature_in_the_file_is_told_as_not_checked(hangar: Hangar):
    """Beside the facts that were read, which end with an empty line before the results."""
    end = "</dcc:digitalCalibrationCertificate>"
    mark = '<ds:Signature xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:SignedInfo/></ds:Signature>'
    status, screen = hangar.talked(
        put("signed.xml", end, mark + end), "Is this what the certificate says? y/n: y"
    )
    assert status == 0, screen
    assert "Its signature:   not checked\n\n" in screen
    codes = [
        each["code"]
        for each in json.loads(hangar.type(put("again.xml", "0452", "0453") + " --json").out)["remarks"]
    ]
    assert "signature-not-checked" not in codes
    text = Path("signed.xml").read_text(encoding="utf-8").replace("0452", "0454")
    Path("signed.xml").write_text(text, encoding="utf-8")
    told = json.loads(hangar.did("wrench calibrate W-0417 --dcc signed.xml --json"))
    assert "signature-not-checked" in [each["code"] for each in told["remarks"]]
    status, screen = hangar.talked(DCC, "Is this what the certificate says? y/n: n")
    assert "Its signature" not in screen
