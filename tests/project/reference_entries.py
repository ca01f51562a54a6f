"""Makes the page of the reference that tells every kind of entry, its members, and who may sign it."""

from collections.abc import Iterator
from typing import Final

from torquelog.facts import calibrations, handing, inner, tested, tools
from torquelog.facts.kinds import FORMS, Kind, Member
from torquelog.facts.registry import all_kinds
from torquelog.rules.authority import Signing, needed

SAYS: Final[dict[str, str]] = {
    "station": "Begins a chain: the station, its rules, and its first person, who holds every role.",
    "rule": "Sets one of the station's rules, from now on.",
    "clock": "Goes on after a head of the future; the one entry whose time may step back.",
    "resumed": "Goes on from a restored copy, where later entries were lost.",
    "station-accepted": "Lets the signatures of another station count in this chain.",
    "taken-in": "Says how much of another station's chain is held from now on.",
    "checkpoint": "Says that a checkpoint was signed.",
    "person": "Enrols a person, with roles and a one-time code.",
    "code": "Gives a person a new one-time code, for a lost passphrase.",
    "key": "Introduces the key of a person's own passphrase.",
    "role": "Gives a person a role, or takes it away.",
    "sign-in": "Introduces a key for one shift.",
    "sign-out": "Ends a sign-in.",
    "reading": "One torque at one fastener, judged. A refused attempt is one, too.",
    "act": "What else was done to a fastener: loosened, replaced, found, locked.",
    "step": "A step, a locking or an operational check of the card.",
    "left-out": "A fastener is left out for now, with the reason. It stays open.",
    "hand-over": "Hands a job over to somebody, with what is open in it.",
    "take-over": "Takes over a job that was handed over.",
    "part": "A part taken off or put on in a job.",
    "strike": "Says that an entry was a mistake. The entry stays.",
    "confirmation": "A second person vouches for an entry that waits for it.",
    "aircraft": "Puts an aircraft on record.",
    "registration": "Gives an aircraft a registration, from a day on.",
    "assembly": "Puts an assembly on record.",
    "placement": "What became of an assembly: fitted, removed, moved, taken apart, held, released.",
    "card": "A card as a draft.",
    "card-approval": "Approves a card, which may open jobs from now on.",
    "job": "Opens a job by an approved card.",
    "job-closed": "Closes a job that is complete. It releases nothing to service.",
    "tool": "Registers a wrench, an adapter, a multiplier or a tester.",
    "tool-limits": "Sets the interval or the cycle limit of a tool, from now on.",
    "calibration": "Puts a certificate on record.",
    "acceptance": "Accepts a certificate; the tool is fit by it from now on.",
    "withdrawal": "Says that a certificate counts no longer.",
    "custody": "A tool is issued, returned, sent, received or retired.",
    "tested": "A check of a tool on a tester, judged by its accuracy.",
    "report": "A tool was dropped, overloaded, damaged, repaired, lost or found.",
    "quarantine": "A tool is not to be used until it is released.",
    "quarantine-release": "Ends a quarantine.",
    "restriction": "Restricts a tool to a part of its range or to one direction, or lifts that.",
    "recall": "Opens a recall: whose work is in doubt, and in which window.",
    "disposition": "Decides on items of a recall.",
    "recall-closed": "Closes a recall and freezes its count.",
    "review-answer": "Answers what a review of the record asks about an entry.",
    "recall-answer": "Says why an entry that called for a recall needs none.",
    "re-inspection": "The performer looks again, as nobody else is there. It lifts no rejection.",
    "inspection": "An inspector accepts or rejects what somebody else did.",
}
"""Every kind in a sentence."""

ALONE: Final = {"station": "the first person", "key": "the person whose code it is"}
"""Kinds that one person alone can sign."""

BOUNDS: Final[dict[str, str]] = {
    "inspection": "by nobody who performed in that group",
    "re-inspection": "by a performer, while no other enrolled person holds the role inspector",
    "card-approval": "not by the drafter while another enrolled person holds the role",
    "confirmation": "neither by the performer nor by the signer while another enrolled person holds the role",
    "review-answer": "not by whoever the question is about while another enrolled person holds the role",
    "role": "nobody grants a role to himself while another person holds it",
    "key": "one code signs one such entry",
    "sign-out": "it is the last entry that its sign-in signs",
}
"""What else is asked of a signer."""

INSIDE: Final[dict[tuple[str, str], tuple[str, tuple[Member, ...]]]] = {
    ("tested", "readings"): ("Each of `readings` in a check", tested.PAIR),
    ("calibration", "points"): ("Each of `points`", calibrations.POINT),
    ("tool", "scales"): ("Each of `scales`", tools.SCALE),
    ("reading", "run_on"): ("`run_on`", inner.RUN_ON),
    ("reading", "judged"): ("`judged`", inner.JUDGED),
    ("reading", "judged tools"): ("Each of `tools` in `judged`", inner.JUDGED_TOOL),
    ("hand-over", "open"): ("Each of `open`", handing.OPEN_MEMBERS),
    ("take-over", "open"): ("Each of `open`", handing.OPEN_MEMBERS),
    ("reading", "grounds"): ("Each of `grounds`", inner.GROUND),
}
"""Members of the objects in a body, by kind and member."""

FREE: Final[dict[tuple[str, str], str]] = {
    ("station", "policies"): "an object with the names of the station's rules, each with its value as text",
    (
        "job",
        "assemblies",
    ): "an object with kinds of assembly, each with part and serial number, one blank between",
    (
        "card",
        "content",
    ): "the keys of a [card file](files.md#a-card), each value as text, a list or an object",
}
"""Objects whose members have no fixed names."""

TITLE: Final = """\
# Kinds of entries

{made}

The form of an entry, with its ten members, its digest and its signature, is in [the ledger's form](../ledger.md).
Here is what stands in `body`, kind by kind. A member that may be absent says what its absence means.
A member is never renamed, dropped or given another form, and a new one may always be absent.

Text is composed (NFC) and holds no control, no bidirectional and no zero-width mark; a line feed stands in reasons only.

## Forms

| form | what it is |
| --- | --- |
"""

LEVELS: Final = {
    "own": "its own key, the first person's passphrase",
    "code": "the person's one-time code",
    "passphrase": "passphrase",
    "sign-in": "sign-in",
}


def entries_page(made: str) -> str:
    """The page of all kinds.

    Args:
        made: the line that says how the page is made.
    """
    forms = [f"| `{name}` | {cell(meaning)} |" for name, (meaning, _) in FORMS.items()]
    kinds = list(all_kinds())
    parts = [
        TITLE.format(made=made) + "\n".join([*forms, "| `…*` | a list of that form |"]),
        "## Who may sign what",
        "A passphrase signs what weighs most; a sign-in signs the work of a shift. Roles count as they stand in\n"
        "the signer's chain at that place.",
        "\n".join(["| kind | key | role | besides |", "| --- | --- | --- | --- |", *map(signing_row, kinds)]),
        *(part for kind in kinds for part in kind_parts(kind)),
    ]
    return "\n\n".join(parts) + "\n"


def signing_row(kind: Kind) -> str:
    """A row of the table of signers."""
    key, roles = signing_words(needed(kind.name))
    roles = ALONE.get(kind.name, roles)
    if kind.name == "strike":
        others, other_roles = signing_words(needed("strike", others_entry=True))
        key, roles = f"{key}; another's entry: {others}", f"{roles}; another's entry: {other_roles}"
    return f"| [`{kind.name}`](#{kind.name}) | {key} | {roles} | {BOUNDS.get(kind.name, '')} |"


def signing_words(signing: Signing) -> tuple[str, str]:
    """Key and roles in words."""
    return LEVELS[signing.level], " or ".join(signing.roles) or "anyone enrolled"


def kind_parts(kind: Kind) -> Iterator[str]:
    """The parts of a kind: what it says, whether it can be struck, its members, and those inside them."""
    yield f"## {kind.name}"
    struck = (
        "It can be struck." if kind.strikable else "It cannot be struck; it is answered by a later entry."
    )
    assert kind.name in SAYS, f"say in {__name__}.SAYS what an entry of kind {kind.name} is"
    yield f"{SAYS[kind.name]} {struck}"
    yield member_table(kind.members)
    for (name, member), (title, members) in INSIDE.items():
        if name == kind.name:
            yield f"{title}:" if member else title
            yield member_table(members)
    for (name, member), what in FREE.items():
        if name == kind.name:
            yield f"`{member}`: {what}."


def member_table(members: tuple[Member, ...]) -> str:
    """A table of members."""
    rows = [
        f"| `{each.name}` | `{each.form}` | {'yes' if each.needed else 'may be absent'} | {cell(each.meaning)} |"
        for each in members
    ]
    return "\n".join(["| member | form | there | meaning |", "| --- | --- | --- | --- |", *rows])


def cell(text: str) -> str:
    """A text that stands in a cell."""
    return text.replace("|", "\\|")
