"""Any moves in a job, sensible and not, done through the acts and noted for the model."""

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import Any

from hypothesis import strategies as st

from tests.model.naive_fastener import Found, World, fastener
from tests.model.told import Told, standing
from tests.support.story import PART, Story, remarks
from torquelog.clock import Moment, utc_text
from torquelog.errors import TorquelogError
from torquelog.work import fasteners

WHEEL = f"{PART} WH-2231"
BOLT = {
    "id": "bolt",
    "on": "wheel",
    "count": 2,
    "torque": "68..76 N·m",
    "passes": ["50 %", "100 %"],
    "above": "replace",
}
PLUG = {"id": "plug", "on": "wheel", "count": 1, "torque": "24..28 N·m", "continue": True, "above": "loosen"}
NUT = {
    "id": "nut", "on": "wheel", "count": 1, "locking": ["cotter pin"],
    "steps": [{"id": "seat", "torque": "60..70 N·m"}, {"id": "back-off"}, {"id": "final", "torque": "24..28 N·m"}],
}  # fmt: skip
CHECK = {"id": "leak-check", "title": "No leak"}
LIMITS = {
    ("bolt", "", 1): (34, 38), ("bolt", "", 2): (68, 76), ("plug", "", 1): (24, 28),
    ("nut", "seat", 0): (60, 70), ("nut", "final", 0): (24, 28),
}  # fmt: skip
HIGHEST = {"bolt": 76, "plug": 28, "nut": 70}
EACH = (("bolt", 1), ("bolt", 2), ("plug", 1), ("nut", 1))
WORLD = World(
    jobs={job: {WHEEL} for job in ("J-1", "J-2")},
    sorts={WHEEL: "wheel"},
    groups={
        "bolt": {"above": "replace", "continues": False, "locking": (), "slots": {("", 1), ("", 2)}},
        "plug": {"above": "loosen", "continues": True, "locking": (), "slots": {("", 1)}},
        "nut": {
            "above": "", "continues": False, "locking": ("cotter-pin",),
            "slots": {("seat", 0), ("back-off", 0), ("final", 0)},
        },
    },
)  # fmt: skip


class Shop:
    """A story with two jobs on one wheel, and what the model knows of it.

    W-0417 is good, W-0402 is past its date, W-0388 was dropped at `fell`.
    """

    def __init__(self, story: Story) -> None:
        self.story = story
        self.told: list[Told] = []
        self.out: set[str] = set()
        self.off: list[str] = []
        self.checked: set[str] = set()
        self.awaiting: dict[str, tuple[str, str]] = {}
        self.closed: dict[str, str] = {}
        story.bench(BOLT, PLUG, NUT, checks=[CHECK])
        story.job("J-2")
        story.wrench("W-0402", on="2025-11-10")
        story.wrench("W-0388")
        story.later(seconds=3600)
        story.report("W-0388", "dropped")
        self.fell = story.clock.moment
        story.later(seconds=600)

    def found(self, job: str, group: str, item: int, at: Moment | None = None) -> Found:
        """How the model says that a fastener stands."""
        until = 1 << 60 if at is None else at
        return fastener(self.told, WORLD, job, f"assembly {WHEEL}", group, item, until, 1 << 60)

    def note(self, entry: str, kind: str, at: Moment, body: dict[str, Any]) -> None:
        """Let the model know of an entry."""
        now = self.story.clock.moment
        when = {"at" if kind == "placement" else "performed_at": utc_text(at)}
        self.told.append(Told("QHR", int(entry.rpartition("-")[2]), now, now, kind, {**body, **when}))

    def demand(self, code: str, act: Callable[[], object]) -> None:
        """Demand an error that leaves nothing on record."""
        with self.story.refused(code):
            act()

    def open_in(self, job: str) -> bool:
        """Whether the model knows anything that holds a job open."""
        states = [self.found(job, group, item) for group, item in EACH]
        return (
            any(each.reason or each.waiting for each in states)
            or "cotter-pin" not in states[-1].locked
            or job not in self.checked
            or bool(self.out if job == "J-1" else ())
            or bool(self.off if job == "J-1" else ())
            or any(in_job == job for in_job, _ in self.awaiting.values())
        )


def expected_slot(group: str, before: Found, *, loosened: bool) -> tuple[str, int]:
    """The slot that a reading is for: the first open one with a torque, the first of all after a loosening."""
    asked = [(step, number) for name, step, number in LIMITS if name == group]
    done = before.done or frozenset()
    return asked[0] if loosened else next((slot for slot in asked if slot not in done), asked[-1])


def expected_act(
    group: str, before: Found, job: str, slot: tuple[str, int], *, loosened: bool, asked: str | None
) -> str:
    """Whether a reading tightens."""
    if asked == "check" or loosened:
        return asked or "tighten"
    elsewhere = before.tight and before.tight_in != job
    finished = before.tight and (before.done or frozenset()) >= WORLD.groups[group]["slots"]
    click = before.tight and slot[0] == "" and slot[1] < before.stands
    return "check" if before.loosen_first or elsewhere or finished or click else "tighten"


def take(shop: Shop, job: str, group: str, item: int, reading: str, wrench: str, **more: Any) -> None:
    """A reading; what the model expects of it is compared with the answer."""
    story = shop.story
    ago, why = more.pop("ago", 0), more.pop("why", None)
    at = story.clock.moment + 1000 - ago * 1000
    before = shop.found(job, group, item, at)
    revives = wrench == "W-0388" and at < shop.fell
    loosened, asked = more.get("loosened", False), more.get("act")
    attempt = partial(
        story.take, f"{group}:{item}", reading, wrench, job=job, at=at if ago else None, why=why, **more
    )
    if job in shop.closed:
        return shop.demand("job-closed", attempt)
    if revives and not why:
        return shop.demand("why-missing", attempt)
    found = attempt()
    step, pass_ = (
        ("", more["pass_"])
        if "pass_" in more
        else expected_slot(group, before, loosened=loosened)
        if before.done is not None or loosened
        else _slot(found)
    )
    refused = wrench == "W-0402" or (wrench == "W-0388" and not revives)
    value = Fraction(reading.split()[0])
    low, high = LIMITS[group, step, pass_]
    outcome = "refused" if refused else "below" if value < low else "above" if value > high else "within"
    act = expected_act(group, before, job, (step, pass_), loosened=loosened, asked=asked)
    assert (found.outcome, found.act, _slot(found)) == (outcome, act, (step, pass_))
    assert ("awaits-confirmation" in remarks(found)) == revives
    body = {
        "job": job, "fastener": f"{group}:{item}", "assembly": WHEEL, "wrench": wrench, "pass": str(pass_), "act": act,
        "outcome": outcome,
    }  # fmt: skip
    body |= {"step": step} if step else {}
    flags = {"loosened": loosened, "awaits": revives, "beyond": outcome == "above" and value > HIGHEST[group]}
    shop.note(found.reference, "reading", at, body | {name: "yes" for name, holds in flags.items() if holds})
    return None


def _slot(found: Any) -> tuple[str, int]:
    return (found.asked.step or "", found.asked.pass_ or 0)


def act(shop: Shop, job: str, group: str, item: int, what: str, found: str | None) -> None:
    """Loosened, replaced or found."""
    attempt = partial(shop.story.act, f"{group}:{item}", what, job=job, found=found)
    if job in shop.closed:
        return shop.demand("job-closed", attempt)
    attempt()
    body = {"job": job, "fastener": f"{group}:{item}", "assembly": WHEEL, "act": what} | (
        {"what": found} if found else {}
    )
    return shop.note(shop.story.last, "act", shop.story.clock.moment, body)


def step(shop: Shop, job: str, target: str, name: str) -> None:
    """A step of the nut, its pin, or the check of the whole job."""
    attempt = partial(shop.story.step, target, name, job=job)
    if job in shop.closed:
        return shop.demand("job-closed", attempt)
    done = attempt()
    if not target:
        shop.checked.add(job)
        return None
    body = {"job": job, "group": "nut", "assembly": WHEEL, "step": name}
    return shop.note(done.reference, "step", shop.story.clock.moment, body)


def strike(shop: Shop, place: int) -> None:
    """Some entry was a mistake."""
    told = [each for each in shop.told if each.kind in ("reading", "act", "step")]
    if not told:
        return
    target = told[place % len(told)]
    struck = {each.body["entry"] for each in shop.told if each.kind == "strike"}
    if target.name in struck:
        shop.demand("struck-already", lambda: shop.story.correct(target.name))
    elif target.body.get("outcome") == "refused":
        shop.demand("not-strikable", lambda: shop.story.correct(target.name))
    elif target.body["job"] in shop.closed:
        shop.demand("job-closed", lambda: shop.story.correct(target.name))
    else:
        done = shop.story.correct(target.name)
        shop.note(done.strike, "strike", shop.story.clock.moment, {"entry": target.name, "why": "x"})
        if target.body.get("outcome") in ("below", "above") or target.body.get("act") == "found":
            assert done.awaits
            shop.awaiting[done.strike] = (target.body["job"], target.name)


def confirm(shop: Shop, place: int) -> None:
    """The inspector confirms one of the entries that wait."""
    known = standing(shop.told, 1 << 60, 1 << 60)
    confirmed = {each.body["entry"] for each in known if each.kind == "confirmation"}
    waiting = sorted({*shop.awaiting, *(each.name for each in known if "awaits" in each.body)} - confirmed)
    if waiting:
        name = waiting[place % len(waiting)]
        done = shop.story.confirm(name)
        shop.note(done.reference, "confirmation", shop.story.clock.moment, {"entry": name, "why": "x"})
        shop.awaiting.pop(name, None)


def tool(shop: Shop, out: bool) -> None:
    """The good wrench is issued to J-1, or comes back."""
    if out and "W-0417" not in shop.out:
        shop.story.issue("W-0417", job="J-1")
        shop.out.add("W-0417")
    elif not out and shop.out:
        shop.story.give_back("W-0417")
        shop.out.clear()


def part(shop: Shop, change: str) -> None:
    """A part of J-1 comes off or goes on."""
    work = fasteners.Work("TK")
    attempt = partial(fasteners.part, shop.story.book, shop.story.signed["TK"], "J-1", change, "EX-1", work)
    if "J-1" in shop.closed:
        return shop.demand("job-closed", attempt)
    attempt()
    if change == "off":
        shop.off.append("EX-1")
    elif shop.off:
        shop.off.pop()
    return None


def take_apart(shop: Shop) -> None:
    """The wheel is taken apart, which ends what was tight on it."""
    entry = shop.story.take_apart("WH-2231")
    body = {"act": "take-apart", "part": PART, "serial": "WH-2231"}
    shop.note(entry, "placement", shop.story.clock.moment, body)


def finish(shop: Shop, job: str) -> None:
    """Somebody does all that is left, in the right order; only what waits for a second person remains."""
    if job in shop.closed:
        return
    for group, item in EACH:
        now = shop.found(job, group, item)
        if now.reason in ("hardware-open", "over-torqued"):
            act(shop, job, group, item, "replaced", None)
        elif now.loosen_first or now.passed_over or (now.tight and now.tight_in != job):
            act(shop, job, group, item, "loosened", None)
        done = shop.found(job, group, item).done or frozenset()
        for name, step_name, number in LIMITS:
            if name == group and (step_name, number) not in done:
                if step_name == "final" and ("back-off", 0) not in done:
                    step(shop, job, "nut", "back-off")
                low, high = LIMITS[name, step_name, number]
                take(shop, job, group, item, f"{(low + high) // 2} N·m", "W-0417")
        if shop.found(job, group, item).reason == "not-finished":
            step(shop, job, "nut", "back-off")
    step(shop, job, "nut:1", "cotter-pin")
    step(shop, job, "", "leak-check")
    if job == "J-1":
        tool(shop, out=False)
        while shop.off:
            part(shop, "on")


def close(shop: Shop, job: str) -> None:
    """Somebody asks for a job to be closed; it is, if and only if the model knows of nothing that is open."""
    if job in shop.closed:
        return shop.demand("job-closed", lambda: shop.story.close(job))
    closes = shop.story.close(job)
    assert closes != shop.open_in(job)
    shop.closed |= {job: f"QHR-{shop.story.entries():06d}"} if closes else {}
    return None


def reopen(shop: Shop, job: str) -> None:
    """The closing of a job is struck, so that its work can be corrected."""
    if job in shop.closed:
        shop.story.correct(shop.closed.pop(job))


def nonsense(shop: Shop, which: int) -> None:
    """What names nothing, or cannot be: an error, and nothing on record."""
    story = shop.story
    moves: list[tuple[str, Callable[[], object]]] = [
        ("fastener-unknown", lambda: story.take("bolt:3", "72 N·m")),
        ("group-unknown", lambda: story.take("bolts:1", "72 N·m")),
        ("job-unknown", lambda: story.take("bolt:1", "72 N·m", job="J-3")),
        ("tool-unknown", lambda: story.take("bolt:1", "72 N·m", "W-9999")),
        ("no-role", lambda: story.take("bolt:1", "72 N·m", by="MS")),
        ("in-the-future", lambda: story.act("bolt:1", "loosened", at="2026-11-26T12:00")),
        ("step-unknown", lambda: story.step("nut", "cotter")),
        ("pass-unknown", lambda: story.take("bolt:1", "72 N·m", pass_=4)),
        ("step-without-torque", lambda: story.take("nut:1", "72 N·m", step="back-off")),
        ("not-awaiting", lambda: story.confirm("QHR-000001")),
    ]
    code, move = moves[which % len(moves)]
    closed = "J-1" in shop.closed and code not in ("job-unknown", "not-awaiting")
    try:
        shop.demand("job-closed" if closed else code, move)
    except TorquelogError as error:
        raise AssertionError(f"{code} was expected, and {error.code} came") from error


JOB = st.sampled_from(["J-1", "J-1", "J-1", "J-2"])
FASTENER = st.sampled_from(EACH)
VALUES = ["20 N·m", "26 N·m", "36 N·m", "38 N·m", "65 N·m", "72 N·m", "72 N·m", "80 N·m"]


@st.composite
def _readings(draw: Any) -> Callable[[Shop], None]:
    (group, item), job, value = draw(FASTENER), draw(JOB), draw(st.sampled_from(VALUES))
    wrench = draw(st.sampled_from(["W-0417"] * 4 + ["W-0402", "W-0388", "W-0388"]))
    more: dict[str, Any] = {"ago": draw(st.sampled_from([0, 0, 0, 300, 900, 2400]))}
    more |= {"loosened": True} if draw(st.integers(0, 2)) == 0 else {}
    more |= {"act": "check"} if draw(st.integers(0, 7)) == 0 else {}
    more |= {"pass_": draw(st.integers(1, 2))} if group == "bolt" and draw(st.integers(0, 3)) == 0 else {}
    more |= {"why": "worksheet"} if draw(st.booleans()) else {}
    return lambda shop: take(shop, job, group, item, value, wrench, **more)


@st.composite
def _acts(draw: Any) -> Callable[[Shop], None]:
    (group, item), job = draw(FASTENER), draw(JOB)
    what = draw(st.sampled_from(["loosened", "replaced", "found"]))
    found = draw(st.sampled_from(["sheared", "loose", "damaged"])) if what == "found" else None
    return lambda shop: act(shop, job, group, item, what, found)


STEPS = st.tuples(
    JOB,
    st.sampled_from(
        [("nut", "back-off"), ("nut", "cotter-pin"), ("nut:1", "cotter-pin"), ("", "leak-check")]
    ),
)
PLACE = st.integers(0, 30)
MOVE: st.SearchStrategy[Callable[[Shop], None]] = st.one_of(
    _readings(),
    _readings(),
    _readings(),
    _acts(),
    STEPS.map(lambda drawn: lambda shop: step(shop, drawn[0], *drawn[1])),
    PLACE.map(lambda place: lambda shop: strike(shop, place)),
    PLACE.map(lambda place: lambda shop: confirm(shop, place)),
    st.booleans().map(lambda out: lambda shop: tool(shop, out)),
    st.sampled_from(["off", "on"]).map(lambda change: lambda shop: part(shop, change)),
    st.just(take_apart),
    JOB.map(lambda job: lambda shop: finish(shop, job)),
    JOB.map(lambda job: lambda shop: close(shop, job)),
    JOB.map(lambda job: lambda shop: reopen(shop, job)),
    PLACE.map(lambda which: lambda shop: nonsense(shop, which)),
)
