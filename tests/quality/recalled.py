"""A scene for recalls: a wrench that fails, 140 fasteners that it tightened, and where each of them went.

Wrench W-1, 20 to 100 N·m in steps of 0.1, 4 %: left on 10 January, accepted on the 12th, used to 3 June 2027,
found on the 7th. W-2 is good all the time.
"""

from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import Any, NamedTuple

from tests.support.story import PART, Story
from torquelog.facts.calibrations import Point
from torquelog.quality import recall
from torquelog.quality.recall_scope import Asked
from torquelog.quality.recall_view import View
from torquelog.torque.units import Torque
from torquelog.work import assemblies

LEFT = (("20", "19.90"), ("60", "59.70"), ("100", "99.60"))
FOUND = (("20", "18.69"), ("60", "59.40"), ("100", "99.50"))
GOOD = (("20", "20"), ("60", "60"), ("100", "100"))
ROUNDS = ["100 %", "100 %", "100 %"]
SPECS = {"22": "20.9..23.1 N·m", "45": "42.75..47.25 N·m", "25": "23.75..26.25 N·m", "90": "85.5..94.5 N·m"}


def results(
    pairs: Iterable[tuple[str, str]], state: str = "as-left", *, percent: str = "", direction: str = "cw"
) -> tuple[Point, ...]:
    """Results in N·m, each with an expanded uncertainty of so many percent of the reference and k 2."""
    found = []
    for indicated, reference in pairs:
        spread = Torque(str(round(float(reference) * float(percent) / 100, 6)), "N·m") if percent else None
        ends = (Torque(indicated, "N·m"), Torque(reference, "N·m"))
        found.append(Point(state, direction, *ends, uncertainty=spread, k="2" if percent else None))
    return tuple(found)


def opened(story: Story, subject: str = "wrench", name: str = "W-1", **more: Any) -> View:
    """Open a recall, signed by quality."""
    since, until = (story.moment(more.pop(end)) if end in more else None for end in ("since", "until"))
    asked = Asked(subject, name, since=since, until=until, **more)
    return recall.open_recall(story.book, story.signed["TK"], asked)


def decided(story: Story, name: str, decision: str, **more: Any) -> recall.Decided:
    """Decide about items, signed by quality's passphrase."""
    return recall.decide(story.book, story.own["TK"], name, decision, "as quality sees it", **more)


class Wheel(NamedTuple):
    """A wheel of the scene: its serial, how many bolts, what they were set to, and what became of it."""

    serial: str
    bolts: int
    set_to: str
    became: str


WHEELS = (
    *(Wheel(f"AGAIN-{number}", 10, "22", "again") for number in (1, 2, 3)),
    Wheel("STORES-1", 16, "45", "stores"),
    Wheel("SENT-1", 6, "22", "sent"),
    *(Wheel(f"LOW-{number}", 10, "22", "flies") for number in (1, 2, 3, 4)),
    *(Wheel(f"NEAR-{number}", 13, "25", "flies") for number in (1, 2)),
    *(Wheel(f"HIGH-{number}", 11, "90", "flies") for number in (1, 2)),
)
"""140 bolts: 30 since tightened again, 16 in stores, 6 sent away, 40, 26 and 22 flying."""


def set_up(story: Story, wheels: Sequence[Wheel] = WHEELS) -> None:
    """Wrenches, wheels, cards and jobs, in January 2027; the clock shows the 12th then."""
    story.until("2027-01-11T09:00")
    scale = "20..100 N·m by 0.1"
    story.wrench("W-1", scale=scale, on="2027-01-10", accept=False, points=results(LEFT, percent="0.5"))
    story.wrench("W-2", scale=scale, on="2027-01-11", points=results(GOOD, percent="0.5"))
    story.until("2027-01-12T08:00")
    story.says("acceptance", {"calibration": certificate(story, "W-1")})
    story.aircraft("QQ-HLB", "1001")
    for key in sorted({(each.set_to, each.bolts) for each in wheels}):
        card(story, *key)
    for place, each in enumerate(wheels):
        story.assembly(each.serial)
        story.job(f"J-{place}", card_name(each), each.serial)
        if each.became == "again":
            story.job(f"J-{place}-2", card_name(each), each.serial)


def certificate(story: Story, tool: str) -> str:
    """The newest certificate's entry of a tool."""
    from torquelog.facts.calibrations import calibrations

    return calibrations(story.book.connection, tool)[-1].reference


def card(story: Story, set_to: str, count: int) -> None:
    """A card with three rounds at the full torque."""
    group = {"id": "bolt", "on": "wheel", "count": count, "torque": SPECS[set_to], "passes": ROUNDS}
    story.card(f"C-{set_to}-{count}", group)


def card_name(each: Wheel) -> str:
    """The card of a wheel."""
    return f"C-{each.set_to}-{each.bolts}"


Act = Callable[[], object]


def told(story: Story, wheels: Sequence[Wheel] = WHEELS) -> list[Act]:
    """Everything that happened to the wheels, each to be told in any order."""
    acts: list[Act] = []
    for place, each in enumerate(wheels):
        for bolt in range(1, each.bolts + 1):
            for turn in (1, 2, 3):
                day = 13 + (place + bolt) % 15
                acts.append(
                    taking(story, place, bolt, f"{each.set_to} N·m", f"2027-01-{day}T0{6 + turn}:00", turn)
                )
        acts += became(story, place, each)
    return acts


def taking(story: Story, place: int, bolt: int, reading: str, at: str, turn: int, **more: Any) -> Act:
    """A reading to be told."""
    job = more.pop("job", f"J-{place}")
    wrench = more.pop("wrench", "W-1")
    return lambda: story.take(f"bolt:{bolt}", reading, wrench, job=job, at=at, pass_=turn, **more)


def became(story: Story, place: int, each: Wheel) -> list[Act]:
    """What is to be told of where a wheel went."""
    if each.became == "stores":
        return [lambda: moved(story, each.serial, "stores")]
    if each.became == "sent":
        return [lambda: moved(story, each.serial, "Other Air, Porto")]
    found: list[Act] = [lambda: story.fit(each.serial, "QQ-HLB", f"main {place}", at="2027-02-10T10:00")]
    if each.became == "again":
        found += [
            taking(
                story, place, bolt, f"{each.set_to} N·m", "2027-03-01T09:00", 1, job=f"J-{place}-2", wrench="W-2",
                loosened=True,
            )
            for bolt in range(1, each.bolts + 1)
        ]  # fmt: skip
    return found


def moved(story: Story, serial: str, to: str) -> None:
    """Say where a wheel is."""
    story.later(seconds=1)
    assemblies.move(story.book, story.signed["TK"], serial, to, at=story.moment("2027-02-10T10:00"))


def whole(story: Story, seed: int = 1) -> None:
    """The whole scene up to the certificate of 7 June 2027, told in a shuffled order."""
    set_up(story)
    story.until("2027-06-04T08:00")
    acts = told(story)
    acts.append(taking(story, 3, 5, "15 N·m", "2027-02-01T09:00", 1))
    acts.append(taking(story, 5, 1, "110 N·m", "2027-02-01T12:00", 2))
    mistake: list[str] = []
    acts.append(
        lambda: mistake.append(
            story.take("bolt:2", "24 N·m", "W-1", job="J-9", at="2027-06-03T10:00", pass_=1).reference
        )
    )
    Random(seed).shuffle(acts)
    for act in acts:
        act()
    story.correct(mistake[0])
    found(story)


def found(story: Story, pairs: Iterable[tuple[str, str]] = FOUND, on: str = "2027-06-07") -> str:
    """The wrench is calibrated again; gives the certificate's entry."""
    story.until(f"{on}T15:00")
    both = (*results(pairs, "as-found", percent="0.5"), *results(GOOD, percent="0.5"))
    return story.calibrate("W-1", on, accept=False, points=both)


def key(serial: str) -> str:
    """A wheel's part and serial number."""
    return f"{PART} {serial}"
