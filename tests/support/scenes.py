"""Scenes as fixtures: a story for each test; when the test is over, its whole record has to verify."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.story import Story

__all__ = ["alone", "story"]


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Story]:
    """A record with TK, who holds every role, IK, a technician, and MS, an inspector; the clock shows noon."""
    story = Story(tmp_path)
    yield story
    story.demand_that_it_holds()
    story.close_book()


@pytest.fixture
def alone(tmp_path: Path) -> Iterator[Story]:
    """A record in which TK is the only person, with every role."""
    story = Story(tmp_path, alone=True)
    yield story
    story.demand_that_it_holds()
    story.close_book()
