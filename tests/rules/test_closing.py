"""What holds a job open, each ground alone, in the order of the card."""

from collections.abc import Sequence
from typing import Any

import pytest

from torquelog.facts.card_form import Card, card_from
from torquelog.rules.closing import Astray, Hold, JobView, ToolOut, holding, left_open, not_accepted, why_open
from torquelog.rules.fastener import Event, State

BOLT: dict[str, Any] = {"id": "tie-bolt", "count": "3", "torque": "90..100 N·m"}
DONE = State(tight=True, tight_in="J-1", done=frozenset({("", 1)}))
NEW = State()


def card(*groups: dict[str, Any], **more: Any) -> Card:
    """A card with such groups."""
    head = {"id": "C", "title": "T", "document": "D", "revision": "A", "date": "2026-11-02"}
    return card_from({**head, "groups": [{**BOLT, **each} for each in groups or ({},)], **more})


def event(what: str, **more: Any) -> Event:
    """Something that happened."""
    return Event(1, 1, "QHR", 7, "reading", "J-1", what, **more)


def view(known: Card, *states: State, **facts: Any) -> JobView:
    """A job with the states of its fasteners in order; those not told are done."""
    keys = [(group.id, item) for group in known.groups for item in range(1, group.count + 1)]
    told = [*states, *[DONE] * (len(keys) - len(states))]
    plain = {"checks": frozenset(), "tools_out": (), **facts}
    return JobView(job="J-1", card=known, states=dict(zip(keys, told, strict=True)), **plain)


def texts(holds: Sequence[Hold]) -> list[str]:
    """What a job's holds say."""
    return [hold.text for hold in holds]


def codes(holds: Sequence[Hold]) -> list[str]:
    """Their codes."""
    return [hold.code for hold in holds]


def test_nothing_holds_a_job_that_is_done() -> None:
    """Neither the job nor a new one that takes it over."""
    assert holding(view(card())) == ()
    assert left_open(view(card())) == []


class TestFasteners:
    """What is open on a fastener."""

    @pytest.mark.parametrize(
        ("state", "reason"),
        [
            (NEW, ("not-tightened", "not tightened", "")),
            (DONE._replace(broken=True, over=True), ("hardware-open", "to be replaced", "")),
            (
                DONE._replace(over=True, refused=event("refused")),
                (
                    "over-torqued",
                    "above the limits",
                    "Hardware is replaced, or a disposition names its approved data.",
                ),
            ),
            (
                DONE._replace(refused=event("refused", wrench="W-9"), outside=event("below")),
                ("refused-tool", "not tightened", "An attempt with W-9 was refused: loosen first."),
            ),
            (
                State(outside=event("above"), loosen_first=True),
                ("outside", "above the limits", "Loosen, then tighten again."),
            ),
            (State(outside=event("below")), ("outside", "below the limits", "Tighten on, up to the limits.")),
            (DONE, None),
        ],
    )
    def test_the_worst_is_told_first(self, state: State, reason: tuple[str, str, str] | None) -> None:
        """Broken before over-torqued, refused before outside, and what is done has no reason."""
        assert why_open(state, card().groups[0]) == reason

    def test_what_is_begun_tells_what_is_left(self) -> None:
        """The passes that are open, by their names."""
        group = card({"passes": ["30 %", "60 %", "100 %"]}).groups[0]
        assert why_open(DONE, group) == ("not-finished", "not finished: pass 2, pass 3", "")

    def test_where_a_later_pass_stands_the_fastener_is_loosened_first(self) -> None:
        """A click at the second pass shows nothing below the third; in a job that began none of it, it is tightened."""
        known = card({"passes": ["30 %", "60 %", "100 %"]})
        last = event("within", slot=("", 3))
        over = State(tight=True, tight_in="J-1", done=frozenset({("", 1), ("", 3)}), governing=last)
        done = over._replace(done=over.done | {("", 2)})
        assert holding(view(known, done, over, over)) == (
            Hold(
                "not-finished", "Tie bolts 2 to 3 are not finished: pass 2.",
                "The torque of a later pass stands: loosen it, then begin again.", "torquelog loosen J-1 tie-bolt:2",
            ),
        )  # fmt: skip
        in_order = over._replace(done=frozenset({("", 1)}), governing=last._replace(slot=("", 1)))
        assert holding(view(known, done, in_order, done)) == (
            Hold(
                "not-finished", "Tie bolt 2 is not finished: pass 2, pass 3.", "",
                "torquelog record tie-bolt:2 READING --job J-1 --wrench WRENCH",
            ),
        )  # fmt: skip
        below = over._replace(outside=event("below", slot=("", 3)))
        assert [hold.detail for hold in holding(view(known, done, below, done))] == [
            "Tighten on, up to the limits."
        ]

    def test_those_alike_are_told_together(self) -> None:
        """One sentence for several, each with the command for the first of them."""
        broken = DONE._replace(broken=True)
        assert holding(view(card(), NEW, broken, NEW)) == (
            Hold(
                "not-tightened", "Tie bolts 1 and 3 are not tightened.", "",
                "torquelog record tie-bolt:1 READING --job J-1 --wrench WRENCH",
            ),
            Hold(
                "hardware-open", "Tie bolt 2 is to be replaced.", "", "torquelog replace J-1 tie-bolt:2",
            ),
        )  # fmt: skip
        over = holding(view(card(), DONE, DONE, DONE._replace(over=True)))
        assert over[0].command == "torquelog replace J-1 tie-bolt:3"

    def test_a_reading_that_waits_holds_it_however_tight(self) -> None:
        """The entry that a second person has to confirm, and why."""
        holds = holding(view(card(), DONE, DONE._replace(waiting=(event("within"), event("above")))))
        assert codes(holds) == ["awaits-confirmation", "awaits-confirmation"]
        assert holds[0] == Hold(
            "awaits-confirmation",
            "Tie bolt 2: entry QHR-000007 waits for a second person.",
            "An earlier time changed what the wrench was allowed to do.",
            "torquelog confirm QHR-000007 --why REASON",
        )

    def test_those_beside_a_failed_one_are_to_be_looked_at(self) -> None:
        """Told with the one that failed, together where it is the same one."""
        found = holding(view(card(), neighbours={"tie-bolt": {1: (2,), 3: (2,)}}))
        assert found == (
            Hold(
                "neighbour-open",
                "Tie bolts 1 and 3 are to be looked at.",
                "Tie bolt 2 beside failed: tighten or check again, or replace.",
                "torquelog record tie-bolt:1 READING --job J-1 --wrench WRENCH",
            ),
        )
        apart = holding(view(card(), neighbours={"tie-bolt": {1: (2,), 3: (1, 2)}, "other": {1: (2,)}}))
        assert texts(apart) == ["Tie bolt 1 is to be looked at.", "Tie bolt 3 is to be looked at."]
        assert apart[1].detail == "Tie bolts 1 to 2 beside failed: tighten or check again, or replace."


class TestSteps:
    """Steps that the card asks for beside the torque."""

    def test_every_fastener_is_locked_after_it_was_tightened(self) -> None:
        """All of them with one command, or the first that lacks it; each way of locking by itself."""
        wired = DONE._replace(locked=frozenset({"lockwire"}))
        known = card({"locking": ["lockwire", "cotter pin"]})
        assert holding(view(known, wired, DONE, DONE)) == (
            Hold(
                "locking-open", "Tie bolts 2 to 3: lockwire is not recorded.", "",
                "torquelog step J-1 tie-bolt:2 lockwire",
            ),
            Hold(
                "locking-open", "Tie bolt: cotter pin is not recorded.", "",
                "torquelog step J-1 tie-bolt cotter-pin",
            ),
        )  # fmt: skip

    def test_the_condition_of_the_threads_is_confirmed_for_all_or_one_by_one(self) -> None:
        """For the group it is one step; what lacks it is named."""
        known = card({"condition": "dry"})
        assert holding(view(known)) == (
            Hold(
                "condition-open", 'Tie bolt: thread condition "dry" is not confirmed.', "",
                "torquelog step J-1 tie-bolt thread-condition",
            ),
        )  # fmt: skip
        assert holding(view(known, conditions=frozenset({("tie-bolt", 0)}))) == ()
        assert holding(view(known, conditions=frozenset({("tie-bolt", n) for n in (1, 2, 3)}))) == ()
        some = holding(view(known, conditions=frozenset({("tie-bolt", 1), ("axle-nut", 0)})))
        assert texts(some) == ['Tie bolts 2 to 3: thread condition "dry" is not confirmed.']
        assert some[0].command == "torquelog step J-1 tie-bolt:2 thread-condition"

    def test_operational_checks_hold_the_closing(self) -> None:
        """Those that are not on record, with what is to be shown."""
        checks = [{"id": "spin", "title": "Wheel turns freely"}, {"id": "leak", "title": "No leak"}]
        assert holding(view(card(checks=checks), checks=frozenset({"leak"}))) == (
            Hold(
                "check-open", 'Operational check "Wheel turns freely" is not recorded.', "",
                "torquelog step J-1 spin",
            ),
        )  # fmt: skip


class TestInspection:
    """What is to be inspected, and what was rejected."""

    KNOWN = card({"inspection": "independent"})
    SEEN = DONE._replace(accepted=event("accepted"))

    def test_what_nobody_inspected_is_open(self) -> None:
        """All of them in one word, some by their numbers, with who cannot do it."""
        worked = {"tie-bolt": frozenset({"TK", "IK"})}
        assert holding(view(self.KNOWN, performers=worked)) == (
            Hold(
                "inspection-open", "Tie bolts are not inspected.",
                "IK and TK did the work, so it takes someone else.", "torquelog job inspect J-1",
            ),
        )  # fmt: skip
        some = holding(view(self.KNOWN, self.SEEN))
        assert (some[0].text, some[0].detail) == ("Tie bolts 2 to 3 are not inspected.", "")
        assert texts(holding(view(self.KNOWN, self.SEEN, self.SEEN))) == ["Tie bolt 3 is not inspected."]
        alone = card({"inspection": "independent", "count": "1"})
        assert texts(holding(view(alone))) == ["Tie bolt 1 is not inspected."]
        pair = card({"inspection": "independent", "count": "2"})
        assert texts(holding(view(pair))) == ["Tie bolts are not inspected."]
        assert holding(view(self.KNOWN, *[self.SEEN] * 3)) == ()

    def test_where_the_card_asks_for_none_nothing_waits(self) -> None:
        """Whether anybody looked or not."""
        assert not_accepted(view(card()), card().groups[0]) == []
        assert not_accepted(view(self.KNOWN, self.SEEN), self.KNOWN.groups[0]) == [2, 3]

    def test_a_rejection_holds_it_also_on_a_card_that_asks_for_no_inspection(self) -> None:
        """Told by whom and why; it is no missing inspection, and it stays for the next job."""
        rejected = DONE._replace(rejected=event("rejected", by="MS", why="Thread damaged."))
        told = Hold(
            "rejected", "Tie bolt 2 was rejected by MS: Thread damaged.",
            "An inspector alone lifts that, by accepting it.", "torquelog job inspect J-1 --item tie-bolt:2",
        )  # fmt: skip
        assert holding(view(card(), DONE, rejected)) == (told,)
        assert holding(view(self.KNOWN, self.SEEN, rejected, self.SEEN)) == (told,)
        assert left_open(view(self.KNOWN, self.SEEN, rejected)) == [told]
        assert texts(holding(view(card(), rejected))) == ["Tie bolt 1 was rejected by MS: Thread damaged."]

    def test_what_was_found_ends_like_a_sentence(self) -> None:
        """Whether or not a full stop was typed."""
        for why, ends in (("a thread is proud", "a thread is proud."), ("Torn out!", "Torn out!")):
            rejected = DONE._replace(rejected=event("rejected", by="MS", why=why))
            assert holding(view(card(), DONE, rejected))[0].text == f"Tie bolt 2 was rejected by MS: {ends}"


class TestAround:
    """What lies about, or waits for somebody."""

    def test_an_assembly_that_is_not_at_its_position_is_fitted_first(self) -> None:
        """In place of the one that is there, or where none is."""
        away = Astray("wheel", "S-1", "", "AC-7", "left main")
        other = away._replace(other="S-2")
        beside = "Work at the position counts for what was there."
        fit = 'torquelog assembly fit S-1 --aircraft AC-7 --position "left main"'
        assert holding(view(card(), astray=[away, other])) == (
            Hold("other-assembly", "Wheel S-1 is not at left main any more.", beside, fit),
            Hold(
                "other-assembly", "At left main is wheel S-2, and J-1 names S-1.", beside, f"{fit} --replacing"
            ),
        )  # fmt: skip

    def test_a_strike_of_an_outside_reading_waits(self) -> None:
        """For a second person, by its entry."""
        assert holding(view(card(), strikes_waiting=[("tie-bolt", 2, "QHR", 31)])) == (
            Hold(
                "awaits-confirmation", "Tie bolt 2: entry QHR-000031 waits for a second person.",
                "It takes away what left the fastener open.", "torquelog confirm QHR-000031 --why REASON",
            ),
        )  # fmt: skip

    def test_tools_are_returned_or_signed_clear(self) -> None:
        """By sort, with who has it; one that is signed clear holds nothing, and not those behind it."""
        out = [ToolOut("W-1", "wrench", "IK"), ToolOut("W-2", "wrench", ""), ToolOut("A-3", "adapter", "")]
        holds = holding(view(card(), tools_out=out, tools_clear=frozenset({"W-2"})))
        assert holds[0] == Hold(
            "tool-out", "Wrench W-1 is still issued to this job, with IK.",
            "Return it, or sign that it is clear of the aircraft: torquelog step J-1 tool-clear --value W-1",
            "torquelog wrench return W-1",
        )  # fmt: skip
        assert texts(holds[1:]) == ["Adapter A-3 is still issued to this job."]

    def test_parts_that_came_off_are_accounted_for(self) -> None:
        """Each by its name."""
        assert holding(view(card(), parts_off=["shim 2"])) == (
            Hold(
                "part-off", "Part shim 2 came off and is not accounted for.", "",
                "torquelog part on J-1 shim 2",
            ),
        )  # fmt: skip

    def test_a_hand_over_is_taken_over_first(self) -> None:
        """Told with both."""
        assert holding(view(card(), handed=("TK", "IK"))) == (
            Hold(
                "hand-over-open", "TK handed the job over to IK, who has not taken it over.", "",
                "torquelog job take-over J-1",
            ),
        )  # fmt: skip


def test_everything_is_told_at_once_in_the_order_of_the_card() -> None:
    """Group by group, and behind them what concerns the whole job."""
    first = {"condition": "dry", "locking": ["lockwire"], "inspection": "independent", "count": "1"}
    known = card(first, {"id": "axle-nut", "count": "1"}, checks=[{"id": "spin", "title": "Turns"}])
    everything = view(
        known, NEW, NEW, strikes_waiting=[("axle-nut", 1, "QHR", 3)], tools_out=[ToolOut("W-1", "wrench", "")],
        parts_off=["shim"], handed=("TK", "IK"), neighbours={"tie-bolt": {1: (2,)}},
    )  # fmt: skip
    assert codes(holding(everything)) == [
        "condition-open", "not-tightened", "neighbour-open", "locking-open", "inspection-open",
        "not-tightened", "awaits-confirmation", "check-open", "tool-out", "part-off", "hand-over-open",
    ]  # fmt: skip


def test_a_new_job_takes_over_what_was_left_open_and_not_what_was_never_done() -> None:
    """Outside, refused, over-torqued, broken and rejected; not what is merely not tightened."""
    states = (
        NEW, State(outside=event("below")), State(refused=event("refused")), State(over=True), State(broken=True),
    )  # fmt: skip
    left = left_open(view(card({"count": "5"}), *states))
    assert codes(left) == ["outside", "refused-tool", "over-torqued", "hardware-open"]
