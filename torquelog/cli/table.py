"""Which commands there are, where each one stands, and its help in one line.

Only names and texts: `torquelog --help` reads this table and imports no command. A command's module is
imported when the command is asked for. The short help here and the command's own are compared by a test.
"""

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple


class Entry(NamedTuple):
    """Where a command stands.

    Attributes:
        module: the module below `torquelog.cli`.
        attribute: the command's name in that module.
        help: the short help, a sentence that begins with a verb.
    """

    module: str
    attribute: str
    help: str


class Branch(NamedTuple):
    """A word that needs another one after it, such as `wrench`."""

    help: str
    commands: Mapping[str, Entry]


_TOOL_COMMANDS: Final = {
    "add": "Register {one}.",
    "calibrate": "Put a certificate of {one} on record.",
    "issue": "Hand {many} out to a person or a place.",
    "return": "Take {many} back into the crib.",
    "check": "Ask whether {one} may be used now.",
    "tested": "Put a check of {one} on a tester on record.",
    "report": "Report that {one} was dropped, damaged, lost or found.",
    "quarantine": "Put {many} in quarantine.",
    "release": "Release {many} from quarantine.",
    "restrict": "Restrict {many} to a part of their range or to one direction.",
    "send": "Send {many} away, to a laboratory or another station.",
    "receive": "Take {many} back, and accept the newest certificate.",
    "retire": "Take {many} out of use for good.",
    "withdraw": "Withdraw a certificate of {one}, which counts no longer.",
    "list": "List the {many}, where they are and when they are due.",
    "show": "Show {one}: what it is, how it stands, its life.",
    "interval": "Advise on the interval of {one}: keep, shorten, lengthen.",
    "limits": "Set the interval or the cycle limit of {one}.",
    "due": "Show which {many} may not be used or soon may not.",
}
"""The commands of every sort of tool, with their help."""

_ATTRIBUTES: Final = {"return": "give_back"}
_MODULES: Final = {"withdraw": "withdraw"}


def _tools(sort: str, one: str, many: str, commands: str, **helps: str) -> dict[str, Entry]:
    """The commands of one sort of tool, in the order named, with the help of each where it is its own."""
    attributes = {**_ATTRIBUTES, "list": many}
    return {
        name: Entry(
            _MODULES.get(name, sort),
            attributes.get(name, name),
            helps.get(name) or _TOOL_COMMANDS[name].format(one=one, many=many),
        )
        for name in commands.split()
    }


SECTIONS: Final[tuple[tuple[str, Mapping[str, Entry | Branch]], ...]] = (
    (
        "Computing, without any record",
        {
            "convert": Entry("compute", "convert", "Convert a torque into another unit, exactly."),
            "setting": Entry("compute", "setting", "Compute what to set a wrench to."),
            "applied": Entry("compute", "applied", "Compute what a wrench gives the fastener."),
            "sequence": Entry("compute", "sequence", "Show the order in which to tighten a bolt circle."),
        },
    ),
    (
        "Setting up",
        {
            "demo": Entry("demo", "demo", "Live through a week in an invented hangar, in a few seconds."),
            "init": Entry("init", "init", "Begin a record for your station."),
            "person": Branch(
                "Enrol people and change their roles.",
                {
                    "add": Entry("person", "add", "Enrol a person and give them a one-time code."),
                    "enrol": Entry(
                        "person", "enrol", "Choose a passphrase of your own, with the code you were given."
                    ),
                    "code": Entry(
                        "person", "code", "Give a person a new one-time code, for a lost passphrase."
                    ),
                    "role": Entry("person", "role", "Give a person a role, or take it away."),
                    "list": Entry("person", "people", "Show who is enrolled, with which roles."),
                },
            ),
            "sign-in": Entry("sign", "sign_in", "Sign in for your shift, on this terminal."),
            "sign-out": Entry("sign", "sign_out", "Sign out on this terminal."),
            "aircraft": Branch(
                "Put aircraft on record and change their registrations.",
                {
                    "add": Entry("aircraft", "add", "Put an aircraft on record."),
                    "register": Entry("aircraft", "register", "Give an aircraft another registration."),
                    "list": Entry("aircraft", "aircraft_list", "List the aircraft on record."),
                },
            ),
            "assembly": Branch(
                "Put assemblies on record, fit, remove and hold them.",
                {
                    "add": Entry("assembly", "add", "Put an assembly on record."),
                    "fit": Entry("assembly", "fit", "Record that an assembly was fitted to an aircraft."),
                    "remove": Entry(
                        "assembly", "remove", "Record that an assembly was taken off its aircraft."
                    ),
                    "move": Entry("assembly", "move", "Record where an assembly is that is on no aircraft."),
                    "hold": Entry("assembly", "hold", "Hold an assembly back, so that it is not fitted."),
                    "release": Entry("assembly", "release", "Release an assembly that was held back."),
                    "take-apart": Entry("assembly", "take_apart", "Record that an assembly was taken apart."),
                    "show": Entry("assembly", "show", "Show where an assembly is, and where it was."),
                    "list": Entry(
                        "assembly", "assembly_list", "List the assemblies on record, and where they are."
                    ),
                },
            ),
            "station": Branch(
                "Show and set the station's rules.",
                {
                    "show": Entry("station", "show", "Show the station and its rules."),
                    "set": Entry("station", "set_rule", "Set a rule of the station, from now on."),
                    "accept": Entry("station", "accept", "Let another station's signatures count here."),
                },
            ),
            "completion": Entry(
                "completion", "completion", "Print what teaches your shell to complete words."
            ),
        },
    ),
    (
        "The crib",
        {
            "wrench": Branch(
                "Wrenches: certificates, who has them, what is due.",
                _tools(
                    "wrench",
                    "a wrench",
                    "wrenches",
                    "add calibrate issue return check tested report quarantine release restrict send receive retire "
                    "withdraw list show interval limits due",
                    check="Ask whether a wrench may be used, now and for a fastener.",
                ),
            ),
            "adapter": Branch(
                "Adapters and multipliers, which change the torque.",
                _tools(
                    "adapter",
                    "an adapter",
                    "adapters",
                    "add calibrate issue return check report quarantine release send receive retire list show limits due",
                    add="Register an adapter or a multiplier.",
                ),
            ),
            "desk": Entry("desk", "desk", "Hand tools out and take them back: scan a person, scan a tool."),
            "tester": Branch(
                "Testers, which wrenches are measured on.",
                _tools(
                    "tester",
                    "a tester",
                    "testers",
                    "add calibrate report quarantine release send receive retire list show interval limits due",
                ),
            ),
        },
    ),
    (
        "Work",
        {
            "card": Branch(
                "Write, check, approve and show cards.",
                {
                    "new": Entry("card_new", "new", "Write a card file, by questions or to fill in."),
                    "check": Entry("card", "check", "Check a card file without loading it."),
                    "load": Entry("card", "load", "Load a card file as a draft."),
                    "approve": Entry(
                        "card", "approve", "Approve a card that you checked against its document."
                    ),
                    "show": Entry("card", "show", "Show a card, to be compared with its document."),
                    "list": Entry("card", "card_list", "List the cards on record."),
                },
            ),
            "job": Branch(
                "Open, show and close jobs.",
                {
                    "open": Entry("job", "open_job", "Open a job by an approved card."),
                    "list": Entry("job", "job_list", "List the open jobs."),
                    "show": Entry("job", "show", "Show how far a job is, and what is open."),
                    "tools": Entry(
                        "job_tools",
                        "tools",
                        "Show what to draw for a job: wrenches that reach every setting.",
                    ),
                    "inspect": Entry(
                        "inspect", "inspect_job", "Accept or reject what a job's card wants inspected."
                    ),
                    "hand-over": Entry("handing", "hand_over", "Hand a job over to somebody else."),
                    "take-over": Entry("handing", "take_over", "Take over a job that was handed over."),
                    "close": Entry("job", "close", "Close a job that is complete."),
                    "rechecks": Entry(
                        "rechecks", "rechecks", "List what closed jobs left to be checked again."
                    ),
                },
            ),
            "work": Entry("work", "work", "Lead through a job, fastener by fastener."),
            "record": Entry("record", "record", "Record a reading at one fastener."),
            "step": Entry(
                "fastener", "step", "Record a step, a locking or an operational check of the card."
            ),
            "loosen": Entry("fastener", "loosen", "Record that a fastener was loosened."),
            "replace": Entry("fastener", "replace", "Record that the hardware of a fastener was replaced."),
            "found": Entry(
                "fastener", "found", "Record a fastener found sheared, loose, missing or damaged."
            ),
            "part": Branch(
                "Parts taken off and put on in a job.",
                {
                    "off": Entry("fastener", "part_off", "Record a part taken off."),
                    "on": Entry("fastener", "part_on", "Record a part put on."),
                },
            ),
            "correct": Entry("correct", "correct", "Strike a mistaken entry, and record a reading again."),
        },
    ),
    (
        "Quality",
        {
            "trace": Branch(
                "What was touched, and where it is today.",
                {
                    "wrench": Entry(
                        "trace", "wrench", "Show what a wrench tightened, and where that is now."
                    ),
                    "adapter": Entry("trace", "adapter", "Show what was tightened through an adapter."),
                    "aircraft": Entry("trace", "aircraft", "Show the tightenings that an aircraft carries."),
                    "assembly": Entry("trace", "assembly", "Show the tightenings of an assembly."),
                    "fastener": Entry(
                        "history",
                        "fastener",
                        "Show one fastener's life: who, when, which wrench, how good.",
                    ),
                    "lot": Entry("trace", "lot", "Show where a lot of hardware went."),
                    "person": Entry("trace", "person", "Show what a person tightened."),
                    "card": Entry("trace", "card", "Show what was tightened by a card."),
                    "shop": Entry(
                        "trace", "shop", "Show what a shop tightened on assemblies, and where that is."
                    ),
                },
            ),
            "recall": Branch(
                "What a tool in doubt tightened, and what is decided about it.",
                {
                    "open": Entry(
                        "recall",
                        "open_recall",
                        "Open a recall of what a tool, lot or person may have left wrong.",
                    ),
                    "list": Entry(
                        "recall", "list_recalls", "List what calls for a recall, and the recalls on record."
                    ),
                    "show": Entry(
                        "recall",
                        "show",
                        "Show a recall: each fastener, what it got, and where it is.",
                    ),
                    "disposition": Entry("recall", "disposition", "Decide about items of a recall."),
                    "close": Entry("recall", "close", "Close a recall on which everything is decided."),
                    "answer": Entry(
                        "recall", "answer", "Answer that something which calls for a recall needs none."
                    ),
                },
            ),
            "audit": Branch(
                "The lists that an audit asks for.",
                {
                    "overdue": Entry(
                        "audit", "overdue", "List the uses of tools while past due or out of cycles."
                    ),
                    "struck": Entry("audit", "struck", "List the entries that were struck, by whom and why."),
                    "intervals": Entry(
                        "audit", "intervals", "List the changes of intervals and cycle limits."
                    ),
                    "people": Entry("audit", "people", "List who was authorised for what, on a day."),
                    "certificates": Entry(
                        "audit", "certificates", "List the certificates, and who accepted which."
                    ),
                },
            ),
            "review": Entry(
                "review", "review", "Show what the record raises questions about, and answer them."
            ),
            "refused": Entry("trace", "refused", "List the attempts that were refused."),
            "confirm": Entry("correct", "confirm", "Confirm an entry that waits for a second person."),
            "verify": Entry(
                "verify", "verify", "Check that nothing on record was changed, lost or misjudged."
            ),
            "checkpoint": Entry(
                "verify", "checkpoint", "Sign a line that shows later how far the record had come."
            ),
            "export": Entry(
                "exchange", "export", "Write every entry as lines, for other stations and for checkers."
            ),
            "take-in": Entry("exchange", "take_in", "Take in what another station exported."),
            "import": Branch(
                "Bring in old records from files.",
                {
                    "readings": Entry("importing", "readings", "Bring in readings from a file."),
                    "wrenches": Entry("importing", "wrenches", "Register wrenches from a file."),
                    "calibrations": Entry(
                        "importing", "calibrations", "Put certificates on record from a file."
                    ),
                    "assemblies": Entry("importing", "assemblies", "Put assemblies on record from a file."),
                },
            ),
            "backup": Entry("safekeeping", "backup", "Copy the record to another file, and check the copy."),
            "restore": Entry("safekeeping", "restore", "Put a backup in the place of the record."),
            "rebuild": Entry("safekeeping", "rebuild", "Make every register anew from the entries."),
            "clock": Branch(
                "Go on after a wrong clock.",
                {
                    "release": Entry(
                        "clock_commands",
                        "release",
                        "Go on where the last entry bears a time of the future.",
                    ),
                },
            ),
        },
    ),
    (
        "Sheets and labels",
        {
            "sheet": Branch(
                "Write sheets to print: jobs, the crib, tools, recalls, aircraft.",
                {
                    "job": Entry(
                        "sheet", "job", "Write the sheet of a job: every fastener, with what and by whom."
                    ),
                    "worksheet": Entry(
                        "sheet", "worksheet", "Write a worksheet of a job, to fill in by hand."
                    ),
                    "crib": Entry(
                        "sheet",
                        "crib",
                        "Write the sheet of the crib: what may not be used, what is due.",
                    ),
                    "wrench": Entry(
                        "sheet",
                        "wrench",
                        "Write the sheet of a wrench: certificates, curves, drift, uses.",
                    ),
                    "recall": Entry(
                        "sheet", "recall", "Write the sheet of a recall: a summary, then every item."
                    ),
                    "aircraft": Entry(
                        "sheet",
                        "aircraft",
                        "Write the sheet of an aircraft: fitted, open, wrenches on it.",
                    ),
                },
            ),
            "label": Branch(
                "Write labels for tools, to print and stick on.",
                {
                    "wrench": Entry("label", "wrench", "Write labels for wrenches, with a code to scan."),
                    "adapter": Entry("label", "adapter", "Write labels for adapters, with a code to scan."),
                },
            ),
        },
    ),
)
"""Headings as `torquelog --help` prints them, each with its commands in the order of use."""


def top() -> dict[str, Entry | Branch]:
    """Every first word, in the order of the help."""
    return {name: entry for _, commands in SECTIONS for name, entry in commands.items()}


def paths() -> Iterator[tuple[str, Entry]]:
    """Every command with its full name, such as "wrench add"."""
    for name, entry in top().items():
        if isinstance(entry, Entry):
            yield name, entry
        else:
            yield from ((f"{name} {word}", below) for word, below in entry.commands.items())
