"""A sheet is there at once: a job of 200 fasteners in under a second, a crib of 5,000 wrenches in under three.

Seconds of the processor, so that whatever else the machine does is not held against it.
"""

from pathlib import Path
from time import process_time

import pytest

from tests.sheets import scenes
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import html
from torquelog.sheets.job import job_sheet


def test_a_job_of_200_fasteners(tmp_path: Path) -> None:
    """With 400 readings on it, beyond the start of the program."""
    scene = scenes.large_job(tmp_path)
    begun = process_time()
    text = html(job_sheet(scene.book, "J-1"))
    taken = process_time() - begun
    assert text.count("QHR-000") >= 400
    assert taken < 1.0


@pytest.mark.long
def test_a_crib_of_5000_wrenches(tmp_path: Path) -> None:
    """Each judged anew."""
    scene = scenes.large_crib(tmp_path)
    begun = process_time()
    text = html(crib_sheet(scene.book))
    taken = process_time() - begun
    assert text.count("W-0") >= 5000
    assert taken < 3.0
