"""One kind of error for the whole of torquelog: a stable code, an exit status, and words a person can act on.

Every error that a person can meet is a `TorquelogError`. Its code never changes once published, its exit status
follows from the code, and its words say what happened, why, and what to do next. Anything else that reaches
the command line is a defect.
"""

from typing import Final

MISUSE: Final = 2
REFUSED: Final = 3
UNVERIFIED: Final = 5
STORAGE: Final = 6
FAULT: Final = 1

CODES: Final[dict[str, tuple[int, str]]] = {
    "angle-form": (MISUSE, "an angle that cannot be read"),
    "argument": (MISUSE, "the command line is wrong"),
    "busy": (STORAGE, "another program has been writing for too long"),
    "commit-unclear": (STORAGE, "the disk gave trouble while saving; ask again with the same id"),
    "damaged": (STORAGE, "the database file is damaged"),
    "database-missing": (STORAGE, "there is no ledger at this path"),
    "date-form": (MISUSE, "a date that cannot be read"),
    "date-unclear": (MISUSE, "a date that can be read in more than one way"),
    "disk-full": (STORAGE, "the disk is full"),
    "exists": (MISUSE, "the name is taken already; nothing is overwritten"),
    "fault": (FAULT, "an unexpected error; the message names a file with its details"),
    "guarded": (FAULT, "a guard stopped a change of what is on record: a defect of the program"),
    "hour-unclear": (MISUSE, "a local hour that does not exist or comes twice"),
    "newer-format": (STORAGE, "the ledger was written by a newer torquelog"),
    "not-a-ledger": (STORAGE, "the file is not a torquelog ledger"),
    "number-form": (MISUSE, "a number that cannot be read, or is written in an unclear way"),
    "older-format": (STORAGE, "the ledger has an older format"),
    "period-form": (MISUSE, "a length of calendar time that cannot be read"),
    "read-only": (STORAGE, "the file, its folder or its medium cannot be written"),
    "schema-changed": (UNVERIFIED, "the tables, views or guards in the file are not as torquelog made them"),
    "storage": (STORAGE, "another trouble of the disk or the database"),
    "time-form": (MISUSE, "a time that cannot be read"),
    "unit-ambiguous": (MISUSE, "a unit that could mean two things"),
    "unit-unknown": (MISUSE, "a unit that is not in the list"),
    "zone-unknown": (MISUSE, "a time zone that does not exist"),
}


class TorquelogError(Exception):
    """Something a person can act on.

    Attributes:
        code: the stable name of what happened; one of `CODES`.
        what: what happened, one sentence in the user's words.
        why: the reason, a sentence or nothing.
        hint: what to do next, a sentence, a command, or nothing.
        exit: the exit status that the command ends with.
    """

    def __init__(self, code: str, what: str, *, why: str = "", hint: str = "") -> None:
        super().__init__(what)
        self.code = code
        self.what = what
        self.why = why
        self.hint = hint
        self.exit = CODES[code][0]

    @property
    def message(self) -> str:
        """What happened and why, in one line."""
        return f"{self.what} {self.why}".strip()

    def __str__(self) -> str:
        return self.message
