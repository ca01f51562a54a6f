"""Who is at which fastener just now, so that two people at one job are not shown the same one.

It is no record and nothing rests on it: a small file beside the database, held under a lock for a moment, which
anybody may delete. A place is let go when its session ends, when its process is gone, or after ten minutes without
a sign of life. Where the file cannot be written, everybody is shown everything.
"""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from torquelog.clock import Moment
from torquelog.work.plan import Place
from torquelog.work.session_state import ON_FASTENER, Session, next_target

SUFFIX: Final = "-at-work"
LASTS: Final[Moment] = 10 * 60_000
"""Milliseconds for which a place is held without a sign of life."""

LARGEST: Final = 1 << 16
TRIES: Final = 50


class Claims:
    """One session among those at a job."""

    def __init__(self, database: str, job: str, person: str, *, process: int | None = None) -> None:
        self.path = database + SUFFIX
        self.job, self.person = job, person
        self.process = os.getpid() if process is None else process
        self.host = _host()

    def settle(self, session: Session, now: Moment) -> Session:
        """The session with where others are, while its own next fastener is held for it."""
        with _locked(self.path) as handle:
            if handle is None:
                return session
            others = [
                each for each in _read(handle) if not self._is_mine(each) and _holds(each, now, self.host)
            ]
            places = {
                (each["group"], each["item"]): each["person"] for each in others if each["job"] == self.job
            }
            known = session._replace(others=places)
            target = next_target(known)
            mine = (
                [] if target is None or target.kind not in ON_FASTENER else [self._claim(target.place, now)]
            )
            _write(handle, [*others, *mine])
            return known

    def let_go(self) -> None:
        """Hold nothing any more."""
        with _locked(self.path) as handle:
            if handle is not None:
                _write(handle, [each for each in _read(handle) if not self._is_mine(each)])

    def _claim(self, place: Place, now: Moment) -> dict[str, Any]:
        return {
            "job": self.job, "person": self.person, "group": place[0], "item": place[1], "at": now,
            "host": self.host, "process": self.process,
        }  # fmt: skip

    def _is_mine(self, claim: dict[str, Any]) -> bool:
        return (claim["host"], claim["process"]) == (self.host, self.process)


def _holds(claim: dict[str, Any], now: Moment, host: str) -> bool:
    if abs(now - claim["at"]) > LASTS:
        return False
    return claim["host"] != host or _alive(claim["process"])


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True  # it is somebody else's
    return True


def _host() -> str:
    return os.uname().nodename if hasattr(os, "uname") else ""


@contextmanager
def _locked(path: str) -> Iterator[int | None]:
    """The file under a lock; nothing where it cannot be had, which is no trouble to anybody."""
    handle = _opened(path)
    try:
        yield handle if handle is not None and _lock(handle) else None
    finally:
        if handle is not None:
            os.close(handle)


def _opened(path: str) -> int | None:
    careful = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        mode = os.stat(path.removesuffix(SUFFIX)).st_mode & 0o666
        return os.open(path, os.O_RDWR | os.O_CREAT | careful, mode)
    except OSError:
        return None


def _lock(handle: int) -> bool:
    try:
        import fcntl
    except ImportError:
        return False
    for _ in range(TRIES):
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            continue
        return True
    return False


_FORM: Final = {
    "job": str, "person": str, "group": str, "item": int, "at": int, "host": str, "process": int,
}  # fmt: skip


def _read(handle: int) -> list[dict[str, Any]]:
    """What stands in the file; what is torn or of another form is nothing."""
    os.lseek(handle, 0, os.SEEK_SET)
    try:
        found = json.loads(os.read(handle, LARGEST) or b"[]")
    except ValueError:
        return []
    return [each for each in found if _fits(each)] if isinstance(found, list) else []


def _fits(claim: Any) -> bool:
    return (
        isinstance(claim, dict)
        and claim.keys() == _FORM.keys()
        and all(type(claim[name]) is form for name, form in _FORM.items())
    )


def _write(handle: int, claims: list[dict[str, Any]]) -> None:
    """Write them over what stands there, with blanks up to its end: to cut a file costs more than a reading may."""
    try:
        length = os.fstat(handle).st_size
        os.lseek(handle, 0, os.SEEK_SET)
        os.write(handle, json.dumps(claims).encode().ljust(length))
    except OSError:
        return
