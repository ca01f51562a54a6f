"""Every test here may ask for a story."""

from tests.support.scenes import story

__all__ = ["story"]
