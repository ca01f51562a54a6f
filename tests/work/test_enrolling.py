"""Choosing a passphrase with a one-time code."""

import pytest

from tests.support.books import HOUR
from torquelog.facts import people as facts
from torquelog.ledger import keys
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entry_at
from torquelog.quality import people
from torquelog.work.enrolling import enrol
from torquelog.work.signing import unlock

OWN = "ten pears under the keel"
CHEAP = {"scrypt_n": keys.SMALLEST_N}


@pytest.fixture(name="given")
def _given(story):
    return people.add_person(story.book, story.own["TK"], "BA", "Bao Anh", ("crib", "technician"))


def test_a_code_brings_in_a_passphrase_of_ones_own(story, given):
    """The entry is signed by the code's key; the passphrase opens the new key, and nobody need be signed in."""
    done = enrol(story.book, "BA", given.code.lower().replace("-", " "), OWN, **CHEAP)
    assert (done.person, done.name, done.roles) == ("BA", "Bao Anh", ("technician", "crib"))
    signer = unlock(story.book, "BA", OWN)
    assert (signer.person, signer.level, f"QHR-{signer.key:06d}") == ("BA", "passphrase", done.reference)
    stored = entry_at(story.book.connection, "QHR", signer.key)
    assert stored is not None
    entry = parse_entry(stored.text)
    assert f"QHR-{entry.key:06d}" == given.reference
    assert OWN not in stored.text


def test_possession_is_proved(story, given):
    """The new key signs ledger, person and public key, so that nobody enrols with a key that is another's."""
    done = enrol(story.book, "BA", given.code, OWN, **CHEAP)
    stored = entry_at(story.book.connection, "QHR", done.signer.key)
    assert stored is not None
    body = parse_entry(stored.text).body
    message = keys.possession_message(story.book.identity, "BA", body["public_key"])
    keys.check(body["public_key"], message, body["possession"])


def test_a_code_works_once(story, given):
    """The second time it is refused, with the same and with another passphrase."""
    enrol(story.book, "BA", given.code, OWN, **CHEAP)
    with story.refused("code-wrong"):
        enrol(story.book, "BA", given.code, "another long passphrase", **CHEAP)


def test_a_code_ends_after_72_hours(story, given):
    """One millisecond before it works still; at its end it does not."""
    story.clock.moment = given.until
    with story.refused("key-ended"):
        enrol(story.book, "BA", given.code, OWN, **CHEAP)
    story.clock.moment = given.until - 1
    enrol(story.book, "BA", given.code, OWN, **CHEAP)


def test_another_code_is_refused(story, given):
    """A code that was never given, another person's, an older one, and what is no code at all."""
    story.clock.moment += 1000
    other = people.add_person(story.book, story.own["TK"], "CD", "Caio Dias", ("crib",))
    story.clock.moment += 1000
    newer = people.new_code(story.book, story.own["TK"], "BA")
    for code in (keys.new_code(), other.code, given.code):
        with story.refused("code-wrong"):
            enrol(story.book, "BA", code, OWN, **CHEAP)
    with story.refused("code-form"):
        enrol(story.book, "BA", newer.code[:-1], OWN, **CHEAP)
    with story.refused("person-unknown"):
        enrol(story.book, "ZZ", newer.code, OWN, **CHEAP)
    enrol(story.book, "BA", newer.code, OWN, **CHEAP)


def test_a_short_passphrase_costs_no_code(story, given):
    """Eleven characters are refused and the code works afterwards; the code itself is no passphrase."""
    with story.refused("passphrase-short"):
        enrol(story.book, "BA", given.code, "ten pears u", **CHEAP)
    with story.refused("passphrase-is-code"):
        enrol(story.book, "BA", given.code, given.code.lower(), **CHEAP)
    enrol(story.book, "BA", given.code, "ten pears un", **CHEAP)


def test_a_lost_passphrase_is_replaced_and_old_signatures_stay(story):
    """With a new code IK chooses another one; the old key signs nothing new by passphrase look-up."""
    before = facts.passphrase_key(story.book.connection, "QHR", "IK")
    story.clock.moment += HOUR
    given = people.new_code(story.book, story.own["TK"], "IK")
    enrol(story.book, "IK", given.code, OWN, **CHEAP)
    after = facts.passphrase_key(story.book.connection, "QHR", "IK")
    assert before is not None
    assert after is not None
    assert after.number > before.number
    assert unlock(story.book, "IK", OWN).key == after.number


def test_an_old_passphrase_key_signs_nothing_after_a_new_one(story):
    """Who found the old passphrase cannot go on with it."""
    given = people.new_code(story.book, story.own["TK"], "MS")
    enrol(story.book, "MS", given.code, OWN, **CHEAP)
    story.clock.moment += 1000
    with story.refused("key-ended"):
        story.says(
            "sign-in", {"public_key": "00" * 32, "until": "2026-11-25T20:00:00.000+00:00"}, by="MS", own=True
        )
