"""Records to verify, export, copy and spoil."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.support.books import Kept
from tests.support.story import Story


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Notes about backups and what was seen go into folders of the test's own."""
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR"):
        (tmp_path / name.lower()).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(tmp_path / name.lower()))


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Story]:
    """A record with TK, who holds every role, IK, a technician, and MS, an inspector; the clock shows noon."""
    story = Story(tmp_path)
    yield story
    story.close_book()


@pytest.fixture
def worked(story: Story) -> Story:
    """A record in which a wheel was tightened, with a refusal, a strike and a late entry among the readings."""
    story.bench()
    story.wrench("W-0402", on="2025-11-20")
    story.take("tie-bolt:1", "100 N·m")
    story.take("tie-bolt:2", "112 N·m")
    story.take("tie-bolt:2", "100 N·m", loosened=True)
    story.take("tie-bolt:3", "100 N·m", wrench="W-0402")
    story.later(hours=1)
    wrong = story.take("tie-bolt:3", "99 N·m")
    story.correct(wrong.reference, reading="100 N·m")
    story.report("W-0417", "dropped")
    return story


@pytest.fixture
def stations(tmp_path: Path) -> Callable[[str], Kept]:
    """Makes records of other stations."""
    from tests.book.elsewhere import other_station

    return lambda code: other_station(tmp_path, code)
