"""Cards on their way into the record: loaded as a draft, then approved by a second person who checked them."""

from typing import NamedTuple

from torquelog.book.named import card_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import cards, people
from torquelog.facts.card_form import Card, Content, card_from
from torquelog.ledger.form import reference
from torquelog.rules.authority import second_person


class Loaded(NamedTuple):
    """A card on record.

    Attributes:
        card: the card, with its entry.
        repeated: whether this very card was on record before, so that nothing was added.
        approved: whether it is approved already.
        replaced: the entry of the draft that it took the place of, or empty.
    """

    card: Card
    repeated: bool
    approved: bool
    replaced: str


class Approved(NamedTuple):
    """An approval: the card, the entry, and whether the drafter gave it, as nobody else could."""

    card: Card
    reference: str
    own: bool


def load(book: Book, signer: Signer, content: Content, *, replace: bool = False) -> Loaded:
    """Put a card on record as a draft.

    Args:
        book, signer: where, and who signs.
        content: as `work.cardfile` read it.
        replace: whether a draft of the same revision that nobody approved gives way.

    Raises:
        TorquelogError: `exists` where that revision is on record with other content.
    """
    card = card_from(content)
    with writing(book) as w:
        known = cards.card_of_revision(w.connection, card.card, card.revision)
        if known is not None and known.digest == card.digest:
            approved = cards.approval(w.connection, card.digest) is not None
            return Loaded(known, repeated=True, approved=approved, replaced="")
        if known is not None:
            _check_gives_way(w, signer, known, replace)
            why = "A changed draft takes its place."
            w.append(signer, "strike", {"entry": known.reference, "why": why})
        entry = w.append(signer, "card", _body(card, content))
        found = card._replace(drafter=signer.person, reference=entry.reference)
    return Loaded(found, repeated=False, approved=False, replaced=known.reference if known else "")


def _body(card: Card, content: Content) -> dict[str, object]:
    body: dict[str, object] = {
        "card": card.card, "revision": card.revision, "document": card.document, "date": card.date,
        "title": card.title, "content": dict(content), "digest": card.digest,
    }  # fmt: skip
    return body | ({"kind": card.kind} if card.kind else {})


def _check_gives_way(w: Writing, signer: Signer, known: Card, replace: bool) -> None:
    what = f"{known.card} revision {known.revision} is on record with other content, as {known.reference}."
    if cards.approval(w.connection, known.digest) is not None:
        raise TorquelogError(
            "exists",
            f"{what} Nothing was recorded.",
            why="It is approved, so it stays as it is.",
            hint="A changed card takes a new revision.",
        )
    if known.drafter != signer.person:
        raise TorquelogError(
            "exists",
            f"{what} Nothing was recorded.",
            why=f"{known.drafter} drafted it.",
            hint=f"{known.drafter} can put another in its place, or the card takes a new revision.",
        )
    if not replace:
        raise TorquelogError(
            "exists",
            f"{what} Nothing was recorded.",
            why="It is a draft that nobody has approved.",
            hint="Add --replace to put this one in its place.",
        )


def approve(
    book: Book, signer: Signer, name: str, *, revision: str | None = None, why: str | None = None
) -> Approved:
    """Approve a card that was checked against its document.

    Args:
        book, signer: where, and who signs, by passphrase.
        name: the card's.
        revision: which; the newest where nothing is said.
        why: the reason, where the drafter approves because nobody else can.

    Raises:
        TorquelogError: `card-unknown`, `exists`, `superseded`, `needs-another`, `why-missing`.
    """
    with writing(book) as w:
        card = card_named(w.connection, name, revision)
        _check_open(w, card)
        own = may_approve(book, signer.person, card, why, w.time())
        body = {"card": card.card, "revision": card.revision, "digest": card.digest}
        body |= {"own": "yes"} if own else {}
        body |= {"why": why} if why else {}
        entry = w.append(signer, "card-approval", body)
    return Approved(card, entry.reference, own)


def may_approve(book: Book, person: str, card: Card, why: str | None, now: Moment) -> bool:
    """Whether it is the drafter who approves, as nobody else can; raises `needs-another` or `why-missing`."""
    holders = {
        holder
        for role in ("inspector", "quality")
        for holder in people.holders(book.connection, book.station, role, now)
    }
    return bool(second_person(person, frozenset({card.drafter}), sorted(holders), why, "own-approval"))


def _check_open(w: Writing, card: Card) -> None:
    done = cards.approval(w.connection, card.digest)
    if done is not None:
        raise TorquelogError(
            "exists",
            f"{card.card} revision {card.revision} is approved already: {done.approver} signed "
            f"{reference(done.station, done.number)}.",
        )
    newer = cards.newest_approved(w.connection, card.card)
    if newer is not None and newer.revision != card.revision and _loaded_after(w, newer, card):
        raise TorquelogError(
            "superseded",
            f"{card.card} revision {newer.revision} was loaded later and is approved. Nothing was recorded.",
            why=f"Revision {card.revision} would open no job.",
            hint="Load it under a new revision where it counts again.",
        )


def _loaded_after(w: Writing, one: Card, other: Card) -> bool:
    order = [each.digest for each in cards.listed(w.connection) if each.card == one.card]
    return order.index(one.digest) > order.index(other.digest)
