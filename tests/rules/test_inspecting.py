"""What an inspection asks: somebody else, finished work, and the wrench that was used."""

from collections.abc import Callable

import pytest

from tests.rules.test_closing import DONE, NEW, card, event
from torquelog.errors import TorquelogError
from torquelog.rules.fastener import State
from torquelog.rules.inspecting import check_finished, check_seen, independent

GROUP = card().groups[0]
WORKED = frozenset({"TK", "IK"})


def refusal(act: Callable[[], object]) -> TorquelogError:
    """The error that an act ends with."""
    with pytest.raises(TorquelogError) as caught:
        act()
    return caught.value


def test_who_did_none_of_the_work_inspects() -> None:
    """Nothing more is asked of him."""
    assert independent("tie-bolt", "MS", WORKED, ["MS", "TK"], None) == ""


def test_who_worked_there_does_not_while_somebody_else_could() -> None:
    """Those who could are named, not those who worked as well."""
    error = refusal(lambda: independent("tie-bolt", "TK", WORKED, ["TK", "MS", "IK", "BA"], "in a hurry"))
    assert error.code == "needs-another"
    assert error.message == "TK worked on the tie bolts, so it takes someone else. Nothing was recorded."
    assert error.hint == "It could be MS, BA."


def test_where_nobody_else_is_there_he_looks_again_with_a_reason() -> None:
    """And the inspection says so."""
    assert independent("tie-bolt", "TK", WORKED, ["TK", "IK"], "Alone on shift.") == "own-inspection"
    assert refusal(lambda: independent("tie-bolt", "TK", WORKED, [], None)).code == "why-missing"


def test_only_finished_work_is_accepted() -> None:
    """What is open is named."""
    check_finished(GROUP, {1: DONE, 2: DONE})
    error = refusal(lambda: check_finished(GROUP, {1: NEW, 2: DONE, 3: NEW}))
    assert error.code == "not-finished"
    assert error.message == (
        "Tie bolts 1 and 3 are not finished, so there is nothing to accept. Nothing was recorded."
    )
    error = refusal(lambda: check_finished(GROUP, {1: DONE, 2: NEW}))
    assert error.message.startswith("Tie bolt 2 is not finished,")


def tightened(*wrenches: str) -> dict[int, State]:
    """Fasteners tightened with these wrenches, and one that nobody tightened."""
    states = {
        item: DONE._replace(governing=event("within", wrench=wrench))
        for item, wrench in enumerate(wrenches, 1)
    }
    return {**states, len(states) + 1: NEW}


def test_the_wrenches_that_were_read_are_those_on_record() -> None:
    """All of them, in any order; where none is on record none is asked for."""
    check_seen(["W-2", "W-1", "W-1"], tightened("W-1", "W-2", "W-1"))
    check_seen([], tightened())
    check_seen(["W-1"], tightened())


def test_the_record_does_not_tell_the_wrench_beforehand() -> None:
    """Neither where none was read nor where another was."""
    error = refusal(lambda: check_seen([], tightened("W-1")))
    assert error.code == "wrench-seen-missing"
    assert "W-1" not in error.message + error.hint
    for seen, used, told in ((["W-9"], ["W-1"], "one wrench"), (["W-1"], ["W-1", "W-2"], "2 wrenches")):
        error = refusal(lambda seen=seen, used=used: check_seen(seen, tightened(*used)))  # type: ignore[misc] # bound at once
        assert error.code == "wrench-seen-other"
        told_first = f"What you read is not what is on record for these: {told}. Nothing was recorded."
        assert error.message.startswith(told_first)
