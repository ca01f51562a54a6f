"""What nobody foresaw: told in one sentence, its details kept in a file and off the screen.

The file holds the kind of the error, its words and the lines of the program it came through, but no value
of any variable and no word of the command line: either may be a passphrase or a code.
"""

import os
import sys
import tempfile
import traceback
from contextlib import suppress
from datetime import UTC, datetime
from typing import Final

from torquelog import __version__
from torquelog.cli.context import Context, short_path
from torquelog.errors import TorquelogError

FOLDER: Final = "faults"
HIDDEN: Final = "(hidden)"
OWN_ERRORS: Final = (1, 21)
"""SQLite's codes for a wrong statement and for misuse: defects of the program, not troubles of the disk."""


def explained(context: Context, error: Exception) -> TorquelogError:
    """The error to show for one that is not ours.

    Troubles of the disk and the database get their own codes (see `torquelog.ledger.storage`); anything else
    is a defect: code fault, with the name of the file that holds its details.
    """
    if is_storage_trouble(error):
        from torquelog.ledger.storage import storage_error

        return storage_error(error)  # type: ignore[arg-type]  # it is one of the two kinds it takes
    place = keep_details(context, error)
    return TorquelogError(
        "fault",
        "Something went wrong that torquelog did not foresee.",
        why=f"The details are in {short_path(place)}." if place else "",
        hint="Look with torquelog verify whether the record is whole, then try again.",
    )


def is_storage_trouble(error: Exception) -> bool:
    """Whether the disk, the file system or the database's file is the cause."""
    if isinstance(error, OSError):
        return True
    sqlite3 = sys.modules.get("sqlite3")
    if sqlite3 is None or not isinstance(error, sqlite3.Error):
        return False
    return getattr(error, "sqlite_errorcode", OWN_ERRORS[0]) not in OWN_ERRORS


def keep_details(context: Context, error: Exception) -> str:
    """Write the details into a file of their own, readable by its owner only; its path, or nothing."""
    text = details(context, error)
    name = f"fault-{datetime.now(UTC):%Y%m%dT%H%M%S}-"
    for folder in (own_folder, tempfile.gettempdir):
        with suppress(Exception):  # nothing here may hide the fault it tells about
            handle, path = tempfile.mkstemp(prefix=name, suffix=".txt", dir=folder())
            with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
                file.write(text)
            return path
    return ""


def own_folder() -> str:
    """The folder for such files, made where it is missing."""
    from torquelog.ledger.folders import data_folder, make_folder

    folder = os.path.join(data_folder(), FOLDER)
    make_folder(folder)
    return folder


def details(context: Context, error: Exception) -> str:
    """What the file holds."""
    trace = "".join(traceback.format_exception(error))
    for secret in context.secrets:
        trace = trace.replace(secret, HIDDEN)
    return (
        f"torquelog {__version__}, Python {sys.version.split()[0]}, {sys.platform}\n"
        f"command: {context.command}\n\n{trace}"
    )
