"""`wrench tested` at the command line."""

from tests.cli.hangar import Hangar

SET_UP = (
    "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --accuracy '4 %' --every '12 months' "
    "--use before-use",
    "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
    "tester add T-1 --range '5..200 ft-lb' --every '12 months'",
    "tester calibrate T-1 --certificate C-2 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
)
PASSED = "wrench tested W-0417 --tester T-1 --direction cw --reading '60 ft-lb' --reference '60.5 ft-lb'"


def test_a_check_opens_the_day():
    """Before it the wrench is refused with its reason; after it, it may be used; the life of the wrench tells it."""
    hangar = Hangar(*SET_UP)
    assert hangar.refused("wrench check W-0417") == (3, ["needs-check"])
    data = hangar.data(PASSED)
    assert (data["outcome"], data["fit"], data["tester"]) == ("within", True, "T-1")
    assert data["readings"][0]["deviation"] == "-0.83 %"
    assert hangar.type("wrench check W-0417").exit == 0
    assert "passed a check on T-1" in hangar.did("wrench show W-0417")


def test_a_failed_check_ends_with_4_and_names_the_recall():
    """It is on record, the wrench is out, and the next step is the list of recalls."""
    hangar = Hangar(*SET_UP)
    played = hangar.type(PASSED.replace("60.5", "56"))
    assert played.exit == 4
    assert "W-0417 FAILED its check on T-1. It may not be used." in played.out
    assert "! outside 4 %" in played.out
    assert "Next: torquelog recall list" in played.out
    assert "W-0417 failed a check on Wed 25 Nov 2026: 60 lbf·ft shown was 56 lbf·ft on T-1" in hangar.did(
        "recall list"
    )
    assert hangar.refused("wrench check W-0417") == (3, ["check-failed", "needs-check"])
    assert "failed a check: 60 lbf·ft shown was 56 lbf·ft on T-1" in hangar.did("wrench show W-0417")


def test_what_is_missing_is_named():
    """Each reading has its reference."""
    hangar = Hangar(*SET_UP)
    assert hangar.refused(f"{PASSED} --reading '80 ft-lb'") == (2, ["needs-option"])
    assert hangar.refused(PASSED.replace("cw", "up")) == (2, ["points-form"])
    assert hangar.refused(PASSED.replace(" ft-lb'", "'")) == (2, ["unit-missing"])
