"""The guided session, line by line: what is asked, what is taken, and what never is."""

import pytest

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.torque.units import Torque
from torquelog.work.scan import code

PAIRS = {**WHEEL, "count": 4, "torque": "68..76 N·m", "order": [1, 3, 2, 4], "passes": ["50 %", "100 %"]}
READY = ("W-0417", "36")


@pytest.fixture
def bench(story: Story) -> Story:
    """Four bolts in two passes, on the bench."""
    story.bench(PAIRS)
    return story


@pytest.fixture
def at_work(bench: Story) -> Guided:
    """TK at the first bolt, the wrench set."""
    guided = Guided(bench)
    guided.types(*READY)
    return guided


def test_the_wrench_is_said_and_the_setting_typed_before_the_first_bolt(bench: Story) -> None:
    """Neither comes from the issue list, and Enter alone answers neither."""
    guided = Guided(bench)
    asked = []
    for line in ("", "w-0417", "", "36"):
        asked.append(guided.at)
        guided.type(line)
    assert asked == ["wrench tie-bolt:1 pass 1"] * 2 + ["setting tie-bolt:1 pass 1"] * 2
    assert guided.at == "reading tie-bolt:1 pass 1"


def test_enter_takes_the_setting_and_goes_on_in_order(at_work: Guided) -> None:
    """Four bolts at one setting are four Enters, in the card's order; then the wrench has to be turned."""
    at_work.types("", "", "", "")
    assert [last.item for last in at_work.session.history] == [1, 3, 2, 4]
    assert {str(last.indicated) for last in at_work.session.history} == {"36 N·m"}
    assert at_work.at == "setting tie-bolt:1 pass 2"
    at_work.types("36")
    assert "68 to 76 N·m" in at_work.said
    assert at_work.at == "setting tie-bolt:1 pass 2"
    at_work.types("72", "")
    assert at_work.at == "reading tie-bolt:3 pass 2"


def test_a_second_enter_within_a_second_is_the_same_press(at_work: Guided) -> None:
    """It is taken once, and the next one counts, however slowly the first was recorded."""
    at_work.type("")
    at_work.type("", seconds=0)
    assert at_work.readings == 1
    assert "taken once, for tie bolt 1" in at_work.said
    at_work.type("", seconds=0)
    assert at_work.readings == 2


def test_a_wrench_that_indicates_is_read_and_never_taken_by_enter(story: Story) -> None:
    """A dial shows what it shows: Enter stands for nothing."""
    story.bench(PAIRS)
    story.wrench("W-0300", type="indicating")
    guided = Guided(story)
    guided.types("W-0300")
    assert guided.at == "reading tie-bolt:1 pass 1"
    guided.type("")
    assert guided.readings == 0
    assert "type what you read" in guided.said
    guided.type("35.5")
    assert guided.readings == 1


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("360", "ten times the setting, and W-0417 ends at 150 N·m"),
        ("3.6", "a tenth of the setting, and W-0417 begins at 20 N·m"),
        ("445", "ends at 150 N·m"),
        ("3600", "a hundred times the setting"),
        ("36 ft-lb", "W-0417 shows N·m, not lbf·ft"),
        ("36 lb", "inches or feet"),
        ("36,5", "36.5"),
        ("z", "no key here"),
        ("tie-bolt:9", "has no tie-bolt:9"),
        ("tie-bolt:x", "has no tie-bolt:0"),
        ("tie-bolt:²", "has no tie-bolt:0"),
        ("tie-bolt:" + "9" * 4000, "has no tie-bolt:0"),
        ("f ²", "tie-bolt has tie-bolt:1 to tie-bolt:4"),
        ("²", ""),
        ("TQ1WW-0417", "garbled"),
        ("-36", ""),
        ("1e3", ""),
        ("36\0", "could not be read"),
    ],
)
def test_a_slip_is_asked_about_and_nothing_is_recorded(at_work: Guided, typed: str, says: str) -> None:
    """A lost point, another unit, a range beyond the wrench, an unknown key: each a short line, and work goes on."""
    before = at_work.story.entries()
    at_work.type(typed)
    assert says in at_work.said
    assert at_work.session.said
    assert at_work.story.entries() == before
    at_work.type("36")
    assert at_work.readings == 1


def test_a_factor_of_ten_is_recorded_where_it_is_typed_again(at_work: Guided) -> None:
    """445 for 44.5 is asked about; typed again it was meant, and it is on record for what it was."""
    at_work.types("145")
    assert at_work.at == "hurt tie-bolt:1 pass 1"
    at_work.types("n", "36", "360", "", "360")
    assert [last.outcome for last in at_work.session.history] == ["above", "refused"]


def test_enter_never_waves_an_outside_reading_through(at_work: Guided) -> None:
    """Only a named key answers it; nothing else is taken, not even a figure inside the limits."""
    at_work.type("62")
    assert at_work.at == "hurt tie-bolt:1 pass 1"
    assert "OUTSIDE. Tie bolt 1 got 62 N·m, above 34 to 38 N·m" in at_work.said
    before = at_work.story.entries()
    for line in ("", "36", "y", "q q", "TQ1"):
        at_work.type(line)
        assert at_work.at == "hurt tie-bolt:1 pass 1"
    assert at_work.story.entries() == before


def test_an_over_torque_is_answered_by_new_hardware_and_begins_anew(at_work: Guided) -> None:
    """Parts replaced: the bolt is tightened again from the first pass, and then it is done."""
    at_work.types("", "", "", "", "72", "", "", "100", "p", "EX-77 L-1")
    assert at_work.at == "setting tie-bolt:2 pass 1"
    at_work.types("36", "", "72", "", "")
    assert at_work.at == "end"
    assert at_work.story.close()


def test_what_is_only_loosened_stays_over_torqued(at_work: Guided) -> None:
    """The reason is asked, the bolt may be tightened again, and the job stays open for its hardware."""
    at_work.types("", "", "", "", "72", "", "", "", "118", "l", "", "asked engineering")
    assert at_work.at == "setting tie-bolt:4 pass 1"
    at_work.types("36", "", "72", "")
    assert at_work.at == "end"
    assert at_work.story.held() == ["over-torqued"]


def test_a_typing_mistake_is_struck_with_its_reason_and_waits_for_a_second_person(at_work: Guided) -> None:
    """What was really set is recorded in its place; the strike takes an outside outcome away."""
    at_work.types("62", "t", "36", "typed one line too high")
    assert at_work.at == "setting tie-bolt:3 pass 1"
    assert "second person" in at_work.said
    assert "awaits-confirmation" in at_work.story.held()
    assert [str(last.indicated) for last in at_work.session.history] == ["36 N·m"]


def test_a_refused_wrench_is_not_taken_in_hand(bench: Story) -> None:
    """It is told before the work, and nothing is on record for it."""
    bench.wrench("W-0402", on="2025-11-20")
    before = bench.entries()
    guided = Guided(bench)
    guided.type("W-0402")
    assert "W-0402 was due" in guided.said
    assert guided.at == "wrench tie-bolt:1 pass 1"
    assert bench.entries() == before


def test_a_wrench_that_does_not_reach_is_not_taken_in_hand(bench: Story) -> None:
    """Its range and what is asked of it are said."""
    bench.wrench("W-0500", scale="5..25 N·m by 0.5")
    guided = Guided(bench)
    guided.type("W-0500")
    assert "W-0500 shows 5 N·m to 25 N·m" in guided.said
    assert guided.at == "wrench tie-bolt:1 pass 1"


def test_a_wrench_dropped_meanwhile_gives_a_refusal_and_the_bolt_is_loosened_first(at_work: Guided) -> None:
    """What was typed is kept as a refusal; the next tightening needs the bolt loose, with another wrench."""
    at_work.story.report("W-0417", "dropped")
    at_work.type("")
    assert "REFUSED" in at_work.said
    assert at_work.at == "hurt tie-bolt:1 pass 1"
    at_work.types("l")
    at_work.story.wrench("W-0418")
    at_work.types("w W-0418", "36", "")
    assert at_work.session.history[-1].outcome == "within"


def test_an_adapter_scanned_by_mistake_changes_nothing(at_work: Guided) -> None:
    """A scan selects: what it would change is said and asked; n leaves everything as it was."""
    at_work.story.adapter("A-03", "2.5 in")
    at_work.type(code("adapter", "A-03"))
    assert "With A-03 in line the setting would be 29.0 N·m, not 36.0 N·m." in at_work.said
    at_work.type(code("adapter", "A-03"))
    at_work.type("")
    assert at_work.asked.kind == "adapter"
    at_work.types("n", "")
    assert at_work.readings == 1
    assert str(at_work.session.history[-1].indicated) == "36 N·m"


def test_an_adapter_on_the_wrench_changes_the_setting_which_is_typed_anew(at_work: Guided) -> None:
    """29 N·m through 2.5 in on a 10 in wrench is 36.25 N·m at the bolt."""
    at_work.story.adapter("A-03", "2.5 in")
    at_work.types(code("adapter", "A-03"), "y")
    assert at_work.at == "setting tie-bolt:1 pass 1"
    at_work.types("29", "")
    assert at_work.session.history[-1].applied == "36.25 N·m"
    at_work.types("a none")
    assert at_work.at == "setting tie-bolt:3 pass 1"


def test_a_scan_confirms_nothing(at_work: Guided) -> None:
    """Persons, jobs and the wrench in hand are named back, and a bolt's label goes to that bolt."""
    before = at_work.story.entries()
    for kind, name in (("person", "IK"), ("job", "J-9"), ("job", "J-1"), ("wrench", "W-0417")):
        at_work.type(code(kind, name))
        assert name in at_work.said
    at_work.type(code("fastener", "tie-bolt:4"))
    assert at_work.story.entries() == before
    assert at_work.at == "reading tie-bolt:4 pass 1"
    assert "not the next in the card's order" in at_work.said


def test_a_bolt_left_out_stays_open_and_is_offered_at_the_end(at_work: Guided) -> None:
    """The reason is on record; the others go on, and its number takes it up again."""
    at_work.types("s", "", "the bracket is in the way")
    assert at_work.at == "reading tie-bolt:3 pass 1"
    at_work.types("", "", "", "72", "", "", "")
    assert at_work.at == "end"
    assert at_work.story.held() == ["not-tightened"]
    at_work.types("1", "36", "", "72", "")
    assert at_work.at == "end"
    assert at_work.story.close()


def test_a_bolt_found_broken_needs_new_hardware(at_work: Guided) -> None:
    """f with its number records what was found; only replaced parts or leaving it open answer that."""
    at_work.types("", "f 1", "z", "s")
    assert at_work.at == "hurt tie-bolt:1 pass 1"
    at_work.types("l", "t", "p", "")
    assert at_work.at == "reading tie-bolt:1 pass 1"


def test_back_looks_and_undoes_nothing(at_work: Guided) -> None:
    """Each b goes one reading further back; then work goes on where it was."""
    at_work.types("", "", "b")
    assert "Tie bolt 3" in at_work.said
    at_work.type("b")
    assert "Tie bolt 1" in at_work.said
    at_work.types("b", "")
    assert [last.item for last in at_work.session.history] == [1, 3, 2]


def test_the_last_entry_is_struck_and_the_bolt_is_open_again(at_work: Guided) -> None:
    """x asks what was really set; Enter means that nothing was, and the reason is asked all the same."""
    at_work.types("", "x", "", "", "pressed too early")
    assert at_work.at == "reading tie-bolt:1 pass 1"
    assert at_work.session.history == ()
    at_work.types("x")
    assert "Nothing was recorded in this session" in at_work.said


def test_another_setting_than_the_one_said_has_to_be_said_again(at_work: Guided) -> None:
    """A figure typed at the bolt is what was set there; Enter does not go back to the old one."""
    at_work.type("35.5")
    assert at_work.at == "setting tie-bolt:3 pass 1"
    at_work.types("35.5", "36")
    assert at_work.at == "setting tie-bolt:2 pass 1"
    at_work.types("36", "36.0", "")
    assert at_work.readings == 4


def test_stopping_loses_nothing_and_what_is_held_is_said_again(at_work: Guided) -> None:
    """A new session goes on at the next open bolt, and asks for wrench and setting."""
    at_work.types("", "", "q")
    assert at_work.session.ended == "stop"
    again = Guided(at_work.story)
    assert again.at == "wrench tie-bolt:2 pass 1"
    again.types(*READY)
    assert again.at == "reading tie-bolt:2 pass 1"


def test_somebody_elses_bolt_is_passed_over_and_waited_for(at_work: Guided) -> None:
    """A bolt is shown to one at a time, and a pass ends before the next begins."""
    at_work.session = at_work.session._replace(others={("tie-bolt", 3): "IK"})
    at_work.types("", "")
    assert [last.item for last in at_work.session.history] == [1, 2]
    at_work.types("tie-bolt:3")
    assert "IK is at tie bolt 3" in at_work.said
    at_work.types("")
    assert at_work.asked.kind == "waiting"
    at_work.types("")
    assert at_work.readings == 3


def test_the_help_names_every_key(at_work: Guided) -> None:
    """? lists the keys and records nothing."""
    at_work.type("?")
    assert len(at_work.session.said) == 13
    assert at_work.at == "reading tie-bolt:1 pass 1"


def test_enter_behind_the_help_is_no_click(at_work: Guided) -> None:
    """Whoever has read the keys is rid of them by Enter, and of nothing else; the next Enter is a click again."""
    at_work.types("?", "")
    assert at_work.session.said == ("Nothing was recorded.",)
    assert (at_work.readings, at_work.at) == (0, "reading tie-bolt:1 pass 1")
    at_work.types("")
    assert at_work.readings == 1


def test_the_condition_of_the_threads_is_confirmed_once_and_on_record(story: Story) -> None:
    """y alone answers; the next session does not ask again."""
    story.bench({**PAIRS, "condition": "clean and dry"})
    guided = Guided(story)
    guided.types("", "n", "W-0417")
    assert guided.at == "condition tie-bolt:1 pass 1"
    guided.type("y")
    assert Guided(story).at == "wrench tie-bolt:1 pass 1"


def test_a_lot_is_asked_once_where_the_card_wants_it(story: Story) -> None:
    """It stands in every reading of the group; none says that the parts are used again."""
    story.bench({**PAIRS, "hardware": [{"part": "EX-77", "lot": True}]})
    guided = Guided(story)
    assert guided.asked.kind == "lots"
    guided.types("", "L-77", *READY, "")
    (lot,) = story.book.connection.execute("SELECT lot FROM hardware_lot").fetchone()
    assert lot == "L-77"
    again = Guided(story)
    again.types(*READY)
    assert again.at == "reading tie-bolt:3 pass 1"
    again.type("")
    lots = story.book.connection.execute("SELECT lot FROM hardware_lot").fetchall()
    assert lots == [("L-77",), ("L-77",)]


def test_a_setting_is_taken_in_the_unit_of_the_scale(story: Story) -> None:
    """A wrench in lbf·ft is set in lbf·ft for a card in N·m, and 26.5 lbf·ft is 35.93 N·m."""
    story.bench(PAIRS)
    story.wrench("W-0391", scale="20..100 lbf·ft by 0.5")
    guided = Guided(story)
    guided.types("W-0391")
    assert guided.asked.aim is not None
    assert guided.asked.aim.dial == Torque("26.5", "lbf·ft")
    guided.types("26.5", "")
    assert guided.session.history[0].applied == "35.93 N·m"


def test_wrench_adapters_and_setting_may_be_said_in_one_line(story: Story) -> None:
    """A setting outside the limits is asked for again; the wrench is in hand all the same."""
    story.bench(PAIRS)
    story.adapter("A-03", "2.5 in")
    guided = Guided(story)
    guided.type("W-0417 A-03 40")
    assert "would give the tie bolt 50 N·m" in guided.said
    assert guided.at == "setting tie-bolt:1 pass 1"
    guided.type("w W-0417 A-03 29")
    assert guided.at == "reading tie-bolt:1 pass 1"


def test_a_bolt_that_is_tight_from_another_job_is_loosened_first(bench: Story) -> None:
    """A click on it would show nothing; loosened, it begins with the first pass."""
    bench.card("OTHER", WHEEL)
    bench.job("J-2", "OTHER")
    bench.take("tie-bolt:3", "100 N·m", job="J-2")
    guided = Guided(bench)
    assert guided.at == "hurt tie-bolt:3 pass 1"
    guided.types("", "l", *READY, "", "")
    assert [last.act for last in guided.session.history] == ["tighten", "tighten"]


def test_the_neighbours_of_a_failed_bolt_are_checked(story: Story) -> None:
    """The card names one on each side: they are asked for once the failed one has new hardware and is tight."""
    story.bench({**WHEEL, "count": 4, "torque": "68..76 N·m", "neighbours": 1})
    guided = Guided(story)
    guided.types("W-0417 72", "", "", "", "")
    assert guided.at == "end"
    guided.session = guided.session._replace(ended="")
    story.act("tie-bolt:2", "found", found="sheared")
    again = Guided(story)
    assert again.at == "hurt tie-bolt:2 pass 1"
    again.types("p", "", "W-0417 72", "")
    assert again.at == "reading tie-bolt:1 pass 1"
    again.types("", "72")
    assert [(last.item, last.act) for last in again.session.history] == [
        (2, "tighten"),
        (1, "check"),
        (3, "check"),
    ]
    assert again.at == "end"
    assert story.close()


def test_a_wrench_that_runs_out_within_the_job_is_said_at_the_start(bench: Story) -> None:
    """Eight readings are asked for, and it has six uses left."""
    bench.wrench("W-0500", cycles=6)
    guided = Guided(bench)
    guided.type("W-0500")
    assert "W-0500 has 5 cycles left after this one; this job needs 7 more." in guided.said
    assert guided.at == "setting tie-bolt:1 pass 1"
