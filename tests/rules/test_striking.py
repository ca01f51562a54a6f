"""What may be struck, and which corrections take something away."""

from typing import Any

import pytest

from torquelog.errors import TorquelogError
from torquelog.rules.striking import Struck, check_strike, holds_open, takes_away

GOOD = Struck("QHR-000007", "reading", strikable=True)


def test_a_mistake_may_be_struck() -> None:
    """A reading within or outside its limits."""
    for outcome in ("", "within", "above", "below"):
        check_strike(GOOD._replace(outcome=outcome))


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        (
            Struck("QHR-000007", "station", strikable=False),
            "An entry of kind station is answered by another entry, never struck.",
        ),
        (
            GOOD._replace(outcome="rejected"),
            "A rejection stays on record: an inspector lifts it by accepting.",
        ),
        (
            GOOD._replace(outcome="refused"),
            "A refusal stays on record: somebody may have turned the nut.",
        ),
        (GOOD._replace(outcome="outside"), "A check that failed stays on record, like a certificate."),
        (GOOD._replace(failed=True), "A certificate with results outside the limits stays on record."),
        (
            GOOD._replace(dependents=("J-1", "J-2", "J-3", "J-4", "J-5", "J-6")),
            "Other entries rest on it: J-1, J-2, J-3, J-4, J-5.",
        ),
    ],
)
def test_what_is_answered_instead_stays(entry: Struck, why: str) -> None:
    """Each with its reason."""
    with pytest.raises(TorquelogError) as caught:
        check_strike(entry)
    assert caught.value.code == "not-strikable"
    assert caught.value.message == f"QHR-000007 cannot be struck. {why}"


def test_of_what_nothing_is_said_nothing_speaks_against_striking() -> None:
    """An entry has no outcome, no result that failed, nothing that rests on it, and no strike, unless it is told."""
    bare = Struck("QHR-000007", "step", strikable=True)
    assert bare == ("QHR-000007", "step", True, "", False, (), "")
    check_strike(bare)


def test_what_is_struck_is_struck_once() -> None:
    """Said before anything else."""
    with pytest.raises(TorquelogError) as caught:
        check_strike(Struck("QHR-000007", "station", strikable=False, struck_by="QHR-000009"))
    assert caught.value.code == "struck-already"
    assert caught.value.message == "QHR-000007 is struck already, by QHR-000009."


@pytest.mark.parametrize(
    ("body", "holds"),
    [
        ({"outcome": "above"}, True),
        ({"outcome": "below"}, True),
        ({"outcome": "within"}, False),
        ({"outcome": "within", "worn": "yes"}, True),
        ({"outcome": "refused"}, False),
        ({"act": "found"}, True),
        ({"act": "replaced"}, False),
        ({}, False),
    ],
)
def test_what_leaves_a_fastener_open_and_what_takes_that_away(body: dict[str, Any], holds: bool) -> None:
    """A correction does where what it replaces held the fastener open and it does not."""
    assert holds_open(body) == holds
    assert takes_away(body, {}) == holds
    assert takes_away(body, {"outcome": "within"}) == holds
    assert not takes_away(body, {"outcome": "above"})
