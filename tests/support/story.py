"""A scene for tests of the main job: one word for each thing that happens at an invented station, through the acts.

A whole record is laid once for each process and copied for each story, so that no test waits for key derivation.
Every act takes a second: what is told later also happens later, unless a test says when it was.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from functools import cache
from json import dumps
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import pytest

from tests.support.books import DAY, HOUR, NOON, enrol, new_book, sign_in
from torquelog.book.asked import Asked, RunOn
from torquelog.book.jobview import JobState, job_state
from torquelog.book.opening import Book, open_book
from torquelog.book.signer import Signer
from torquelog.book.verification import verify
from torquelog.book.writing import writing
from torquelog.clock import Moment, Period, SetClock, parse_moment
from torquelog.crib import calibration, condition, custody, register
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.register import NewTool
from torquelog.crib.scales import parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.assemblies import Assembly
from torquelog.facts.calibrations import Point
from torquelog.facts.card_form import Content
from torquelog.ledger import database
from torquelog.quality import confirm, trace
from torquelog.rules.fastener import State
from torquelog.torque.units import Length, Torque, parse_length, parse_torque
from torquelog.work import aircraft, assemblies, cards, correct, fasteners, jobs, record
from torquelog.work.cardfile import read_card

PART = "EX-4410-1"
WHEEL = {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"}
PASSES = {**WHEEL, "torque": "68..76 N·m", "passes": ["50 %", "100 %"]}
AXLE = {"id": "axle-nut", "on": "aircraft", "holds": "wheel", "count": 1, "torque": "95..105 N·m"}


class Crew(NamedTuple):
    """A laid record: the file's bytes, and who signs with what: by passphrase, and signed in."""

    file: bytes
    own: dict[str, Signer]
    signed: dict[str, Signer]


@cache
def laid(*, alone: bool) -> Crew:
    """A record with TK, who holds every role, and unless alone IK, a technician, and MS, an inspector."""
    with TemporaryDirectory() as folder:
        kept = new_book(Path(folder))
        own, signed = {"TK": kept.quality}, {"TK": kept.signer}
        for person, name, role in () if alone else _OTHERS:
            own[person], signed[person] = enrol(kept.book, kept.quality, person, name, [role])
        kept.book.close()
        return Crew(Path(kept.book.path).read_bytes(), own, signed)


_OTHERS = (("IK", "Ivo Kask", "technician"), ("MS", "Mira Solheim", "inspector"))


class Story:
    """One record on its way: the open book, its clock, what happens to it, and the entry of the last act."""

    def __init__(self, folder: Path, *, alone: bool = False) -> None:
        crew = laid(alone=alone)
        path = folder / "qhr.db"
        path.write_bytes(crew.file)
        self.clock = SetClock(NOON)
        self.book: Book = open_book(path, "write", self.clock, clock_ok=True)
        self.own, self.signed = dict(crew.own), dict(crew.signed)
        self.last = ""

    def later(self, *, seconds: int = 0, hours: int = 0, days: int = 0) -> None:
        """Let time pass; after some hours everybody signs in again."""
        self.clock.moment += seconds * 1000 + hours * HOUR + days * DAY
        if hours or days:
            self._sign_in()

    def until(self, local: str) -> Moment:
        """Let time pass up to a local time; gives that moment."""
        self.clock.moment = self.moment(local)
        self._sign_in()
        return self.clock.moment

    def _sign_in(self) -> None:
        self.signed = {person: sign_in(self.book, own) for person, own in self.own.items()}

    def moment(self, local: str) -> Moment:
        """A local time as a moment."""
        return parse_moment(local, self.book.zone)

    def _tick(self) -> None:
        self.clock.moment += 1000

    # What there is

    def wrench(
        self,
        number: str = "W-0417",
        *,
        scale: str = "20..150 N·m by 0.5",
        on: str = "2026-11-09",
        accept: bool = True,
        points: Sequence[Point] = (),
        **facts: Any,
    ) -> None:
        """Register a wrench with its certificate of a day; without a day it has none."""
        self._tick()
        new = NewTool(
            tool=number, sort="wrench", type="setting", scales=(parse_scale(scale),), lever=Length("10", "in"),
            accuracy="4", every=Period(12, "month"), cycles=5000,
        )  # fmt: skip
        register.register(self.book, self.signed["TK"], new._replace(**facts))
        if on:
            self.calibrate(number, on, accept=accept, points=points)

    def calibrate(
        self,
        number: str,
        on: str,
        *,
        accept: bool = True,
        points: Sequence[Point] = (),
        direction: str = "cw",
    ) -> str:
        """Put a certificate on record, with results at both ends of the main scale; gives its entry."""
        self._tick()
        given = tuple(points) or self.results(number, direction)
        new = NewCalibration(f"C-{number}-{on}", date.fromisoformat(on), laboratory="Lab", points=given)
        done = calibration.calibrate(self.book, self.signed["TK"], number, new, accept=accept)
        return done.calibration.reference

    def results(self, number: str, direction: str = "cw") -> tuple[Point, ...]:
        """Results without any deviation at both ends of a wrench's main scale."""
        found = tools.tool(self.book.connection, number)
        assert found is not None
        scale = found.scales[0]
        return self.results_of(scale.low.value, scale.high.value, scale.unit, direction)

    @staticmethod
    def results_of(low: str, high: str, unit: str, direction: str = "cw") -> tuple[Point, ...]:
        """Results without any deviation at two torques."""
        ends = (Torque(low, unit), Torque(high, unit))
        return tuple(Point("as-left", direction, each, each) for each in ends)

    def adapter(self, number: str, length: str, **facts: Any) -> None:
        """Register an adapter by its length."""
        self._tick()
        new = NewTool(tool=number, sort="adapter", length=parse_length(length, signed=True))
        register.register(self.book, self.signed["TK"], new._replace(**facts))

    def aircraft(self, registration: str = "QQ-HLB", msn: str = "1001") -> None:
        """Put an aircraft on record."""
        self._tick()
        aircraft.add(self.book, self.signed["TK"], registration, msn=msn, type="EX-200")

    def assembly(self, serial: str = "WH-2231", kind: str = "wheel", part: str = PART) -> None:
        """Put an assembly on record."""
        self._tick()
        assemblies.add(self.book, self.signed["TK"], Assembly(part, serial, kind))

    def card(self, name: str = "BUILD", *groups: dict[str, Any], revision: str = "B", **more: Any) -> None:
        """Load a card and have it approved by the inspector, or by its drafter where nobody else is there."""
        self._tick()
        cards.load(self.book, self.signed["TK"], content(name, revision, *groups, **more))
        checker = self.own.get("MS", self.own["TK"])
        cards.approve(self.book, checker, name, why="checked against the document")

    def job(self, name: str = "J-1", card: str = "BUILD", *named: str, **more: Any) -> None:
        """Open a job; on the wheel of the scene where nothing else is said."""
        self._tick()
        given = named or (() if "on" in more else ("WH-2231",))
        jobs.open_job(self.book, self.signed["TK"], name, card, named=given, **more)

    def bench(self, *groups: dict[str, Any], **more: Any) -> None:
        """A wrench, a wheel, a card with these groups and the job J-1 by it."""
        self.wrench()
        self.assembly()
        self.card("BUILD", *(groups or (WHEEL,)), **more)
        self.job()

    # What is done

    def asked(
        self, fastener: str, reading: str, wrench: str = "W-0417", *, by: str = "TK", **more: Any
    ) -> Asked:
        """A reading as a person reports it; `at` is a local time, `run_on` a torque, a wrench and adapters."""
        group, _, item = fastener.partition(":")
        at = more.pop("at", None)
        run_on = more.pop("run_on", None)
        return Asked(
            job=more.pop("job", "J-1"), group=group, item=int(item), reading=parse_torque(reading), wrench=wrench,
            adapters=tuple(more.pop("adapters", ())), performed_by=by,
            performed_at=self.moment(at) if isinstance(at, str) else at,
            run_on=run_on and RunOn(parse_torque(run_on[0]), run_on[1], tuple(run_on[2:])), **more,
        )  # fmt: skip

    def take(
        self, fastener: str, reading: str, wrench: str = "W-0417", *, id: str | None = None, signed_by: str = "",
        **more: Any,
    ) -> record.Recorded:  # fmt: skip
        """Record a reading, signed by who did it unless somebody else is named; see `asked`."""
        self._tick()
        asked = self.asked(fastener, reading, wrench, **more)
        signer = self.signed[signed_by or asked.performed_by]
        return record.record(self.book, signer, asked, entry_id=id)

    def act(self, fastener: str, what: str, *, by: str = "TK", job: str = "J-1", **more: Any) -> State:
        """Record that a fastener was loosened, replaced or found; gives how it stands then."""
        self._tick()
        group, _, item = fastener.partition(":")
        at = more.pop("at", None)
        work = fasteners.Work(by, self.moment(at) if at else None, more.pop("why", None))
        done = fasteners.act(self.book, self.signed[by], job, group, int(item), what, work, **more)
        assert done.state is not None
        self.last = done.reference
        return done.state

    def step(self, target: str, name: str, *, by: str = "TK", job: str = "J-1") -> fasteners.Done:
        """Record a step of a group, of one of its fasteners, or (target "") an operational check."""
        self._tick()
        group, _, item = target.partition(":")
        whose = (group, int(item) if item else None) if group else None
        return fasteners.step(self.book, self.signed[by], job, whose, name, fasteners.Work(by))

    def fit(
        self, serial: str, on: str = "QQ-HLB", position: str = "main 2", *, at: str = "", **more: Any
    ) -> str:
        """Fit an assembly; gives the entry."""
        self._tick()
        when = self.moment(at) if at else None
        return assemblies.fit(self.book, self.signed["TK"], serial, on, position, at=when, **more).reference

    def remove(self, serial: str, *, at: str = "", to: str = "stores") -> str:
        """Take an assembly off its aircraft; gives the entry."""
        self._tick()
        when = self.moment(at) if at else None
        return assemblies.remove(self.book, self.signed["TK"], serial, at=when, to=to).reference

    def take_apart(self, serial: str) -> str:
        """Take an assembly apart; gives the entry."""
        self._tick()
        return assemblies.take_apart(self.book, self.signed["TK"], serial, "tyre change").reference

    def report(self, tool: str, what: str, *, at: str = "", by: str = "TK") -> None:
        """Report what befell a tool."""
        self._tick()
        when = self.moment(at) if at else None
        condition.report(self.book, self.signed[by], tool, what, at=when)

    def issue(self, tool: str, to: str = "TK", *, job: str = "") -> None:
        """Hand a tool out."""
        self._tick()
        assert custody.issue(self.book, self.signed["TK"], [tool], to, job=job).moved

    def give_back(self, tool: str, *, uses: int = 0) -> None:
        """Take a tool back into the crib."""
        self._tick()
        custody.give_back(self.book, self.signed["TK"], [tool], uses=uses)

    def correct(self, entry: str, *, by: str = "TK", own: bool = False, **change: Any) -> correct.Corrected:
        """Strike an entry, and record a reading again where something of it is given."""
        self._tick()
        if "reading" in change:
            change["reading"] = parse_torque(change["reading"])
        if "fastener" in change:
            group, _, item = change["fastener"].partition(":")
            change["fastener"] = (group, int(item))
        signer = self.own[by] if own else self.signed[by]
        return correct.correct(self.book, signer, entry, "typed wrongly", correct.Change(**change))

    def confirm(self, entry: str, *, by: str = "MS") -> confirm.Confirmed:
        """Confirm an entry by somebody's passphrase."""
        self._tick()
        return confirm.confirm(self.book, self.own[by], entry, "the worksheet shows it")

    def says(self, kind: str, body: dict[str, Any], *, by: str = "TK", own: bool = False) -> str:
        """Append an entry as it stands; gives its name."""
        self._tick()
        with writing(self.book) as w:
            return w.append(self.own[by] if own else self.signed[by], kind, body).reference

    def close(self, job: str = "J-1") -> bool:
        """Ask for a job to be closed; gives whether it was."""
        self._tick()
        return bool(jobs.close(self.book, self.signed["TK"], job).reference)

    # How things stand

    def job_state(self, job: str = "J-1") -> JobState:
        """How a job stands."""
        return job_state(self.book.connection, job)

    def state(self, fastener: str, job: str = "J-1") -> State:
        """How a fastener stands, seen from a job."""
        group, _, item = fastener.partition(":")
        return self.job_state(job).view.states[group, int(item)]

    def held(self, job: str = "J-1") -> list[str]:
        """What holds a job open, by code."""
        return [hold.code for hold in self.job_state(job).holds]

    def trace(self, kind: str, name: str, **more: Any) -> trace.Trace:
        """What somebody or something touched; `as_of` is a local time."""
        named = {key: self.moment(text) for key, text in more.items()}
        return trace.trace(self.book, kind, name, **named)

    def entries(self) -> int:
        """How many entries are on record."""
        (count,) = self.book.connection.execute("SELECT count(*) FROM entry").fetchone()
        return int(count)

    @contextmanager
    def refused(self, code: str) -> Iterator[pytest.ExceptionInfo[TorquelogError]]:
        """Demand an error with this code, and that nothing is on record after it."""
        before = self.entries()
        with pytest.raises(TorquelogError) as caught:
            yield caught
        assert caught.value.code == code, caught.value
        assert self.entries() == before

    def demand_that_it_holds(self) -> None:
        """Demand that every entry verifies: links, signatures, judgements, and the rows of every register."""
        report = verify(self.book.connection, self.book.station)
        assert report.holds, report.findings

    def close_book(self) -> None:
        """Let go of the file."""
        database.close(self.book.connection)


def content(
    name: str, revision: str, *groups: dict[str, Any], checks: Sequence[dict[str, str]] = ()
) -> Content:
    """A card's content, as an entry holds it: written as a file, steps and checks included, and read."""
    head = {
        "id": name, "title": "Main wheel, build-up", "document": "CMM 32-40-EX", "revision": revision,
        "date": "2026-11-02",
    }  # fmt: skip
    tables = [
        ("[card]", head),
        *(("[[group]]", group) for group in groups),
        *(("[[check]]", each) for each in checks),
    ]
    lines = [
        f"{title}\n" + "\n".join(f"{key} = {_toml(value)}" for key, value in table.items())
        for title, table in tables
    ]
    return read_card("\n\n".join(lines), "card.toml").content


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_toml(each)}' for key, each in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    return dumps(value, ensure_ascii=False)


def codes(found: record.Recorded) -> list[str]:
    """The grounds of a refusal, by code."""
    return [ground.code for ground in found.grounds]


def remarks(found: record.Recorded) -> set[str]:
    """The remarks that an answer bears, by code."""
    return {remark.code for remark in found.remarks}
