"""The week itself, step by step. Every sentence is made from what the acts answered, none is written beforehand."""

from collections.abc import Callable
from datetime import date
from typing import Final, NamedTuple

from torquelog.book.asked import Asked
from torquelog.crib import calibration
from torquelog.crib.calibration import NewCalibration
from torquelog.demo.hangar import FT, NM, Hangar, furnish, give_back, issue, result
from torquelog.quality.recall import open_recall
from torquelog.quality.recall_scope import Asked as Recalled
from torquelog.quality.trace import Trace, trace
from torquelog.rules.demand import CONDITION
from torquelog.rules.names import fasteners_name
from torquelog.torque.number import display
from torquelog.torque.units import Torque, in_unit
from torquelog.work import assemblies, fasteners, jobs
from torquelog.work.record import Recorded, record

WHEEL: Final = "WH-7104"
BRAKE: Final = "BR-0310"
ORDER: Final = (1, 6, 3, 8, 5, 10, 2, 7, 4, 9)


class Told(NamedTuple):
    """One step of the week: its day, and what happened, in sentences."""

    day: str
    lines: tuple[str, ...]


class Week(NamedTuple):
    """The whole demo: its steps, how many entries the record holds, and the trace of the last step."""

    steps: tuple[Told, ...]
    entries: int
    trace: Trace


def tell(path: str) -> Week:
    """Live through the week in a new record at `path`.

    Raises:
        TorquelogError: `exists` where there is a file already, and what storage brings.
    """
    hangar = Hangar(path)
    try:
        furnish(hangar)
        steps = tuple(Told(*step(hangar)) for step in STEPS)
        recalled = Told(*_recall(hangar))
        found = trace(hangar.book, "wrench", "W-118")
        entries = int(found.complete_as_of.rpartition("-")[2])
        return Week((*steps, _traced(found), recalled), entries, found)
    finally:
        hangar.book.close()


Step = Callable[[Hangar], tuple[str, tuple[str, ...]]]


def _take(
    hangar: Hangar, job: str, fastener: tuple[str, int], reading: Torque, wrench: str,
    adapters: tuple[str, ...] = (), *, loosened: bool = False, by: str = "JS",
) -> Recorded:  # fmt: skip
    hangar.later(25)
    asked = Asked(job, fastener[0], fastener[1], reading, wrench, adapters, by, loosened=loosened)
    return record(hangar.book, hangar.signer(by), asked)


def _threads(hangar: Hangar, job: str, group: str) -> None:
    """The condition of the threads, which the card names, is looked at before anything is tightened."""
    fasteners.step(hangar.book, hangar.signer("JS"), job, (group, None), CONDITION, fasteners.Work("JS"))


def _build(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    hangar.new_day("2026-11-16 09:40")
    technician = hangar.signer("JS")
    jobs.open_job(hangar.book, technician, "J-301", "BENCH-WHEEL", named=[f"wheel={WHEEL}"])
    issue(hangar, ("W-118",), "JS", "J-301")
    _threads(hangar, "J-301", "tie-bolt")
    taken = [
        _take(hangar, "J-301", ("tie-bolt", item), Torque(setting, NM), "W-118")
        for setting in ("36", "72")
        for item in ORDER
    ]
    give_back(hangar, ("W-118",))
    jobs.close(hangar.book, technician, "J-301")
    assemblies.move(hangar.book, technician, WHEEL, "stores")
    inside = sum(each.outcome == "within" for each in taken)
    return "Mon 16 Nov 2026, wheel shop.", (
        f"Wheel {WHEEL} is built up with wrench W-118: 10 tie bolts, star order, two passes.",
        f"{len(taken)} readings, {inside} of them inside their limits.",
    )


def _brake(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    hangar.new_day("2026-11-18 13:05")
    technician = hangar.signer("JS")
    assemblies.fit(hangar.book, technician, BRAKE, "QQ-TAN", "left main")
    jobs.open_job(
        hangar.book,
        technician,
        "J-302",
        "LINE-BRAKE",
        on="QQ-TAN",
        position="left main",
        named=[f"brake={BRAKE}"],
    )
    issue(hangar, ("W-204", "A-07"), "JS", "J-302")
    _threads(hangar, "J-302", "brake-nut")
    first = [
        _take(hangar, "J-302", ("brake-nut", item), Torque("27.0", FT), "W-204", ("A-07",)) for item in (1, 3)
    ]
    return "Wed 18 Nov, on the line.", (
        f"Brake {BRAKE} goes on QQ-TAN, left main. Its nuts are tightened through adapter A-07, 3 in long on a 12 in",
        f"wrench: {first[0].asked.reading} on the wrench is {_short(first[0])} at the nut. Nuts 1 and 3 are inside.",
    )


def _short(found: Recorded) -> str:
    return f"{display(in_unit(found.applied, found.unit), 3)} {found.unit}"


def _overdue(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    found = _take(hangar, "J-302", ("brake-nut", 4), Torque("27.0", FT), "W-231", ("A-07",))
    ground = next(each for each in found.grounds if each.code == "past-due")
    return "The same day.", (
        f"W-231 lies nearer to hand. {ground.message}",
        f"Refused. What was typed is kept as {found.reference}; brake nut 4 stays open.",
    )


def _worn_out(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    issue(hangar, ("W-260",), "wheel shop", "")
    give_back(hangar, ("W-260",), uses=500)
    refused = _take(hangar, "J-302", ("brake-nut", 4), Torque("27.0", FT), "W-260", ("A-07",))
    ground = next(each for each in refused.grounds if each.code == "cycles-used")
    done = _take(hangar, "J-302", ("brake-nut", 4), Torque("27.0", FT), "W-204", ("A-07",), loosened=True)
    return "The same day.", (
        f"{ground.message} Refused as well.",
        f"W-204 is in date. Nut 4 is loosened, then tightened with it: {_short(done)}, {done.outcome} limits.",
    )


def _too_much(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    technician = hangar.signer("JS")
    above = _take(hangar, "J-302", ("brake-nut", 2), Torque("32.0", FT), "W-204", ("A-07",))
    hangar.later(60)
    work = fasteners.Work("JS", why="above its limits")
    fasteners.act(
        hangar.book, technician, "J-302", "brake-nut", 2, "replaced", work, part="EX-7311", lots=("L-2210",)
    )
    hangar.later(600)
    again = _take(hangar, "J-302", ("brake-nut", 2), Torque("27.0", FT), "W-204", ("A-07",))
    give_back(hangar, ("W-204", "A-07"))
    closing = jobs.close(hangar.book, technician, "J-302")
    limits = above.limits.words(NM)
    return "The same day.", (
        f"Brake nut 2 gets {_short(above)}; its limits are {limits}. It is on record as above them, and loosening",
        f"does not cure that: bolt and nut are replaced, the new ones get {_short(again)}.",
        "The job is closed." if closing.reference else "The job stays open.",
    )


def _moves(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    hangar.new_day("2026-11-18 15:30")
    assemblies.fit(hangar.book, hangar.signer("JS"), WHEEL, "QQ-TAN", "left main")
    hangar.new_day("2026-11-20 10:10")
    assemblies.remove(hangar.book, hangar.signer("MR"), WHEEL)
    hangar.new_day("2026-11-23 08:20")
    assemblies.fit(hangar.book, hangar.signer("MR"), WHEEL, "QQ-ULM", "right main")
    return "Wed 18 to Mon 23 Nov.", (
        "The wheel from the shop is fitted to QQ-TAN on Wednesday, comes off on Friday,",
        "and on Monday goes on QQ-ULM, right main.",
    )


def _fails(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    hangar.new_day("2026-11-24 09:00")
    found = (("30", "28.1"), ("90", "84.0"), ("150", "140.6"))
    left = (("30", "29.9"), ("90", "89.7"), ("150", "149.6"))
    points = tuple(
        result(state, shown, measured, NM)
        for state, pairs in (("as-found", found), ("as-left", left))
        for shown, measured in pairs
    )
    new = NewCalibration("K-2026-104", date(2026, 11, 24), points=points, laboratory="Example Laboratory")
    calibration.calibrate(hangar.book, hangar.signer("LO"), "W-118", new)
    return "Tue 24 Nov, tool crib.", (
        "W-118 fails its calibration as found: where it shows 90 N·m, the reference reads 84.0 N·m.",
    )


def _traced(found: Trace) -> Told:
    standing = [row for row in found.rows if row.state == "tight"]
    items = {row.reading.item for row in standing}
    now = [one.registration for one in found.aircraft if one.now]
    gone = [one.registration for one in found.aircraft if not one.now]
    return Told(
        "Which fasteners did it tighten?",
        (
            f"{found.standing} tie bolts of {WHEEL} ({fasteners_name('tie-bolt', items)}), which flies on "
            f"{', '.join(now)} today,",
            f"not on {', '.join(gone)}.",
        ),
    )


def _recall(hangar: Hangar) -> tuple[str, tuple[str, ...]]:
    view = open_recall(hangar.book, hangar.signer("EV"), Recalled("wrench", "W-118"))
    first, counts = view.items[0].governing, view.counts
    got = first.judged.found
    really = f"{display(in_unit(got, NM), 4)} {NM}" if got is not None else "nobody can tell what"
    return "Which are really out of limits?", (
        f"Recall {view.recall.recall}: {counts.outside} outside, {counts.indeterminate} nobody can tell, "
        f"{counts.within} inside.",
        f"Where {first.reading.indicated} was set the bolts got {really}; their limits are "
        f"{first.judged.limits.words(NM)}.",
        "The recall stays open until each has its disposition.",
    )


STEPS: Final[tuple[Step, ...]] = (_build, _brake, _overdue, _worn_out, _too_much, _moves, _fails)
