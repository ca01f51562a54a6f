"""Who signs what: every kind with every level of key and every role."""

from itertools import combinations

import pytest

from torquelog.errors import TorquelogError
from torquelog.rules import authority
from torquelog.rules.authority import Claim, judge, may_grant, second_person

ROLES = ("technician", "inspector", "crib", "quality")
LEVELS = ("own", "passphrase", "sign-in", "code")
NOW = 1_000_000

# Copied from the table that the form of the ledger is agreed by, not from the program.
AGREED = {
    ("passphrase", "quality"): (
        "role person code rule clock resumed station-accepted disposition recall-closed restriction quarantine-release"
    ),
    ("passphrase", "inspector quality"): "card-approval confirmation",
    ("passphrase", "inspector"): "inspection",
    ("sign-in", "crib"): "tool custody calibration taken-in",
    ("sign-in", "crib quality"): "acceptance",
    ("sign-in", "technician"): "aircraft assembly job reading act step",
    ("sign-in", " ".join(ROLES) + " none"): "card report checkpoint sign-out",
    ("passphrase", " ".join(ROLES) + " none"): "sign-in",
    ("code", " ".join(ROLES) + " none"): "key",
}
KINDS = {kind: (level, roles.split()) for (level, roles), kinds in AGREED.items() for kind in kinds.split()}


def claim(kind, **changes):
    usual = {
        "signer": "TK", "owner": "TK", "level": "sign-in", "until": None, "ended": False,
        "roles": frozenset(ROLES), "recorded": NOW,
    }  # fmt: skip
    return Claim(kind, **(usual | changes))


def refusal(act, *arguments):
    try:
        act(*arguments)
    except TorquelogError as error:
        return error.code
    return ""


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_takes_its_level_and_its_roles(kind):
    """Of all levels and single roles exactly those of the table count."""
    level, roles = KINDS[kind]
    for given in LEVELS:
        for role in (*ROLES, "none"):
            held = frozenset() if role == "none" else frozenset({role})
            counts = (given == level or (level == "passphrase" and given == "own")) and role in roles
            found = refusal(judge, claim(kind, level=given, roles=held))
            assert (found == "") == counts, (given, role, found)


@pytest.mark.parametrize("kind", ["tool", "role", "reading"])
def test_other_roles_beside_do_no_harm(kind):
    """Any set of roles counts in which one of the table's is held."""
    level, roles = KINDS[kind]
    for size in range(len(ROLES) + 1):
        for held in combinations(ROLES, size):
            found = refusal(judge, claim(kind, level=level, roles=frozenset(held)))
            assert (found == "") == bool(set(held) & set(roles))


def test_every_kind_of_the_table_is_known():
    """None was left out; what came later has a level and roles that exist."""
    assert set(KINDS) <= set(authority.TABLE)
    for kind, asked in authority.TABLE.items():
        assert asked.level in LEVELS, kind
        assert set(asked.roles) <= set(ROLES), kind


def test_a_key_signs_for_its_owner_alone():
    """A good key of somebody else is none."""
    assert refusal(judge, claim("tool", owner="MS")) == "key-owner"


def test_a_key_ends_at_its_end():
    """One millisecond before it counts, at the end no more, and not after its owner signed out."""
    assert refusal(judge, claim("tool", until=NOW + 1)) == ""
    assert refusal(judge, claim("tool", until=NOW)) == "key-ended"
    assert refusal(judge, claim("tool", ended=True)) == "key-ended"
    assert refusal(judge, claim("key", level="code", code_used=True)) == "key-ended"


def test_a_strike_of_anothers_entry_is_qualitys():
    """One's own entry is struck by the sign-in; another's by quality's passphrase."""
    assert refusal(judge, claim("strike", roles=frozenset())) == ""
    assert refusal(judge, claim("strike", others_entry=True)) == "key-level"
    theirs = claim("strike", level="passphrase", others_entry=True)
    assert refusal(judge, theirs) == ""
    assert refusal(judge, theirs._replace(roles=frozenset({"inspector"}))) == "no-role"


def test_only_entry_one_introduces_itself():
    """The first key of a chain is of a level of its own."""
    assert refusal(judge, claim("station", level="own")) == ""
    assert refusal(judge, claim("station", level="passphrase")) == "key-level"


def test_nobody_grants_to_himself_once_another_holds_the_role():
    """Alone one may; others are granted to freely."""
    assert refusal(may_grant, "TK", "TK", []) == ""
    assert refusal(may_grant, "TK", "TK", ["TK"]) == ""
    assert refusal(may_grant, "TK", "TK", ["MS", "TK"]) == "own-grant"
    assert refusal(may_grant, "TK", "IK", ["MS"]) == ""


def test_a_second_person_is_needed_where_there_is_one():
    """Who did it vouches for it only where nobody else could, with a reason, and the answer says so."""
    involved = frozenset({"TK"})
    assert second_person("MS", involved, ["MS", "TK"], None, "own-approval") == ""
    assert refusal(second_person, "TK", involved, ["MS", "TK"], "tired", "own-approval") == "needs-another"
    assert refusal(second_person, "TK", involved, ["TK"], None, "own-approval") == "why-missing"
    assert second_person("TK", involved, ["TK"], "first trial", "own-approval") == "own-approval"


# What came later, kind by kind.
LATER = {
    ("passphrase", "quality"): "recall-answer review-answer",
    ("sign-in", "quality"): "recall",
    ("passphrase", "inspector technician"): "re-inspection",
    ("passphrase", "quality "): "tool-limits",
    ("sign-in", "crib technician"): "tested",
    ("sign-in", "crib quality"): "withdrawal",
    ("sign-in", "technician"): "registration placement job-closed part left-out hand-over take-over",
    ("sign-in", " ".join(ROLES) + " none"): "quarantine",
}


@pytest.mark.parametrize(
    ("level", "roles", "kind"),
    [(level, roles, kind) for (level, roles), kinds in LATER.items() for kind in kinds.split()],
)
def test_each_later_kind_takes_its_level_and_its_roles(level, roles, kind):
    """As those of the table: exactly one level, and whoever holds one of the roles."""
    for given in LEVELS:
        for role in (*ROLES, "none"):
            held = frozenset() if role == "none" else frozenset({role})
            counts = (given == level or (level == "passphrase" and given == "own")) and role in roles.split()
            assert (refusal(judge, claim(kind, level=given, roles=held)) == "") == counts, (given, role)


def test_no_kind_is_left_without_its_row():
    """The two tables and the two special kinds are all there are."""
    later = {kind for kinds in LATER.values() for kind in kinds.split()}
    assert set(KINDS) | later | {"station"} == set(authority.TABLE)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"owner": "MS"}, "The key belongs to MS, not to TK."),
        ({"until": NOW}, "The sign-in of TK has ended."),
        ({"level": "passphrase", "ended": True}, "The passphrase of TK has ended."),
        ({"level": "code", "code_used": True}, "The one-time code of TK has ended."),
        ({"level": "own"}, "This is signed with the sign-in, not with the first key."),
        ({"roles": frozenset()}, "This takes the role crib, and TK does not hold it."),
    ],
)
def test_what_does_not_count_is_said_in_words(changes, words):
    """Each level by its name, each role by its name."""
    with pytest.raises(TorquelogError) as caught:
        judge(claim("tool", **changes))
    assert caught.value.message == words


def test_a_claim_is_of_ones_own_entry_unless_it_says_otherwise():
    """A strike without more is of one's own entry, and so is the question who may strike."""
    assert authority.needed("strike") == authority.needed("strike", others_entry=False)
    assert authority.needed("strike").roles == ()
    authority.check_role("strike", "TK", frozenset())


def test_who_could_grant_is_told():
    """The first of those who hold the role and are somebody else."""
    with pytest.raises(TorquelogError) as caught:
        may_grant("TK", "TK", ["TK", "MS", "BA"])
    assert caught.value.hint == "Ask MS."


def test_who_could_confirm_is_told():
    """All of those who were not involved."""
    with pytest.raises(TorquelogError) as caught:
        second_person("TK", frozenset({"TK", "IK"}), ["TK", "MS", "IK", "BA"], None, "own-approval")
    assert caught.value.hint == "It could be MS, BA."
