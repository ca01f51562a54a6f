"""Items: readings of one fastener grouped, the governing one judged, sorted, numbered, counted."""

from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from torquelog.facts.fastener_runs import run_of, runs
from torquelog.facts.readings import Reading
from torquelog.facts.recalls import Disposition
from torquelog.rules.recall_counts import count, to_measure
from torquelog.rules.recall_item import (
    Again,
    Found,
    Item,
    Taken,
    Where,
    decided,
    governing,
    item,
    numbered,
    stands,
    urgency,
)
from torquelog.rules.recall_readings import kept
from torquelog.rules.recall_verdict import Judged
from torquelog.torque.limits import Limits
from torquelog.torque.units import Torque

AT = 1_800_000_000_000
FLYING = Where("aircraft", "QQ-HLB", "main 1", None, "main 1")
STORES = Where("stores", "", "", None, "stores")


def taken(number: int = 10, **facts: Any) -> Taken:
    """A reading of a recall: tightened within unless something else is said."""
    reading = Reading(
        station="QHR", number=number, at=AT + number, recorded=AT + number, job="J-1", owner="assembly EX-1 WH-1",
        group="tie-bolt", item=1, step="", pass_=1, act="tighten", wrench="W-1", indicated=Torque("100", "N·m"),
        gain=Fraction(1), low=Fraction(95), high=Fraction(105), outcome="within", loosened=False, over=False,
        worn=False, awaits=False, performed_by="TK", signer="TK", specified="95..105 N·m", direction="cw",
        certificate=None, calibration=None,
    )  # fmt: skip
    judged = Judged(
        "within", (), Fraction(100), Fraction(100), None, None, "within", Limits(Fraction(95), Fraction(105)),
        Fraction(-1, 21), "", "as-found",
    )  # fmt: skip
    own = {
        name: facts.pop(name)
        for name in list(facts)
        if name in Reading._fields and name not in Judged._fields
    }
    known = facts.pop("known", AT + number)
    struck = facts.pop("struck", False)
    return Taken(reading._replace(**own), struck, known, frozenset(), judged._replace(**facts))


def made(*readings: Taken, where: Where = FLYING, **facts: Any) -> Item:
    """An item of these readings."""
    last = governing(readings)
    found = Found(
        fastener=facts.pop("fastener", ("assembly EX-1 WH-1", "tie-bolt", 1)), governing=last,
        readings=kept(readings, last), undone="", replaced=None, again=None, where=where,
    )  # fmt: skip
    return item(found._replace(**facts))


OUT = {"answer": "outside", "side": "below", "found": Fraction(90), "beyond": Fraction(5, 95)}
OVER = {
    "answer": "outside",
    "side": "above",
    "found": Fraction(110),
    "beyond": Fraction(5, 105),
    "over": "certain",
}
GOOD = Again("QHR-000099", AT + 99, "W-2", True, True, True)


def disposition(number: int, decision: str = "accepted", **facts: Any) -> Disposition:
    """A decision recorded as this entry."""
    made = Disposition("QHR", number, AT + number, AT + number, decision, "why", "", "", "RS")
    return made._replace(**facts)


def test_the_last_tightening_governs() -> None:
    """Not a check, a refusal or a struck entry after it; without one the last of these in that order."""
    first, last = taken(1), taken(2)
    check, refusal, struck = taken(3, act="check"), taken(4, outcome="refused"), taken(5, struck=True)
    assert governing([first, last, check, refusal, struck]) is last
    assert governing([check, refusal, struck]) is check
    assert governing([refusal, struck]) is refusal
    assert governing([struck]) is struck


def test_an_over_torque_is_looked_for_in_every_tightening() -> None:
    """A struck one counts only where it is all there is; a bolt replaced since takes the older ones with it."""
    assert made(taken(1, **OVER), taken(2)).verdict == "outside"
    assert made(taken(1, **OVER), taken(2)).reasons == ("over-torque-before",)
    assert made(taken(1, struck=True, **OVER), taken(2)).verdict == "within"
    assert made(taken(1, struck=True, **OVER)).over == "certain"
    assert made(taken(1, **OVER), taken(2), replaced=AT + 1).over == ""


def test_a_check_above_all_that_the_card_allows_is_an_over_torque() -> None:
    """The bolt bore that torque, whatever it was put on for; a refusal beside a tightening tells of none."""
    assert made(taken(1, act="check", **OVER), taken(2)).verdict == "outside"
    assert made(taken(1, outcome="refused", **OVER), taken(2)).verdict == "within"


def test_a_new_bolt_bears_only_what_came_after_it() -> None:
    """A torque at the moment of the replacement went on the old one, one a millisecond later on the new one."""
    readings = taken(5, **OVER), taken(6, act="check")
    assert made(*readings).over == "certain"
    assert made(*readings, replaced=AT + 4).over == "certain"
    assert made(*readings, replaced=AT + 5).over == ""


def test_an_over_torque_of_the_governing_reading_is_its_own_reason() -> None:
    """It was outside already: nothing came before it."""
    assert made(taken(**OVER)).reasons == ()
    assert made(taken(answer="indeterminate", over="certain")).reasons == ("over-torque-before",)


def test_a_possible_over_torque_is_told_and_changes_no_verdict() -> None:
    """What nobody can exclude is not proved; beside a certain one it is not told."""
    perhaps = taken(1, answer="indeterminate", over="possible")
    assert (made(perhaps, taken(2)).over, made(perhaps, taken(2)).verdict) == ("possible", "within")
    assert made(perhaps, taken(2, act="check", **OVER)).over == "certain"
    assert made(taken(2)).over == ""


def test_what_still_concerns() -> None:
    """It stands, or the bolt may have yielded; not what was replaced, undone, or tightened again with what is good."""
    bad = GOOD._replace(good_now=False)
    assert made(taken(**OUT)).concerns
    assert not made(taken(**OUT), again=GOOD, undone="loosened").concerns
    assert made(taken(**OUT), again=bad, undone="loosened").concerns
    assert not made(taken(**OUT), undone="apart").concerns
    assert made(taken(**OVER), again=GOOD, undone="loosened").concerns
    assert made(taken(**OVER), undone="apart").concerns
    assert not made(taken(**OVER), again=GOOD, replaced=AT + 50).concerns


def test_a_tightening_since_counts_where_its_wrench_was_good_then_and_is_good_now() -> None:
    """Either doubt alone is enough to leave the fastener as it is."""
    for good_then, good_now in ((True, True), (True, False), (False, True), (False, False)):
        again = GOOD._replace(good_then=good_then, good_now=good_now)
        found = made(taken(**OUT), again=again, undone="loosened")
        assert found.retightened is (good_then and good_now)
        assert found.concerns is not (good_then and good_now)
    assert not made(taken(**OUT)).retightened


def test_what_was_replaced_or_tightened_well_concerns_nobody_though_it_was_never_loosened() -> None:
    """New hardware bears nothing of the old; a good tightening on top of the doubtful one stands in its place."""
    bad = GOOD._replace(good_now=False)
    assert not made(taken(**OUT), replaced=AT + 50).concerns
    assert not made(taken(**OUT), again=bad, replaced=AT + 50).concerns
    assert not made(taken(**OUT), again=GOOD).concerns
    assert made(taken(**OUT), again=bad).concerns


def test_a_possible_over_torque_concerns_where_the_verdict_leaves_it_open() -> None:
    """Undone since, an older one beneath a governing torque within is no reason to look again."""
    perhaps = taken(1, answer="indeterminate", over="possible")
    assert made(perhaps, undone="apart").concerns
    assert not made(perhaps, taken(2), undone="apart").concerns


def test_worse_verdicts_come_first_however_far_out() -> None:
    """Outside by a hundredth before what may be a fifth out, and that before the one nearest to its limit within."""
    verdicts = [
        made(taken(answer=answer, beyond=share), fastener=("a", "b", number))
        for number, (answer, share) in enumerate(
            [
                ("within", Fraction(0)),
                ("indeterminate", Fraction(1, 5)),
                ("indeterminate", Fraction(-1, 10)),
                ("outside", Fraction(1, 100)),
                ("outside", Fraction(-1, 10)),
            ]
        )
    ]
    assert [each.fastener[2] for each in sorted(verdicts, key=urgency)] == [3, 4, 1, 2, 0]


def test_what_nobody_can_measure_lies_on_its_limit() -> None:
    """Among the indeterminate ones it comes behind what may be outside and before what may be inside."""
    unknown = made(taken(answer="indeterminate", found=None, beyond=None), fastener=("a", "b", 2))
    inside, outside = (
        made(taken(answer="indeterminate", beyond=share), fastener=("a", "b", number))
        for number, share in ((1, Fraction(-1, 1000)), (3, Fraction(1, 1000)))
    )
    assert unknown.beyond == 0
    assert sorted([inside, unknown, outside], key=urgency) == [outside, unknown, inside]


def test_the_order_is_what_flies_and_how_far_out() -> None:
    """Then what lies on the ground, then what was put right since."""
    far = made(taken(**{**OUT, "beyond": Fraction(1, 5)}), fastener=("a", "b", 9))
    near = made(taken(**OUT), fastener=("a", "b", 1))
    open_one = made(taken(answer="indeterminate"), fastener=("a", "b", 2))
    inside = made(taken(), fastener=("a", "b", 3))
    ground = made(taken(**{**OUT, "beyond": Fraction(1, 2)}), where=STORES)
    cured = made(taken(**{**OUT, "beyond": Fraction(1, 2)}), again=GOOD, undone="loosened")
    shuffled = [cured, inside, ground, near, open_one, far]
    assert sorted(shuffled, key=urgency) == [far, near, open_one, inside, ground, cured]


def test_numbers_stay_and_late_ones_follow() -> None:
    """In the order in which they came to be known, whatever the time of their work."""
    items = [made(taken(number), fastener=("a", "b", number)) for number in (1, 2, 3, 4)]
    order = [("a", "b", 3), ("a", "b", 1)]
    assert {each.fastener[2]: each.number for each in numbered(items, order)} == {3: 1, 1: 2, 2: 3, 4: 4}
    late = [made(taken(2, known=AT + 900), fastener=("a", "b", 2)), *items[2:]]
    assert {each.fastener[2]: each.number for each in numbered(late, [])} == {3: 1, 4: 2, 2: 3}
    assert {each.number for each in items} == {0}  # none has one before


def test_a_decision_stands_for_what_was_known() -> None:
    """A reading recorded after it, or taken in from elsewhere after it, opens the item again."""
    assert decided(made(taken(10)), disposition(11)).decided
    assert not decided(made(taken(10), taken(12)), disposition(11)).decided
    elsewhere = taken(10, station="ABC", known=AT + 20)
    assert not decided(made(elsewhere), disposition(11)).decided
    assert decided(made(elsewhere), disposition(11, known=AT + 20)).decided
    assert not decided(made(taken(10)), disposition(11, "notified")).decided
    assert not decided(made(taken(10)), None).decided
    assert not stands(taken(10).reading, AT + 10, None)


def test_the_counts_add_up() -> None:
    """Each reading is one thing, each item one verdict."""
    first = made(
        taken(1), taken(2, act="check"), taken(3, outcome="refused"), taken(4, struck=True), taken(5)
    )
    second = made(taken(6, **OUT), again=GOOD, undone="loosened", where=STORES)
    counts = count([first, decided(second, disposition(7))])
    assert counts.readings == 6
    assert (
        counts.readings == counts.governing + counts.earlier + counts.checked + counts.refused + counts.struck
    )
    assert (counts.governing, counts.earlier, counts.checked, counts.refused, counts.struck) == (
        2,
        1,
        1,
        1,
        1,
    )
    assert (counts.within, counts.outside, counts.concerned, counts.retightened) == (1, 1, 1, 1)
    assert (counts.decided, counts.undecided) == (1, 1)


def test_the_laboratory_is_asked_for_what_would_tell() -> None:
    """The settings of what nobody can tell, the most useful first; not where the wrench is not in doubt."""
    wide = {"answer": "indeterminate", "indicated": Torque("25", "N·m")}
    items = [made(taken(**wide), fastener=("a", "b", number)) for number in (1, 2)]
    items += [made(taken(answer="indeterminate")), made(taken(**OUT))]
    items += [made(taken(**wide, by="as-left")), made(taken(**wide), again=GOOD, undone="loosened")]
    assert [tuple(each) for each in to_measure(items)] == [("25", "N·m", "cw", 2), ("100", "N·m", "cw", 1)]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["assembly EX-1 WH-1", "aircraft 1001 main 2"]),
            st.just("tie-bolt"),
            st.integers(1, 40),
        )
    )
)
def test_runs_lose_no_fastener(fasteners: list[tuple[str, str, int]]) -> None:
    """Folded and read again they are the same, in the same order."""
    found = []
    for text in runs(fasteners):
        owner, group, first, last = run_of(text)
        found += [(owner, group, number) for number in range(first, last + 1)]
    assert found == fasteners
