"""Tools, certificates, custody and conditions as facts: what is asked at which time, and what counts."""

from datetime import date
from fractions import Fraction

import pytest

from tests.support.rows import Rows
from tests.support.tools import moment
from torquelog.clock import Period
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import calibration, calibrations, pairs
from torquelog.facts.conditions import conditions
from torquelog.facts.custody import Whereabouts, issued, moves, whereabouts
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tools import by_serial, tool, tools
from torquelog.facts.uses import uses_between
from torquelog.torque.units import Length, Torque

JUNE = moment("2026-06-01T10:00")
HOUR = 3_600_000


def q(value, unit):
    return {"value": value, "unit": unit}


WRENCH = {
    "tool": "W-0417", "sort": "wrench", "type": "setting",
    "scales": [{"low": q("20", "lbf·ft"), "high": q("100", "lbf·ft"), "graduation": q("0.5", "lbf·ft")}],
    "lever": q("12", "in"), "accuracy": q("4", "%"), "every": "12 months", "cycles": "5000",
    "maker": "Acme", "serial": "X1", "place": "B1",
}  # fmt: skip

POINTS = [
    {"state": "as-left", "direction": "cw", "indicated": q("20.0", "lbf·ft"), "reference": q("20.1", "lbf·ft"),
     "repeat": "1", "uncertainty": q("0.1", "lbf·ft"), "k": "2"},
    {"state": "as-left", "direction": "cw", "indicated": q("100", "lbf·ft"), "reference": q("100.9", "lbf·ft"),
     "repeat": "1"},
]  # fmt: skip


def certificate(**changes):
    return {
        "tool": "W-0417",
        "certificate": "C-1",
        "laboratory": "Lab",
        "on": "2026-05-20",
        "points": POINTS,
        **changes,
    }


class TestTools:
    """What is registered."""

    def test_everything_comes_back_as_it_was_told(self):
        """Values keep their zeros, shares and periods become numbers."""
        rows = Rows()
        rows.put("tool", WRENCH, JUNE)
        found = tool(rows.connection, "W-0417")
        assert found is not None
        assert found.scales[0].low == Torque("20", "lbf·ft")
        assert found.scales[0].graduation == Torque("0.5", "lbf·ft")
        assert (found.lever, found.accuracy, found.every) == (
            Length("12", "in"),
            Fraction(1, 25),
            Period(12, "month"),
        )
        assert (found.cycles, found.maker, found.serial, found.owner, found.use) == (
            5000,
            "Acme",
            "X1",
            "company",
            "",
        )
        assert found.reference == "QHR-000001"

    def test_the_earliest_registration_of_a_number_counts(self):
        """Whatever another station says later, and in whatever order it is taken in."""
        for order in (False, True):
            rows = Rows()
            entries = [("QHR", 5, JUNE, "B1"), ("QLX", 2, JUNE - HOUR, "Z9")]
            for station, number, recorded, place in reversed(entries) if order else entries:
                rows.put("tool", {**WRENCH, "place": place}, recorded, station=station, number=number)
            found = tool(rows.connection, "W-0417")
            assert found is not None
            assert (found.place, found.reference) == ("Z9", "QLX-000002")
            assert [each.place for each in tools(rows.connection, "wrench")] == ["Z9"]

    def test_a_struck_registration_is_none(self):
        """As far as the strike was known."""
        rows = Rows()
        reference = rows.put("tool", WRENCH, JUNE)
        rows.put("strike", {"entry": reference, "why": "wrong label"}, JUNE + HOUR)
        assert tool(rows.connection, "W-0417") is None
        assert tools(rows.connection, "wrench") == []
        assert tool(rows.connection, "W-0417", AsOf(END_OF_TIME, JUNE)) is not None

    def test_by_serial(self):
        """Maker and serial together name a tool."""
        rows = Rows()
        rows.put("tool", WRENCH, JUNE)
        assert by_serial(rows.connection, "Acme", "X1") == "W-0417"
        assert by_serial(rows.connection, "Acme", "X2") is None

    @pytest.mark.parametrize(
        "change",
        [
            {"sort": "hammer"},
            {"scales": [{"low": q("20", "lbf·ft")}]},
            {"scales": [{"low": q("20", "lbf·ft"), "high": q("100", "N·m")}]},
            {"scales": [{"low": q("20", "lbf·ft"), "high": q("100", "lbf·ft"), "colour": "red"}]},
            {"accuracy": q("4", "N·m")},
            {"lever": q("12", "yd")},
        ],
    )
    def test_a_body_that_says_what_nobody_knows_is_refused_with_a_code(self, change):
        """An entry of a newer program or a changed one never becomes a half-understood row."""
        with pytest.raises(TorquelogError) as raised:
            Rows().put("tool", {**WRENCH, **change}, JUNE)
        assert raised.value.code in ("body-newer", "body-form")


class TestCalibrations:
    """Certificates and their acceptance."""

    def test_pairs_come_back_as_read(self):
        """With uncertainty and k where given; in N·m for the error curve."""
        rows = Rows()
        rows.put("calibration", certificate(due="2027-05-19", found_on="2026-05-19"), JUNE)
        (found,) = calibrations(rows.connection, "W-0417")
        assert (found.on, found.due, found.found_on) == (
            date(2026, 5, 20),
            date(2027, 5, 19),
            date(2026, 5, 19),
        )
        assert found.points[0].indicated == Torque("20.0", "lbf·ft")
        assert (found.points[0].uncertainty, found.points[0].k) == (Torque("0.1", "lbf·ft"), "2")
        assert found.points[1].uncertainty is None
        first, second = pairs(found.points)
        assert first.uncertainty == Torque("0.1", "lbf·ft").newton_metres
        assert (first.k, second.k) == (Fraction(2), None)
        assert second.reference == Torque("100.9", "lbf·ft").newton_metres

    def test_accepted_from_the_acceptance_on(self):
        """By whom and when; an acceptance that is struck, or was not known yet, is none."""
        rows = Rows()
        reference = rows.put("calibration", certificate(), JUNE)
        accepted = rows.put("acceptance", {"calibration": reference}, JUNE + HOUR, signer="RS")
        (found,) = calibrations(rows.connection, "W-0417", points=False)
        assert (found.accepted, found.accepted_by, found.points) == (JUNE + HOUR, "RS", ())
        assert calibrations(rows.connection, "W-0417", AsOf(END_OF_TIME, JUNE))[0].accepted is None
        rows.put("strike", {"entry": accepted, "why": "another wrench"}, JUNE + 2 * HOUR)
        assert calibrations(rows.connection, "W-0417")[0].accepted is None

    def test_a_struck_certificate_is_none(self):
        """By number and in the list."""
        rows = Rows()
        reference = rows.put("calibration", certificate(), JUNE)
        assert calibration(rows.connection, "QHR", 1) is not None
        rows.put("strike", {"entry": reference, "why": "another wrench"}, JUNE + HOUR)
        assert calibration(rows.connection, "QHR", 1) is None
        assert calibrations(rows.connection, "W-0417") == ()

    def test_an_adapter_has_its_length_measured(self):
        """A certificate without results."""
        rows = Rows()
        rows.put(
            "calibration",
            {
                "tool": "A-03",
                "certificate": "C-7",
                "on": "2026-05-20",
                "length": q("2.25", "in"),
                "multiplier": "3.79",
            },
            JUNE,
        )
        (found,) = calibrations(rows.connection, "A-03")
        assert (found.length, found.multiplier, found.laboratory) == (
            Length("2.25", "in"),
            Fraction(379, 100),
            "",
        )


class TestCustody:
    """Where a tool is."""

    def test_from_hand_to_hand(self):
        """In the crib until issued, with its person and job, back, away, back, retired."""
        rows = Rows()
        steps = [
            ({"act": "issue", "person": "TK", "job": "J-1"}, Whereabouts("person", "TK", job="J-1", since=JUNE)),
            ({"act": "return", "place": "B1"}, Whereabouts("crib", place="B1", since=JUNE + HOUR)),
            ({"act": "issue", "place": "wheel shop"}, Whereabouts("place", place="wheel shop", since=JUNE + 2 * HOUR)),
            ({"act": "send", "place": "Lab"}, Whereabouts("away", place="Lab", since=JUNE + 3 * HOUR)),
            ({"act": "receive"}, Whereabouts("crib", since=JUNE + 4 * HOUR)),
            ({"act": "retire"}, Whereabouts("retired", since=JUNE + 5 * HOUR)),
        ]  # fmt: skip
        assert whereabouts(rows.connection, "W-0417") == Whereabouts("crib")
        for place, (body, expected) in enumerate(steps):
            rows.put("custody", {"tool": "W-0417", **body}, JUNE + place * HOUR)
            assert whereabouts(rows.connection, "W-0417") == expected
        assert whereabouts(rows.connection, "W-0417", AsOf(JUNE + HOUR - 1, END_OF_TIME)).person == "TK"
        assert [move.act for move in moves(rows.connection, "W-0417")] == [body["act"] for body, _ in steps]

    def test_a_move_told_late_stands_at_its_own_time(self):
        """Sent away on Monday, told on Wednesday: it was away on Tuesday."""
        rows = Rows()
        rows.put(
            "custody",
            {"tool": "W-0417", "act": "send", "at": "2026-06-01T08:00:00.000+01:00"},
            JUNE + 48 * HOUR,
        )
        assert whereabouts(rows.connection, "W-0417", AsOf(JUNE, END_OF_TIME)).kind == "away"
        assert whereabouts(rows.connection, "W-0417", AsOf(JUNE, JUNE)).kind == "crib"

    def test_a_receipt_never_counts_from_before_it_was_told(self):
        """An earlier time may not revive a tool."""
        rows = Rows()
        rows.put("custody", {"tool": "W-0417", "act": "send"}, JUNE)
        rows.put(
            "custody",
            {"tool": "W-0417", "act": "receive", "at": "2026-06-01T10:30:00.000+01:00"},
            JUNE + 5 * HOUR,
        )
        assert whereabouts(rows.connection, "W-0417", AsOf(JUNE + 2 * HOUR, END_OF_TIME)).kind == "away"
        assert whereabouts(rows.connection, "W-0417").kind == "crib"

    def test_uses_elsewhere_count(self):
        """What the crib adds at the return."""
        rows = Rows()
        rows.put("custody", {"tool": "W-0417", "act": "return", "uses": "12"}, JUNE)
        assert uses_between(rows.connection, "W-0417", 0, JUNE) == 12

    def test_what_is_out_for_a_job_or_with_a_person(self):
        """Returned ones are not, nor those passed on to somebody else."""
        rows = Rows()
        for number, (name, person, job) in enumerate(
            [("W-1", "TK", "J-1"), ("W-2", "IK", "J-1"), ("W-3", "TK", "")]
        ):
            body = {"tool": name, "act": "issue", "person": person, **({"job": job} if job else {})}
            rows.put("custody", body, JUNE + number)
        assert [name for name, _ in issued(rows.connection, job="J-1")] == ["W-1", "W-2"]
        assert [name for name, _ in issued(rows.connection, person="TK")] == ["W-1", "W-3"]
        rows.put("custody", {"tool": "W-1", "act": "return"}, JUNE + HOUR)
        assert [name for name, _ in issued(rows.connection, job="J-1")] == ["W-2"]


class TestConditions:
    """What befell a tool."""

    def test_each_kind_in_the_order_of_time(self):
        """A drop told late stands at its own time; a finding, a release and a lifting from when they are told."""
        rows = Rows()
        early = {"at": "2026-06-01T07:00:00.000+01:00"}
        rows.put("report", {"tool": "W-0417", "what": "lost"}, JUNE)
        rows.put("report", {"tool": "W-0417", "what": "found", **early}, JUNE + HOUR)
        rows.put("report", {"tool": "W-0417", "what": "dropped", **early}, JUNE + 2 * HOUR)
        rows.put("quarantine", {"tool": "W-0417", "why": "odd click"}, JUNE + 3 * HOUR)
        rows.put("quarantine-release", {"tool": "W-0417", "why": "looked at"}, JUNE + 4 * HOUR)
        limit = {
            "tool": "W-0417",
            "why": "worn",
            "low": q("30", "N·m"),
            "high": q("90", "N·m"),
            "direction": "cw",
        }
        rows.put("restriction", limit, JUNE + 5 * HOUR)
        rows.put(
            "restriction", {"tool": "W-0417", "why": "new spring", "lift": "yes", **early}, JUNE + 6 * HOUR
        )
        found = conditions(rows.connection, "W-0417")
        assert [each.what for each in found] == [
            "dropped", "lost", "found", "quarantined", "released", "restricted", "unrestricted",
        ]  # fmt: skip
        assert found[5].detail == "from 30 N·m, up to 90 N·m, clockwise only"
        assert (found[5].low, found[5].high) == (Torque("30", "N·m"), Torque("90", "N·m"))
        assert [each.what for each in conditions(rows.connection, "W-0417", AsOf(JUNE, END_OF_TIME))] == [
            "dropped",
            "lost",
        ]

    def test_a_report_of_something_unknown_is_refused(self):
        """Only what is listed."""
        with pytest.raises(TorquelogError) as raised:
            Rows().put("report", {"tool": "W-0417", "what": "borrowed"}, JUNE)
        assert raised.value.code == "body-newer"
