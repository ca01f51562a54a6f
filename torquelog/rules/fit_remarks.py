"""What is said beside a judgement on a tool: not issued, a coarse graduation, much of the limits used, running out."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, local_date
from torquelog.facts.custody import Whereabouts
from torquelog.facts.stations import Rules
from torquelog.facts.tools import Tool
from torquelog.rules.days import day_name, length_name, moment_name
from torquelog.rules.grounds import Remark
from torquelog.rules.sayings import percent
from torquelog.rules.validity import Governing
from torquelog.torque.units import Torque

HOUR: Final[Moment] = 3_600_000


class Fit(NamedTuple):
    """A tool that may be used: what counts for it, and what it is used for.

    Attributes:
        governed: the certificate that counts.
        end: the first moment past its due date, or nothing.
        left: uses left, this one included, or nothing without a limit.
        indicated: what was set or read, or nothing.
        width: distance between the limits as seen on the tool, N·m, or nothing.
        ahead: uses the job needs after this one.
        zone: where days are counted.
    """

    governed: Governing | None
    end: Moment | None
    left: int | None
    indicated: Torque | None
    width: Fraction | None
    ahead: int
    zone: ZoneInfo


def remarks(
    tool: Tool, place: Whereabouts, rules: Rules, at: Moment, person: str, job: str, fit: Fit | None
) -> tuple[Remark, ...]:
    """The remarks on a use.

    Args:
        tool: the tool.
        place: where it is at the use.
        rules: the station's rules at the use.
        at: when it is used.
        person, job: who uses it for which job, "" where not told; without a person nothing is said of issuing.
        fit: what it stands by, or nothing where it may not be used: then only the issue is remarked on.
    """
    found = list(_issue(tool, place, person, job))
    if fit is not None:
        found += [*_first(tool, at, fit), *_fineness(tool, rules, fit), *_running_out(tool, rules, at, fit)]
    return tuple(found)


def known_from(
    tool: Tool, elsewhere: tuple[tuple[str, Moment], ...], now: Moment, zone: ZoneInfo
) -> Iterator[Remark]:
    """What another station may have told since: a judgement on its tool rests on what is held of its record.

    Args:
        tool: the tool.
        elsewhere: the stations that it is known from, each with when the last entry was made that is held of it.
        now: when it is judged.
        zone: where days are counted.
    """
    for station, held in elsewhere:
        yield Remark(
            "crib-facts",
            f"What is known of {tool.tool} comes from {station}, as of {moment_name(held, zone)}, "
            f"{length_name(now - held)} before.",
        )


def _issue(tool: Tool, place: Whereabouts, person: str, job: str) -> Iterator[Remark]:
    if not person or place.kind in ("away", "retired"):
        return
    to_them = place.kind == "place" or place.person == person or (job != "" and place.job == job)
    if place.kind == "crib":
        yield Remark(
            "not-issued", f"{tool.tool} is not issued to {person}: by the record it lies in the crib."
        )
    elif not to_them:
        yield Remark("not-issued", f"{tool.tool} is issued to {place.person}, not to {person}.")
    elif place.job and job and place.job != job:
        yield Remark("not-issued", f"{tool.tool} is issued for {place.job}, not for {job}.")


def _first(tool: Tool, at: Moment, fit: Fit) -> Iterator[Remark]:
    """A remark where the certificate was accepted only after the use, which its first one alone can be."""
    if fit.governed is not None and at < fit.governed.accepted:
        calibration = fit.governed.calibration
        yield Remark(
            "first-certificate",
            f"Certificate {calibration.certificate} of {tool.tool} was told later; as its first one it counts "
            f"from {day_name(calibration.on)}.",
        )


def _fineness(tool: Tool, rules: Rules, fit: Fit) -> Iterator[Remark]:
    if fit.indicated is None or fit.width is None:
        return
    scale = next((each for each in tool.scales if each.unit == fit.indicated.unit), None)
    if scale is not None and scale.graduation and scale.graduation.newton_metres * 10 > fit.width:
        yield Remark(
            "coarse-graduation",
            f"The graduation of {tool.tool}, {scale.graduation}, is coarser than a tenth of the tolerance.",
        )
    if tool.accuracy is not None:
        used = _used(tool.accuracy, fit.indicated, fit.width, rules.values["accuracy-share"])
        if used is not None:
            yield Remark("accuracy-share", _share(tool, tool.accuracy, used, fit.width))


@lru_cache(maxsize=1024)
def _used(accuracy: Fraction, indicated: Torque, width: Fraction, percent_allowed: str) -> Fraction | None:
    """What the accuracy takes of the tolerance, N·m, where it is more than the station's rule allows."""
    used = 2 * accuracy * indicated.newton_metres
    return used if used > width * Fraction(percent_allowed) / 100 else None


def _share(tool: Tool, accuracy: Fraction, used: Fraction, width: Fraction) -> str:
    of = f"{round(used / width * 100)} %" if width else "all"
    return f"The accuracy of {tool.tool}, {percent(accuracy)} either way, is {of} of the tolerance."


def _running_out(tool: Tool, rules: Rules, at: Moment, fit: Fit) -> Iterator[Remark]:
    if fit.left is not None and fit.left - 1 < fit.ahead:
        after = fit.left - 1
        left = f"has {after:,} cycle{'' if after == 1 else 's'} left after this one"
        yield Remark("runs-out", f"{tool.tool} {left}; this job needs {fit.ahead:,} more.")
    elif fit.left == 1:
        yield Remark("runs-out", f"This is the last cycle of {tool.tool} before it has to be calibrated.")
    if fit.end is not None and at >= running_out_from(fit.end, rules):
        last = day_name(_day_before(fit.end, fit.zone))
        yield Remark("runs-out", f"{tool.tool} runs out at the end of {last}.")


def _day_before(end: Moment, zone: ZoneInfo) -> date:
    return local_date(end - 1, zone)


def running_out_from(end: Moment, rules: Rules) -> Moment:
    """From when on it is said of a tool that it runs out: a shift before it is past its due date."""
    return end - rules.whole("shift-hours") * HOUR
