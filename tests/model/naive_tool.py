"""A tool, told by plain loops: its certificates, its uses, what befell it, and why it may not be used."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from tests.model.told import Told, standing, tools
from torquelog.clock import Moment
from torquelog.torque.units import Torque

DAY = 86_400_000
BEFALLS = ("dropped", "overloaded", "damaged", "repaired")


class Certificate:
    """One certificate with its day and the moment of its acceptance, if there was one."""

    def __init__(self, told: Told, facts: list[Told]) -> None:
        self.told = told
        self.day = date.fromisoformat(told.body["on"])
        accepted = [
            each.recorded
            for each in facts
            if each.kind == "acceptance" and each.body["calibration"] == told.name
        ]
        self.accepted = min(accepted) if accepted else None
        self.age = (self.day, told.recorded, told.station, told.number)


def day_of(moment: Moment) -> date:
    """The day of a moment, in UTC."""
    return datetime.fromtimestamp(moment // 1000, UTC).date()


def midnight(day: date) -> Moment:
    """The first moment of a day, in UTC."""
    return (day - date(1970, 1, 1)).days * DAY


def certificates(everything: Iterable[Told], tool: str, known: Moment) -> list[Certificate]:
    """A tool's certificates, newest first. One told later may count earlier, so none is left out by its recording."""
    facts = standing(everything, 1 << 62, known)
    found = [
        Certificate(each, facts) for each in facts if each.kind == "calibration" and each.body["tool"] == tool
    ]
    return sorted(found, key=lambda each: each.age, reverse=True)


def counting(found: list[Certificate], at: Moment) -> tuple[Certificate, Moment] | None:
    """The certificate that counts, and since when: the first one ever from its own day on, others from acceptance."""
    first = min(
        found, key=lambda each: (each.told.recorded, each.told.station, each.told.number), default=None
    )
    for each in found:
        if each.accepted is not None:
            since = min(midnight(each.day), each.accepted) if each is first else each.accepted
            if since <= at:
                return each, since
    return None


def uses(everything: Iterable[Told], tool: str, since: Moment, at: Moment, known: Moment) -> int:
    """How often a tool was used from one moment through another."""
    facts = standing(everything, at, known)
    return sum(tools(each.body).count(tool) for each in facts if each.at >= since)


def grounds(
    everything: list[Told], tool: dict[str, object], at: Moment, known: Moment, shown: Torque, direction: str
) -> set[str]:
    """Why a tool may not take a torque that it shows, in a direction, at a moment: the codes."""
    name = str(tool["tool"])
    mine = [each for each in standing(everything, at, known) if each.body.get("tool") == name]
    found = certificates(everything, name, known)
    counts = counting(found, at)
    return {
        *_papers(found, counts, at, int(str(tool["every"]).split()[0])),
        *_used_up(everything, tool, counts, at, known),
        *_befallen(mine, counts),
        *_where(mine),
        *_reach(tool, counts, mine, shown, direction),
    }


def _papers(
    found: list[Certificate], counts: tuple[Certificate, Moment] | None, at: Moment, days: int
) -> set[str]:
    newest = next((each for each in found if each.told.recorded <= at), None)
    waits = newest is not None and (newest.accepted is None or newest.accepted > at)
    codes = set()
    if newest is not None and waits and (counts is None or newest.age > counts[0].age):
        codes.add("not-accepted")
    elif counts is None:
        codes.add("not-calibrated")
    if counts is not None and at >= midnight(counts[0].day + timedelta(days=days + 1)):
        codes.add("past-due")
    return codes


def _used_up(
    everything: list[Told], tool: dict[str, object], counts: tuple[Certificate, Moment] | None, at: Moment, known: Moment
) -> set[str]:  # fmt: skip
    if counts is None:
        return set()
    used = uses(everything, str(tool["tool"]), counts[1], at, known)
    return {"cycles-used"} if used >= int(str(tool["cycles"])) else set()


def _befallen(mine: list[Told], counts: tuple[Certificate, Moment] | None) -> set[str]:
    codes = set()
    for each in mine:
        what = each.body.get("what")
        if each.kind == "report" and what in BEFALLS:
            cleared = counts is not None and each.at < counts[1] and counts[0].day >= day_of(each.at)
            codes |= set() if cleared else {what}
    return codes


def _where(mine: list[Told]) -> set[str]:
    codes = set()
    moves = [each.body["act"] for each in mine if each.kind == "custody"]
    if moves and moves[-1] in ("send", "retire"):
        codes.add({"send": "away", "retire": "retired"}[moves[-1]])
    lost = [
        each.body["what"] for each in mine if each.kind == "report" and each.body["what"] in ("lost", "found")
    ]
    codes |= {"lost"} if lost and lost[-1] == "lost" else set()
    held = [each.kind for each in mine if each.kind in ("quarantine", "quarantine-release")]
    return codes | ({"quarantined"} if held and held[-1] == "quarantine" else set())


def _reach(
    tool: dict[str, object], counts: tuple[Certificate, Moment] | None, mine: list[Told], shown: Torque, direction: str
) -> set[str]:  # fmt: skip
    codes = set()
    points = counts[0].told.body["points"] if counts else []
    thus = [Torque(**each["indicated"]).newton_metres for each in points if each["direction"] == direction]
    if counts and not thus:
        codes.add("direction")
    (scale,) = tool["scales"]  # type: ignore[misc]  # a list with one object
    low, high = (Torque(**scale[end]) for end in ("low", "high"))
    if shown.unit != low.unit:
        codes.add("no-scale")
    else:
        value = shown.newton_metres
        codes |= set() if low.newton_metres <= value <= high.newton_metres else {"outside-range"}
        codes |= {"outside-calibrated-range"} if thus and not min(thus) <= value <= max(thus) else set()
    for each in reversed([each for each in mine if each.kind == "restriction"]):
        if "lift" in each.body:
            break
        codes |= {"restricted"} if shown.newton_metres > Torque(**each.body["high"]).newton_metres else set()
    return codes
