"""`convert`, `setting`, `applied` and `sequence` as people and programs see them."""

import json

import pytest

from tests.cli.terminal import play


def data(*args: str) -> dict[str, object]:
    """What a program gets; the envelope must be in order."""
    played = play([*args, "--json"])
    envelope = json.loads(played.out)
    assert (envelope["ok"], envelope["exit"], played.exit) == (True, 0, 0)
    found: dict[str, object] = envelope["data"]
    return found


def problem(*args: str) -> dict[str, str]:
    """Why a program gets nothing; always a wrong value, exit 2."""
    played = play([*args, "--json"])
    assert played.exit == 2
    (found,) = json.loads(played.out)["problems"]
    return found


@pytest.mark.parametrize(
    "words", [["300 lbf·in", "N·m"], ["300", "in-lb", "Nm"], ["300lbf-in", "N.m"], ["300", "LBS-IN", "N-m"]]
)
def test_convert_has_the_published_keys(words: list[str]) -> None:
    """1 lbf·in is 0.1129848290276167 N·m exactly (from the pound, the inch and standard gravity)."""
    assert data("convert", *words) == {
        "from": {"value": "300", "unit": "lbf·in"},
        "to": {"value": "33.89544870828501", "unit": "N·m"},
        "exact": True,
    }


def test_convert_says_when_it_rounds() -> None:
    """A third of a unit has no end; sixteen digits are shown, and that they are rounded."""
    assert data("convert", "1", "Nm", "lbf·ft")["exact"] is False
    assert "rounded to 16 digits" in play(["convert", "1", "Nm", "lbf·ft"]).out
    assert "exactly." in play(["convert", "300", "in-lb", "Nm"]).out


def test_setting_has_the_published_keys() -> None:
    """400 mm and an adapter of 100 mm: the wrench shows four fifths of what the fastener gets."""
    assert data("setting", "60..80 N·m", "--lever", "400 mm", "--adapter", "100 mm") == {
        "setting": {"low": "48", "high": "64", "target": "56", "unit": "N·m"},
        "dial": {"value": "56", "unit": "N·m"},
        "at_fastener": {"value": "70", "unit": "N·m"},
        "ratio": "0.8",
        "limits": {"low": "60", "high": "80", "unit": "N·m"},
    }


def test_an_open_limit_is_null() -> None:
    """A minimum has no upper end, no middle to aim at, and a remark that says so."""
    played = play(["setting", "min 11 lbf·in", "--json"])
    envelope = json.loads(played.out)
    assert envelope["data"]["setting"] == {"low": "11", "high": None, "target": None, "unit": "lbf·in"}
    assert envelope["data"]["dial"] is None
    assert [remark["code"] for remark in envelope["remarks"]] == ["one-limit"]


def test_run_on_torque_is_added_where_the_basis_says_so() -> None:
    """US Army TB 43-0218 para 7c, read: 50 to 70 lbf·in with a drag of 30 become 80 to 100."""
    spec = ["setting", "50..70 lbf·in", "--run-on", "30 lbf·in"]
    assert data(*spec, "--basis", "above-run-on-from", "--from", "1/3")["limits"] == {
        "low": "80",
        "high": "100",
        "unit": "lbf·in",
    }
    assert data(*spec)["limits"] == {"low": "50", "high": "70", "unit": "lbf·in"}
    assert "not added, as the basis is total" in play(spec).out


def test_adapters_are_an_ordered_list_with_their_angles() -> None:
    """Two in line add up; one turned back is negative and reaches our parser; at a right angle nothing changes."""
    lever = ["applied", "60 lbf·in", "--lever", "12 in"]
    assert data(*lever, "--adapter", "2 in")["applied"] == {"value": "70", "unit": "lbf·in"}
    assert data(*lever, "--adapter", "2 in", "--adapter", "4 in")["applied"] == {
        "value": "90",
        "unit": "lbf·in",
    }
    assert data(*lever, "--adapter", "-2 in")["applied"] == {"value": "50", "unit": "lbf·in"}
    assert data(*lever, "--adapter", "−2 in")["applied"] == {"value": "50", "unit": "lbf·in"}
    assert data(*lever, "--adapter", "2 in", "--angle", "90")["applied"] == {"value": "60", "unit": "lbf·in"}
    assert data(*lever, "--multiplier", "3.8")["applied"] == {"value": "228", "unit": "lbf·in"}
    assert problem(*lever, "--adapter", "2 in", "--angle", "0", "--angle", "90")["code"] == "argument"


def test_sequence_has_the_published_keys() -> None:
    """The cross pattern of ASME PCC-1 for 12 (from memory, matched by two public sources)."""
    star = [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12]
    assert data("sequence", "12", "--passes", "50,100") == {
        "order": star,
        "passes": [{"percent": "50", "order": star}, {"percent": "100", "order": star}],
    }
    assert data("sequence", "4", "--pattern", "circular") == {"order": [1, 2, 3, 4], "passes": []}


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (["convert", "44,5", "Nm", "in-lb"], "number-form"),
        (["convert", "-5", "Nm", "in-lb"], "number-form"),
        (["convert", "1e400", "Nm", "in-lb"], "number-form"),
        (["convert", "٣", "Nm", "in-lb"], "number-form"),
        (["convert", "640", "lb", "Nm"], "unit-ambiguous"),
        (["convert", "5", "nm", "in-lb"], "unit-unknown"),
        (["convert", "5 Nm"], "argument"),
        (["convert"], "argument"),
        (["setting", "80..60 Nm"], "limits-reversed"),
        (["setting", "72 Nm"], "tolerance-missing"),
        (["setting", "60..80 Nm", "--adapter", "2 in"], "adapter-no-lever"),
        (["setting", "60..80 Nm", "--basis", "above-run-on"], "run-on-missing"),
        (["applied", "60"], "unit-missing"),
        (["sequence", "0"], "order-form"),
        (["sequence", "2.5"], "order-form"),
        (["sequence", "12", "--passes", "100,50"], "passes-form"),
    ],
)
def test_what_cannot_be_read_is_told(args: list[str], code: str) -> None:
    """Nothing is guessed: each slip has its code, and the hint shows what to type instead."""
    found = problem(*args)
    assert found["code"] == code
    assert found["hint"] or code == "order-form"


def test_bare_pounds_show_both_readings_and_prefer_none() -> None:
    """Inches or feet is read off the wrench, not off the program."""
    told = play(["applied", "640", "lb"])
    assert told.out == ""
    assert "640 lbf·in is 72.31 N·m" in told.err
    assert "640 lbf·ft is 867.7 N·m" in told.err
    assert "640 in-lb or 640 ft-lb" in told.err


def test_the_setting_says_where_its_limits_come_from() -> None:
    """torquelog supplies no torque values, and says so beside each setting."""
    assert "torquelog supplies none" in play(["setting", "60..80 Nm"]).out


def test_a_wrench_that_cannot_reach_is_told() -> None:
    """The range counts at the wrench, not at the fastener."""
    played = play(["setting", "69..75 Nm", "--range", "5..10 Nm"])
    assert played.out.startswith("This wrench cannot be set inside the limits.\n")
    assert "nothing in common" in played.out
