"""What stands inside the bodies that other stations signed."""

import pytest

from torquelog.errors import TorquelogError
from torquelog.facts import inner


@pytest.mark.parametrize("kind", ["act", "step", "inspection", "re-inspection"])
@pytest.mark.parametrize("owner", [{}, {"aircraft": "1001"}, {"position": "main 2"}])
def test_work_on_fasteners_of_nobody_is_not_taken(kind: str, owner: dict[str, str]) -> None:
    """It names an assembly, or an aircraft and the position on it."""
    with pytest.raises(TorquelogError) as caught:
        inner.check(kind, {"group": "tie-bolt", **owner})
    assert caught.value.code == "body-form"
    inner.check(kind, {"group": "tie-bolt", "assembly": "EX-4410-1 WH-2231"})
    inner.check(kind, {"group": "axle-nut", "aircraft": "1001", "position": "main 2"})


def test_a_step_of_the_whole_job_has_no_owner() -> None:
    """A check that belongs to no group."""
    inner.check("step", {"step": "leak-check"})
