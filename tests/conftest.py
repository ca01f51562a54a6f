"""What a run shows at its end besides passed and failed: the counts that tests put on record."""

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

# A busy machine is no defect of the code under test: no example is held against a stopwatch.
settings.register_profile("torquelog", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("torquelog")

COUNT = "count"


@pytest.hookimpl
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print every count that a test recorded with `record_property("count", …)`, failed tests' too."""
    counts = list(_counts(terminalreporter))
    if counts:
        terminalreporter.section("counts")
        for line in counts:
            terminalreporter.write_line(line)


def _counts(terminalreporter: pytest.TerminalReporter) -> Iterator[str]:
    for outcome in ("passed", "failed"):
        for report in terminalreporter.getreports(outcome):
            for name, value in report.user_properties:
                if name == COUNT:
                    yield f"{report.nodeid.rpartition('::')[2]}: {value}"
