"""How much of a long suite is run: all of it, or the share that `TORQUELOG_MEASURE` names in percent."""

import os


def share() -> int:
    """The share in percent, 1 to 100; `.ci/run` sets it so that the long suites fit its time."""
    return max(1, min(100, int(os.environ.get("TORQUELOG_MEASURE", "100"))))


def measured(count: int) -> int:
    """So many rounds of a suite that at full length has `count`; at least one."""
    return max(1, count * share() // 100)


def one_in() -> int:
    """Every so-manieth point of a suite that at full length looks at every one."""
    return max(1, 100 // share())
