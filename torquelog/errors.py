"""One kind of error for the whole of torquelog: a stable code, an exit status, and words a person can act on.

Every error that a person can meet is a `TorquelogError`. Its code never changes once published, its exit status
follows from the code, and its words say what happened, why, and what to do next. Anything else that reaches
the command line is a defect.
"""

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

MISUSE: Final = 2
REFUSED: Final = 3
UNVERIFIED: Final = 5
STORAGE: Final = 6
FAULT: Final = 1
INTERRUPTED: Final = 130

CODES: Final[dict[str, tuple[int, str]]] = {
    "accuracy-missing": (MISUSE, "a tool whose accuracy was not told, so that nothing can be judged by it"),
    "act-unknown": (MISUSE, "an act that is neither tighten nor check"),
    "adapter-length": (MISUSE, "a lever or an adapter whose length cannot be"),
    "adapter-no-lever": (MISUSE, "an adapter on a wrench that has no lever"),
    "adapter-order": (MISUSE, "an adapter behind a multiplier, where its effect cannot be computed"),
    "adapter-reversed": (MISUSE, "adapters that reach back to the hand or beyond it"),
    "aircraft-unknown": (MISUSE, "an aircraft that is not on record"),
    "ambiguous": (MISUSE, "a name that more than one thing bears"),
    "angle-form": (MISUSE, "an angle that cannot be read"),
    "argument": (MISUSE, "the command line is wrong"),
    "argument-bytes": (MISUSE, "a word of the command line holds bytes that are no text"),
    "as-left-failed": (REFUSED, "a certificate that leaves the tool outside its accuracy"),
    "as-left-missing": (REFUSED, "a certificate that does not say how the tool was left"),
    "assembly-fitted": (REFUSED, "an assembly that is fitted to an aircraft"),
    "assembly-held": (REFUSED, "an assembly that somebody holds back"),
    "assembly-kind": (MISUSE, "an assembly of another kind than was said, or two of one kind"),
    "assembly-not-fitted": (REFUSED, "an assembly that is not fitted to an aircraft"),
    "assembly-not-held": (REFUSED, "an assembly that nobody holds back"),
    "assembly-recalled": (REFUSED, "an assembly that a recall holds back"),
    "assembly-scrapped": (REFUSED, "an assembly that was scrapped"),
    "assembly-unknown": (MISUSE, "an assembly that is not on record"),
    "authority": (UNVERIFIED, "an entry whose signature does not count in its chain"),
    "basis-form": (MISUSE, "a torque basis that cannot be read or does not fit the limits"),
    "body-form": (MISUSE, "an entry whose body does not keep to its kind"),
    "body-newer": (STORAGE, "an entry with a member that a newer program wrote"),
    "busy": (STORAGE, "another program has been writing for too long"),
    "calibration-pair": (MISUSE, "a calibration result that cannot be one"),
    "calibration-unknown": (MISUSE, "a certificate that is not on record for this tool"),
    "card-file": (MISUSE, "a card file that is not TOML"),
    "card-key": (MISUSE, "a key that a card file lacks, or one that it does not take"),
    "card-large": (MISUSE, "a card that says more than an entry can hold"),
    "card-misfit": (REFUSED, "a card that is for another type or part number"),
    "card-not-approved": (REFUSED, "a card that nobody has approved"),
    "card-unknown": (MISUSE, "a card that is not on record"),
    "card-value": (MISUSE, "a value in a card file that its key does not take"),
    "certificate-facts": (MISUSE, "a certificate that cannot be as it is told"),
    "chain": (UNVERIFIED, "an entry does not follow the one before it"),
    "checkpoint-form": (MISUSE, "a text that is not a checkpoint"),
    "clock-ahead": (REFUSED, "the clock is far ahead of the last entry and nobody vouches for it"),
    "clock-behind": (REFUSED, "the clock is behind the last entry"),
    "clock-right": (MISUSE, "a clock that needs no release"),
    "code-form": (MISUSE, "a one-time code that cannot be read"),
    "code-wrong": (REFUSED, "not the one-time code that the person was given last"),
    "commit-unclear": (STORAGE, "the disk gave trouble while saving; ask again with the same id"),
    "convention-unknown": (MISUSE, "a way of counting a deviation that is not in the list"),
    "damaged": (STORAGE, "the database file is damaged"),
    "database-missing": (STORAGE, "there is no record at this path"),
    "date-form": (MISUSE, "a date that cannot be read"),
    "date-unclear": (MISUSE, "a date that can be read in more than one way"),
    "dcc-form": (MISUSE, "a digital calibration certificate that cannot be read, or lacks a part"),
    "decision-unknown": (MISUSE, "a decision on a recall's items that is not in the list"),
    "disk-full": (STORAGE, "the disk is full"),
    "due-missing": (MISUSE, "a tool of which nothing says when it is due"),
    "entry-form": (UNVERIFIED, "a text that is not an entry as torquelog writes it"),
    "entry-unknown": (MISUSE, "an entry that is not on record"),
    "exists": (MISUSE, "the name is taken already; nothing is overwritten"),
    "export-empty": (MISUSE, "an export that holds nothing of another station"),
    "fastener-form": (MISUSE, "a fastener that is not written as group and number"),
    "fastener-unknown": (MISUSE, "a fastener beyond the group's count"),
    "fault": (FAULT, "an unexpected error; the message names a file with its details"),
    "field-form": (MISUSE, "a field of a line that is not of the type it has to be"),
    "field-missing": (MISUSE, "a field of a row that each row has to have"),
    "field-twice": (MISUSE, "a field that a header or a line has twice"),
    "field-unknown": (MISUSE, "a field that a line cannot have"),
    "file-empty": (MISUSE, "a file without anything in it"),
    "file-encoding": (MISUSE, "a file that is not UTF-8 text"),
    "file-form": (MISUSE, "a file whose rows cannot be told apart"),
    "file-missing": (MISUSE, "a file that is not there"),
    "file-too-large": (MISUSE, "a file larger than is read"),
    "file-unreadable": (MISUSE, "a file that cannot be read"),
    "fork": (UNVERIFIED, "two different entries with one number"),
    "found-unknown": (MISUSE, "a finding that is not in the list"),
    "fraction-form": (MISUSE, "a share that cannot be read"),
    "gap": (UNVERIFIED, "an export that leaves entries out"),
    "graduation-zero": (MISUSE, "a graduation of zero"),
    "group-unknown": (MISUSE, "a group that the card does not have"),
    "guarded": (FAULT, "a guard stopped a change of what is on record: a defect of the program"),
    "hour-unclear": (MISUSE, "a local hour that does not exist or comes twice"),
    "id-form": (MISUSE, "an id that is not 32 hex digits"),
    "id-reused": (MISUSE, "an id that is on record with other fields"),
    "identifier-form": (MISUSE, "an identifier that is not letters, digits and . _ / -"),
    "in-the-future": (MISUSE, "a time or a day later than now"),
    "input-ended": (MISUSE, "the input ended before a question was answered"),
    "inspection-bounds": (REFUSED, "work outside what an inspector may inspect"),
    "interrupted": (INTERRUPTED, "stopped by Ctrl-C; what was being written is whole or absent"),
    "interval-missing": (MISUSE, "a tool without an interval that could be advised on"),
    "item-unknown": (MISUSE, "an item that the recall does not have"),
    "items-form": (MISUSE, "items of a recall that cannot be read"),
    "job-closed": (REFUSED, "a job that is closed"),
    "job-open": (REFUSED, "a job that something holds open"),
    "job-owner": (MISUSE, "a job that names nothing which could carry a group of its card"),
    "job-place": (MISUSE, "a job without an assembly or a whole position on an aircraft"),
    "job-unknown": (MISUSE, "a job that is not on record"),
    "json-form": (MISUSE, "a line of JSON that cannot be read, or says something twice"),
    "json-long": (MISUSE, "a line of JSON that is too long"),
    "judgement": (UNVERIFIED, "a judgement that comes out otherwise when it is made again"),
    "kdf-form": (UNVERIFIED, "scrypt parameters in a key's entry that are not trusted"),
    "key-ended": (REFUSED, "a sign-in or one-time code that has ended"),
    "key-level": (REFUSED, "an entry signed with a key of the wrong level"),
    "key-owner": (REFUSED, "a key that belongs to somebody else"),
    "key-unknown": (UNVERIFIED, "a signing key that no entry introduces"),
    "last-quality": (REFUSED, "the only person with the role quality cannot give it up"),
    "limits-below-zero": (MISUSE, "limits that reach below zero or end at zero"),
    "limits-reversed": (MISUSE, "a low limit above the high one"),
    "limits-same": (MISUSE, "limits that a tool has already"),
    "line-form": (UNVERIFIED, "a line that is none of an export"),
    "live-file": (MISUSE, "a file that would be written over the record itself"),
    "memory-unsafe": (REFUSED, "the note of what was last seen could have been changed by others"),
    "multiplier-ratio": (MISUSE, "a multiplier's ratio that cannot be"),
    "name-form": (MISUSE, "the name of a group, step or kind that is not small letters, digits and hyphens"),
    "needs-another": (REFUSED, "an approval or confirmation that takes a second person"),
    "needs-option": (MISUSE, "an option that is needed was not given, and nobody is there to be asked"),
    "needs-reference": (MISUSE, "a decision that rests on approved data or a letter, which was not named"),
    "needs-run-on": (MISUSE, "a torque above run-on torque without a run-on torque"),
    "newer-entry": (STORAGE, "an entry that a newer torquelog wrote"),
    "newer-format": (STORAGE, "the record was written by a newer torquelog"),
    "no-role": (REFUSED, "a person who does not hold the role that this takes"),
    "not-a-ledger": (STORAGE, "the file is not a record of torquelog"),
    "not-a-reading": (MISUSE, "an entry that is no reading"),
    "not-asked": (MISUSE, "an entry that the review asks nothing about"),
    "not-awaiting": (MISUSE, "an entry that waits for nobody"),
    "not-enrolled": (REFUSED, "a person who has chosen no passphrase at this station yet"),
    "not-finished": (REFUSED, "work that is not finished, and so cannot be accepted"),
    "not-handed-over": (MISUSE, "a job that nobody handed over to this person"),
    "not-held": (UNVERIFIED, "entries of another station that the own chain does not account for"),
    "not-here": (MISUSE, "a person whom another station enrolled"),
    "not-pending": (MISUSE, "an entry that calls for no recall, or has got one or an answer already"),
    "not-re-tightened": (REFUSED, "no tightening since, with a wrench that is good now, is on record"),
    "not-replaced": (REFUSED, "no replacement of the hardware is on record"),
    "not-strikable": (REFUSED, "an entry that is answered, never struck"),
    "nothing-to-end": (MISUSE, "a quarantine, loss or restriction that is not there"),
    "nothing-to-receive": (MISUSE, "a tool that was not away and has no certificate waiting"),
    "nothing-to-replace": (MISUSE, "a position where nothing of that kind is fitted"),
    "number-form": (MISUSE, "a number that cannot be read, or is written in an unclear way"),
    "older-copy": (UNVERIFIED, "the record is older than what a person saw of it"),
    "older-format": (STORAGE, "the record has an older format"),
    "order-form": (MISUSE, "a tightening order that cannot be made or does not fit the fasteners"),
    "other-ledger": (MISUSE, "a checkpoint of another record"),
    "output-lost": (FAULT, "the answer could not be written; what was asked for has been done"),
    "over-torque": (REFUSED, "an over-torque, which no re-tightening cures"),
    "own-grant": (REFUSED, "a role granted to oneself while another person holds it"),
    "pass-unknown": (MISUSE, "a pass that the card does not have"),
    "passes-form": (MISUSE, "passes that cannot be read or do not lead to the full torque"),
    "passphrase-is-code": (MISUSE, "a one-time code taken as the passphrase"),
    "passphrase-long": (MISUSE, "a passphrase of more than 1,024 characters"),
    "passphrase-short": (MISUSE, "a passphrase of fewer than 12 characters"),
    "passphrase-wrong": (REFUSED, "not the passphrase of the person who is to sign"),
    "percent-form": (MISUSE, "a percentage that cannot be read"),
    "period-form": (MISUSE, "a length of calendar time that cannot be read"),
    "person-unknown": (MISUSE, "a person who is not enrolled"),
    "points-form": (MISUSE, "results of a calibration that cannot be read, or cannot be the tool's"),
    "position-occupied": (MISUSE, "a position where something of that kind is fitted"),
    "range-form": (MISUSE, "a range of a tool that cannot be read"),
    "read-only": (STORAGE, "the file, its folder or its medium cannot be written"),
    "recall-closed": (MISUSE, "a recall that is closed"),
    "recall-empty": (MISUSE, "a recall that would find no reading at all"),
    "recall-large": (MISUSE, "a recall of more fasteners than one entry can hold"),
    "recall-subject": (MISUSE, "a recall by several things at once"),
    "recall-undecided": (REFUSED, "a recall with items on which nothing is decided"),
    "recall-unknown": (MISUSE, "a recall that is not on record"),
    "recall-window": (MISUSE, "a window of a recall that ends before it begins, or is missing"),
    "reference-form": (MISUSE, "the name of an entry that cannot be read"),
    "register": (UNVERIFIED, "a register that is not what the entries give"),
    "registration-taken": (MISUSE, "a registration that another aircraft bears"),
    "replaced": (STORAGE, "the file or its -wal was moved or replaced while it was open"),
    "report-unknown": (MISUSE, "a report of something that is not in the list"),
    "restriction-empty": (MISUSE, "a restriction that restricts nothing"),
    "results-too-few": (MISUSE, "too few calibration results, or too much alike, for the line asked for"),
    "role-held": (MISUSE, "a role that the person holds already"),
    "role-not-held": (MISUSE, "a role that the person does not hold"),
    "role-terms": (MISUSE, "a role with a beginning, end or bound that cannot be"),
    "role-unknown": (MISUSE, "a role that is not in the list"),
    "row-form": (MISUSE, "a row of a file that has not the cells of its header, or not the place it needs"),
    "rule-name": (MISUSE, "a rule of the station that is not in the list"),
    "rule-same": (MISUSE, "a rule that has this value already"),
    "rule-unknown": (MISUSE, "a decision rule that is not in the list"),
    "rule-value": (MISUSE, "a value that a rule of the station cannot have"),
    "run-on-missing": (MISUSE, "limits above run-on torque without that torque"),
    "scan-form": (MISUSE, "a scanned code that is garbled, or a name that no label can hold"),
    "schema-changed": (UNVERIFIED, "the tables, views or guards in the file are not as torquelog made them"),
    "sign-in-elsewhere": (REFUSED, "signed in on another terminal"),
    "sign-in-ended": (REFUSED, "the sign-in has ended"),
    "sign-in-none": (REFUSED, "nobody is signed in"),
    "sign-in-unsafe": (REFUSED, "the sign-in file is not to be trusted"),
    "signature": (UNVERIFIED, "a signature that its key did not make over this text"),
    "signer-ambiguous": (MISUSE, "several people are signed in and none is named"),
    "signer-bounds": (REFUSED, "an entry that its signer may not make, by what it names"),
    "spec-form": (MISUSE, "a torque specification that cannot be read"),
    "station-accepted": (MISUSE, "a station that is accepted already"),
    "station-form": (MISUSE, "a station code that is not 2 to 8 letters and digits"),
    "station-held": (MISUSE, "a station code that another chain in the file bears"),
    "station-unknown": (MISUSE, "a station of which nothing has been taken in"),
    "step-unknown": (MISUSE, "a step or check that the card does not have"),
    "step-without-torque": (MISUSE, "a reading for a step that asks for no torque"),
    "storage": (STORAGE, "another trouble of the disk or the database"),
    "struck-already": (MISUSE, "an entry that is struck already"),
    "superseded": (REFUSED, "a revision of a card that is older than the approved one"),
    "tester-unfit": (REFUSED, "a tester that may not be used for this"),
    "text-empty": (MISUSE, "a text with nothing in it"),
    "text-long": (MISUSE, "a text of more than 2,000 characters"),
    "text-mark": (MISUSE, "a text with a control, bidirectional or zero-width mark"),
    "text-surrogate": (MISUSE, "a text that is not written in UTF-8"),
    "thread-unknown": (MISUSE, "a thread designation that cannot be read"),
    "time-form": (MISUSE, "a time that cannot be read"),
    "tolerance-missing": (MISUSE, "a single torque without its tolerance"),
    "tolerance-twice": (MISUSE, "a tolerance for a specification that has its limits already"),
    "tool-away": (REFUSED, "a tool that was sent away and is not received back"),
    "tool-facts": (MISUSE, "a tool whose facts cannot be as they are told"),
    "tool-not-out": (MISUSE, "a tool that is in the crib already"),
    "tool-out": (REFUSED, "a tool that is out already"),
    "tool-retired": (REFUSED, "a tool that is retired"),
    "tool-unknown": (MISUSE, "a tool that is not registered"),
    "uncertainty-missing": (MISUSE, "a decision rule that needs an uncertainty the results do not have"),
    "unit-ambiguous": (MISUSE, "a unit that could mean two things"),
    "unit-missing": (MISUSE, "a value without its unit"),
    "unit-unknown": (MISUSE, "a unit that is not in the list"),
    "why-missing": (MISUSE, "a reason that has to be given"),
    "wrench-seen-missing": (REFUSED, "an acceptance without the number of the wrench that was used"),
    "wrench-seen-other": (REFUSED, "an acceptance with another wrench than the one on record"),
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

    def __reduce__(self) -> "tuple[Callable[..., TorquelogError], tuple[str, str, str, str]]":
        return _again, (self.code, self.what, self.why, self.hint)

    @property
    def message(self) -> str:
        """What happened and why, in one line."""
        return f"{self.what} {self.why}".strip()

    def __str__(self) -> str:
        return self.message


def _again(code: str, what: str, why: str, hint: str) -> TorquelogError:
    """The same error, in another process."""
    return TorquelogError(code, what, why=why, hint=hint)
