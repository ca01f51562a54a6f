"""Cards on record: which revision counts, by whose approval, as of when."""

import pytest

from tests.support.cards import card_content
from tests.support.rows import Rows
from torquelog.errors import TorquelogError
from torquelog.facts import cards
from torquelog.facts.card_form import Content, digest_of
from torquelog.facts.rows import LATEST, AsOf

HOUR = 3_600_000


class Shelf:
    """Cards in a record in memory, by short steps."""

    def __init__(self) -> None:
        self.rows = Rows()
        self.connection = self.rows.connection
        self.connection.execute("INSERT INTO home (station) VALUES ('QHR')")

    def load(self, content: Content, hour: int, *, signer: str = "TK", station: str = "") -> str:
        body = {
            "card": content["id"], "revision": content["revision"], "document": content["document"],
            "date": content["date"], "title": content["title"], "content": content, "digest": digest_of(content),
        }  # fmt: skip
        return self.rows.put("card", body, hour * HOUR, signer=signer, station=station)

    def approve(self, content: Content, hour: int, *, station: str = "", **members: str) -> str:
        body = {
            "card": content["id"],
            "revision": content["revision"],
            "digest": digest_of(content),
            **members,
        }
        return self.rows.put("card-approval", body, hour * HOUR, signer="RS", station=station)

    def strike(self, entry: str, hour: int) -> None:
        self.rows.put("strike", {"entry": entry, "why": "x"}, hour * HOUR)

    def newest(self, hour: int = 999) -> str | None:
        card = cards.newest_approved(self.connection, "MW-BUILD", AsOf(hour * HOUR, LATEST.known))
        return card.revision if card else None


B = card_content(revision="B")
C = card_content(revision="C")


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


def test_a_draft_opens_nothing(shelf: Shelf) -> None:
    """It is on record, it is the newest, and it is not approved."""
    shelf.load(B, 1)
    assert shelf.newest() is None
    assert cards.approval(shelf.connection, digest_of(B)) is None
    newest = cards.newest(shelf.connection, "MW-BUILD")
    assert newest is not None
    assert (newest.revision, newest.drafter, newest.reference) == ("B", "TK", "QHR-000001")


def test_the_newest_approved_revision_counts(shelf: Shelf) -> None:
    """A newer draft changes nothing until it is approved, and from then on the older one opens nothing."""
    shelf.load(B, 1)
    shelf.approve(B, 2)
    shelf.load(C, 3)
    assert shelf.newest() == "B"
    shelf.approve(C, 5)
    assert (shelf.newest(4), shelf.newest(5)) == ("B", "C")


def test_an_older_draft_approved_later_does_not_come_back(shelf: Shelf) -> None:
    """Revision C was loaded after B; approving B after it leaves C the newest."""
    shelf.load(B, 1)
    shelf.load(C, 2)
    shelf.approve(C, 3)
    shelf.approve(B, 4)
    assert shelf.newest() == "C"


def test_the_newest_is_the_one_recorded_last_in_any_chain(shelf: Shelf) -> None:
    """Neither the station's code nor the number in its chain decides which draft is newer."""
    shelf.load(B, 1)
    shelf.load(C, 2, station="QAA")
    for content in (B, C):
        shelf.approve(content, 3)
    assert shelf.newest() == "C"
    newest = cards.newest(shelf.connection, "MW-BUILD")
    assert newest is not None
    assert newest.revision == "C"


def test_a_struck_draft_and_a_struck_approval_do_not_count(shelf: Shelf) -> None:
    """What was a mistake opens no job; the card is still found by its digest, for what it opened."""
    shelf.load(B, 1)
    approval = shelf.approve(B, 2)
    draft = shelf.load(C, 3)
    shelf.approve(C, 4)
    shelf.strike(draft, 5)
    assert shelf.newest() == "B"
    shelf.strike(approval, 6)
    assert shelf.newest() is None
    found = cards.card_by_digest(shelf.connection, digest_of(C))
    assert found is not None
    assert found.revision == "C"
    assert cards.card_of_revision(shelf.connection, "MW-BUILD", "C") is None


def test_another_stations_approval_counts_once_it_is_accepted(shelf: Shelf) -> None:
    """Taken in with its card it counts from when quality accepts that station, as far as that is known."""
    shelf.load(B, 1, station="QXA")
    shelf.approve(B, 2, station="QXA")
    assert shelf.newest() is None
    accepted = shelf.rows.put(
        "station-accepted", {"code": "QXA", "identity": "ab" * 32, "why": "x"}, 3 * HOUR, signer="RS"
    )
    assert shelf.newest() == "B"
    assert cards.newest_approved(shelf.connection, "MW-BUILD", AsOf(LATEST.at, 2 * HOUR)) is None
    shelf.strike(accepted, 4)
    assert shelf.newest() is None


def test_an_own_approval_is_told(shelf: Shelf) -> None:
    """Who approved, that it was the drafter, and why, stand in the approval."""
    shelf.load(B, 1)
    shelf.approve(B, 2, own="yes", why="first trial")
    found = cards.approval(shelf.connection, digest_of(B))
    assert found is not None
    assert (found.approver, found.own, found.why, found.at) == ("RS", True, "first trial", 2 * HOUR)


def test_the_list_has_every_revision(shelf: Shelf) -> None:
    """By name, oldest first, each with its first approval."""
    shelf.load(B, 1)
    shelf.load(card_content("A-CARD", "1"), 2)
    shelf.load(C, 3)
    shelf.approve(C, 4)
    found = [(each.card, each.revision, each.approval is not None) for each in cards.listed(shelf.connection)]
    assert found == [("A-CARD", "1", False), ("MW-BUILD", "B", False), ("MW-BUILD", "C", True)]
    assert cards.names(shelf.connection) == ["A-CARD", "MW-BUILD"]


WRONG = {
    "another digest": {"digest": "ab" * 32},
    "another revision": {"revision": "C"},
    "no groups": {"content": {name: value for name, value in B.items() if name != "groups"}},
    "groups of text": {"content": {**B, "groups": "tie-bolt"}},
    "a group of nothing": {"content": {**B, "groups": [{}]}},
    "a thousand million fasteners": {"content": {**B, "groups": [{**B["groups"][0], "count": "1000000000"}]}},
    "no torque that can be read": {"content": {**B, "groups": [{**B["groups"][0], "torque": "tight"}]}},
    "steps of text": {"content": {**B, "groups": [{**B["groups"][0], "steps": ["seat"]}]}},
}


@pytest.mark.parametrize("change", WRONG.values(), ids=WRONG)
def test_a_card_that_is_none_does_not_come_in(shelf: Shelf, change: dict[str, object]) -> None:
    """A changed program or another chain may say anything: what is no card is told, not kept."""
    body = {
        "card": B["id"], "revision": "B", "document": B["document"], "date": B["date"], "title": B["title"],
        "content": B, "digest": digest_of(B),
    } | change  # fmt: skip
    if "content" in change:
        body["digest"] = digest_of(change["content"])  # type: ignore[arg-type]
    with pytest.raises(TorquelogError) as caught:
        shelf.rows.put("card", body, HOUR)
    assert caught.value.code == "body-form"


def test_a_card_read_twice_is_parsed_once(shelf: Shelf) -> None:
    """Its groups are the very same objects: many readings of one job do not read its card anew."""
    shelf.load(B, 1)
    one = cards.card_by_digest(shelf.connection, digest_of(B))
    other = cards.card_by_digest(shelf.connection, digest_of(B))
    assert one is not None
    assert other is not None
    assert one.groups is other.groups
