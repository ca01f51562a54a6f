"""Stories for the model: two stations, three assemblies, three jobs, and entries told late, struck and known late."""

from collections.abc import Iterable
from itertools import count
from typing import Any

from hypothesis import strategies as st

from tests.model.naive_fastener import World
from tests.model.told import Told
from torquelog.clock import Moment, utc_text

DAY: Moment = 86_400_000
STEP: Moment = DAY // 4
START: Moment = 20_000 * DAY
SPAN = 40
"""How many steps a story lasts; so few that many things happen at the same moment."""

STATIONS = ("QHR", "QST")
Entry = tuple[str, dict[str, Any]]
WHEELS = ("EX-1 WH-1", "EX-1 WH-2")
BRAKE = "EX-7 BR-1"
CARD = {
    "id": "MW", "title": "Main wheel", "document": "CMM", "revision": "B", "date": "2024-01-02", "kind": "wheel",
    "groups": [
        {"id": "bolt", "on": "wheel", "count": "2", "torque": "68..76 N·m", "above": "replace",
         "passes": ["50 %", "100 %"]},
        {"id": "plug", "on": "wheel", "count": "1", "torque": "20..30 N·m", "continue": "yes", "above": "loosen"},
        {"id": "nut", "on": "aircraft", "holds": "wheel", "count": "1", "locking": ["cotter pin"], "steps": [
            {"id": "seat", "torque": "60..70 N·m"}, {"id": "back-off"}, {"id": "final", "torque": "20..30 N·m"}]},
    ],
}  # fmt: skip
SLOTS = {
    "bolt": [("", 1), ("", 2)],
    "plug": [("", 1)],
    "nut": [("seat", 0), ("back-off", 0), ("final", 0)],
}
JOBS = {"J-1": [WHEELS[0]], "J-2": [WHEELS[0], BRAKE], "J-3": [WHEELS[1]]}
WORLD = World(
    jobs={job: set(keys) for job, keys in JOBS.items()},
    sorts={**dict.fromkeys(WHEELS, "wheel"), BRAKE: "brake"},
    groups={
        "bolt": {"above": "replace", "continues": False, "locking": (), "slots": set(SLOTS["bolt"])},
        "plug": {"above": "loosen", "continues": True, "locking": (), "slots": set(SLOTS["plug"])},
        "nut": {
            "above": "", "continues": False, "locking": ("cotter-pin",), "slots": set(SLOTS["nut"]), "holds": "wheel",
        },
    },
)  # fmt: skip
POSITION = {"aircraft": "1001", "position": "main 2"}
TOOL = {
    "tool": "W-1", "sort": "wrench", "type": "setting", "every": "4 days", "cycles": "5",
    "scales": [{"low": {"value": "20", "unit": "N·m"}, "high": {"value": "100", "unit": "N·m"}}],
}  # fmt: skip


def prelude(digest: str) -> list[Told]:
    """What is there before the story begins: tools, aircraft, assemblies, the card and its jobs."""
    tools = [
        TOOL,
        {**TOOL, "tool": "W-2"},
        {"tool": "A-1", "sort": "adapter", "length": {"value": "2", "unit": "in"}},
    ]
    bodies: list[tuple[str, dict[str, Any]]] = [("tool", tool) for tool in tools]
    for msn, registration in (("1001", "QQ-A"), ("1002", "QQ-B")):
        bodies += [
            ("aircraft", {"msn": msn, "type": "EX"}),
            ("registration", {"msn": msn, "registration": registration, "on": "2024-01-01"}),
        ]
    for key, sort in WORLD.sorts.items():
        part, serial = key.split()
        bodies.append(("assembly", {"part": part, "serial": serial, "kind": sort}))
    named = {name: CARD[name] for name in ("revision", "document", "date", "title", "kind")}
    bodies.append(("card", {"card": "MW", "digest": digest, "content": CARD, **named}))
    for job, keys in JOBS.items():
        kinds = {WORLD.sorts[key]: key for key in keys}
        bodies.append(
            (
                "job",
                {
                    "job": job,
                    "card": "MW",
                    "revision": "B",
                    "digest": digest,
                    "assemblies": kinds,
                    **POSITION,
                },
            )
        )
    return [Told("QHR", number, START, START, kind, body) for number, (kind, body) in enumerate(bodies, 1)]


def own(job: str, group: str) -> dict[str, str]:
    """Whose fastener it is, as a body says it."""
    return dict(POSITION) if group == "nut" else {"assembly": JOBS[job][0]}


@st.composite
def fasteners(draw: Any) -> tuple[str, str, int]:
    """A job, a group, a number."""
    group = draw(st.sampled_from(["bolt", "bolt", "plug", "nut", "nut"]))
    return draw(st.sampled_from(sorted(JOBS))), group, draw(st.integers(1, 2)) if group == "bolt" else 1


@st.composite
def readings(draw: Any) -> tuple[str, dict[str, Any]]:
    """A reading as it is stored, with any outcome."""
    job, group, item = draw(fasteners())
    step, pass_ = draw(st.sampled_from([slot for slot in SLOTS[group] if slot[0] != "back-off"]))
    wrench = draw(st.sampled_from(["W-1", "W-1", "W-2"]))
    outcome = draw(st.sampled_from(["within"] * 5 + ["below", "above", "above", "refused"]))
    flags = [name for name in ("loosened", "awaits") if draw(st.integers(0, 3)) == 0]
    flags += ["beyond"] if outcome == "above" and draw(st.booleans()) else []
    flags += ["worn"] if outcome != "refused" and draw(st.integers(0, 9)) == 0 else []
    body: dict[str, Any] = {
        "job": job, "fastener": f"{group}:{item}", **own(job, group), "reading": {"value": "72", "unit": "N·m"},
        "wrench": wrench, "pass": str(pass_), "performed_by": "TK", "outcome": outcome, "grounds": [], "remarks": [],
        "act": draw(st.sampled_from(["tighten"] * 4 + ["check"])), **dict.fromkeys(flags, "yes"),
        "judged": {
            "rule_set": "1", "card": "00", "revision": "B", "specified": "68..76 N·m", "unit": "N·m", "gain": "1",
            "direction": "cw", "limits": {"low": "68", "high": "76", "unit": "N·m"},
            "tools": [{"tool": wrench, "role": "wrench"}],
        },
    }  # fmt: skip
    body |= {"step": step} if step else {}
    body |= {"adapter": ["A-1"]} if draw(st.integers(0, 3)) == 0 else {}
    if draw(st.integers(0, 4)) == 0:
        body["run_on"] = {
            "torque": {"value": "2", "unit": "N·m"},
            "wrench": draw(st.sampled_from(["W-1", "W-2"])),
        }
    return "reading", body


@st.composite
def acts(draw: Any) -> tuple[str, dict[str, Any]]:
    """Loosened, replaced, found, locked; or a step of the axle nut."""
    job, group, item = draw(fasteners())
    who = {"performed_by": "TK"}
    if group == "nut" and draw(st.booleans()):
        step = draw(st.sampled_from(["back-off", "cotter-pin"]))
        body = {"job": job, "group": group, **own(job, group), "step": step, **who}
        return "step", body | ({"item": "1"} if draw(st.booleans()) else {})
    act = draw(st.sampled_from(["loosened", "loosened", "replaced", "found", "locked"]))
    what = {
        "found": st.sampled_from(["sheared", "loose", "missing", "damaged"]),
        "locked": st.just("cotter-pin"),
    }
    body = {"job": job, "fastener": f"{group}:{item}", **own(job, group), "act": act, **who}
    return "act", body | ({"what": draw(what[act])} if act in what else {})


@st.composite
def placements(draw: Any) -> tuple[str, dict[str, Any]]:
    """An assembly comes, goes, is stored, scrapped or taken apart."""
    part, serial = draw(st.sampled_from(sorted(WORLD.sorts))).split()
    act = draw(st.sampled_from(["fit", "fit", "remove", "move", "take-apart", "hold"]))
    body = {"act": act, "part": part, "serial": serial, "why": "x"}
    if act == "fit":
        return "placement", body | draw(
            st.sampled_from([POSITION, POSITION, {"aircraft": "1002", "position": "main 1"}])
        )
    to = (
        draw(st.sampled_from(["", "stores", "shop", "scrap", "paint hall"]))
        if act in ("remove", "move")
        else ""
    )
    return "placement", body | ({"to": to} if to else {})


@st.composite
def of_tools(draw: Any) -> tuple[str, dict[str, Any]]:
    """What the crib tells of a wrench."""
    tool = {"tool": draw(st.sampled_from(["W-1", "W-1", "W-2"]))}
    kinds = ["calibration", "custody", "report", "quarantine", "release", "restriction"]
    what = draw(st.sampled_from(kinds + kinds[:3]))
    if what == "calibration":
        return "calibration", tool | {"on": draw(st.integers(0, SPAN // 4))}
    if what == "custody":
        act = draw(st.sampled_from(["issue", "return", "send", "receive"]))
        more = {"issue": {"person": "TK"}, "return": {"uses": "2"}}.get(act, {})
        return "custody", tool | {"act": act} | more
    if what == "report":
        return "report", tool | {"what": draw(st.sampled_from(["dropped", "repaired", "lost", "found"]))}
    if what == "restriction":
        bound = {"lift": "yes"} if draw(st.booleans()) else {"high": {"value": "50", "unit": "N·m"}}
        return "restriction", tool | bound | {"why": "as found"}
    return ("quarantine" if what == "quarantine" else "quarantine-release"), tool | {"why": "sticks"}


@st.composite
def answers(draw: Any) -> tuple[str, dict[str, Any]]:
    """A strike, a confirmation or an acceptance: of which entry is drawn as a place in the story."""
    return draw(st.sampled_from(["strike", "strike", "confirmation", "acceptance"])), {
        "of": draw(st.integers(0, 60))
    }


OF_FASTENERS = st.one_of(
    readings(), readings(), readings(), acts(), acts(), placements(), of_tools(), answers(), answers()
)  # fmt: skip
OF_TOOLS = st.one_of(readings(), of_tools(), of_tools(), of_tools(), answers(), answers())
STRIKABLE = (
    "reading",
    "act",
    "step",
    "placement",
    "calibration",
    "acceptance",
    "custody",
    "confirmation",
    "restriction",
)
TOLD_LATE = ("reading", "act", "step", "placement", "report", "custody", "quarantine", "restriction")


@st.composite
def stories(draw: Any, size: int = 24, entry: st.SearchStrategy[Entry] = OF_FASTENERS) -> list[Told]:
    """Entries of two chains, each in the order of its own recording; the other station's are known later."""
    told = draw(
        st.lists(
            st.tuples(entry, st.sampled_from(STATIONS + STATIONS[:1])), min_size=size // 2, max_size=size
        )
    )
    steps = sorted(draw(st.lists(st.integers(1, SPAN), min_size=len(told), max_size=len(told))))
    numbers = {"QHR": count(100), "QST": count(100)}
    found: list[Told] = []
    for ((kind, body), station), step in zip(told, steps, strict=True):
        recorded = START + step * STEP
        late = draw(st.sampled_from([0, 0, 0, 1, 2, 9]))
        known = recorded if station == "QHR" else recorded + draw(st.sampled_from([0, 4, 20])) * STEP
        found.append(
            Told(
                station,
                next(numbers[station]),
                recorded,
                known,
                kind,
                _dated(kind, body, recorded - late * STEP),
            )
        )
    return _answered(found)


def _dated(kind: str, body: dict[str, Any], at: Moment) -> dict[str, Any]:
    if kind in ("reading", "act", "step"):
        return body | {"performed_at": utc_text(at)}
    if kind == "calibration":
        points = [
            {"state": "as-left", "direction": "cw", "repeat": "1", "indicated": end, "reference": end}
            for end in ({"value": value, "unit": "N·m"} for value in ("20", "80"))
        ]
        on = utc_text(START + body["on"] * DAY)[:10]
        return {"tool": body["tool"], "certificate": f"C-{at}", "on": on, "points": points}
    if kind in TOLD_LATE and not ("lift" in body or body.get("act") == "receive"):
        return body | {"at": utc_text(at)}
    return body


def _answered(story: Iterable[Told]) -> list[Told]:
    """The same story with each answer naming an entry that it can answer; those that find none are left out."""
    entries = list(story)
    targets = {
        "strike": [each.name for each in entries if each.kind in STRIKABLE],
        "acceptance": [each.name for each in entries if each.kind == "calibration"],
        "confirmation": [each.name for each in entries if "awaits" in each.body or each.kind == "strike"],
    }
    members = {"strike": "entry", "confirmation": "entry", "acceptance": "calibration"}
    found = []
    for each in entries:
        if each.kind in targets:
            names = [name for name in targets[each.kind] if name != each.name]
            if not names:
                continue
            place = each.body["of"]
            body = {members[each.kind]: names[place % len(names)], "why": "x"}
            body |= {"awaits": "yes"} if each.kind == "strike" and place % 3 == 0 else {}
            found.append(each._replace(body=body))
        else:
            found.append(each)
    return found
