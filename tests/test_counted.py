"""How far a long piece of work has come."""

import pytest

from torquelog.counted import counted


@pytest.mark.parametrize("total", [0, 1, 99, 100, 101, 250])
def test_a_word_for_each_hundred_and_one_at_the_end(total: int) -> None:
    """Nothing is lost on the way, and only the last word says that all is done."""
    told: list[tuple[int, int]] = []
    assert list(counted(range(total), total, lambda *word: told.append(word))) == list(range(total))
    assert told == [*((done, total) for done in range(100, total, 100)), (total, total)]


def test_where_nobody_listens_nothing_is_said() -> None:
    """The things come as they are."""
    assert list(counted("abc", 3, None)) == ["a", "b", "c"]
