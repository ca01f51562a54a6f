"""A job through any moves, sensible and not, against the naive model: it never closes with anything open."""

from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.model.moves import EACH, MOVE, Shop, close, finish
from tests.support.measure import measured
from tests.support.story import Story
from torquelog.rules.closing import why_open

FIXTURE = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
NUMBERS = count()


def as_the_model_says(shop: Shop) -> None:
    """Each fastener stands, in each job, as the model says."""
    for job in ("J-1", "J-2"):
        view = shop.story.job_state(job).view
        for group, item in EACH:
            now, expected = view.states[group, item], shop.found(job, group, item)
            card = view.card.group(group)
            assert card
            why = why_open(now, card)
            assert (now.tight, now.tight_in, now.loosen_first, why and why[0], now.locked) == (
                expected.tight, expected.tight_in, expected.loosen_first, expected.reason, expected.locked,
            ), (job, group, item)  # fmt: skip
            assert now.loosen_first or now.done == expected.done
            assert tuple(f"{each.station}-{each.number:06d}" for each in now.waiting) == expected.waiting


def any_moves(folder: Path, moves: list[Any], at_last: bool) -> None:
    """Do them all; each compares its answer, and after each the model looks at every fastener."""
    place = folder / str(next(NUMBERS))
    place.mkdir()
    shop = Shop(Story(place))
    for move in moves:
        move(shop)
        as_the_model_says(shop)
    if at_last:
        finish(shop, "J-1")
        as_the_model_says(shop)
    close(shop, "J-1")
    shop.story.demand_that_it_holds()
    shop.story.close_book()


def test_a_job_never_closes_with_anything_open(tmp_path: Path) -> None:
    """It closes if and only if nothing is open; every answer, and every fastener after it, is as the model says."""
    given(st.lists(MOVE, min_size=4, max_size=14), st.booleans())(
        settings(max_examples=25, deadline=None, suppress_health_check=FIXTURE)(
            lambda moves, at_last: any_moves(tmp_path, moves, at_last)
        )
    )()


@pytest.mark.long
def test_a_job_never_closes_with_anything_open_over_many_jobs(tmp_path: Path) -> None:
    """The same over two hundred longer jobs."""
    given(st.lists(MOVE, min_size=10, max_size=60), st.booleans())(
        settings(max_examples=measured(200), deadline=None, suppress_health_check=FIXTURE)(
            lambda moves, at_last: any_moves(tmp_path, moves, at_last)
        )
    )()
