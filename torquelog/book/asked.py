"""A reading as a person reports it: nothing in it is judged yet."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts import readings
from torquelog.rules import fastener
from torquelog.torque.units import Torque


class RunOn(NamedTuple):
    """A run-on measurement: what was read, on which wrench, through which adapters."""

    torque: Torque
    wrench: str
    adapters: tuple[str, ...] = ()


class Asked(NamedTuple):
    """A reading as a person reports it.

    Attributes:
        job, group, item: which fastener.
        reading: what was set or read.
        wrench, adapters: what with, adapters from the wrench outwards.
        performed_by: who did it.
        performed_at: when, or None for now (milliseconds since 1970 UTC).
        step, pass_: the card's step or pass, or None for the first open one.
        run_on: the run-on measurement, or None.
        loosened: whether the fastener was loosened first.
        act: tighten or check where the person said so.
        why: the reason, where one is demanded.
        lots: lots of the hardware fitted.
    """

    job: str
    group: str
    item: int
    reading: Torque
    wrench: str
    adapters: tuple[str, ...]
    performed_by: str
    performed_at: Moment | None = None
    step: str | None = None
    pass_: int | None = None
    run_on: RunOn | None = None
    loosened: bool = False
    act: str | None = None
    why: str | None = None
    lots: tuple[str, ...] = ()


def asked_of(body: Mapping[str, Any]) -> Asked:
    """The reading that an entry's body reports, as it was asked; for judging it again."""
    group, item = readings.fastener_of(body)
    run_on = body.get("run_on")
    # A check that the person did not ask for says so by its remark.
    by_itself = not fastener.CHECK_REMARKS.isdisjoint(body["remarks"])
    return Asked(
        job=body["job"], group=group, item=item, reading=torque_of(body["reading"]), wrench=body["wrench"],
        adapters=tuple(body.get("adapter", ())), performed_by=body["performed_by"],
        performed_at=from_offset_text(body["performed_at"]), step=body.get("step"),
        pass_=None if "step" in body else int(body["pass"]),
        run_on=run_on and RunOn(torque_of(run_on["torque"]), run_on["wrench"], tuple(run_on.get("adapter", ()))),
        loosened="loosened" in body, act="check" if body["act"] == "check" and not by_itself else None,
        why=body.get("why"),
        lots=tuple(body.get("lot", ())),
    )  # fmt: skip


def torque_of(member: Mapping[str, str]) -> Torque:
    """A torque as it stands in a body."""
    return Torque(member["value"], member["unit"])
