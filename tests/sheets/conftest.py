"""The records that sheets are made of, each laid once for all tests that only read it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.sheets import scenes
from tests.support.story import Story

Laid = Callable[[str], Story]


@pytest.fixture(scope="session")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Laid:
    """A record of `tests.sheets.scenes` by its name, laid once; a test must leave it as it is."""
    known: dict[str, Story] = {}

    def lay(name: str) -> Story:
        if name not in known:
            folder: Path = tmp_path_factory.mktemp(name)
            known[name] = getattr(scenes, name)(folder)
        return known[name]

    return lay
