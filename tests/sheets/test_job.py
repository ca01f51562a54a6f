"""The sheet of a job tells what is on record of it, and nothing else."""

import pytest

from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.errors import TorquelogError
from torquelog.ledger import store
from torquelog.ledger.form import digest
from torquelog.sheets.environment import html
from torquelog.sheets.job import job_sheet


@pytest.fixture(scope="module")
def sheet(laid: Laid) -> Sheet:
    """Job J-1 of the scene `build`."""
    return Sheet(html(job_sheet(laid("build").book, "J-1")))


@pytest.fixture(scope="module")
def brake(laid: Laid) -> Sheet:
    """Job J-2 of the scene `brake`."""
    return Sheet(html(job_sheet(laid("brake").book, "J-2")))


def test_the_title_block_names_card_data_revision_and_what_it_is_about(sheet: Sheet, brake: Sheet) -> None:
    """With the aircraft's registration of the day where there is one."""
    facts = sheet.facts()
    assert facts["Task card"] == "BUILD, Main wheel, build-up"
    assert (facts["Approved data"], facts["Revision"]) == ("CMM 32-40-EX", "B of 2026-11-02")
    assert facts["Wheel"] == "WH-2231, part EX-4410-1"
    assert facts["State"] == "open, 18 of 24 torques done"
    assert brake.facts()["Aircraft"] == "QQ-HLB, serial 1001"
    assert brake.facts()["Position"] == "main 2"


def test_each_fastener_stands_with_all_that_proves_it(sheet: Sheet) -> None:
    """Limits, setting, torque at the fastener, wrench and certificate with its due date of that day, who, when, entry."""
    table = sheet.table("Tie bolts as they stand")
    assert [row[0] for row in table.rows] == [str(number) for number in range(1, 13)]
    assert table.row("1")[1:9] == (
        "= done pass 2", "68 to 76 N·m", "72 N·m", "72 N·m", "W-0417 C-W-0417-2026-11-09, due 9 Nov 2027", "TK",
        "25 Nov 2026 12:00", "QHR-000029",
    )  # fmt: skip


def test_what_is_outside_or_open_says_so_in_words(sheet: Sheet) -> None:
    """With a sign beside the word, never by colour alone."""
    table = sheet.table("Tie bolts as they stand")
    assert table.cell("9", "State").startswith("! above the limits pass 2")
    assert table.cell("9", "At the fastener") == "84 N·m"
    assert table.cell("11", "State") == ". not tightened"
    assert table.cell("11", "Entry") == ""
    told = sheet.inside("li")
    assert (
        "Tie bolt 9 is above the limits. Hardware is replaced, or a disposition names its approved data."
        in told
    )
    assert "Tie bolts 11 to 12 are not tightened." in told


def test_refused_and_struck_entries_are_kept(sheet: Sheet) -> None:
    """A refusal with its ground and no torque; a struck reading with the entry that struck it, and why."""
    table = sheet.table("Tie bolts: earlier passes, checks, refused and struck entries")
    refused = next(row for row in table.rows if "refused" in row[1])
    assert refused[0] == "10"
    assert "W-0402 was due Fri 20 Nov 2026" in refused[1]
    assert refused[4] == "not proved"
    assert "due 20 Nov 2026" in refused[5]
    struck = next(row for row in table.rows if "struck" in row[1])
    assert struck[0] == "11"
    assert "struck: within limits" in struck[1]
    assert "typed wrongly" in struck[1]


def test_every_reading_of_the_job_is_on_it_once(laid: Laid, sheet: Sheet) -> None:
    """None is left out, none is told twice."""
    scene = laid("build")
    rows = scene.book.connection.execute("SELECT station, number FROM reading WHERE job = 'J-1'").fetchall()
    entries = sorted(f"{station}-{number:06d}" for station, number in rows)
    told = [
        row[-1] for table in sheet.tables() if "Set or read" in table.titles for row in table.rows if row[-1]
    ]
    assert sorted(told) == entries
    assert len(entries) == 23


def test_run_on_torque_adapters_and_what_was_replaced_are_told(brake: Sheet) -> None:
    """The limits have the run-on torque in them; the card's own stand beside."""
    table = brake.table("Brake nuts as they stand")
    assert table.cell("1", "Limits") == "42 to 50 N·m card: 40..48 N·m"
    assert table.cell("1", "At the fastener") == "45.6 N·m"
    assert table.cell("1", "Wrench, certificate").startswith(
        "W-0417 + A-03 C-W-0417-2026-11-09, due 9 Nov 2027"
    )
    assert "run-on with W-0391: C-W-0391-2026-11-09" in table.cell("1", "Wrench, certificate")
    assert "run-on torque 2.0 N·m" in table.cell("1", "State")
    acts = brake.table("Acts on fasteners")
    assert acts.rows[0][1:5] == ("Brake nut 3", "replaced thread damaged", "EX-7311 lot L-2210", "TK")


def test_inspections_stand_beside_the_performer_and_in_a_table(brake: Sheet) -> None:
    """Who accepted or rejected it, and what was found; a rejection says so in the state, too."""
    table = brake.table("Brake nuts as they stand")
    assert table.cell("1", "By, inspected by") == "TK accepted by MS"
    assert table.cell("2", "By, inspected by") == "TK rejected by MS"
    assert table.cell("2", "State").startswith("! rejected")
    seen = brake.table("Inspections on record")
    assert [row[1:5] for row in seen.rows] == [
        ("Brake nut 1", "accepted", "", "MS"),
        ("Brake nut 2", "! rejected", "no torque stripe", "MS"),
    ]


def test_what_was_left_out_and_handed_over_is_told(brake: Sheet) -> None:
    """With the reason that was given."""
    assert brake.table("Fasteners left out").rows[0][1:4] == ("Brake nut 4", "no nut in stock", "TK")
    assert brake.table("Hand-overs").rows[0][1:5] == ("TK", "IK", "nobody yet", "end of shift")


def test_what_holds_it_open_is_what_the_record_says(laid: Laid, brake: Sheet) -> None:
    """The same sentences as `job show`: a sheet has no rules of its own."""
    told = brake.inside("li")
    for hold in laid("brake").job_state("J-2").holds:
        assert f"{hold.text} {hold.detail}".strip() in told


def test_the_foot_names_the_record_and_its_newest_entry(laid: Laid, sheet: Sheet) -> None:
    """Identity, number and digest: what a checkpoint is compared by."""
    book = laid("build").book
    head = store.head(book.connection, book.station)
    assert head is not None
    facts = sheet.facts()
    assert facts["Identity of the record"] == book.identity
    assert facts["Newest entry"] == f"QHR-{head.number:06d}"
    assert facts["Its digest (SHA-256)"] == digest(head.text)


def test_it_releases_nothing_and_puts_approved_data_first(sheet: Sheet) -> None:
    """The lines that no sheet of work lacks; and lines to sign on."""
    assert "This is a record of work. It releases nothing to service." in sheet.text
    assert "Approved data, local rules and licensed practice come before this sheet." in sheet.text
    assert {"Work performed", "Work inspected"} <= set(sheet.inside("span"))


def test_what_was_struck_besides_readings_is_kept(sheet: Sheet) -> None:
    """With the entry that struck it, and why."""
    (row,) = sheet.table("Entries struck besides readings").rows
    assert row[1:3] == ("- tie bolt 9 loosened", "TK")
    assert row[5] == "typed wrongly"
    assert "Loosened, replaced, found" not in sheet.inside("h2")


def test_steps_of_a_card_are_told_in_order(laid: Laid) -> None:
    """With what is done at each; the state names the steps that are open."""
    sheet = Sheet(html(job_sheet(laid("stepped").book, "J-4")))
    told = sheet.inside("li")
    assert "Step 1, seat: torque 95..105 N·m, turning the wheel" in told
    assert "Step 2, back off: turn 2 flats" in told
    state = sheet.table("Axle nut as it stands").cell("1", "State")
    assert state.startswith(". not finished: final")


def test_people_are_named_in_full(sheet: Sheet) -> None:
    """Whoever stands on it with an id."""
    assert sheet.table("Who is meant").rows == (("MS", "Mira Solheim"), ("TK", "Tove Kallas"))


def test_a_job_that_is_not_there(laid: Laid) -> None:
    """Is said so."""
    with pytest.raises(TorquelogError, match="There is no job J-9"):
        job_sheet(laid("build").book, "J-9")
