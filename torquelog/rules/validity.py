"""How long a calibration lasts, and which one counts.

It ends at the earliest of its due date (by the station's policy through that day or that month), the tool's
interval, its cycle limit, and an event: dropped, overloaded, damaged, repaired. A certificate counts from its
acceptance here; the first one that this record holds of a tool counts from the start of its calibration day.
"""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, Period, add_period, day_end, day_start, local_date, month_end
from torquelog.facts.calibrations import Calibration
from torquelog.facts.conditions import EVENTS, Condition


class Governing(NamedTuple):
    """The certificate that counts at a moment.

    Attributes:
        calibration: the certificate.
        since: when it began to count.
        accepted: when it was accepted here, which for a first certificate told late is after it began to count.
    """

    calibration: Calibration
    since: Moment
    accepted: Moment


def governing(calibrations: Sequence[Calibration], at: Moment, zone: ZoneInfo) -> Governing | None:
    """The certificate that counts at a moment: the newest accepted one that had begun to count by then.

    The newest is the one of the latest calibration day, of several on one day the one recorded last: an older
    certificate that is entered late does not replace a newer one. Once it is withdrawn none counts: an older one
    says nothing of a tool that was adjusted since.

    Args:
        calibrations: a tool's standing certificates, in any order.
        at: the moment.
        zone: where the tool's days are counted.
    """
    if not calibrations:
        return None
    first = min(calibrations, key=_recording)
    for each in sorted(calibrations, key=_newness, reverse=True):
        if each.accepted is not None:
            since = min(day_start(each.on, zone), each.accepted) if each is first else each.accepted
            if since <= at:
                if each.withdrawn is not None and each.withdrawn <= at:
                    return None
                return Governing(each, since, each.accepted)
    return None


def waiting(
    calibrations: Sequence[Calibration], governed: Governing | None, at: Moment
) -> Calibration | None:
    """The certificate that was on record at a moment and newer than the one that counted, but not accepted yet."""
    newest = max((each for each in calibrations if each.recorded <= at), key=_newness, default=None)
    if newest is None or (newest.accepted is not None and newest.accepted <= at):
        return None
    if governed is not None and _newness(newest) <= _newness(governed.calibration):
        return None
    return newest


def _recording(calibration: Calibration) -> tuple[Moment, str, int]:
    return calibration.recorded, calibration.station, calibration.number


def _newness(calibration: Calibration) -> tuple[date, Moment, str, int]:
    return calibration.on, calibration.recorded, calibration.station, calibration.number


def due_date(calibration: Calibration, every: Period | None) -> date | None:
    """The due date: the earlier of the certificate's and the tool's interval from the calibration day."""
    by_interval = add_period(calibration.on, every) if every is not None else None
    if calibration.due is None or by_interval is None:
        return calibration.due or by_interval
    return min(calibration.due, by_interval)


def last_day(due: date, due_through: str) -> date:
    """The last day of use: the due day itself, or the last of its month where the station's rule says so."""
    return month_end(due) if due_through == "month" else due


def end_of_use(due: date, due_through: str, zone: ZoneInfo) -> Moment:
    """The first moment at which a tool is past its due date: the start of the day after its last one."""
    return day_end(last_day(due, due_through), zone)


def uncleared(
    conditions: Sequence[Condition], governed: Governing | None, zone: ZoneInfo
) -> tuple[Condition, ...]:
    """The events that no calibration has cleared.

    An event is cleared by a calibration whose day is not before the event's local day, and which began to
    count after the event.
    """
    events = [each for each in conditions if each.what in EVENTS]
    if governed is None:
        return tuple(events)
    return tuple(
        each
        for each in events
        if each.at >= governed.since or governed.calibration.on < local_date(each.at, zone)
    )


def standing(conditions: Sequence[Condition], begins: str, ends: str) -> tuple[Condition, ...]:
    """The facts of one kind that nothing has ended since: quarantines, losses, restrictions.

    Args:
        conditions: in the order of time.
        begins: what starts such a state; it can be started more than once.
        ends: what ends all of them.
    """
    open_ones: list[Condition] = []
    for each in conditions:
        if each.what == begins:
            open_ones.append(each)
        elif each.what == ends:
            open_ones.clear()
    return tuple(open_ones)
