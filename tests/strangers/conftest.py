"""What the tests of strangers share: folders of their own, as the tests of the command line have."""

from tests.cli.conftest import own_folders

__all__ = ["own_folders"]
