"""Corrections: the mistaken entry is struck, never erased, and recorded again with its own time."""

from pathlib import Path

import pytest

from tests.support.story import PASSES, WHEEL, Story, codes, remarks
from torquelog.book.verification import verify
from torquelog.facts import strikes
from torquelog.facts.people import FIRST

ONE = {**WHEEL, "count": 1}


def rows(story: Story) -> list[tuple[object, ...]]:
    """Every reading in its table: number, fastener, value, outcome."""
    return story.book.connection.execute(
        "SELECT number, item, value, outcome FROM reading ORDER BY number"
    ).fetchall()


def test_a_corrected_reading_has_the_time_of_the_struck_one(story: Story) -> None:
    """Typed 101, was 102: struck, and recorded again as of when the work was done; both stay on record."""
    story.bench(ONE)
    typed = story.take("tie-bolt:1", "101 N·m")
    story.later(hours=2)
    done = story.correct(typed.reference, reading="102 N·m")
    assert done.reading is not None
    assert (done.reading.performed_at, done.reading.outcome, done.awaits) == (
        typed.performed_at,
        "within",
        False,
    )
    assert [(value, outcome) for _, _, value, outcome in rows(story)] == [
        ("101", "within"),
        ("102", "within"),
    ]
    states = {row.reading.indicated.value: row.state for row in story.trace("wrench", "W-0417").rows}
    assert states == {"101": "struck", "102": "tight"}
    assert story.close()


def test_only_struck_it_never_happened(story: Story) -> None:
    """Without anything given anew the fastener is as it was before, and no other entry follows."""
    story.bench(ONE)
    typed = story.take("tie-bolt:1", "101 N·m")
    before = story.entries()
    done = story.correct(typed.reference)
    assert (done.reading, done.kind, story.entries()) == (None, "reading", before + 1)
    assert story.held() == ["not-tightened"]


def test_the_reading_again_names_the_struck_entry(story: Story) -> None:
    """And bears the reason of the correction."""
    from torquelog.book.entries import the_entry

    story.bench()
    typed = story.take("tie-bolt:1", "101 N·m")
    done = story.correct(typed.reference, reading="102 N·m")
    body = the_entry(story.book.connection, done.reading.reference).body
    assert (body["corrects"], body["why"]) == (typed.reference, "typed wrongly")


class TestOutside:
    """A correction that takes an outside outcome away waits for a second person."""

    @pytest.fixture
    def above(self, story: Story) -> tuple[Story, str]:
        """118 on record, which was typed for 108 where the card allows 95 to 105."""
        story.bench({**ONE, "above": "replace"})
        return story, story.take("tie-bolt:1", "118 N·m").reference

    def test_it_holds_the_closing_until_confirmed(self, above: tuple[Story, str]) -> None:
        """118 corrected to 101: the strike waits, and by its own name it is confirmed."""
        story, typed = above
        done = story.correct(typed, reading="101 N·m")
        assert (done.awaits, done.reading.outcome) == (True, "within")
        assert story.held() == ["awaits-confirmation"]
        with story.refused("not-awaiting"):
            story.confirm(typed)
        story.confirm(done.strike)
        assert story.close()

    def test_struck_alone_it_waits_too(self, above: tuple[Story, str]) -> None:
        """Nothing in its place: the outside outcome is gone all the same."""
        story, typed = above
        assert story.correct(typed).awaits is True
        assert sorted(story.held()) == ["awaits-confirmation", "not-tightened"]

    def test_outside_corrected_to_outside_waits_for_nobody(self, above: tuple[Story, str]) -> None:
        """118 corrected to 116 leaves the bolt over-torqued."""
        story, typed = above
        assert story.correct(typed, reading="116 N·m").awaits is False
        assert story.held() == ["over-torqued"]

    def test_from_within_to_outside_waits_for_nobody(self, story: Story) -> None:
        """To make it worse takes no second person."""
        story.bench(ONE)
        typed = story.take("tie-bolt:1", "100 N·m")
        done = story.correct(typed.reference, reading="90 N·m")
        assert (done.awaits, done.reading.outcome) == (False, "below")

    def test_who_struck_it_does_not_confirm(self, above: tuple[Story, str]) -> None:
        """There is an inspector, so it takes her."""
        story, typed = above
        done = story.correct(typed, reading="100 N·m")
        with story.refused("needs-another"):
            story.confirm(done.strike, by="TK")

    def test_who_did_the_struck_work_does_not_confirm(self, story: Story) -> None:
        """The inspector tightened it above its limits herself, and TK struck that: nobody else is left to confirm."""
        story.says("role", {"person": "MS", "role": "technician", "change": "add"}, own=True)
        story.bench(ONE)
        typed = story.take("tie-bolt:1", "118 N·m", by="MS", signed_by="TK")
        done = story.correct(typed.reference, reading="100 N·m")
        assert story.confirm(done.strike, by="MS").own is True


class TestFound:
    """What was found, or a worn nut, left a fastener open: to strike it waits for a second person as well."""

    @pytest.mark.parametrize("what", ["sheared", "damaged", "missing", "loose"])
    def test_striking_what_was_found_waits(self, story: Story, what: str) -> None:
        """Typed for the wrong bolt, perhaps; until an inspector says so the job does not close."""
        story.bench(ONE)
        story.take("tie-bolt:1", "100 N·m")
        story.act("tie-bolt:1", "found", found=what)
        done = story.correct(story.last)
        assert (done.awaits, done.kind) == (True, "act")
        assert story.held() == ["awaits-confirmation"]
        (hold,) = story.job_state().holds
        assert hold.text == f"Tie bolt 1: entry {done.strike} waits for a second person."
        assert hold.detail == "It takes away what left the fastener open."
        assert story.job_state().view.states["tie-bolt", 1].tight
        story.confirm(done.strike)
        assert story.close()
        story.demand_that_it_holds()

    def test_striking_a_worn_nut_waits(self, story: Story) -> None:
        """A run-on torque below the card's minimum asks for a new nut; the strike takes that away."""
        story.bench({**ONE, "run-on": "min 2 N·m"})
        story.wrench("W-LOW", scale="0.5..20 N·m by 0.1")
        worn = story.take("tie-bolt:1", "100 N·m", run_on=("1 N·m", "W-LOW"))
        assert story.held() == ["hardware-open"]
        assert story.correct(worn.reference).awaits is True

    def test_other_acts_wait_for_nobody(self, story: Story) -> None:
        """That it was loosened or replaced leaves nothing open but the tightening."""
        story.bench(ONE)
        for what in ("loosened", "replaced"):
            story.act("tie-bolt:1", what)
            assert story.correct(story.last).awaits is False

    def test_a_strike_without_its_mark_is_found(self, tmp_path: Path) -> None:
        """Written past the act, as a changed program would, it does not verify."""
        story = Story(tmp_path)
        story.bench(ONE)
        story.act("tie-bolt:1", "found", found="sheared")
        story.says("strike", {"entry": story.last, "why": "x"})
        report = verify(story.book.connection, story.book.station)
        assert not report.holds
        assert "takes away what left a fastener open" in str(report.findings)
        story.close_book()


class TestOwnConfirmation:
    """Alone at the station, TK confirms his own strike, with a reason; what comes after says so."""

    def test_every_later_answer_about_the_job_is_to_say_so(self, alone: Story) -> None:
        """The strikes, acts and earlier times that were confirmed by who did them, by job."""
        alone.bench({**WHEEL, "count": 2})
        above = alone.take("tie-bolt:1", "118 N·m").reference
        alone.act("tie-bolt:2", "found", found="sheared")
        strikes_ = [alone.correct(above).strike, alone.correct(alone.last).strike]
        assert strikes.own_in_job(alone.book.connection, "J-1") == []
        for entry in strikes_:
            assert alone.confirm(entry, by="TK").own is True
        named = [
            f"{station}-{number:06d}" for station, number in strikes.own_in_job(alone.book.connection, "J-1")
        ]
        assert named == sorted(strikes_)
        alone.job("J-2")
        assert strikes.own_in_job(alone.book.connection, "J-2") == []


class TestElsewhere:
    """The reading was good, but typed for another fastener, or with another wrench."""

    def test_moved_to_its_own_fastener(self, story: Story) -> None:
        """The one typed is open again, the one meant is done."""
        story.bench({**WHEEL, "count": 2})
        typed = story.take("tie-bolt:1", "100 N·m")
        story.correct(typed.reference, fastener="tie-bolt:2")
        assert [story.state(each).tight for each in ("tie-bolt:1", "tie-bolt:2")] == [False, True]

    def test_a_check_of_the_wrong_one_tightens_the_right_one(self, story: Story) -> None:
        """Bolt 1 was tight, so what was meant for bolt 2 became a check; corrected, it is the tightening it was."""
        story.bench({**WHEEL, "count": 2})
        story.take("tie-bolt:1", "100 N·m")
        typed = story.take("tie-bolt:1", "101 N·m")
        assert typed.act == "check"
        done = story.correct(typed.reference, fastener="tie-bolt:2")
        assert done.reading.act == "tighten"
        assert story.close()

    def test_its_pass_is_found_anew(self, story: Story) -> None:
        """Bolt 1 had its first pass, so 36 for bolt 2 was read as a second one, below; corrected, it is a first."""
        story.bench({**PASSES, "count": 2})
        story.take("tie-bolt:1", "36 N·m")
        typed = story.take("tie-bolt:1", "36 N·m")
        assert (typed.asked.pass_, typed.outcome) == (2, "below")
        done = story.correct(typed.reference, fastener="tie-bolt:2")
        assert (done.reading.asked.pass_, done.reading.outcome) == (1, "within")

    def test_a_check_that_was_asked_for_stays_one(self, story: Story) -> None:
        """It was meant as a check, of whichever bolt."""
        story.bench({**WHEEL, "count": 2})
        typed = story.take("tie-bolt:1", "100 N·m", act="check")
        assert story.correct(typed.reference, fastener="tie-bolt:2").reading.act == "check"

    def test_another_wrench_is_judged_as_of_then(self, story: Story) -> None:
        """The wrench that was really used was past its date: the correction is a refusal on record."""
        story.bench(ONE)
        story.wrench("W-0402", on="2025-11-10")
        typed = story.take("tie-bolt:1", "100 N·m")
        done = story.correct(typed.reference, wrench="W-0402")
        assert (done.reading.outcome, codes(done.reading)) == ("refused", ["past-due"])
        assert story.held() == ["refused-tool"]

    def test_the_last_cycle_is_free_for_the_correction(self, story: Story) -> None:
        """The struck reading took it; recorded again it takes it once more, and is no refusal."""
        story.wrench(cycles=1)
        story.assembly()
        story.card("BUILD", ONE)
        story.job()
        typed = story.take("tie-bolt:1", "101 N·m")
        done = story.correct(typed.reference, reading="102 N·m")
        assert (done.reading.outcome, done.awaits) == ("within", False)


class TestNotStrikable:
    """Some entries are answered by another one, never struck."""

    def test_a_refusal_stays(self, story: Story) -> None:
        """Somebody may have turned the nut."""
        story.bench()
        story.wrench("W-0402", on="2025-11-10")
        refused = story.take("tie-bolt:1", "100 N·m", "W-0402")
        with story.refused("not-strikable"):
            story.correct(refused.reference)
        with story.refused("not-strikable"):
            story.correct(refused.reference, wrench="W-0417")

    def test_reports_and_failed_certificates_stay(self, story: Story) -> None:
        """A drop, and a certificate with a result outside the accuracy; a good certificate may be struck."""
        story.bench()
        report = story.says("report", {"tool": "W-0417", "what": "dropped"})
        far = story.results_of("20", "150", "N·m")[0]
        far = far._replace(reference=far.indicated._replace(value="30"))
        failed = story.calibrate("W-0417", "2026-11-25", accept=False, points=[far])
        good = story.calibrate("W-0417", "2026-11-24", accept=False)
        for entry in (report, failed):
            with story.refused("not-strikable"):
                story.correct(entry)
        assert story.correct(good).kind == "calibration"

    def test_what_others_rest_on_stays(self, story: Story) -> None:
        """A card with a job, a job with a reading, a tool with a certificate, a wheel with a job, an aircraft."""
        story.bench()
        story.aircraft()
        story.take("tie-bolt:1", "100 N·m")
        entries = entries_of(story, "tool", "card", "card-approval", "job", "assembly", "aircraft")
        assert len(entries) == 6
        for kind, entry in entries.items():
            with story.refused("not-strikable") as caught:
                story.correct(entry, own=kind == "card-approval")
            assert "rest on it" in caught.value.why, kind

    def test_what_nothing_rests_on_may_be_struck(self, story: Story) -> None:
        """The same kinds, typed by mistake and used by nobody; then they are as if they had never been."""
        story.wrench(on="")
        story.assembly()
        story.card("BUILD", ONE)
        story.job()
        for kind in ("tool", "job", "assembly"):
            story.correct(entries_of(story, kind)[kind])
        with story.refused("assembly-unknown"):
            story.fit("WH-2231")
        story.wrench()
        assert story.book.connection.execute("SELECT count(*) FROM tool").fetchone() == (2,)

    def test_nothing_is_struck_twice(self, story: Story) -> None:
        """A strike is not struck either."""
        story.bench()
        typed = story.take("tie-bolt:1", "100 N·m")
        done = story.correct(typed.reference)
        with story.refused("struck-already"):
            story.correct(typed.reference)
        with story.refused("not-strikable"):
            story.correct(done.strike)

    def test_unknown_and_other_entries(self, story: Story) -> None:
        """An entry that is not there; one that is no reading has no reading to record again."""
        story.bench()
        story.act("tie-bolt:1", "loosened")
        with story.refused("entry-unknown"):
            story.correct("QHR-000999")
        with story.refused("not-a-reading"):
            story.correct(story.last, reading="100 N·m")


def entries_of(story: Story, *kinds: str) -> dict[str, str]:
    """The first entry of each kind."""
    from torquelog.ledger.form import parse_entry, reference
    from torquelog.ledger.store import entries

    found: dict[str, str] = {}
    for stored in entries(story.book.connection, "QHR"):
        entry = parse_entry(stored.text)
        if entry.kind in kinds:
            found.setdefault(entry.kind, reference(entry.station, entry.number))
    return found


class TestClosed:
    """A closed job has nothing open, also after a correction."""

    @pytest.fixture
    def closed(self, story: Story) -> tuple[Story, str, str]:
        """The job is closed; its one reading, and the entry that closed it."""
        story.bench({**ONE, "locking": ["cotter pin"]})
        typed = story.take("tie-bolt:1", "101 N·m")
        story.step("tie-bolt", "cotter-pin")
        assert story.close()
        return story, typed.reference, f"QHR-{story.entries():06d}"

    def test_its_work_is_not_struck(self, closed: tuple[Story, str, str]) -> None:
        """Neither struck nor recorded again: the error names the closing, which is struck first."""
        story, typed, closing = closed
        for change in ({}, {"reading": "102 N·m"}):
            with story.refused("job-closed") as caught:
                story.correct(typed, **change)
            assert closing in caught.value.hint
        with story.refused("job-closed"):
            story.correct(entries_of(story, "step")["step"])

    def test_opened_again_it_is_corrected_and_closed_anew(self, closed: tuple[Story, str, str]) -> None:
        """The closing struck, the job is open, its work is corrected, and it closes once nothing is open."""
        story, typed, closing = closed
        assert story.correct(closing).kind == "job-closed"
        assert story.held() == []
        story.correct(typed)
        assert story.held() == ["not-tightened"]
        assert not story.close()
        story.take("tie-bolt:1", "102 N·m")
        story.step("tie-bolt", "cotter-pin")
        assert story.close()


class TestAnothersEntry:
    """Who may strike whose."""

    def test_quality_strikes_with_the_passphrase(self, story: Story) -> None:
        """Another technician's reading takes quality; the technician himself takes his sign-in."""
        story.bench()
        typed = story.take("tie-bolt:1", "100 N·m", by="IK")
        with story.refused("key-level"):
            story.correct(typed.reference)
        assert story.correct(typed.reference, own=True).struck == typed.reference
        mine = story.take("tie-bolt:1", "100 N·m", by="IK")
        assert story.correct(mine.reference, by="IK").struck == mine.reference

    def test_a_technician_strikes_no_other_ones(self, story: Story) -> None:
        """Not even with his passphrase."""
        story.bench()
        typed = story.take("tie-bolt:1", "100 N·m")
        with story.refused("no-role"):
            story.correct(typed.reference, by="IK", own=True)


def test_an_act_that_is_struck_is_undone(story: Story) -> None:
    """The hardware was not replaced after all: the bolt is over-torqued again."""
    story.bench({**ONE, "above": "replace"})
    story.take("tie-bolt:1", "118 N·m")
    story.act("tie-bolt:1", "replaced", part="EX-77")
    replaced = story.last
    story.take("tie-bolt:1", "100 N·m")
    assert story.held() == []
    story.correct(replaced)
    assert story.held() == ["over-torqued"]


def test_a_struck_loosening_takes_the_tightening_with_it(story: Story) -> None:
    """Without the loosening the next click was one on a tight nut."""
    story.bench({**ONE, "above": "loosen"})
    story.take("tie-bolt:1", "88 N·m")
    story.act("tie-bolt:1", "loosened")
    loosened = story.last
    assert story.take("tie-bolt:1", "100 N·m").act == "tighten"
    story.correct(loosened)
    assert story.held() == ["outside"]


def test_a_mistake_of_long_ago_keeps_its_time(story: Story) -> None:
    """Corrected weeks later: late, by its own date, in its own place among the others."""
    story.bench(ONE)
    typed = story.take("tie-bolt:1", "100 N·m")
    story.later(days=30)
    done = story.correct(typed.reference, reading="101 N·m")
    assert "late" in remarks(done.reading)
    assert FIRST < done.reading.performed_at == typed.performed_at < done.reading.recorded_at
