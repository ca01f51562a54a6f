"""Settings: limits at the wrench, the dial, the range, and back to the fastener."""

from fractions import Fraction
from math import ceil, floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.adapter import Extension, Multiplier
from torquelog.torque.limits import Limits, parse_spec
from torquelog.torque.setting import applied, nearest_mark, setting, work_out
from torquelog.torque.units import Length, Torque, parse_length, parse_torque

torques = st.fractions(Fraction(1, 10), 100, max_denominator=100)
gains = st.fractions(Fraction(1, 2), 20, max_denominator=50)
steps = st.fractions(1, 20, max_denominator=100)


@st.composite
def closed(draw):
    """Limits with both ends."""
    low, high = sorted([draw(torques), draw(torques)])
    return Limits(low, high)


def inches(length, angle=0):
    """An extension in inches."""
    return Extension(Fraction(length) * Fraction(254, 10_000), Fraction(angle))


def codes(result):
    """The codes of a setting's remarks."""
    return [remark.code for remark in result.remarks]


def test_a_setting_with_an_adapter():
    """60 to 80 N·m through 100 mm on a lever of 400 mm: set 48 to 64, aim at 56, which gives 70."""
    result = work_out(
        parse_spec("60..80 N·m"),
        [Extension(Fraction("0.1"))],
        lever=Length("400", "mm"),
        graduation=parse_torque("0.5 N·m"),
        reach=parse_spec("20..100 N·m"),
    )
    shown = result.shown()
    assert shown.low == Torque("48", "N·m")
    assert shown.high == Torque("64", "N·m")
    assert shown.target == shown.dial == Torque("56", "N·m")
    assert shown.at_fastener == Torque("70", "N·m")
    assert shown.ratio == "0.8"
    assert result.remarks == ()


def test_a_published_setting_with_limits():
    """US Army TM 1-1500-204-23-9 fig 8-16 (read): 300 lbf·in through 4 in on 10 in is set to 214."""
    result = work_out(
        parse_spec("290..310 lbf·in"),
        [inches(4)],
        lever=parse_length("10 in"),
        graduation=parse_torque("1 lbf·in"),
    )
    assert result.shown(9).target == Torque("214.285714", "lbf·in")
    assert result.shown().dial == Torque("214", "lbf·in")
    assert result.shown().at_fastener == Torque("299.6", "lbf·in")


def test_a_published_torque_from_a_setting():
    """US Army TM 9-254 p. 4-5, fig 4-5 (read): set to 60 lbf·in, 2 in on 12 in, it is 70 lbf·in."""
    result = applied(parse_torque("60 lbf·in"), [inches(2)], parse_length("12 in"))
    assert result.torque == Torque("70", "lbf·in")
    assert result.ratio == Fraction(6, 7)


def test_run_on_torque_raises_limits_and_target():
    """US Army TB 43-0218 7c, worked there (read): 50 to 70 lbf·in with a drag of 30 is 80 to 100 lbf·in."""
    drag = parse_torque("30 lbf·in")
    result = work_out(parse_spec("50..70 lbf·in"), run_on=drag, basis="above-run-on")
    assert result.shown()[:3] == (Torque("80", "lbf·in"), Torque("100", "lbf·in"), Torque("90", "lbf·in"))
    again = work_out(
        parse_spec("50..70 lbf·in"), run_on=drag, basis="above-run-on-from", from_share=Fraction(1, 3)
    )
    assert again == result
    below = work_out(
        parse_spec("60 +10/-0 lbf·in"),
        run_on=parse_torque("19.9 lbf·in"),
        basis="above-run-on-from",
        from_share=Fraction(1, 3),
    )
    assert below.shown()[:3] == (Torque("60", "lbf·in"), Torque("70", "lbf·in"), Torque("60", "lbf·in"))


def test_a_nominal_torque_is_the_target():
    """Where a document names a torque beside its tolerance, that is aimed at, run-on torque added."""
    spec = parse_spec("44 +2/-1 N·m")
    assert work_out(spec).shown().target == Torque("44", "N·m")
    raised = work_out(spec, [Multiplier(Fraction(2))], run_on=parse_torque("3 N·m"), basis="above-run-on")
    assert raised.shown().target == Torque("23.5", "N·m")


def test_a_torque_in_one_unit_is_set_on_a_scale_in_another():
    """68 to 76 N·m on a scale by 0.5 lbf·ft: 53 lbf·ft, which is 71.9 N·m at the bolt."""
    result = work_out(parse_spec("68..76 N·m"), graduation=parse_torque("0.5 lbf·ft"))
    assert result.shown().dial == Torque("53", "lbf·ft")
    assert result.shown(3).at_fastener == Torque("71.9", "N·m")
    assert result.shown(3).low == Torque("50.2", "lbf·ft")


def test_the_unit_asked_for_does_not_change_the_scale():
    """Limits may be shown in newton metres beside a dial in its own unit."""
    result = work_out(parse_spec("68..76 N·m"), graduation=parse_torque("0.5 lbf·ft"), unit="N·m")
    assert result.shown().low == Torque("68", "N·m")
    assert result.shown().dial == Torque("53", "lbf·ft")


def test_the_range_is_checked_against_the_indicated_value():
    """A torque outside the wrench's range may be set through an adapter, and one inside may not."""
    reach = parse_spec("20..100 N·m")
    chain = [Multiplier(Fraction(4))]
    assert work_out(parse_spec("300..320 N·m"), chain, reach=reach).remarks == ()
    small = work_out(parse_spec("60..70 N·m"), chain, reach=reach)
    assert codes(small) == ["outside-range"]
    assert small.dial is None
    assert small.at_fastener is None


def test_a_range_that_ends_on_the_limit_holds_it():
    """Range and limits are closed: one torque in common can be set."""
    result = work_out(
        parse_spec("80..100 N·m"), reach=parse_spec("20..80 N·m"), graduation=parse_torque("1 N·m")
    )
    assert codes(result) == ["range-cuts-limits"]
    assert result.dial == 80


def test_a_dial_outside_the_range_is_not_offered():
    """Where the range cuts the limits, the nearest mark inside both is taken."""
    result = work_out(
        parse_spec("60..80 N·m"), reach=parse_spec("5..65 N·m"), graduation=parse_torque("2 N·m")
    )
    assert result.dial == 64
    assert result.target == 70
    assert codes(result) == ["range-cuts-limits"]
    assert "60 to 65 N·m" in result.remarks[0].message


def test_no_graduation_inside_is_said():
    """A coarse scale without a mark inside the limits gives no dial value, and the remark says why."""
    result = work_out(parse_spec("51..54 N·m"), graduation=parse_torque("5 N·m"))
    assert result.dial is None
    assert result.at_fastener is None
    assert codes(result) == ["no-graduation"]
    assert "5 N·m" in result.remarks[0].message
    assert "51 to 54 N·m" in result.remarks[0].message


@pytest.mark.parametrize("text", ["min 11 lbf·in", "max 20 lbf·in"])
def test_one_limit_has_no_target(text):
    """A minimum or maximum alone says nothing to aim at; the limit is converted all the same."""
    result = work_out(parse_spec(text), [Multiplier(Fraction(2))], graduation=parse_torque("1 lbf·in"))
    assert result.target is None
    assert result.dial is None
    assert codes(result) == ["one-limit"]
    assert {result.shown().low, result.shown().high} == {None, Torque(display_half(text), "lbf·in")}


def display_half(text):
    """Half of the number in a text."""
    return {"11": "5.5", "20": "10"}[text.split()[1]]


def test_without_a_graduation_the_target_itself_is_set():
    """Nothing is known of the scale, so the dial value is the target, or the range's end nearest to it."""
    assert work_out(parse_spec("60..80 N·m")).dial == 70
    assert work_out(parse_spec("60..80 N·m"), reach=parse_spec("5..65 N·m")).dial == 65
    assert work_out(parse_spec("60..80 N·m"), reach=parse_spec("75..95 N·m")).dial == 75


def test_a_graduation_of_zero_is_refused():
    """A scale without a step has no marks to choose from."""
    with pytest.raises(TorquelogError) as caught:
        work_out(parse_spec("60..80 N·m"), graduation=parse_torque("0 N·m"))
    assert caught.value.code == "graduation-zero"


def test_an_adapter_without_a_lever_is_refused():
    """The lever is asked for where an adapter changes it."""
    with pytest.raises(TorquelogError) as caught:
        work_out(parse_spec("60..80 N·m"), [inches(2)])
    assert caught.value.code == "adapter-no-lever"


@given(closed(), gains, steps, closed() | st.none())
def test_the_dial_is_the_best_mark_there_is(limits, gain, step, reach):
    """No other mark inside limits and range is nearer the target; and none is left out."""
    result = setting(limits, gain, step, reach)
    both = limits.times(1 / gain) if reach is None else limits.times(1 / gain).shared(reach)
    marks = [n * step for n in range(max(1, ceil(both.low / step)), floor(both.high / step) + 1)]
    if not marks:
        assert result.dial is None
        assert {"no-graduation", "outside-range"} & set(codes(result))
    else:
        assert result.dial == min(marks, key=lambda mark: (abs(mark - result.target), mark))
        assert limits.side(result.at_fastener) == "within"


@given(closed(), gains)
def test_setting_and_torque_are_inverse(limits, gain):
    """What is set to an end of the limits gives that end at the fastener, exactly."""
    result = setting(limits, gain)
    assert Limits(result.low, result.high).times(gain) == limits
    assert result.target * gain == limits.middle
    assert result.ratio * gain == 1


@given(closed(), gains, gains)
def test_more_gain_means_a_lower_setting(limits, one, other):
    """The more the adapters bring, the less is set."""
    low, high = sorted([one, other])
    assert setting(limits, high).low <= setting(limits, low).low


@given(torques, st.none() | steps)
def test_a_mark_without_limits_is_within_half_a_step(target, step):
    """Rounding to the scale moves a target above half a step by half a step at most."""
    mark = nearest_mark(target, Limits(None, None), step)
    if step is None:
        assert mark == target
    elif target >= step / 2:
        assert abs(mark - target) <= step / 2
    assert mark > 0


def test_of_two_marks_equally_near_the_lower_is_taken():
    """52.5 lies between 52 and 53, 53.5 between 53 and 54; nobody should get more than was meant."""
    wide = Limits(Fraction(50), Fraction(55))
    assert nearest_mark(Fraction("52.5"), wide, Fraction(1)) == 52
    assert nearest_mark(Fraction("53.5"), wide, Fraction(1)) == 53


def test_zero_is_no_mark():
    """Limits that begin at zero do not make zero a setting."""
    assert nearest_mark(Fraction("0.3"), Limits(Fraction(0), Fraction(2)), Fraction(1)) == 1
    assert nearest_mark(Fraction("0.3"), Limits(Fraction(0), Fraction("0.6")), Fraction(1)) is None


@given(torques, gains)
def test_applied_is_the_reading_times_the_gain(value, gain):
    """Through a multiplier the fastener gets its ratio times what is indicated."""
    reading = Torque("26.5", "lbf·ft")
    result = applied(reading, [Multiplier(gain)])
    assert result.newton_metres == reading.newton_metres * gain
    assert result.torque.unit == "lbf·ft"


def test_a_setting_without_adapters_is_the_torque_itself():
    """The gain is one, and everything is shown in the one unit."""
    found = setting(Limits(Fraction(60), Fraction(80)), unit="lbf·ft")
    assert (found.low, found.ratio) == (60, 1)
    assert (found.unit, found.dial_unit, found.fastener_unit) == ("lbf·ft", "lbf·ft", "lbf·ft")


def test_a_setting_is_shown_with_sixteen_digits():
    """As exact as can be written."""
    assert setting(Limits(Fraction(1, 3), Fraction(1))).shown().low == Torque("0.3333333333333333", "N·m")


def test_a_step_that_does_not_come_out_even_is_said_with_six_digits():
    """A mark of a scale by a third of a newton metre."""
    found = setting(Limits(Fraction("0.4"), Fraction("0.6")), graduation=Fraction(1, 3))
    assert found.remarks[0].message == "No mark of a scale by 0.333333 N·m lies in 0.4 to 0.6 N·m."


def test_a_mark_with_one_limit_keeps_that_limit():
    """An open end holds nothing back."""
    seven = Fraction(7)
    assert nearest_mark(seven, Limits(None, Fraction(6)), Fraction(1)) == 6
    assert nearest_mark(Fraction(5), Limits(Fraction(6), None), Fraction(1)) == 6
    assert nearest_mark(seven, Limits(None, Fraction(6)), None) == 6
    assert nearest_mark(Fraction(5), Limits(Fraction(6), None), None) == 6


def test_the_scale_has_the_unit_of_its_graduation_then_the_one_asked_for_then_the_ranges():
    """And that of the specification where nothing else is known."""
    spec, reach = parse_spec("60..80 N·m"), parse_spec("20..100 lbf·ft")
    assert work_out(spec).dial_unit == "N·m"
    assert work_out(spec, reach=reach).dial_unit == "lbf·ft"
    assert work_out(spec, reach=reach, unit="lbf·in").dial_unit == "lbf·in"
    step = parse_torque("0.5 kgf·m")
    assert work_out(spec, reach=reach, unit="lbf·in", graduation=step).dial_unit == "kgf·m"


def test_a_range_with_one_end_cuts_a_setting_with_one_limit():
    """On the side that both have."""
    for text, reach in (("max 80 N·m", "max 50 N·m"), ("min 20 N·m", "min 50 N·m")):
        assert codes(work_out(parse_spec(text), reach=parse_spec(reach))) == [
            "range-cuts-limits",
            "one-limit",
        ]
