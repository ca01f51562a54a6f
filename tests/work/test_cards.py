"""Cards loaded, put in another's place, and approved by a second person."""

from pathlib import Path

import pytest

from tests.support.books import HOUR, Kept, enrol, new_book
from tests.support.cards import AXLE_NUT, card_content
from torquelog.errors import TorquelogError
from torquelog.facts import cards as facts
from torquelog.ledger import store
from torquelog.work import cards

B = card_content()
CHANGED = card_content("MW-BUILD", "B", AXLE_NUT)
C = card_content(revision="C")


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    return new_book(tmp_path)


def refused(kept: Kept, act: object, *arguments: object, **named: object) -> TorquelogError:
    """The error of an act, which has to leave nothing on record."""
    head = store.head(kept.book.connection, "QHR")
    with pytest.raises(TorquelogError) as caught:
        act(kept.book, *arguments, **named)  # type: ignore[operator]
    assert store.head(kept.book.connection, "QHR") == head
    return caught.value


def test_a_card_loaded_again_is_the_first_answer(kept: Kept) -> None:
    """The same content adds nothing and names the entry that it has."""
    first = cards.load(kept.book, kept.signer, B)
    again = cards.load(kept.book, kept.signer, B)
    assert (first.repeated, again.repeated) == (False, True)
    assert again.card == first.card
    assert first.card.drafter == "TK"


def test_another_content_of_the_same_revision_is_refused(kept: Kept) -> None:
    """As a draft it can be put in the place of the first, if that is said; the first is struck then."""
    first = cards.load(kept.book, kept.signer, B)
    error = refused(kept, cards.load, kept.signer, CHANGED)
    assert (error.code, error.exit) == ("exists", 2)
    assert "--replace" in error.hint
    second = cards.load(kept.book, kept.signer, CHANGED, replace=True)
    assert second.replaced == first.card.reference
    found = facts.card_of_revision(kept.book.connection, "MW-BUILD", "B")
    assert found == second.card


def test_an_approved_card_stays(kept: Kept) -> None:
    """No option puts another content in its place: a changed card takes a new revision."""
    cards.load(kept.book, kept.signer, B)
    cards.approve(kept.book, kept.quality, "MW-BUILD", why="first trial")
    error = refused(kept, cards.load, kept.signer, CHANGED, replace=True)
    assert "new revision" in error.hint
    assert cards.load(kept.book, kept.signer, B).approved


def test_another_persons_draft_stays(kept: Kept) -> None:
    """Only who drafted a card puts another in its place."""
    _, ik = enrol(kept.book, kept.quality, "IK", "Ines Kaya", ["technician"])
    cards.load(kept.book, ik, B)
    error = refused(kept, cards.load, kept.signer, CHANGED, replace=True)
    assert error.why == "IK drafted it."


def test_a_drafter_approves_alone_only_with_a_reason(kept: Kept) -> None:
    """While nobody else holds the role; the approval says so ever after."""
    cards.load(kept.book, kept.signer, B)
    error = refused(kept, cards.approve, kept.quality, "mw-build")
    assert (error.code, error.exit) == ("why-missing", 2)
    done = cards.approve(kept.book, kept.quality, "mw-build", why="first trial")
    assert done.own
    found = facts.approval(kept.book.connection, done.card.digest)
    assert found is not None
    assert (found.own, found.why) == (True, "first trial")


def test_a_second_person_approves(kept: Kept) -> None:
    """Once another inspector is enrolled the drafter cannot, whatever reason he gives."""
    rs, _ = enrol(kept.book, kept.quality, "RS", "Rui Sales", ["inspector"])
    cards.load(kept.book, kept.signer, B)
    error = refused(kept, cards.approve, kept.quality, "MW-BUILD", why="in a hurry")
    assert (error.code, error.exit) == ("needs-another", 3)
    assert "RS" in error.hint
    assert not cards.approve(kept.book, rs, "MW-BUILD").own


def test_a_role_that_may_not_approve_does_not_count(kept: Kept) -> None:
    """A technician is nobody else who could approve, and cannot."""
    mo, _ = enrol(kept.book, kept.quality, "MO", "Mia Ostrow", ["technician"])
    cards.load(kept.book, kept.signer, B)
    error = refused(kept, cards.approve, mo, "MW-BUILD")
    assert (error.code, error.exit) == ("no-role", 3)
    assert cards.approve(kept.book, kept.quality, "MW-BUILD", why="alone").own


def test_a_sign_in_does_not_approve(kept: Kept) -> None:
    """Approving takes the passphrase."""
    cards.load(kept.book, kept.signer, B)
    assert refused(kept, cards.approve, kept.signer, "MW-BUILD", why="x").code == "key-level"


def test_a_card_is_approved_once(kept: Kept) -> None:
    """The error names who did it, by which entry."""
    cards.load(kept.book, kept.signer, B)
    done = cards.approve(kept.book, kept.quality, "MW-BUILD", why="x")
    error = refused(kept, cards.approve, kept.quality, "MW-BUILD", why="x")
    assert error.code == "exists"
    assert done.reference in error.what


def test_an_older_draft_is_not_approved_after_a_newer_one(kept: Kept) -> None:
    """It would open nothing."""
    cards.load(kept.book, kept.signer, B)
    cards.load(kept.book, kept.signer, C)
    cards.approve(kept.book, kept.quality, "MW-BUILD", why="x")
    error = refused(kept, cards.approve, kept.quality, "MW-BUILD", revision="B", why="x")
    assert (error.code, error.exit) == ("superseded", 3)


def test_the_newest_draft_is_meant_where_no_revision_is_named(kept: Kept) -> None:
    """With a revision named, that one."""
    cards.load(kept.book, kept.signer, B)
    kept.clock.moment += HOUR
    cards.load(kept.book, kept.signer, C)
    assert cards.approve(kept.book, kept.quality, "MW-BUILD", revision="B", why="x").card.revision == "B"
    assert cards.approve(kept.book, kept.quality, "MW-BUILD", why="x").card.revision == "C"
    assert (
        refused(kept, cards.approve, kept.quality, "MW-BUILD", revision="D", why="x").code == "card-unknown"
    )
