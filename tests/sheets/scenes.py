"""Records for the tests of sheets: a job with everything in it, a large job, and a large crib."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tests.quality.recalled import decided, opened, whole
from tests.support.story import Story
from torquelog.book.writing import writing
from torquelog.clock import Period
from torquelog.crib import calibration, condition, custody
from torquelog.crib.calibration import NewCalibration, accept_in
from torquelog.crib.register import NewTool, register_in
from torquelog.crib.scales import parse_scale
from torquelog.facts import calibrations, tools
from torquelog.facts.calibrations import Point
from torquelog.torque.units import Torque
from torquelog.work import correct, handing
from torquelog.work.inspecting import Verdict, inspect
from torquelog.work.record import record_in

BRAKE: dict[str, Any] = {
    "id": "brake-nut", "on": "aircraft", "holds": "brake", "count": 4, "torque": "40..48 N·m",
    "basis": "above-run-on", "run-on": "min 1 N·m", "locking": ["locking wire"], "condition": "clean and dry",
    "above": "replace", "hardware": [{"part": "EX-7311", "lot": True}], "inspection": "independent",
}  # fmt: skip
BOLTS: dict[str, Any] = {
    "id": "tie-bolt", "on": "wheel", "count": 12, "torque": "68..76 N·m", "thread": "1/2-20", "order": "star",
    "passes": ["50 %", "100 %"],
}  # fmt: skip
LEAK = {"id": "leak-check", "title": "No leak at the fitting under pressure"}


def build(folder: Path) -> Story:
    """Job J-1 on a wheel: one bolt outside, one refused and done again, one struck, two not begun."""
    scene = Story(folder)
    scene.wrench()
    scene.wrench("W-0402", on="2025-11-20")
    scene.assembly()
    scene.card("BUILD", BOLTS, checks=[LEAK])
    scene.job()
    for item in range(1, 11):
        scene.take(f"tie-bolt:{item}", "36 N·m")
    for item in range(1, 9):
        scene.take(f"tie-bolt:{item}", "72 N·m")
    scene.take("tie-bolt:9", "84.0 N·m")
    scene.take("tie-bolt:10", "72 N·m", "W-0402")
    scene.take("tie-bolt:10", "36 N·m", loosened=True)
    scene.take("tie-bolt:10", "72 N·m", loosened=False)
    wrong = scene.take("tie-bolt:11", "36 N·m", "W-0417")
    scene.correct(wrong.reference)
    scene.step("", "leak-check")
    scene.act("tie-bolt:9", "loosened")
    scene.correct(scene.last)
    return scene


def brake(folder: Path) -> Story:
    """Job J-2 on an aircraft: run-on torque, an adapter, a nut replaced, locking still open."""
    scene = Story(folder)
    scene.wrench()
    scene.wrench("W-0391", scale="1..10 N·m by 0.1")
    scene.adapter("A-03", "2 in")
    scene.aircraft()
    scene.assembly("BR-0907", "brake", "EX-5520")
    scene.fit("BR-0907")
    scene.card("FIT", BRAKE)
    scene.job("J-2", "FIT", "BR-0907", on="QQ-HLB", position="main 2")
    for item in (1, 2, 3):
        scene.take(
            f"brake-nut:{item}", "38.0 N·m", job="J-2", adapters=["A-03"], run_on=("2.0 N·m", "W-0391")
        )
    scene.act("brake-nut:3", "replaced", job="J-2", why="thread damaged", part="EX-7311", lots=("L-2210",))
    inspect(scene.book, scene.own["MS"], "J-2", Verdict("brake-nut", (1,), True, ("W-0417",)))
    inspect(scene.book, scene.own["MS"], "J-2", Verdict("brake-nut", (2,), False, why="no torque stripe"))
    handing.leave_out(scene.book, scene.signed["TK"], "J-2", "brake-nut", 4, "no nut in stock")
    handing.hand_over(scene.book, scene.signed["TK"], "J-2", "IK", why="end of shift")
    scene.issue("W-0417", job="J-2")
    return scene


def veteran(folder: Path) -> Story:
    """Wrench W-0388 with five certificates, the newest failed as found; issued, dropped and used since."""
    scene = Story(folder)
    scene.wrench("W-0388", on="", maker="Invented Tools", serial="SN 4711", place="B2")
    drifts = ((0, 1), (6, 1), (11, 2), (8, 1), (46, 2))
    for year, (found, left) in enumerate(drifts, 2022):
        points = (
            [*_results("as-found", found), *_results("as-left", left)] if found else _results("as-left", left)
        )
        scene.calibrate("W-0388", f"{year}-10-0{year - 2020}", points=points)
    scene.issue("W-0388", "IK")
    scene.give_back("W-0388", uses=12)
    scene.report("W-0388", "dropped")
    return scene


def recalled(folder: Path) -> Story:
    """Recall R-1 of wrench W-1, with 140 fasteners: flying, in stores, sent away, tightened again; some decided."""
    scene = Story(folder)
    whole(scene)
    view = opened(scene)
    decided(scene, "R-1", "accepted", items=[each.number for each in view.items if each.verdict == "within"])
    return scene


def labelled(folder: Path) -> Story:
    """Tools for labels: a good wrench, a restricted one, one for indication only, a dropped one, adapters."""
    scene = Story(folder)
    scene.wrench("W-0417")
    scene.wrench("W-0350")
    bound = Torque("100", "N·m")
    condition.restrict(
        scene.book, scene.own["TK"], ["W-0350"], low=None, high=bound, direction="cw", why="worn scale"
    )
    scene.wrench("W-0301", use="indication-only")
    scene.wrench("W-0302", use="before-use")
    scene.wrench("W-0388")
    scene.report("W-0388", "dropped")
    scene.wrench("W_7/B.2")
    scene.adapter("A-03", "3 in")
    return scene


MARKUP = '<script>alert(\'x\')</script><b onclick="go()">&amp; "quoted" {{ 7 * 7 }} {% raw %}'
RIGHT_TO_LEFT = "مفتاح ربط שלום 12"
LONG = "W_LONG_LONG_LONG_LONG_LONG_LONG_1"[:32]
ENDLESS = "x" * 200


def hostile(folder: Path) -> Story:
    """Job J-3 with names that look like markup, run from right to left, or never end, wherever a name can stand."""
    scene = Story(folder)
    scene.wrench(LONG, maker=MARKUP, serial=RIGHT_TO_LEFT, place=ENDLESS)
    points = scene.results_of("20", "150", "N·m")
    new = NewCalibration(MARKUP, date(2026, 11, 10), points=points, laboratory=RIGHT_TO_LEFT, why=ENDLESS)
    calibration.calibrate(scene.book, scene.signed["TK"], LONG, new, accept=True)
    scene.aircraft()
    scene.assembly("WH_2231/" + "9" * 20, "wheel", "PART_" + "A" * 25)
    group = {
        **BOLTS, "id": "tie-bolt-with-a-very-long-name-x", "count": 4, "order": "line", "condition": MARKUP,
        "locking": ["wire"], "hardware": [{"part": RIGHT_TO_LEFT, "name": MARKUP, "lot": True}],
    }  # fmt: skip
    del group["thread"]
    scene.card("HOSTILE", group, checks=[{"id": "look", "title": MARKUP}, {"id": "again", "title": ENDLESS}])
    scene.job("J-3", "HOSTILE", "WH_2231/" + "9" * 20, on="QQ-HLB", position=RIGHT_TO_LEFT)
    name = group["id"]
    scene.take(f"{name}:1", "36 N·m", LONG, job="J-3")
    scene.take(f"{name}:1", "72 N·m", LONG, job="J-3", why=MARKUP, lots=(MARKUP, ENDLESS))
    wrong = scene.take(f"{name}:2", "36 N·m", LONG, job="J-3")
    correct.correct(scene.book, scene.signed["TK"], wrong.reference, MARKUP, correct.Change())
    scene.act(
        f"{name}:1", "replaced", job="J-3", why=MARKUP, part=RIGHT_TO_LEFT, serial=ENDLESS, lots=(MARKUP,)
    )
    scene.says("part", {
        "job": "J-3", "change": "off", "part": ENDLESS, "serial": MARKUP, "performed_by": "TK",
        "performed_at": _at(scene, scene.clock.moment),
    })  # fmt: skip
    scene.wrench("W-0402", on="2025-11-20", place=MARKUP)
    condition.quarantine(scene.book, scene.signed["TK"], ["W-0402"], why=MARKUP)
    custody.issue(scene.book, scene.signed["TK"], [LONG], RIGHT_TO_LEFT)
    return scene


def _results(state: str, permille: int) -> list[Point]:
    """Clockwise results at three torques, two readings each, with their uncertainty; the reference is low by so much."""
    made = []
    for nominal in (30, 90, 150):
        for repeat in (1, 2):
            reference = nominal * (1000 - permille * (1 if nominal > 30 else 0.5) - repeat * 0.4) / 1000
            value = Torque(f"{reference:.2f}", "N·m")
            shown = Torque(str(nominal), "N·m")
            made.append(Point(state, "cw", shown, value, repeat, Torque("0.3", "N·m"), "2"))
    return made


def stepped(folder: Path) -> Story:
    """Job J-4 with steps in place of passes, one done; and 36 nuts in a circle and 5 in a row."""
    scene = Story(folder)
    scene.wrench()
    scene.assembly()
    steps = [
        {"id": "seat", "torque": "95..105 N·m", "wheel-turning": True},
        {"id": "back-off", "turn": "2 flats"},
        {"id": "final", "torque": "40..48 N·m", "wheel-turning": True},
    ]
    axle = {
        "id": "axle-nut",
        "on": "wheel",
        "count": 1,
        "steps": steps,
        "castellated": True,
        "locking": ["cotter pin"],
    }
    ring = {
        "id": "rim-nut",
        "on": "wheel",
        "count": 36,
        "torque": "30..34 N·m",
        "order": "circular",
        "last-round": True,
    }
    row = {"id": "cover-bolt", "on": "wheel", "count": 5, "torque": "20..24 N·m", "order": "line"}
    scene.card("STEPS", axle, ring, row)
    scene.job("J-4", "STEPS", "WH-2231")
    scene.take("axle-nut:1", "100 N·m", job="J-4", step="seat")
    scene.step("axle-nut:1", "back-off", job="J-4")
    for item in range(1, 30):
        scene.take(f"rim-nut:{item}", "32.5 N·m", job="J-4")
    for item in (3, 2, 4):
        scene.take(f"cover-bolt:{item}", "22 N·m", job="J-4")
    return scene


def large_job(folder: Path, count: int = 200) -> Story:
    """Job J-1 with so many fasteners, each tightened in two passes."""
    scene = Story(folder)
    scene.wrench()
    scene.assembly()
    scene.card("BUILD", {**BOLTS, "count": count})
    scene.job()
    with writing(scene.book) as w:
        for reading in ("36", "72"):
            for item in range(1, count + 1):
                scene.clock.moment += 1000
                asked = scene.asked(f"tie-bolt:{item}", f"{reading} N·m")
                record_in(w, scene.book, scene.signed["TK"], asked)
    return scene


def large_crib(folder: Path, count: int = 5000) -> Story:
    """A crib of so many wrenches, due on days over a year, some of them overdue, some with people."""
    scene = Story(folder)
    with writing(scene.book) as w:
        signer = scene.signed["TK"]
        for number in range(count):
            name = f"W-{number:05d}"
            new = NewTool(
                tool=name, sort="wrench", type="setting", scales=(parse_scale("20..150 N·m by 0.5"),), accuracy="4",
                every=Period(12, "month"), cycles=5000, place=f"B{number % 40}",
            )  # fmt: skip
            register_in(w, signer, new)
            on = date(2025, 11, 1) + timedelta(days=number % 380)
            points = scene.results_of("20", "150", "N·m")
            body = {
                "tool": name, "certificate": f"C-{number}", "on": on.isoformat(),
                "points": [_point(each) for each in points],
            }  # fmt: skip
            entry = w.append(signer, "calibration", body)
            tool = tools.tool(w.connection, name)
            found = calibrations.calibration(w.connection, w.station, entry.number)
            assert tool is not None
            assert found is not None
            accept_in(w, signer, tool, found)
            if number % 10 == 0:
                at = scene.book.zone and entry.recorded
                w.append(
                    signer, "custody", {"tool": name, "act": "issue", "person": "IK", "at": _at(scene, at)}
                )
    return scene


def _point(point: Any) -> dict[str, Any]:
    return {
        "state": point.state, "direction": point.direction, "repeat": "1",
        "indicated": {"value": point.indicated.value, "unit": point.indicated.unit},
        "reference": {"value": point.reference.value, "unit": point.reference.unit},
    }  # fmt: skip


def _at(scene: Story, moment: int) -> str:
    from torquelog.clock import offset_text

    return offset_text(moment, scene.book.zone)
