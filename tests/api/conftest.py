"""What tests of the Python face share."""

from tests.support.scenes import story

__all__ = ["story"]
