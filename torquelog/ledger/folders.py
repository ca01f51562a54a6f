"""Where a user's files lie: the data folder, and the folder that lasts until the user logs out."""

import os
import stat
import sys
from collections.abc import Mapping
from contextlib import suppress
from typing import Final

NAME: Final = "torquelog"


def data_folder(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> str:
    """The folder of a user's ledger and of what each person last saw; it need not exist yet.

    Args:
        environ: the environment, for the folders that it names.
        platform: the system, as `sys.platform` names it.
    """
    home = os.path.expanduser("~")
    if platform == "win32":
        return os.path.join(_absolute(environ, "LOCALAPPDATA") or home, NAME)
    base = _absolute(environ, "XDG_DATA_HOME")
    if not base:
        parts = ("Library", "Application Support") if platform == "darwin" else (".local", "share")
        base = os.path.join(home, *parts)
    return os.path.join(base, NAME)


def runtime_folder(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> str:
    """The folder of sign-ins: one that the system empties at log-out where there is one, else the data folder.

    The system's folder is used only if it is the user's own and closed to everybody else; after a change of
    user (su, sudo) it is not.
    """
    base = _absolute(environ, "XDG_RUNTIME_DIR")
    return os.path.join(base, NAME) if _is_own(base) else data_folder(environ, platform)


def make_folder(folder: str) -> None:
    """Make a folder, and those above it that are missing, for their owner only; one that exists is left alone.

    Raises:
        OSError: as the system says it.
    """
    above = os.path.dirname(folder)
    if above != folder and not os.path.isdir(above):
        make_folder(above)
    with suppress(FileExistsError):
        os.mkdir(folder, 0o700)


def _absolute(environ: Mapping[str, str], name: str) -> str:
    # The XDG base directory specification has relative paths ignored.
    folder = environ.get(name)
    return folder if folder and os.path.isabs(folder) else ""


def _is_own(folder: str) -> bool:
    try:
        facts = os.stat(folder)
    except OSError:
        return False
    return stat.S_ISDIR(facts.st_mode) and facts.st_uid == os.geteuid() and not facts.st_mode & 0o077
