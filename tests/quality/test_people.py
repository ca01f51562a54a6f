"""Enrolling people and changing their roles: quality's own acts, by passphrase."""

import pytest

from tests.support.books import DAY, HOUR, NOON
from torquelog.errors import TorquelogError
from torquelog.facts import people as facts
from torquelog.ledger import keys
from torquelog.quality import people


def roles(story, person, moment=None):
    return facts.roles_to_sign(story.book.connection, "QHR", person, moment or story.clock.moment)


def add(story, person="BA", name="Bao Anh", held=("crib",), by="TK"):
    return people.add_person(story.book, story.own[by], person, name, held)


def change(story, person, role, by="TK", **more):
    story.clock.moment += 1000
    return people.change_role(story.book, story.own[by], person, role, **({"add": True} | more))


def test_a_new_person_has_roles_and_a_code_for_72_hours(story):
    """The roles count from the entry; the code's public half is on record, the code itself is not."""
    given = add(story, held=("quality", "crib"))
    assert given.roles == ("crib", "quality")
    assert roles(story, "BA") == {"crib", "quality"}
    assert given.until == story.clock.moment + 72 * HOUR
    key = facts.open_code(story.book.connection, "QHR", "BA")
    assert key is not None
    assert key.public_key == keys.public_key(keys.code_seed(given.code))
    texts = [row[0] for row in story.book.connection.execute("SELECT text FROM entry")]
    assert not any(given.code in text or given.code.replace("-", "") in text for text in texts)


@pytest.mark.parametrize("level", ["own", "signed"])
def test_only_quality_enrols_and_only_by_passphrase(story, level):
    """An inspector may not, and quality signed in for the shift may not either."""
    signer = story.own["MS"] if level == "own" else story.signed["TK"]
    with story.refused("no-role" if level == "own" else "key-level"):
        people.add_person(story.book, signer, "BA", "Bao Anh", ("crib",))


def test_an_id_is_given_once(story):
    """The id of somebody enrolled is taken, whatever the name."""
    with story.refused("exists") as caught:
        add(story, "MS", "Mikael Sund")
    assert "Mira Solheim" in str(caught.value)


def test_a_role_that_does_not_exist_is_refused(story):
    """The roles are four, and the hint names them."""
    with story.refused("role-unknown") as caught:
        add(story, held=("manager",))
    assert "technician, inspector, crib, quality" in caught.value.hint
    with story.refused("role-unknown"):
        change(story, "IK", "manager")


def test_a_role_is_given_and_taken(story):
    """From the entry on; the other roles stay as they are."""
    done = change(story, "IK", "inspector", inspects="wheels")
    assert (done.held, done.inspects) == (True, "wheels")
    assert roles(story, "IK") == {"technician", "inspector"}
    assert facts.grants(story.book.connection, "QHR", "IK", story.clock.moment)[1].inspects == "wheels"
    before = story.clock.moment
    change(story, "IK", "technician", add=False)
    assert roles(story, "IK") == {"inspector"}
    assert facts.roles_to_perform(story.book.connection, "QHR", "IK", before) == {"technician", "inspector"}


def test_a_role_ends_before_its_end(story):
    """One millisecond before the end it counts, at the end no more."""
    end = NOON + 5 * DAY
    change(story, "IK", "crib", until=end)
    assert "crib" in roles(story, "IK", end - 1)
    assert "crib" not in roles(story, "IK", end)


def test_a_role_told_late_counts_for_work_but_not_for_signatures(story):
    """`since` lets work done earlier count; the signature counts from the entry. It needs a reason."""
    with story.refused("why-missing"):
        change(story, "MS", "technician", since=NOON - 3 * DAY)
    change(story, "MS", "technician", since=NOON - 3 * DAY, why="licence B1 of Monday")
    asked = facts.roles_to_perform
    assert "technician" in asked(story.book.connection, "QHR", "MS", NOON - 3 * DAY)
    assert "technician" not in asked(story.book.connection, "QHR", "MS", NOON - 3 * DAY - 1)
    assert "technician" in roles(story, "MS")


@pytest.mark.parametrize(
    "terms",
    [
        {"since": NOON + DAY, "why": "soon"},
        {"until": NOON},
        {"inspects": "wheels"},
    ],
)
def test_terms_that_cannot_be_are_refused(story, terms):
    """A beginning in the future, an end in the past, and inspections by somebody who is no inspector."""
    with story.refused("role-terms"):
        change(story, "IK", "crib", **terms)


def test_a_role_that_is_held_is_not_given_again(story):
    """With other terms it is, and those count from then on."""
    with story.refused("role-held"):
        change(story, "IK", "technician")
    change(story, "IK", "technician", until=NOON + DAY)
    assert roles(story, "IK", NOON + DAY) == set()
    with story.refused("role-not-held"):
        change(story, "IK", "crib", add=False)


def test_the_only_quality_cannot_go(alone):
    """Otherwise nobody could be enrolled any more."""
    with alone.refused("last-quality"):
        change(alone, "TK", "quality", add=False)


def test_quality_can_go_once_another_holds_it(story):
    """Another person of quality who has a key of their own; a code that nobody has used yet is none."""
    add(story, "BA", "Bao Anh", ("quality",))
    with story.refused("last-quality"):
        change(story, "TK", "quality", add=False)
    change(story, "MS", "quality")
    change(story, "TK", "quality", add=False)
    assert roles(story, "TK") == {"technician", "inspector", "crib"}


def test_nobody_grants_a_role_to_himself_once_another_holds_it(story):
    """TK, alone with the role crib, may give it up and take it; inspector, which MS holds too, not."""
    change(story, "TK", "inspector", add=False)
    with story.refused("own-grant") as caught:
        change(story, "TK", "inspector")
    assert caught.value.hint == "Ask MS."
    change(story, "TK", "crib", add=False)
    change(story, "TK", "crib")
    assert "crib" in roles(story, "TK")


def test_people_of_another_station_are_enrolled_anew(story):
    """Their roles are changed where they are enrolled; nobody unknown is taken for somebody."""
    with story.refused("person-unknown") as caught:
        change(story, "M", "crib")
    assert "MS" in caught.value.why
    with story.refused("person-unknown"):
        people.new_code(story.book, story.own["TK"], "ZZ")


def test_the_list_shows_roles_and_who_has_a_key(story):
    """Everybody by id, with the roles held now, and whether a passphrase was chosen."""
    add(story)
    found = {each.person.person: each for each in people.everybody(story.book)}
    assert list(found) == ["BA", "IK", "MS", "TK"]
    assert [grant.role for grant in found["TK"].grants] == list(facts.ROLES)
    assert not found["BA"].has_key
    assert found["MS"].has_key


def test_a_new_code_ends_the_older_one(story):
    """Only the newest code of a person is open."""
    first = add(story)
    story.clock.moment += 1000
    second = people.new_code(story.book, story.own["TK"], "BA")
    key = facts.open_code(story.book.connection, "QHR", "BA")
    assert key is not None
    assert key.public_key == keys.public_key(keys.code_seed(second.code))
    assert first.code != second.code
    assert second.roles == ()


def test_errors_of_this_module_say_what_to_do():
    """Each error's exit is the one of its class: 3 for what is not allowed, 2 for what was typed wrongly."""
    assert TorquelogError("own-grant", "").exit == 3
    assert TorquelogError("last-quality", "").exit == 3
    assert TorquelogError("role-held", "").exit == 2
