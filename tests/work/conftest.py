"""Every test here may ask for a story."""

from tests.support.scenes import alone, story

__all__ = ["alone", "story"]
