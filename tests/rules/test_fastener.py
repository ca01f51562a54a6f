"""The life of one fastener: what each event leaves of it, seen from one job."""

import pytest

from torquelog.rules import fastener
from torquelog.rules.demand import RECHECK, Slot
from torquelog.rules.fastener import (
    NEW,
    Event,
    State,
    counts_as,
    is_done,
    needs_rework,
    next_slot,
    open_slots,
    passed_over,
    state,
)
from torquelog.torque.limits import parse_spec

JOB, OTHER = "J-1", "J-2"
ONE, TWO = ("", 1), ("", 2)
SPEC = parse_spec("95..105 N·m")
PASSES = FIRST, LAST = (Slot("", 1, SPEC), Slot("", 2, SPEC))


def event(kind: str, what: str, number: int = 1, **more: object) -> Event:
    """An event of J-1, each a second after the one numbered before."""
    return Event(
        at=number * 1000, recorded=number * 1000, station="QHR", number=number, kind=kind, job=JOB, what=what
    )._replace(**more)


def reading(what: str = "within", number: int = 1, **more: object) -> Event:
    """A reading that tightens at the first slot."""
    return event("reading", what, number, **{"slot": ONE, "tighten": True, **more})


def after(*events: Event, **policy: object) -> State:
    """What the events leave, seen from J-1; what is above its limits is replaced, unless told otherwise."""
    return state(events, JOB, **{"above": "replace", **policy})  # type: ignore[arg-type] # what the test hands on


class TestReadings:
    """What a torque, or an attempt at one, leaves."""

    def test_a_torque_within_its_limits_stands(self) -> None:
        """It is tight by this job, its slot is done, and that reading governs."""
        torque = reading()
        assert after(torque) == State(tight=True, tight_in=JOB, done=frozenset({ONE}), governing=torque)

    def test_a_torque_of_another_job_makes_it_tight_and_does_none_of_this_jobs_slots(self) -> None:
        """What was asked here is still open."""
        now = after(reading(job=OTHER))
        assert (now.tight, now.tight_in, now.done) == (True, OTHER, frozenset())

    def test_a_check_changes_nothing(self) -> None:
        """A click on a tight nut says nothing of the torque that stands."""
        torque = reading()
        assert after(torque, reading(number=2, slot=TWO, tighten=False)) == after(torque)

    def test_a_recheck_within_its_limits_is_done_by_checking(self) -> None:
        """The recheck's slot is done on what is tight, in this job alone, and by no reading that tightens."""
        again = reading(number=2, slot=(RECHECK, 0), tighten=False)
        assert after(reading(), again).done == {ONE, (RECHECK, 0)}
        assert after(reading(), again._replace(job=OTHER)).done == {ONE}
        assert after(again).done == frozenset()
        tightened = after(reading(), again._replace(tighten=True))
        assert tightened.governing is not None
        assert tightened.governing.slot == (RECHECK, 0)

    @pytest.mark.parametrize("what", ["above", "below"])
    def test_outside_undoes_what_was_done_and_asks_for_loosening(self, what: str) -> None:
        """All slots are open again, remembered as lost; a torque that follows without loosening counts for nothing."""
        out = reading(what, 2, slot=TWO)
        now = after(reading(), out)
        assert (now.tight, now.done, now.lost) == (True, frozenset(), {ONE})
        assert (now.outside, now.governing, now.loosen_first) == (out, None, True)
        assert after(reading(), out, reading(number=3)) == now

    def test_below_goes_on_where_the_card_allows_it(self) -> None:
        """Only the slot itself is open again, what governs stands, and no loosening is asked."""
        torque, out = reading(), reading("below", 2, slot=TWO)
        now = after(torque, out, continues=True)
        assert (now.done, now.lost, now.governing, now.loosen_first) == ({ONE}, frozenset(), torque, False)
        assert after(torque, out._replace(slot=ONE), continues=True).done == frozenset()
        assert after(torque, reading("above", 2, slot=TWO), continues=True).loosen_first

    def test_going_on_ends_with_a_refusal(self) -> None:
        """What must be loosened first is not tightened on from below, whatever the card says."""
        refused = reading("refused", 2)
        now = after(reading(), refused, reading("below", 3, slot=TWO), continues=True)
        assert (now.loosen_first, now.done, now.governing) == (True, frozenset(), None)

    def test_what_was_lost_stays_told_over_several_outside_readings(self) -> None:
        """A second reading outside, of which nothing was done, forgets nothing; nor does one that goes on."""
        first, second = reading("above", 2, slot=TWO), reading("above", 3, slot=TWO)
        assert after(reading(), first, second).lost == {ONE}
        goes_on = reading("below", 3, slot=TWO, loosened=True)
        assert after(reading(), first, goes_on, continues=True).lost == frozenset()

    def test_a_refused_attempt_asks_for_loosening(self) -> None:
        """It leaves what stands as it is, and is answered by a torque after loosening."""
        torque, refused = reading(), reading("refused", 2, wrench="W-9")
        now = after(torque, refused)
        assert (now.refused, now.loosen_first, now.governing, now.done) == (refused, True, torque, {ONE})
        assert after(torque, refused, reading(number=3)).refused == refused
        answered = after(torque, refused, reading(number=3, loosened=True))
        assert (answered.refused, answered.loosen_first, answered.done) == (None, False, {ONE})

    def test_loosening_first_opens_what_was_done(self) -> None:
        """A reading after loosening stands for its own slot alone."""
        now = after(reading(), reading(number=2, slot=TWO), reading(number=3, loosened=True))
        assert now.done == {ONE}

    def test_a_worn_nut_is_to_be_replaced(self) -> None:
        """Run-on torque outside its limits leaves it broken, within its torque or not."""
        assert after(reading(worn=True)).broken
        assert after(reading("above", worn=True)).broken
        assert not after(reading()).broken

    def test_beyond_all_that_the_card_allows_stays(self) -> None:
        """A torque within the limits does not answer it, nor does loosening where the card asks for replacing."""
        over = reading("above", over=True)
        assert after(over).over
        assert after(over, reading(number=2, loosened=True)).over
        assert after(over, event("act", "loosened", 2)).over
        assert after(over, event("act", "loosened", 2)).outside == over
        assert not after(reading("above")).over
        assert after(over, reading("below", 2)).over

    def test_loosening_a_good_one_makes_it_as_new(self) -> None:
        """Nothing is held against it that was not there before."""
        assert after(reading(), event("act", "loosened", 2)) == NEW

    def test_loosening_answers_it_where_the_card_says_so(self) -> None:
        """With `loosen` it is as new, by the act or by the next reading."""
        over = reading("above", over=True)
        assert after(over, event("act", "loosened", 2), above="loosen") == NEW
        now = after(over, reading(number=2, loosened=True), above="loosen")
        assert (now.over, now.outside, now.done) == (False, None, {ONE})

    def test_a_reading_that_waits_is_held_with_it(self) -> None:
        """Each one, in order, whatever becomes of the torque."""
        first, second = reading(waits=True), reading(number=2, waits=True, tighten=False)
        assert after(first, second, reading(number=3)).waiting == (first, second)

    def test_a_torque_answers_the_outside_reading_and_asks_to_be_locked_and_looked_at_anew(self) -> None:
        """A new torque takes back locking and acceptance, as does one that lies outside."""
        locked, accepted = event("act", "locked", 2, found="lockwire"), event("inspection", "accepted", 3)
        assert after(reading(), locked, accepted).locked == {"lockwire"}
        assert after(reading(), locked, accepted).accepted == accepted
        for again in (reading(number=4), reading("above", 4)):
            now = after(reading(), locked, accepted, again)
            assert (now.locked, now.accepted) == (frozenset(), None)
        below = after(reading("below"), reading(number=2), continues=True)
        assert (below.outside, below.lost) == (None, frozenset())


class TestActs:
    """What else is done to it."""

    def test_a_new_one_is_as_new(self) -> None:
        """Replacing answers everything that was wrong with the old one; what waits for a person still waits."""
        over = reading("above", over=True, worn=True, waits=True)
        now = after(over, reading("refused", 2), event("act", "replaced", 3))
        assert now == State(waiting=(over,))

    def test_found_broken_is_to_be_replaced(self) -> None:
        """Sheared, missing or damaged; what was found loose is only loose, and a broken one is not mended by it."""
        for found in ("sheared", "missing", "damaged"):
            assert after(reading(), event("act", "found", 2, found=found)) == State(broken=True)
        assert after(reading(), event("act", "found", 2, found="loose")) == NEW
        sheared, loose = event("act", "found", 2, found="sheared"), event("act", "found", 3, found="loose")
        assert after(reading(), sheared, loose).broken

    def test_a_lock_is_told_by_its_name(self) -> None:
        """One after the other; a locking without a name locks nothing."""
        wire, pin = event("act", "locked", 2, found="lockwire"), event("act", "locked", 3, found="cotter-pin")
        assert after(reading(), wire, pin).locked == {"lockwire", "cotter-pin"}
        assert after(reading(), event("act", "locked", 2)) == after(reading())

    def test_a_step_does_its_slot_in_its_own_job(self) -> None:
        """Another job's step does nothing here, and one that locks is no slot."""
        step = event("step", "seat", slot=("seat", 0))
        assert after(step).done == {("seat", 0)}
        assert after(reading(), step).done == {ONE, ("seat", 0)}
        assert after(step._replace(job=OTHER)) == NEW
        now = after(reading(), event("step", "lockwire", 2), locking=("lockwire",))
        assert (now.locked, now.done) == ({"lockwire"}, {ONE})
        wire, pin = event("step", "lockwire", 2), event("step", "cotter-pin", 3)
        assert after(wire, pin, locking=("lockwire", "cotter-pin")).locked == {"lockwire", "cotter-pin"}

    def test_coming_off_ends_the_torque(self) -> None:
        """All but what is broken or beyond the limits is as new, except for the work of a job that it spares."""
        ending = event("ending", "off", 3, job="")
        assert after(reading(), ending) == NEW
        spared = ending._replace(spares=frozenset({JOB}))
        assert after(reading(), spared) == after(reading())
        assert after(reading(job=OTHER), spared) == NEW

    def test_coming_off_answers_a_refusal_but_of_a_job_that_it_spares(self) -> None:
        """The job of the refused attempt counts, not that of the torque."""
        refused = reading("refused", 2, job=OTHER)
        ending = event("ending", "off", 3, job="", spares=frozenset({OTHER}))
        assert after(reading(), refused, ending).refused == refused
        assert after(reading(), refused, ending._replace(spares=frozenset({JOB}))).refused is None

    def test_a_fold_goes_on_from_where_another_ended(self) -> None:
        """The events in two parts leave what they leave in one."""
        first, second = reading(), reading(number=2, slot=TWO)
        assert after(second, start=after(first)) == after(first, second)


class TestDispositions:
    """Accepted as it is, on approved data."""

    def test_what_left_it_outside_counts_like_a_torque(self) -> None:
        """Its slot and all that were lost by it are done, and it governs; nothing is to be loosened."""
        out = reading("above", 2, slot=TWO, over=True)
        now = after(reading(), out, event("disposition", "accepted", 3))
        assert now == State(tight=True, tight_in=JOB, done=frozenset({ONE, TWO}), governing=out)

    def test_another_jobs_slot_is_not_done_by_it(self) -> None:
        """Accepted is the bolt; what this job asks stays open."""
        out = reading("above", job=OTHER)
        now = after(out, event("disposition", "accepted", 2))
        assert (now.done, now.governing) == (frozenset(), out)

    def test_a_refusal_after_it_still_asks_for_loosening(self) -> None:
        """A disposition of the torque says nothing of an attempt with a bad wrench."""
        out, refused = reading("above"), reading("refused", 2)
        assert after(out, refused, event("disposition", "accepted", 3)).loosen_first
        assert not after(out, event("disposition", "accepted", 3)).loosen_first

    def test_where_nothing_stands_outside_it_only_answers_what_was_beyond(self) -> None:
        """A loose bolt that was over-torqued may be used again, and is still to be tightened."""
        over = reading("above", over=True)
        assert after(over, event("act", "loosened", 2), event("disposition", "accepted", 3)) == NEW
        torque = reading()
        assert after(torque, event("disposition", "accepted", 2)) == after(torque)


class TestInspections:
    """Accepted and rejected."""

    def test_a_rejection_stays_until_an_inspector_accepts(self) -> None:
        """A performer who looks again accepts, and lifts no rejection."""
        rejected, own = event("inspection", "rejected", 2), event("inspection", "accepted", 3, own=True)
        accepted = event("inspection", "accepted", 4)
        assert after(reading(), accepted, rejected)[-3:-1] == (None, rejected)
        now = after(reading(), rejected, own)
        assert (now.accepted, now.rejected) == (own, rejected)
        now = after(reading(), rejected, own, accepted)
        assert (now.accepted, now.rejected) == (accepted, None)

    def test_work_after_a_rejection_is_rework(self) -> None:
        """What stands as it was rejected needs rework; what was tightened since, or never rejected, does not."""
        rejected = event("inspection", "rejected", 2)
        assert needs_rework(after(reading(), rejected))
        assert not needs_rework(after(reading()))
        assert not needs_rework(after(rejected))
        assert not needs_rework(after(reading(), rejected, reading(number=3, loosened=True)))

    @pytest.mark.parametrize("earlier", ["at", "recorded", "station", "number"])
    def test_of_two_at_one_time_the_record_tells_which_came_first(self, earlier: str) -> None:
        """By the time of the work, then that of recording, then the station, then the number."""
        base = {"at": 5000, "recorded": 5000, "station": "QHR", "number": 5}
        less = {"at": 4000, "recorded": 4000, "station": "BAS", "number": 4}
        first = reading()._replace(**{**base, earlier: less[earlier]})
        second = event("inspection", "rejected")._replace(**base)
        assert needs_rework(after(first, second))
        assert not needs_rework(after(first._replace(**base), second))


class TestDone:
    """What is open, and what a reading counts as."""

    def test_open_slots_are_those_not_done(self) -> None:
        """In the order of the card."""
        assert open_slots(NEW, PASSES) == PASSES
        assert open_slots(after(reading()), PASSES) == PASSES[1:]

    @pytest.mark.parametrize("wrong", ["over", "broken", "loosen_first"])
    def test_done_is_everything_done_and_nothing_wrong(self, wrong: str) -> None:
        """Each thing that is wrong with it holds it open alone."""
        done = after(reading(), reading(number=2, slot=TWO))
        assert is_done(done, PASSES)
        assert not is_done(after(reading()), PASSES)
        assert not is_done(done._replace(**{wrong: True}), PASSES)

    def test_what_the_person_says_comes_first(self) -> None:
        """Asked to check it is a check, also after loosening; loosened it tightens."""
        assert counts_as(NEW, JOB, PASSES, FIRST, loosened=True, asked="check") == ("check", "")
        above = after(reading("above"))
        assert counts_as(above, JOB, PASSES, FIRST, loosened=True, asked=None) == ("tighten", "")

    def test_what_must_be_loosened_first_is_only_checked(self) -> None:
        """With the remark that says so, also where it was asked to be tightened."""
        now = after(reading("above"))
        assert counts_as(now, JOB, PASSES, FIRST, loosened=False, asked="tighten") == (
            "check",
            "loosen-first",
        )

    def test_a_step_that_checks_checks_what_is_tight(self) -> None:
        """What is loose is tightened there."""
        checks = Slot("recheck", 0, SPEC)
        assert counts_as(after(reading()), JOB, PASSES, checks, loosened=False, asked=None) == ("check", "")
        assert counts_as(NEW, JOB, PASSES, checks, loosened=False, asked=None) == ("tighten", "")

    def test_what_is_tight_already_is_checked(self) -> None:
        """Where another job tightened it, or nothing is open here; between two passes it is tightened on."""
        tight = ("check", "already-tight")
        assert counts_as(after(reading(job=OTHER)), JOB, PASSES, FIRST, loosened=False, asked=None) == tight
        both = after(reading(), reading(number=2, slot=TWO))
        assert counts_as(both, JOB, PASSES, FIRST, loosened=False, asked=None) == tight
        assert counts_as(both, JOB, PASSES, LAST, loosened=False, asked=None) == tight
        assert counts_as(after(reading()), JOB, PASSES, LAST, loosened=False, asked=None) == ("tighten", "")
        assert counts_as(NEW, JOB, PASSES, FIRST, loosened=False, asked=None) == ("tighten", "")

    def test_an_earlier_pass_than_what_stands_is_only_checked(self) -> None:
        """Done already it was tight; open, it has to be loosened: half the torque on a bolt that has all of it."""
        passed = after(reading(slot=TWO))
        assert passed_over(passed, JOB)
        assert not passed_over(passed, OTHER)
        assert not passed_over(NEW, JOB)
        assert counts_as(passed, JOB, PASSES, FIRST, loosened=False, asked=None) == ("check", "loosen-first")
        three = (*PASSES, Slot("", 3, SPEC))
        both = after(reading(), reading(number=2, slot=TWO))
        assert not passed_over(both, JOB)
        assert counts_as(both, JOB, three, FIRST, loosened=False, asked=None) == ("check", "already-tight")

    def test_a_step_is_no_pass_and_stands_before_none(self) -> None:
        """After the last step comes the round over all of them, which counts as a pass; neither passes over the other."""
        last = after(reading(slot=("final", 0)))
        assert not passed_over(last, JOB)
        steps = (Slot("final", 0, SPEC), Slot("", 1, SPEC, last_round=True))
        assert counts_as(last, JOB, steps, steps[1], loosened=False, asked=None) == ("tighten", "")
        over = after(reading(slot=("", 1)))
        assert counts_as(over, JOB, steps, steps[0], loosened=False, asked=None) == ("tighten", "")

    def test_a_click_at_an_earlier_pass_leaves_the_later_torque(self) -> None:
        """Wherever it was recorded as a tightening: the later pass governs, locking and acceptance stand."""
        full = after(reading(slot=TWO), event("step", "pin", 2), locking={"pin"})
        assert after(reading(slot=TWO), event("step", "pin", 2), reading(number=3), locking={"pin"}) == full
        assert after(reading(slot=TWO), reading(number=2, job=OTHER)).governing == reading(
            number=2, job=OTHER
        )

    def test_the_next_slot_is_the_first_open_one_with_a_torque(self) -> None:
        """The last one where none is open, the first one after loosening; steps without a torque are passed over."""
        steps = (Slot("clean", 0, None), Slot("seat", 0, SPEC), Slot("final", 0, SPEC))
        assert next_slot(NEW, steps, loosened=False) == steps[1]
        seated = State(done=frozenset({("seat", 0)}))
        assert next_slot(seated, steps, loosened=False) == steps[2]
        assert next_slot(seated, steps, loosened=True) == steps[1]
        more = (*steps, Slot("again", 0, SPEC))
        everything = State(done=frozenset({("seat", 0), ("final", 0), ("again", 0)}))
        assert next_slot(everything, more, loosened=False) == more[3]
        marked = (*more, Slot("mark", 0, None))
        assert next_slot(everything, marked, loosened=False) == more[3]


def test_an_event_is_what_it_is_told_and_no_more() -> None:
    """What nobody says of it is absent: no slot, no tightening, no wrench, nothing spared, nothing waiting."""
    bare = Event(1, 1, "QHR", 1, "act", JOB, "locked")
    assert bare[7:] == (("", 0), False, False, False, False, False, "", "", frozenset(), False, "", "")


def test_the_remarks_of_a_check_are_those_that_a_reading_can_get() -> None:
    """A reading that is a check although nobody asked bears one of the two."""
    assert {"already-tight", "loosen-first"} == fastener.CHECK_REMARKS
    assert {"sheared", "missing", "damaged"} == fastener.BROKEN
