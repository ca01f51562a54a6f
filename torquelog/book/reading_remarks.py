"""What is said beside a reading of its own circumstances: late, out of turn, on a worn nut, with another wrench.

What is said of its tools is told with their judgement (`rules.fit_remarks`).
"""

from collections.abc import Iterator
from itertools import takewhile
from typing import Final, NamedTuple

from torquelog.book.recent import Recent
from torquelog.book.turns import out_of_turn
from torquelog.clock import Moment
from torquelog.facts import cards, lately
from torquelog.facts.card_form import AIRCRAFT, Card, Group
from torquelog.facts.jobs import Job
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.stations import Rules
from torquelog.kept import kept
from torquelog.rules import demand
from torquelog.rules.fastener import State
from torquelog.rules.grounds import Remark
from torquelog.rules.names import fastener_name

MINUTE: Final[Moment] = 60_000


class Place(NamedTuple):
    """Where a reading belongs: job, card, group, number, whose fastener, which slot, how it stood before."""

    job: Job
    card: Card
    group: Group
    item: int
    owner: str
    slot: demand.Slot
    before: State

    @property
    def name(self) -> str:
        """The fastener, as people say it."""
        return fastener_name(self.group.id, self.item)


def of_reading(
    recent: Recent, place: Place, at: Moment, now: Moment, rules: Rules, act_remark: str, wrench: str,
    *, loosened: bool, awaits: bool, worn: bool,
) -> Iterator[Remark]:  # fmt: skip
    """The remarks on a reading.

    Args:
        recent: the record, with what was found before and still holds.
        place: where it belongs.
        at: when the work was performed; now: the time of the entry.
        rules: the station's rules at that time.
        act_remark: the code of the remark that goes with the act, or "".
        wrench: what with.
        loosened: whether the fastener was loosened first.
        awaits: whether a second person has to confirm.
        worn: whether the run-on torque was outside the card's limits.
    """
    if act_remark:
        yield from _act(place, act_remark)
    if now - at > rules.whole("late-minutes") * MINUTE:
        yield Remark("late", "Entered later than the work was done.")
    yield from _before(recent, place, at)
    if place.group.on == AIRCRAFT and place.job.assemblies:
        yield from _astray(recent, place, at)
    if awaits:
        yield Remark("awaits-confirmation", "A second person has to confirm this entry.")
    if worn:
        yield Remark("run-on-low", "The run-on torque is outside the card's limits: replace the nut.")
    if not act_remark:
        yield from _turn(recent, place, loosened)
    other = _last_wrench(recent, place)
    if other is not None and other != wrench:
        yield Remark("other-wrench", f"Other fasteners of this group were tightened with {other}.")


def _act(place: Place, act_remark: str) -> Iterator[Remark]:
    if act_remark == "already-tight":
        said = "was tight already: this is a check, not a tightening."
        yield Remark(act_remark, f"{place.name.capitalize()} {said}")
    elif act_remark == "loosen-first":
        said = "has to be loosened first, so this is a check. After loosening, add --loosened."
        yield Remark(act_remark, f"{place.name.capitalize()} {said}")


def _before(recent: Recent, place: Place, at: Moment) -> Iterator[Remark]:
    if at < place.job.opened:
        yield Remark("before-job", f"The work was done before {place.job.job} was opened.")
    approval = recent.ask(cards.approval, place.card.digest)
    if approval is not None and at < approval.at:
        yield Remark("before-approval", f"The work was done before card {place.card.card} was approved.")
    if approval is not None and approval.own:
        yield Remark("own-approval", f"Card {place.card.card} was approved by its own drafter.")


def _astray(recent: Recent, place: Place, at: Moment) -> Iterator[Remark]:
    from torquelog.book.position import held_by, others_there

    for sort, key in held_by(place.job, place.group):
        for other in others_there(recent.connection, place.job, sort, key, AsOf(at, END_OF_TIME)) or ():
            said = f"At {place.job.position} was {sort} {other.serial}, and {place.job.job} names {key}."
            yield Remark("other-assembly", said)


def _turn(recent: Recent, place: Place, loosened: bool) -> Iterator[Remark]:
    done = frozenset[tuple[str, int]]() if loosened else place.before.done
    if not _earlier(place.group, place.slot) <= done:
        yield Remark("order", f"An earlier pass or step of {place.name} is still open.")
    else:
        yield from out_of_turn(
            recent, place.job, place.card, place.group, place.owner, place.item, place.slot
        )


@kept
def _earlier(group: Group, slot: demand.Slot) -> frozenset[tuple[str, int]]:
    """What the card asks for before this, by key."""
    return frozenset(each.key for each in takewhile(lambda each: each.key != slot.key, demand.slots(group)))


def _last_wrench(recent: Recent, place: Place) -> str | None:
    """The wrench that was used last in this job's group, to notice a mixture."""
    left = recent.left_behind(place.owner, place.group.id)
    if left is None:
        last = lately.last_in_group(recent.connection, place.job.job, place.owner, place.group.id)
    else:
        last = left.last_use(place.job.job)
    return last[-1] if last else None
