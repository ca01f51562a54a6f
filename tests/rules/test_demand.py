"""What a card demands of a fastener: its slots, and the limits at each."""

from fractions import Fraction
from typing import Any

import pytest

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Group, card_from
from torquelog.rules.demand import (
    Slot,
    demanded,
    find_slot,
    highest,
    locking_steps,
    needs_run_on,
    run_on_added,
    slots,
)
from torquelog.torque.limits import Limits, parse_spec

STEPS = [{"id": "clean"}, {"id": "seat", "torque": "40..50 N·m"}, {"id": "final", "torque": "95..105 N·m"}]
STEPPED: dict[str, Any] = {"torque": None, "steps": STEPS}


def group(**facts: Any) -> Group:
    """A group of four tie bolts as a card's content says it; what is None is left out."""
    content = {"id": "tie-bolt", "count": "4", "torque": "90..100 N·m", **facts}
    head = {"id": "C", "title": "T", "document": "D", "revision": "A", "date": "2026-11-02"}
    said = {name: value for name, value in content.items() if value is not None}
    return card_from({**head, "groups": [said]}).groups[0]


def refusal(asked: Any, *given: Any) -> TorquelogError:
    """The error that a question ends with."""
    with pytest.raises(TorquelogError) as caught:
        asked(*given)
    return caught.value


class TestSlots:
    """What is to be done to each."""

    def test_passes_are_shares_of_the_full_torque_counted_from_one(self) -> None:
        """Two passes and a last round over all of them, which asks for the whole torque once more."""
        spec = parse_spec("90..100 N·m")
        asked = slots(group(passes=["50 %", "100 %"], **{"last-round": "yes"}))
        assert asked == (
            Slot("", 1, spec, Fraction(1, 2)),
            Slot("", 2, spec, Fraction(1)),
            Slot("", 3, spec, Fraction(1), last_round=True),
        )
        assert [slot.name for slot in asked] == ["pass 1", "pass 2", "last round"]
        assert [slot.key for slot in asked] == [("", 1), ("", 2), ("", 3)]

    def test_without_passes_there_is_one(self) -> None:
        """The whole torque at once."""
        assert slots(group()) == (Slot("", 1, parse_spec("90..100 N·m"), Fraction(1)),)

    def test_steps_stand_in_place_of_passes(self) -> None:
        """Each by its name; the last round has the torque of the last step that has one."""
        asked = slots(group(**STEPPED, **{"last-round": "yes"}))
        assert [slot.name for slot in asked] == ["clean", "seat", "final", "last round"]
        assert [slot.key for slot in asked] == [("clean", 0), ("seat", 0), ("final", 0), ("", 1)]
        assert asked[3] == Slot("", 1, parse_spec("95..105 N·m"), Fraction(1), last_round=True)
        ends = slots(group(torque=None, steps=[*STEPS, {"id": "back-off"}], **{"last-round": "yes"}))
        assert ends[-1].spec == parse_spec("95..105 N·m")

    def test_a_recheck_checks(self) -> None:
        """No other step does."""
        assert [Slot(step, 0, None).checks for step in ("recheck", "final", "")] == [True, False, False]

    def test_what_locks_is_a_step_with_hyphens(self) -> None:
        """The step's name, and the card's words for it."""
        assert locking_steps(group(locking=["cotter pin", "lockwire"])) == {
            "cotter-pin": "cotter pin",
            "lockwire": "lockwire",
        }


class TestFinding:
    """The slot that a person names."""

    def test_a_step_by_its_name_and_a_pass_by_its_number(self) -> None:
        """Also the last round of a group with steps, by its pass."""
        stepped = group(**STEPPED, **{"last-round": "yes"})
        assert find_slot(stepped, "seat", None).step == "seat"
        assert find_slot(stepped, None, 1).last_round
        assert find_slot(group(passes=["50 %", "100 %"]), None, 2).share == 1

    def test_a_step_that_is_not_there_is_told_with_those_that_are(self) -> None:
        """Their names, or that there are passes."""
        error = refusal(find_slot, group(**STEPPED, **{"last-round": "yes"}), "sit", None)
        assert error.code == "step-unknown"
        assert error.message == (
            "Group tie-bolt has no step sit. Its steps are clean, seat, final. Nothing was recorded."
        )
        error = refusal(find_slot, group(), "sit", None)
        assert error.message == (
            "Group tie-bolt has no step sit. It has passes, no steps. Nothing was recorded."
        )

    def test_a_pass_that_is_not_there_is_told_with_how_many_there_are(self) -> None:
        """Pass 0 is the mark of a step, and no pass."""
        error = refusal(find_slot, group(passes=["50 %", "100 %"]), None, 3)
        assert error.code == "pass-unknown"
        assert error.message == "Group tie-bolt has 2 passes; there is no pass 3. Nothing was recorded."
        error = refusal(find_slot, group(**STEPPED), None, 0)
        assert (
            error.message == "Group tie-bolt has steps, no passes; there is no pass 0. Nothing was recorded."
        )


class TestRunOn:
    """What the run-on torque adds."""

    def test_a_total_torque_takes_none(self) -> None:
        """Nothing is added, whatever was measured."""
        plain = group()
        assert not needs_run_on(plain)
        assert run_on_added(plain, parse_spec("90..100 N·m"), Fraction(7)) == 0

    def test_above_run_on_always_adds_it(self) -> None:
        """However small it is, and not without it."""
        above = group(basis="above-run-on")
        assert needs_run_on(above)
        assert run_on_added(above, parse_spec("90..100 N·m"), Fraction(1, 10)) == Fraction(1, 10)
        error = refusal(run_on_added, above, parse_spec("90..100 N·m"), None)
        assert error.code == "needs-run-on"
        assert error.message == (
            "The torque of tie-bolt counts above run-on torque, and none was given. Nothing was recorded."
        )

    @pytest.mark.parametrize("spec", ["90..100 N·m", "max 90 N·m"])
    def test_from_a_share_on_it_adds_from_that_share_of_the_low_limit(self, spec: str) -> None:
        """On the share it is added, below it is not; where no low limit is given the high one stands for it."""
        thirds = group(torque=spec, basis="above-run-on-from 1/3")
        assert run_on_added(thirds, parse_spec(spec), Fraction(30)) == 30
        assert run_on_added(thirds, parse_spec(spec), Fraction(2999, 100)) == 0


class TestLimits:
    """The limits at a slot, in N·m."""

    def test_both_ends_go_through_pass_and_run_on(self) -> None:
        """Half of 90 to 100 and 5 above it: 50 to 55."""
        above = group(passes=["50 %", "100 %"], basis="above-run-on")
        assert demanded(above, slots(above)[0], Fraction(5)) == Limits(Fraction(50), Fraction(55))
        assert demanded(above, slots(above)[1], Fraction(5)) == Limits(Fraction(95), Fraction(105))

    def test_a_step_without_a_torque_has_none(self) -> None:
        """It is recorded as a step."""
        stepped = group(**STEPPED)
        error = refusal(demanded, stepped, slots(stepped)[0], None)
        assert error.code == "step-without-torque"
        assert error.message == "Step clean of tie-bolt asks for no torque. Nothing was recorded."
        assert error.hint == "torquelog step JOB tie-bolt clean"

    def test_the_highest_is_the_highest_end_of_any_slot(self) -> None:
        """Not that of the last one; with the run-on torque on it."""
        falling = group(torque=None, steps=[{"id": "seat", "torque": "95..130 N·m"}, STEPS[2], STEPS[0]])
        assert highest(falling, None) == 130
        assert highest(group(basis="above-run-on"), Fraction(5)) == 105

    def test_where_an_end_is_open_nothing_is_too_high(self) -> None:
        """A bolt that may have any torque at one of its slots cannot have had too much; nor where none is asked."""
        assert highest(group(torque="min 90 N·m"), None) is None
        mixed = group(torque=None, steps=[{"id": "seat", "torque": "min 20 N·m"}, STEPS[2]])
        assert highest(mixed, None) is None
        assert highest(group(torque=None, steps=[STEPS[0]]), None) is None
