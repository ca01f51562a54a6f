"""The shape of a card: what is to be tightened, as approved data says it.

A card's content is an object of text, lists and objects, as an entry of kind `card` holds it; a yes is the
word, a no is absent. `card_from` reads a content whose words were checked when the card was loaded.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.torque.limits import Basis, Spec, parse_basis, parse_spec
from torquelog.torque.units import parse_percent

Content = Mapping[str, Any]

AIRCRAFT: Final = "aircraft"
ABOVE: Final = ("replace", "loosen", "engineering")
DIRECTIONS: Final = ("cw", "ccw")
TURNED: Final = ("nut", "head")
REUSE: Final = ("run-on", "never", "allowed")
ALL: Final = "all"

MOST_FASTENERS: Final = 999

WHOLE: Final = (Fraction(1),)


class Step(NamedTuple):
    """One step of tightening a fastener, in place of passes.

    Attributes:
        id: the step's name in small letters.
        title: what to do, in words; may be empty.
        spec: the torque, where the step has one.
        wheel_turning: whether the wheel is turned meanwhile.
        turn: by how much the nut is turned, as "2 flats" or "60°"; may be empty.
    """

    id: str
    title: str
    spec: Spec | None
    wheel_turning: bool
    turn: str


class Hardware(NamedTuple):
    """A part that the group takes.

    Attributes:
        part: the part number or the standard's designation.
        name: what it is, in words; may be empty.
        lot, serial: whether its lot or serial number is to be recorded.
        reuse: `run-on` (where its run-on torque is enough), `never`, `allowed`, or empty: not said.
    """

    part: str
    name: str
    lot: bool
    serial: bool
    reuse: str


class Group(NamedTuple):
    """Fasteners that are tightened alike.

    Attributes:
        id: the group's name in small letters, as in `tie-bolt:7`.
        on: the kind of assembly that carries them, `aircraft`, or empty: whatever the job is about.
        holds: for fasteners of the aircraft, the kind of assembly that they hold; empty: not said.
        name: one of them in words, as "tie bolt".
        count: how many; they are numbered 1 to count.
        thread: the thread's designation, as `1/2-20`; may be empty.
        spec: the torque at the fastener; nothing where the steps say it.
        basis, basis_from: what the torque is counted from, and the share that `above-run-on-from` needs.
        run_on: limits of the run-on torque; nothing where the card has none.
        direction: `cw` or `ccw`.
        turned: `nut`, `head`, or empty: not said.
        castellated: whether a slot has to meet the pin's hole within the limits.
        condition: the condition of the threads; may be empty.
        order: the numbers in the order of tightening.
        ordered: whether the card demands that order.
        passes: the share of the full torque of each pass; the last is 1.
        last_round: whether each is checked once more after the last pass.
        steps: what is done instead of passes.
        hardware: the parts it takes.
        locking: what locks it, each in small letters; recorded as a step with hyphens for the blanks.
        inspection: `independent`, another kind in words, or empty: none.
        hold: whether it is inspected before anything covers it.
        above: what a torque above the limits asks for; empty: not said, which demands a disposition.
        neighbours: how many on each side of a failed one become open items.
        recheck: when it is checked again; may be empty.
        continues: whether one below its limits may be tightened on without loosening it.
    """

    id: str
    on: str
    holds: str
    name: str
    count: int  # type: ignore[assignment]  # hides the tuple's method of that name, which nothing here calls
    thread: str
    spec: Spec | None
    basis: Basis
    basis_from: Fraction | None
    run_on: Spec | None
    direction: str
    turned: str
    castellated: bool
    condition: str
    order: tuple[int, ...]
    ordered: bool
    passes: tuple[Fraction, ...]
    last_round: bool
    steps: tuple[Step, ...]
    hardware: tuple[Hardware, ...]
    locking: tuple[str, ...]
    inspection: str
    hold: bool
    above: str
    neighbours: int
    recheck: str
    continues: bool

    def step(self, name: str) -> Step | None:
        """The step of that name."""
        return next((step for step in self.steps if step.id == name), None)

    @property
    def readings(self) -> int:
        """How many readings the group takes when each is within its limits at once."""
        rounds = sum(step.spec is not None for step in self.steps) if self.steps else len(self.passes)
        return self.count * (rounds + self.last_round)


class Check(NamedTuple):
    """An operational check that holds the closing: its name in small letters, and what is to be shown."""

    id: str
    title: str


class Card(NamedTuple):
    """A card.

    Attributes:
        card: its name, in capitals.
        title: what is done, in words.
        document, revision, date: the approved data it was copied from; the date as ISO text.
        kind: whose cautions it bears, as `wheel`; may be empty.
        fits: the types or part numbers that it is for; empty: not said.
        groups: what is tightened, in order.
        checks: operational checks that hold the closing.
        cautions: cautions of its own, each in words.
        digest: SHA-256 of its canonical content, 64 hex digits.
        drafter: who loaded it; empty before it is on record.
        reference: its entry; empty before it is on record.
    """

    card: str
    title: str
    document: str
    revision: str
    date: str
    kind: str
    fits: tuple[str, ...]
    groups: tuple[Group, ...]
    checks: tuple[Check, ...]
    cautions: tuple[str, ...]
    digest: str
    drafter: str = ""
    reference: str = ""

    def group(self, name: str) -> Group | None:
        """The group of that name."""
        return next((group for group in self.groups if group.id == name), None)

    def check(self, name: str) -> Check | None:
        """The operational check of that name."""
        return next((check for check in self.checks if check.id == name), None)

    @property
    def readings(self) -> int:
        """How many readings the card takes when each is within its limits at once."""
        return sum(group.readings for group in self.groups)


def digest_of(content: Content) -> str:
    """The SHA-256 of a content's canonical text, 64 hex digits: names this very card."""
    from hashlib import sha256

    from torquelog.ledger.form import canonical

    return sha256(canonical(content).encode()).hexdigest()


def card_from(content: Content, digest: str = "") -> Card:
    """Read a card's content.

    Args:
        content: as an entry of kind `card` holds it.
        digest: its digest, where it is known already.

    Raises:
        TorquelogError: where a torque or a share in it cannot be read.
        LookupError, TypeError, ValueError, AttributeError: where it is not a content of this form at all.
    """
    return Card(
        card=content["id"],
        title=content["title"],
        document=content["document"],
        revision=content["revision"],
        date=content["date"],
        kind=content.get("kind", ""),
        fits=tuple(content.get("fits", ())),
        groups=tuple(_group(each, content.get("kind", "")) for each in content["groups"]),
        checks=tuple(Check(each["id"], each["title"]) for each in content.get("checks", ())),
        cautions=tuple(content.get("cautions", ())),
        digest=digest or digest_of(content),
    )


def words_of(name: str) -> str:
    """A name in small letters as words: "tie-bolt" is "tie bolt"."""
    return name.replace("-", " ")


def _group(content: Content, card_kind: str) -> Group:
    basis, share = parse_basis(content.get("basis", "total"))
    count = int(content["count"])
    if not 1 <= count <= MOST_FASTENERS:
        raise ValueError(f"a group of {count}")
    return Group(
        id=content["id"],
        on=content.get("on", card_kind),
        holds=content.get("holds", ""),
        name=content.get("name", words_of(content["id"])),
        count=count,
        thread=content.get("thread", ""),
        spec=_spec(content, "torque"),
        basis=basis,
        basis_from=share,
        run_on=_spec(content, "run-on"),
        direction=content.get("direction", "cw"),
        turned=content.get("turned", ""),
        castellated="castellated" in content,
        condition=content.get("condition", ""),
        order=tuple(map(int, content.get("order", range(1, count + 1)))),
        ordered="order" in content,
        passes=_passes(content.get("passes", ())),
        last_round="last-round" in content,
        steps=tuple(_step(each) for each in content.get("steps", ())),
        hardware=tuple(_hardware(each) for each in content.get("hardware", ())),
        locking=tuple(content.get("locking", ())),
        inspection=content.get("inspection", ""),
        hold="hold" in content,
        above=content.get("above", ""),
        neighbours=_neighbours(content.get("neighbours", "0"), count),
        recheck=content.get("recheck", ""),
        continues="continue" in content,
    )


def _spec(content: Content, name: str) -> Spec | None:
    return parse_spec(content[name]) if name in content else None


def _passes(texts: Sequence[str]) -> tuple[Fraction, ...]:
    return tuple(map(parse_percent, texts)) or WHOLE


def _step(content: Content) -> Step:
    return Step(
        id=content["id"],
        title=content.get("title", ""),
        spec=_spec(content, "torque"),
        wheel_turning="wheel-turning" in content,
        turn=content.get("turn", ""),
    )


def _hardware(content: Content) -> Hardware:
    return Hardware(
        part=content["part"],
        name=content.get("name", ""),
        lot="lot" in content,
        serial="serial" in content,
        reuse=content.get("reuse", ""),
    )


def _neighbours(text: str, count: int) -> int:
    return count - 1 if text == ALL else int(text)
