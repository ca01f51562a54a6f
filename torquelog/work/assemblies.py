"""What is done with assemblies: on record, fitted, removed, moved, taken apart, held back and released.

Each act is judged at the time it is said to have been done, and may be told late.
"""

from typing import NamedTuple

from torquelog.book.named import aircraft_named, assembly_named
from torquelog.book.opening import Book
from torquelog.book.recall_hold import held_by_recall
from torquelog.book.signer import Signer
from torquelog.book.writing import Appended, Writing, writing
from torquelog.clock import Moment, offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft, assemblies
from torquelog.facts.assemblies import NAMED_PLACES, Assembly, Place, Placement, position_of
from torquelog.facts.rows import END_OF_TIME, AsOf


class Added(NamedTuple):
    """An assembly put on record, and its entry."""

    assembly: Assembly
    reference: str


class Placed(NamedTuple):
    """Something that was done with an assembly.

    Attributes:
        assembly: which.
        act: what: one of `facts.assemblies.ACTS`.
        at: when, in milliseconds since 1970 UTC.
        before, after: where it was until then, and is from then on.
        registration: of the aircraft concerned at that time; its serial number where it bore none; or empty.
        position: on that aircraft, or empty.
        replaced: the assemblies that came off for this one.
        later: what is on record about it after that time already: this was told late.
        reference: the entry.
    """

    assembly: Assembly
    act: str
    at: Moment
    before: Place
    after: Place
    registration: str
    position: str
    replaced: tuple[Assembly, ...]
    later: tuple[Placement, ...]
    reference: str


def add(book: Book, signer: Signer, assembly: Assembly) -> Added:
    """Put an assembly on record.

    Raises:
        TorquelogError: `exists`.
    """
    with writing(book) as w:
        return add_in(w, signer, assembly)


def add_in(w: Writing, signer: Signer, assembly: Assembly, *, entry_id: str | None = None) -> Added:
    """Put an assembly on record inside a transaction that is open, under an id where one is given; see `add`."""
    known = assemblies.assembly(w.connection, assembly.key)
    if known is not None:
        raise TorquelogError("exists", f"{known.sort.capitalize()} {known.key} is on record already.")
    body = {"part": assembly.part, "serial": assembly.serial, "kind": assembly.sort}
    return Added(assembly, w.append(signer, "assembly", body, id=entry_id).reference)


def fit(
    book: Book, signer: Signer, name: str, on: str, position: str, *, at: Moment | None = None,
    replacing: bool = False,
) -> Placed:  # fmt: skip
    """Fit an assembly to an aircraft's position.

    Args:
        book, signer: where, and who signs.
        name: the assembly's serial number, or its part and serial number.
        on: the aircraft's registration at that time, or its serial number.
        position: where on it.
        at: when; now where nothing is said.
        replacing: whether what is there of the same kind comes off, at the same time.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `aircraft-unknown`, `in-the-future`,
            `assembly-scrapped`, `assembly-held`, `assembly-recalled`, `assembly-fitted`,
            `position-occupied`, `nothing-to-replace`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "fit", at)
        found = aircraft_named(w.connection, on, act.as_of)
        where = position_of(position)
        _check_may_fit(w, act, found.msn, where)
        there = assemblies.fitted(w.connection, found.msn, where, act.as_of)
        same = tuple(each for each in there if each.sort == act.assembly.sort)
        _check_occupied(w, act, found.msn, where, same, replacing)
        for each in same:
            act.append("remove", each, aircraft=found.msn, position=where)
        return act.done(aircraft=found.msn, position=where, replaced=same)


def remove(
    book: Book, signer: Signer, name: str, *, at: Moment | None = None, to: str | None = None
) -> Placed:
    """Take an assembly off the aircraft that it is fitted to.

    Args:
        book, signer: where, and who signs.
        name: the assembly's serial number, or its part and serial number.
        at: when; now where nothing is said.
        to: where it went: stores, shop, scrap or another place; nothing where nobody says.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `in-the-future`, `assembly-not-fitted`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "remove", at)
        if act.before.kind != "aircraft":
            raise TorquelogError(
                "assembly-not-fitted",
                f"{act.assembly.serial} is not fitted to an aircraft{act.then}. Nothing was recorded.",
                hint=f"torquelog assembly show {act.assembly.serial}",
            )
        return act.done(
            aircraft=act.before.aircraft, position=act.before.position, to=place_of(to) if to else None
        )


def move(book: Book, signer: Signer, name: str, to: str, *, at: Moment | None = None) -> Placed:
    """Say where an assembly is that is not on an aircraft.

    Args:
        book, signer: where, and who signs.
        name: the assembly's serial number, or its part and serial number.
        to: stores, shop, scrap, or another place in words.
        at: when; now where nothing is said.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `in-the-future`, `assembly-fitted`, `assembly-scrapped`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "move", at)
        _check_off(w, act)
        return act.done(to=place_of(to))


def take_apart(book: Book, signer: Signer, name: str, why: str, *, at: Moment | None = None) -> Placed:
    """Take an assembly apart, which ends what was tight on it.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `in-the-future`, `assembly-fitted`, `assembly-scrapped`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "take-apart", at)
        _check_off(w, act)
        return act.done(why=why)


def hold(book: Book, signer: Signer, name: str, why: str, *, at: Moment | None = None) -> Placed:
    """Hold an assembly back: it is not fitted until somebody releases it.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `in-the-future`, `assembly-held`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "hold", at)
        _check_not_held(act)
        return act.done(why=why)


def release(book: Book, signer: Signer, name: str, why: str, *, at: Moment | None = None) -> Placed:
    """Release an assembly that was held back.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, `in-the-future`, `assembly-not-held`.
    """
    with writing(book) as w:
        act = _begin(w, book, signer, name, "release", at)
        if act.before.held is None:
            raise TorquelogError(
                "assembly-not-held", f"{act.assembly.serial} is not held{act.then}. Nothing was recorded."
            )
        return act.done(why=why)


def place_of(text: str) -> str:
    """A place as it is kept: stores, shop and scrap in small letters, another one as it is written."""
    words = " ".join(text.split())
    return words.lower() if words.lower() in NAMED_PLACES else words


class _Act(NamedTuple):
    """One act on its way: the transaction, who signs, what with, and how things stood at that time."""

    w: Writing
    book: Book
    signer: Signer
    assembly: Assembly
    act: str
    at: Moment
    now: Moment
    before: Place

    @property
    def as_of(self) -> AsOf:
        return AsOf(self.at, END_OF_TIME)

    @property
    def then(self) -> str:
        """Words that say that an earlier time is meant."""
        return " at that time" if self.at < self.now else ""

    def append(self, act: str, assembly: Assembly, **members: str | None) -> Appended:
        """Write one placement."""
        body = {
            "act": act,
            "part": assembly.part,
            "serial": assembly.serial,
            "at": offset_text(self.at, self.book.zone),
        } | {name: text for name, text in members.items() if text}
        return self.w.append(self.signer, "placement", body)

    def done(self, replaced: tuple[Assembly, ...] = (), **members: str | None) -> Placed:
        """Write this act, and say what came of it."""
        entry = self.append(self.act, self.assembly, **members)
        connection, key = self.w.connection, self.assembly.key
        msn = members.get("aircraft")
        return Placed(
            assembly=self.assembly, act=self.act, at=self.at, before=self.before,
            after=assemblies.place(connection, key, self.as_of),
            registration=_bears(self.w, msn, self.as_of) if msn else "",
            position=members.get("position") or "", replaced=replaced,
            later=tuple(each for each in assemblies.placements(connection, key) if each.at > self.at),
            reference=entry.reference,
        )  # fmt: skip


def _begin(w: Writing, book: Book, signer: Signer, name: str, act: str, at: Moment | None) -> _Act:
    now = w.time()
    when = now if at is None else at
    if when > now:
        raise TorquelogError("in-the-future", "That time is later than now. Nothing was recorded.")
    found = assembly_named(w.connection, name)
    before = assemblies.place(w.connection, found.key, AsOf(when, END_OF_TIME))
    return _Act(w, book, signer, found, act, when, now, before)


def _check_may_fit(w: Writing, act: _Act, msn: str, position: str) -> None:
    serial, where = act.assembly.serial, act.before
    _check_not_scrapped(act)
    _check_not_held(act)
    _check_not_recalled(w, act)
    if where.kind != "aircraft":
        return
    on = f"{_bears(w, where.aircraft or '', act.as_of)}, {where.position}"
    if (where.aircraft, where.position) == (msn, position):
        raise TorquelogError(
            "assembly-fitted", f"{serial} is fitted to {on} already{act.then}. Nothing was recorded."
        )
    raise TorquelogError(
        "assembly-fitted",
        f"{serial} is fitted to {on}{act.then}. Nothing was recorded.",
        hint=f"torquelog assembly remove {serial}",
    )


def _check_occupied(
    w: Writing, act: _Act, msn: str, position: str, same: tuple[Assembly, ...], replacing: bool
) -> None:
    on = f"{_bears(w, msn, act.as_of)}, {position}"
    if same and not replacing:
        raise TorquelogError(
            "position-occupied",
            f"{act.assembly.sort.capitalize()} {same[0].serial} is fitted to {on}{act.then}. Nothing was recorded.",
            hint="Add --replacing where it comes off for this one.",
        )
    if replacing and not same:
        raise TorquelogError(
            "nothing-to-replace",
            f"No {act.assembly.sort} is fitted to {on}{act.then}. Nothing was recorded.",
            hint="Leave --replacing out.",
        )


def _check_off(w: Writing, act: _Act) -> None:
    """An assembly is moved or taken apart off the aircraft."""
    _check_not_scrapped(act)
    if act.before.kind == "aircraft":
        on = f"{_bears(w, act.before.aircraft or '', act.as_of)}, {act.before.position}"
        raise TorquelogError(
            "assembly-fitted",
            f"{act.assembly.serial} is fitted to {on}{act.then}. Nothing was recorded.",
            hint=f"torquelog assembly remove {act.assembly.serial}",
        )


def _check_not_scrapped(act: _Act) -> None:
    if act.before.kind == "scrap":
        raise TorquelogError(
            "assembly-scrapped", f"{act.assembly.serial} was scrapped. Nothing was recorded."
        )


def _check_not_held(act: _Act) -> None:
    if act.before.held is not None:
        raise TorquelogError(
            "assembly-held",
            f"{act.assembly.serial} is held{act.then}: {act.before.held or 'no reason on record'}. "
            "Nothing was recorded.",
            hint=f"torquelog assembly release {act.assembly.serial} --why REASON",
        )


def _check_not_recalled(w: Writing, act: _Act) -> None:
    held = held_by_recall(w.connection, act.assembly.key, act.as_of)
    if held is not None:
        raise TorquelogError(
            "assembly-recalled",
            f"{act.assembly.serial} is held back by a recall{act.then}. Nothing was recorded.",
            why=held.text,
            hint=f"torquelog recall show {held.recall}" if held.recall else "torquelog recall list",
        )


def _bears(w: Writing, msn: str, as_of: AsOf) -> str:
    return aircraft.registration(w.connection, msn, as_of) or msn
