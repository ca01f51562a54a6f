"""`review` at the command line."""

import csv
import io

from tests.cli.hangar import PASSPHRASE, Hangar

SET_UP = (
    "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --accuracy '4 %' --every '12 months'",
    "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
    "assembly add WH-2231 --part EX-4410-1 --kind wheel",
    "card load sample_data/main-wheel-build.toml",
    "card approve MW-BUILD --why 'nobody else is here' --passphrase-stdin",
    "job open J-5 --card MW-BUILD --assembly WH-2231",
    "record tie-bolt:1 26.5 ft-lb --job J-5 --wrench W-0417",
)


def test_asked_and_answered():
    """Two readings of one moment; the next step names the entry, and never what to answer."""
    hangar = Hangar(*SET_UP)
    assert "The record raises no open question." in hangar.did("review")
    hangar.did("record tie-bolt:7 26.5 ft-lb --job J-5 --wrench W-0417")
    (asked,) = hangar.data("review")["questions"]
    last = asked["entries"][-1]
    assert (asked["code"], asked["people"], asked["answer"]) == ("close-readings", ["TK"], None)
    said = hangar.did("review")
    assert "1 question about the record." in said
    assert f"Next: torquelog review answer {last} --why TEXT" in said
    (row,) = csv.DictReader(io.StringIO(hangar.did("review --csv")))
    assert row["code"] == "close-readings"
    assert hangar.refused(f"review answer {last} --passphrase-stdin", PASSPHRASE) == (2, ["why-missing"])
    assert hangar.refused("review answer") == (2, ["argument"])
    given = hangar.data(
        f"review answer {last} --why 'two of us at one screen' --passphrase-stdin", PASSPHRASE
    )
    assert (given["answers"], given["own"]) == (["close-readings"], True)
    assert hangar.data("review")["questions"] == []
    (kept,) = hangar.data("review --all")["questions"]
    assert (kept["answer"], kept["answered_by"]) == ("two of us at one screen", "TK")
    assert hangar.data("review --all --since 2026-11-26")["questions"] == []
