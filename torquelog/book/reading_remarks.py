"""What is said beside a reading of its own circumstances: late, out of turn, on a worn nut, with another wrench.

What is said of its tools is told with their judgement (`rules.fit_remarks`).
"""

from collections.abc import Iterable, Iterator
from itertools import takewhile
from typing import Final, NamedTuple

from torquelog.book.at_group import AtGroup
from torquelog.book.recent import Recent
from torquelog.book.turns import out_of_turn
from torquelog.book.used_tools import Moments
from torquelog.clock import Moment
from torquelog.facts import lately
from torquelog.facts.card_form import AIRCRAFT, Group
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.kept import kept
from torquelog.rules import demand
from torquelog.rules.fastener import State
from torquelog.rules.grounds import Remark
from torquelog.rules.names import fastener_name


class Place(NamedTuple):
    """Which fastener a reading is for: its group, its number, the slot, and how it stood before."""

    where: AtGroup
    item: int
    slot: demand.Slot
    before: State

    @property
    def name(self) -> str:
        """The fastener, as people say it."""
        return fastener_name(self.where.group.id, self.item)


def of_reading(
    recent: Recent, place: Place, when: Moments, act_remark: str, wrench: str,
    *, loosened: bool, awaits: bool, worn: bool,
) -> list[Remark]:  # fmt: skip
    """The remarks on a reading.

    Args:
        recent: the record, with what was found before and still holds.
        place: where it belongs.
        when: when the work was performed, and the time of the entry.
        act_remark: the code of the remark that goes with the act, or "".
        wrench: what with.
        loosened: whether the fastener was loosened first.
        awaits: whether a second person has to confirm.
        worn: whether the run-on torque was outside the card's limits.
    """
    where = place.where
    found = _act(place, act_remark) if act_remark else []
    if when.now - when.at > where.late:
        found.append(Remark("late", "Entered later than the work was done."))
    found += _before(where, when.at)
    if where.group.on == AIRCRAFT and where.job.assemblies:
        found += _astray(recent, where, when.at)
    if awaits:
        found.append(Remark("awaits-confirmation", "A second person has to confirm this entry."))
    if worn:
        said = "The run-on torque is outside the card's limits: replace the nut."
        found.append(Remark("run-on-low", said))
    if not act_remark:
        found += _turn(recent, place, loosened)
    other = _last_wrench(recent, where)
    if other is not None and other != wrench:
        said = f"Other fasteners of this group were tightened with {other}."
        found.append(Remark("other-wrench", said))
    return found


_ACTS: Final = {
    "already-tight": "was tight already: this is a check, not a tightening.",
    "loosen-first": "has to be loosened first, so this is a check. After loosening, add --loosened.",
}


def _act(place: Place, act_remark: str) -> list[Remark]:
    return [Remark(act_remark, f"{place.name.capitalize()} {_ACTS[act_remark]}")]


def _before(where: AtGroup, at: Moment) -> list[Remark]:
    found = []
    if at < where.job.opened:
        found.append(Remark("before-job", f"The work was done before {where.job.job} was opened."))
    approval, card = where.approval, where.card.card
    if approval is not None and at < approval.at:
        found.append(Remark("before-approval", f"The work was done before card {card} was approved."))
    if approval is not None and approval.own:
        found.append(Remark("own-approval", f"Card {card} was approved by its own drafter."))
    return found


def _astray(recent: Recent, where: AtGroup, at: Moment) -> Iterator[Remark]:
    from torquelog.book.position import held_by, others_there

    for sort, key in held_by(where.job, where.group):
        for other in others_there(recent.connection, where.job, sort, key, AsOf(at, END_OF_TIME)) or ():
            said = f"At {where.job.position} was {sort} {other.serial}, and {where.job.job} names {key}."
            yield Remark("other-assembly", said)


def _turn(recent: Recent, place: Place, loosened: bool) -> Iterable[Remark]:
    where = place.where
    done = frozenset[tuple[str, int]]() if loosened else place.before.done
    if not _earlier(where.group, place.slot) <= done:
        return [Remark("order", f"An earlier pass or step of {place.name} is still open.")]
    return out_of_turn(recent, where.job, where.card, where.group, where.owner, place.item, place.slot)


@kept
def _earlier(group: Group, slot: demand.Slot) -> frozenset[tuple[str, int]]:
    """What the card asks for before this, by key."""
    return frozenset(each.key for each in takewhile(lambda each: each.key != slot.key, demand.slots(group)))


def _last_wrench(recent: Recent, where: AtGroup) -> str | None:
    """The wrench that was used last in this job's group, to notice a mixture."""
    job, group = where.job.job, where.group.id
    left = recent.left_behind(where.owner, group)
    last = left.last_use(job) if left else lately.last_in_group(recent.connection, job, where.owner, group)
    return last[-1] if last else None
