"""Who may sign what: the table of kinds, and the decision over one entry.

A signature counts by the level of the key that made it and by the roles that its owner held in the same chain
at that place. The decision is pure: it sees a kind, a key, roles, and what the body names.
"""

from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.errors import TorquelogError


class Signing(NamedTuple):
    """What a kind asks of its signature: the level of key, and one of these roles (none: anyone enrolled)."""

    level: str
    roles: tuple[str, ...] = ()


_QUALITY: Final = Signing("passphrase", ("quality",))
_CHECKER: Final = Signing("passphrase", ("inspector", "quality"))
_CRIB: Final = Signing("sign-in", ("crib",))
_TECHNICIAN: Final = Signing("sign-in", ("technician",))
_ANYONE: Final = Signing("sign-in")

TABLE: Final[dict[str, Signing]] = {
    "station": Signing("own"),
    "key": Signing("code"),
    "sign-in": Signing("passphrase"),
    "sign-out": _ANYONE,
    "role": _QUALITY,
    "person": _QUALITY,
    "code": _QUALITY,
    "rule": _QUALITY,
    "clock": _QUALITY,
    "resumed": _QUALITY,
    "station-accepted": _QUALITY,
    "disposition": _QUALITY,
    "recall-closed": _QUALITY,
    "recall-answer": _QUALITY,
    "review-answer": _QUALITY,
    "recall": Signing("sign-in", ("quality",)),
    "restriction": _QUALITY,
    "quarantine-release": _QUALITY,
    "card-approval": _CHECKER,
    "confirmation": _CHECKER,
    "inspection": Signing("passphrase", ("inspector",)),
    "re-inspection": Signing("passphrase", ("inspector", "technician")),
    "tool": _CRIB,
    "custody": _CRIB,
    "calibration": _CRIB,
    "taken-in": _CRIB,
    "tool-limits": _QUALITY,
    "tested": Signing("sign-in", ("crib", "technician")),
    "acceptance": Signing("sign-in", ("crib", "quality")),
    "withdrawal": Signing("sign-in", ("crib", "quality")),
    "aircraft": _TECHNICIAN,
    "registration": _TECHNICIAN,
    "assembly": _TECHNICIAN,
    "placement": _TECHNICIAN,
    "job": _TECHNICIAN,
    "job-closed": _TECHNICIAN,
    "reading": _TECHNICIAN,
    "act": _TECHNICIAN,
    "step": _TECHNICIAN,
    "part": _TECHNICIAN,
    "left-out": _TECHNICIAN,
    "hand-over": _TECHNICIAN,
    "take-over": _TECHNICIAN,
    "card": _ANYONE,
    "report": _ANYONE,
    "quarantine": _ANYONE,
    "checkpoint": _ANYONE,
}

_LEVEL_WORDS: Final = {
    "passphrase": "passphrase",
    "sign-in": "sign-in",
    "code": "one-time code",
    "own": "first key",
}


class Claim(NamedTuple):
    """One signature as it is judged.

    Attributes:
        kind: the entry's kind.
        signer: who is said to sign.
        owner: whose key it is.
        level: the key's level; `own` is the first person's passphrase key.
        until: the key's end, or nothing.
        ended: whether its owner signed out.
        roles: the roles held at this place of the chain.
        recorded: when the entry was recorded.
        others_entry: for a strike, whether it names somebody else's entry.
        code_used: for a one-time code, whether it signed before, or was replaced by a newer one.
    """

    kind: str
    signer: str
    owner: str
    level: str
    until: Moment | None
    ended: bool
    roles: frozenset[str]
    recorded: Moment
    others_entry: bool = False
    code_used: bool = False


def needed(kind: str, *, others_entry: bool = False) -> Signing:
    """What a kind asks of its signature; a strike asks more where it names somebody else's entry."""
    if kind == "strike":
        return _QUALITY if others_entry else Signing("sign-in")
    return TABLE[kind]


def judge(claim: Claim) -> None:
    """Raise where a signature does not count: `key-owner`, `key-ended`, `key-level` or `no-role`."""
    asked = needed(claim.kind, others_entry=claim.others_entry)
    if claim.owner != claim.signer:
        raise TorquelogError("key-owner", f"The key belongs to {claim.owner}, not to {claim.signer}.")
    if claim.ended or claim.code_used or (claim.until is not None and claim.recorded >= claim.until):
        raise TorquelogError(
            "key-ended",
            f"The {_LEVEL_WORDS[claim.level]} of {claim.signer} has ended.",
            hint=f"torquelog sign-in {claim.signer}",
        )
    if not _level_counts(claim, asked):
        raise TorquelogError(
            "key-level",
            f"This is signed with the {_LEVEL_WORDS[asked.level]}, not with the {_LEVEL_WORDS[claim.level]}.",
        )
    check_role(claim.kind, claim.signer, claim.roles, others_entry=claim.others_entry)


def check_role(kind: str, signer: str, roles: frozenset[str], *, others_entry: bool = False) -> None:
    """Raise `no-role` where a person holds none of the roles that a kind asks for."""
    asked = needed(kind, others_entry=others_entry)
    if asked.roles and not roles & set(asked.roles):
        names = " or ".join(asked.roles)
        raise TorquelogError(
            "no-role",
            f"This takes the role {names}, and {signer} does not hold it.",
            hint=f"torquelog person role {signer} --add {asked.roles[0]}   (by quality)",
        )


def _level_counts(claim: Claim, asked: Signing) -> bool:
    if asked.level == "passphrase":
        return claim.level in ("passphrase", "own")
    return claim.level == asked.level


def may_grant(signer: str, person: str, holders: list[str]) -> None:
    """Raise `own-grant` where somebody grants a role to himself while another enrolled person holds it."""
    if signer == person and any(holder != person for holder in holders):
        other = next(holder for holder in holders if holder != person)
        raise TorquelogError(
            "own-grant",
            "Nobody grants a role to himself while another person holds it.",
            hint=f"Ask {other}.",
        )


def second_person(
    signer: str, not_these: frozenset[str], holders: list[str], why: str | None, own_code: str
) -> str:
    """Decide whether a signer may approve or confirm what one of `not_these` did.

    Args:
        signer: who wants to approve or confirm.
        not_these: who drafted, or performed and signed.
        holders: everybody enrolled who holds the needed role.
        why: the reason given for doing it oneself, if any.
        own_code: the remark that such an answer bears: `own-approval` or `own-confirmation`.

    Returns:
        "" where a second person signs, else `own_code`.

    Raises:
        TorquelogError: `needs-another` where somebody else could do it; `why-missing` where nobody else
            could but no reason was given.
    """
    if signer not in not_these:
        return ""
    others = [holder for holder in holders if holder not in not_these]
    if others:
        raise TorquelogError(
            "needs-another",
            "This takes somebody other than the one who did it.",
            hint=f"It could be {', '.join(others)}.",
        )
    if not why:
        raise TorquelogError(
            "why-missing",
            "Nobody else here holds the role, so you may do it yourself, with a reason.",
            hint="Add --why with the reason.",
        )
    return own_code
