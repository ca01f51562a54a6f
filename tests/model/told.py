"""Entries as plain data: who told what when, and when this file came to know it; and which of them count."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from torquelog.clock import Moment, from_offset_text

BACKWARDS_NEVER = (
    "quarantine-release",
    "acceptance",
    "calibration",
    "strike",
    "confirmation",
    "job",
    "assembly",
)
"""Kinds that count from when they were recorded, whatever is said."""


class Told(NamedTuple):
    """One entry: whose chain and which number, when it was recorded and known, and what it says."""

    station: str
    number: int
    recorded: Moment
    known: Moment
    kind: str
    body: dict[str, Any]

    @property
    def name(self) -> str:
        """The entry as people name it."""
        return f"{self.station}-{self.number:06d}"

    @property
    def at(self) -> Moment:
        """When what it says was so."""
        told = self.body.get("performed_at", self.body.get("at"))
        turns_good = self.body.get("act") == "receive" or (
            self.body.get("what") == "found" and self.kind == "report"
        )
        if told is None or turns_good or self.kind in BACKWARDS_NEVER:
            return self.recorded
        return from_offset_text(told)

    @property
    def order(self) -> tuple[Moment, Moment, str, int]:
        """Its place among all that happened."""
        return self.at, self.recorded, self.station, self.number


def standing(everything: Iterable[Told], at: Moment, known: Moment) -> list[Told]:
    """What counts as of a moment, by what was known at another: nothing struck, nothing later; in order."""
    seen = [each for each in everything if each.known <= known]
    struck = {each.body["entry"] for each in seen if each.kind == "strike"}
    return sorted(
        (each for each in seen if each.name not in struck and each.at <= at), key=lambda each: each.order
    )


def owner(body: dict[str, Any]) -> str:
    """Whose fastener a body speaks of."""
    return (
        f"assembly {body['assembly']}"
        if "assembly" in body
        else f"aircraft {body['aircraft']} {body['position']}"
    )


def tools(body: dict[str, Any]) -> list[str]:
    """Every tool that a body names, as often as it was used."""
    if "uses" in body:
        return [body["tool"]] * int(body["uses"])
    if "wrench" not in body:
        return []
    run_on = body.get("run_on", {})
    also = [run_on["wrench"], *run_on.get("adapter", [])] if run_on else []
    return [body["wrench"], *body.get("adapter", []), *also]
