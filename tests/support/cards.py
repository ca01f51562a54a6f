"""Cards for tests: invented values, written as a file is written."""

from typing import Any

from torquelog.facts.card_form import Content
from torquelog.work.card_template import written
from torquelog.work.cardfile import read_card

TIE_BOLT: dict[str, Any] = {"id": "tie-bolt", "on": "wheel", "count": 4, "torque": "68..76 N·m"}
AXLE_NUT: dict[str, Any] = {
    "id": "axle-nut",
    "on": "aircraft",
    "holds": "wheel",
    "count": 1,
    "torque": "90..95 N·m",
}


def card_text(card: str = "MW-BUILD", revision: str = "B", *groups: dict[str, Any], **more: Any) -> str:
    """A card's file; without groups it has four tie bolts of a wheel."""
    head = {
        "id": card,
        "title": "Main wheel, build-up",
        "document": "CMM 32-40-EX",
        "revision": revision,
        "date": "2026-11-02",
        **more,
    }
    return written(head, groups or (TIE_BOLT,))


def card_content(
    card: str = "MW-BUILD", revision: str = "B", *groups: dict[str, Any], **more: Any
) -> Content:
    """A card's content, as an entry holds it."""
    return read_card(card_text(card, revision, *groups, **more), "card.toml").content
