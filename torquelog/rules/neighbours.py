"""The neighbours of a failed fastener: each is to be looked at, as far as the card says.

Where one tie bolt failed its neighbours have carried more, and others have followed (Kobayashi and Shockey,
Engineering Failure Analysis 13, 2006; the summary read). They stand in a circle: the last one is beside the first.
"""

from collections.abc import Iterable, Mapping, Sequence

from torquelog.rules.fastener import Event


def beside(item: int, count: int, reach: int) -> tuple[int, ...]:
    """The numbers of the neighbours of a fastener, nearest first.

    Args:
        item: its number, from 1.
        count: how many the group has.
        reach: how many on each side.
    """
    found: dict[int, None] = {}
    for step in range(1, min(reach, count - 1) + 1):
        found[(item - 1 - step) % count + 1] = None
        found[(item - 1 + step) % count + 1] = None
    return tuple(found)


def to_look_at(
    events: Mapping[int, Sequence[Event]], count: int, reach: int, job: str
) -> dict[int, tuple[int, ...]]:
    """The fasteners that are to be looked at because one beside them failed, each with those that did.

    One is answered by a torque within its limits, tightened or checked, or by new hardware, after the failure was
    found; what failed itself is open by itself.

    Args:
        events: of each fastener of the group, in order.
        count: how many the group has.
        reach: how many on each side of a failed one the card names; 0 for none.
        job: the job in which failures were found.
    """
    found: dict[int, list[int]] = {}
    for failed, event in _failures(events, job):
        for item in beside(failed, count, reach):
            if not any(_answers(each) and _entry(each) > _entry(event) for each in events.get(item, ())):
                found.setdefault(item, []).append(failed)
    return {item: tuple(dict.fromkeys(causes)) for item, causes in sorted(found.items())}


def _failures(events: Mapping[int, Sequence[Event]], job: str) -> Iterable[tuple[int, Event]]:
    return [
        (item, each)
        for item, history in events.items()
        for each in history
        if each.kind == "act" and each.what == "found" and each.job == job
    ]


def _entry(event: Event) -> tuple[int, int, str, int]:
    return event.at, event.recorded, event.station, event.number


def _answers(event: Event) -> bool:
    if event.kind == "reading":
        return event.what == "within" and not event.waits
    return event.kind == "act" and event.what in ("replaced", "found")
