"""What is flushed to the disk, watched."""

import os

import pytest


def flushes(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The folders and files that are flushed from now on, by their numbers."""
    found: list[int] = []
    sync = os.fsync

    def watch(handle: int) -> None:
        found.append(os.fstat(handle).st_ino)
        sync(handle)

    monkeypatch.setattr(os, "fsync", watch)
    return found
