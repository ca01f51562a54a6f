"""Jobs: opened by an approved card on something that can carry its groups, and closed once nothing is open."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from torquelog.book.jobview import JobState, job_state
from torquelog.book.named import aircraft_named, approved_card, assembly_named, job_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.errors import TorquelogError
from torquelog.facts import assemblies, cards, jobs
from torquelog.facts.aircraft import Aircraft
from torquelog.facts.assemblies import Assembly, position_of
from torquelog.facts.card_form import AIRCRAFT, Card
from torquelog.facts.jobs import Job, owner_of
from torquelog.ledger.text import gate_name
from torquelog.work.assemblies import add_in


class Opened(NamedTuple):
    """A job that was opened.

    Attributes:
        job, card: the job and its card.
        aircraft: the aircraft, or nothing.
        assemblies: what it names, by kind.
        added: those of them that came on record with it.
        own_approval: whether the card's drafter approved it, as nobody else could.
        beside: other open jobs on the same fasteners.
    """

    job: Job
    card: Card
    aircraft: Aircraft | None
    assemblies: tuple[Assembly, ...]
    added: tuple[Assembly, ...]
    own_approval: bool
    beside: tuple[str, ...]


class Closing(NamedTuple):
    """A job asked to be closed: how it stands, and the entry; without an entry it is held open."""

    state: JobState
    reference: str


def open_job(
    book: Book, signer: Signer, name: str, card_name: str, *, on: str | None = None,
    position: str | None = None, named: Sequence[str] = (), new: Sequence[Assembly] = (),
) -> Opened:  # fmt: skip
    """Open a job by the newest approved revision of a card.

    Args:
        book, signer: where, and who signs.
        name: the job's, as an identifier.
        card_name: the card's.
        on, position: the aircraft, by registration or serial number, and where on it.
        named: assemblies as a person names them, each by serial number, or by part and serial number, with or
            without `KIND=` in front.
        new: assemblies that are put on record with the job, which `named` may name.

    Raises:
        TorquelogError: `exists`, `card-unknown`, `card-not-approved`, `aircraft-unknown`, `assembly-unknown`,
            `ambiguous`, `job-place`, `job-owner`, `card-misfit`, `assembly-kind`, `assembly-scrapped`.
    """
    with writing(book) as w:
        _check_free(w, name)
        card = approved_card(w.connection, card_name)
        added = tuple(add_in(w, signer, each).assembly for each in new)
        found = aircraft_named(w.connection, on) if on else None
        where = position_of(position) if position else None
        concerned = _assemblies(w, named)
        draft = Job(
            name, card.card, card.revision, card.digest, found.msn if found else None, where,
            {each.sort: each.key for each in concerned}, w.time(), signer.person, None, "",
        )  # fmt: skip
        _check_place(w, draft)
        _check_carried(w, draft, card)
        _check_fits(card, found, concerned)
        beside = tuple(_beside(w, draft, card))
        entry = w.append(signer, "job", _body(draft))
        approval = cards.approval(w.connection, card.digest)
    job = draft._replace(opened=entry.recorded, reference=entry.reference)
    return Opened(job, card, found, concerned, added, approval is not None and approval.own, beside)


def close(book: Book, signer: Signer, name: str, *, why: str | None = None) -> Closing:
    """Close a job, unless something is open.

    Args:
        book, signer: where, and who signs.
        name: the job's.
        why: what is said beside it.

    Returns:
        How the job stood, with what holds it open; an entry only where nothing does.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`.
    """
    with writing(book) as w:
        job = job_named(w.connection, name)
        if job.closed is not None:
            raise TorquelogError("job-closed", f"{job.job} is closed already. Nothing was recorded.")
        state = job_state(w.connection, job.job)
        if state.holds:
            return Closing(state, "")
        body = {"job": job.job} | ({"why": why} if why else {})
        entry = w.append(signer, "job-closed", body)
        return Closing(job_state(w.connection, job.job), entry.reference)


def split_kind(text: str) -> tuple[str, str]:
    """A kind, where one stands in front, and the name of an assembly: "wheel=WH-2231".

    Raises:
        TorquelogError: `name-form`.
    """
    kind, equals, name = text.rpartition("=")
    return (gate_name(kind, "a kind of assembly") if equals else ""), name


def _check_free(w: Writing, name: str) -> None:
    known = jobs.job(w.connection, name)
    if known is not None:
        closed = "closed" if known.closed is not None else "open"
        raise TorquelogError(
            "exists",
            f"There is a job {name} already, {closed}, by card {known.card}. Nothing was recorded.",
            hint=f"torquelog job show {name}",
        )


def _assemblies(w: Writing, named: Sequence[str]) -> tuple[Assembly, ...]:
    found: dict[str, Assembly] = {}
    for text in named:
        kind, name = split_kind(text)
        each = assembly_named(w.connection, name)
        if kind not in ("", each.sort):
            raise TorquelogError(
                "assembly-kind", f"{each.serial} is a {each.sort}, not a {kind}. Nothing was recorded."
            )
        if found.setdefault(each.sort, each) != each:
            raise TorquelogError(
                "assembly-kind",
                f"{found[each.sort].serial} and {each.serial} are both of kind {each.sort}. Nothing was recorded.",
                hint="Open a job for each.",
            )
        if assemblies.place(w.connection, each.key).kind == "scrap":
            raise TorquelogError("assembly-scrapped", f"{each.serial} was scrapped. Nothing was recorded.")
    return tuple(found[kind] for kind in sorted(found))


def _check_place(w: Writing, job: Job) -> None:
    if bool(job.aircraft) != bool(job.position):
        lacking = ("--position", "the position") if job.aircraft else ("--aircraft", "the aircraft")
        raise TorquelogError(
            "job-place",
            f"{lacking[1].capitalize()} is missing. Nothing was recorded.",
            hint=f"Name it with {lacking[0]}.",
        )
    if not (job.aircraft or job.assemblies):
        raise TorquelogError(
            "job-place",
            "A job is about an assembly, a position of an aircraft, or both. Nothing was recorded.",
            hint="Name it with --assembly, or with --aircraft and --position.",
        )


def _check_carried(w: Writing, job: Job, card: Card) -> None:
    """Each group needs something that carries it; raises `job-owner`, naming all that lack it."""
    lacking: list[str] = []
    first: TorquelogError | None = None
    for group in card.groups:
        try:
            owner_of(job, group)
        except TorquelogError as error:
            first = first or error
            lacking += [group.on] if group.on not in lacking else []
    if first is None:
        return
    if "" in lacking:
        raise first
    wanted = [f"--assembly {kind}=SERIAL" for kind in lacking if kind != AIRCRAFT]
    wanted += ["--aircraft REG --position POS"] if AIRCRAFT in lacking else []
    raise TorquelogError(
        "job-owner",
        f"{card.card} has fasteners on: {', '.join(lacking)}. The job names none. Nothing was recorded.",
        why=_fitted_there(w, job, lacking),
        hint=f"Add {' '.join(wanted)}.",
    )


def _fitted_there(w: Writing, job: Job, kinds: Sequence[str]) -> str:
    if not (job.aircraft and job.position):
        return ""
    there = assemblies.fitted(w.connection, job.aircraft, job.position)
    named = [f"{each.sort} {each.serial}" for each in there if each.sort in kinds]
    return f"Fitted there: {', '.join(named)}." if named else ""


def _check_fits(card: Card, found: Aircraft | None, concerned: Sequence[Assembly]) -> None:
    """A card that says what it fits is for nothing else."""
    if not card.fits:
        return
    offered = [each.part for each in concerned] + ([found.type] if found else [])
    if {each.casefold() for each in card.fits}.isdisjoint(each.casefold() for each in offered):
        raise TorquelogError(
            "card-misfit",
            f"{card.card} fits {', '.join(card.fits)}; this is {', '.join(offered)}. Nothing was recorded.",
            why="A card is used for what its document is about.",
        )


def _beside(w: Writing, job: Job, card: Card) -> Iterator[str]:
    """Open jobs that work on the same fasteners: the same owner, and a group of the same name."""
    own = {(owner_of(job, group), group.id) for group in card.groups}
    for other in jobs.open_jobs(w.connection):
        theirs = cards.card_by_digest(w.connection, other.digest)
        groups = theirs.groups if theirs else ()
        if any((owner_of(other, group), group.id) in own for group in groups):
            yield other.job


def _body(job: Job) -> dict[str, object]:
    body: dict[str, object] = {
        "job": job.job, "card": job.card, "revision": job.revision, "digest": job.digest,
    }  # fmt: skip
    optional = {"aircraft": job.aircraft, "position": job.position, "assemblies": dict(job.assemblies)}
    return body | {name: value for name, value in optional.items() if value}
