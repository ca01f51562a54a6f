"""Permissions that bind: root becomes an ordinary user for a while, since root may write anywhere."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

NOBODY = 65534


@contextmanager
def ordinary_user() -> Iterator[None]:
    """Give up the rights of root inside the block; an ordinary user stays what he is."""
    if os.geteuid() != 0:
        yield
        return
    os.setresuid(NOBODY, NOBODY, 0)
    try:
        yield
    finally:
        os.setresuid(0, 0, 0)
