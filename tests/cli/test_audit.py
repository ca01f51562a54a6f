"""`audit`, `interval` and `limits` at the command line."""

import csv
import io

from tests.cli.hangar import PASSPHRASE, Hangar

SET_UP = (
    "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --accuracy '4 %' --every '12 months' "
    "--cycles 5000",
    "wrench calibrate W-0417 --certificate C-1 --on 2026-01-09 --points sample_data/wrench-results.csv --accept",
    "wrench limits W-0417 --every '9 months' --why 'it drifts' --passphrase-stdin",
    "assembly add WH-2231 --part EX-4410-1 --kind wheel",
    "card load sample_data/main-wheel-build.toml",
    "card approve MW-BUILD --why 'nobody else is here' --passphrase-stdin",
    "job open J-5 --card MW-BUILD --assembly WH-2231",
)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_every_list():
    """An overdue use that was refused, the certificates, the limits, the people; each as CSV and for programs."""
    hangar = Hangar(*SET_UP)
    assert "No use is on record." in hangar.did("audit overdue")
    assert hangar.type("record tie-bolt:1 26.5 ft-lb --job J-5 --wrench W-0417").exit == 3
    (use,) = hangar.data("audit overdue")["overdue"]
    assert (use["tool"], use["outcome"], use["grounds"][0]["code"]) == ("W-0417", "refused", "past-due")
    assert "W-0417 was due Fri 9 Oct 2026." in " ".join(hangar.did("audit overdue").split())
    (changed,) = rows(hangar.did("audit intervals --csv"))
    assert (changed["every_before"], changed["every"], changed["by"]) == ("12 months", "9 months", "TK")
    (certificate,) = rows(hangar.did("audit certificates --csv"))
    assert (certificate["certificate"], certificate["accepted_by"]) == ("C-1", "TK")
    people = hangar.data("audit people")["people"]
    assert {each["role"] for each in people} == {"technician", "inspector", "crib", "quality"}
    assert hangar.data("audit people --as-of 2026-11-20")["people"] == []
    assert "No struck entry is on record." in hangar.did("audit struck")


def test_advice_and_decision():
    """Too few results are said to be too few; the life of the wrench tells the decision."""
    hangar = Hangar(*SET_UP)
    said = hangar.did("wrench interval W-0417")
    assert "W-0417: too few results to say." in said
    assert "Quality decides" in said
    assert hangar.data("wrench interval W-0417")["advice"]["decision"] == "too-few"
    assert "limits set to every 9 months: it drifts" in hangar.did("wrench show W-0417")
    assert hangar.refused("wrench limits W-0417 --passphrase-stdin --why x", PASSPHRASE) == (
        2,
        ["needs-option"],
    )
    assert hangar.refused("wrench limits W-0417 --every '6 months' --passphrase-stdin", PASSPHRASE) == (
        2, ["why-missing"],
    )  # fmt: skip
