"""Every code that a recall can say is in its list, with a meaning."""

import re
from pathlib import Path

import pytest

import torquelog
from torquelog.facts.recall_causes import EVENTS
from torquelog.rules.recall_codes import CAUSES, GAPS, REASONS

HOME = Path(torquelog.__file__).parent


def quoted(pattern: str, *modules: str) -> set[str]:
    """What stands in the modules where a pattern has its group."""
    return {
        found for name in modules for found in re.findall(pattern, (HOME / name).read_text(encoding="utf-8"))
    }


def test_every_reason_has_its_words() -> None:
    """Those of error curves, of verdicts, and of the recall itself."""
    said = quoted(r'Indeterminate\("([a-z-]+)"', "torque/curve.py", "book/recall_curves.py")
    said |= quoted(
        r'"((?:uncertainty|between|over-torque|run-on)-[a-z-]+)"', "torque/verdict.py", "rules/recall_item.py"
    )
    said |= quoted(r'(?:doubt|fault)="([a-z-]+)"', "book/recall_judging.py")
    said |= {"no-result-as-found", "no-result-as-left", "below-the-points", "above-the-points"}
    assert said == set(REASONS)


def test_every_cause_and_gap_has_its_meaning() -> None:
    """As they are written where they arise."""
    causes = quoted(r'"(failed-as-found|measured-different|withdrawn)"', "book/recall_causes.py") | set(
        EVENTS
    )
    assert causes == set(CAUSES)
    assert quoted(r'Gap\(\s*"([a-z-]+)"', "quality/recall_view.py") == set(GAPS)


@pytest.mark.parametrize("codes", [CAUSES, REASONS, GAPS])
def test_they_stand_in_order(codes: dict[str, str]) -> None:
    """So that a reader finds them."""
    assert list(codes) == sorted(codes)
