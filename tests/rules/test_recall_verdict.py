"""The verdict on one reading: by what was found, never by more than that tells."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.rules.recall_verdict import Basis, Question, beyond, corrected, judge
from torquelog.torque.curve import Curve, Indeterminate, error_curve
from torquelog.torque.limits import Limits
from torquelog.torque.pair import Pair
from torquelog.torque.units import parse_torque

ONE = Fraction(1)
LIMITS = Limits(Fraction(95), Fraction(105))


def curve(*pairs: tuple[str, str], state: str = "as-found", percent: str = "0") -> Curve | Indeterminate:
    """A curve clockwise; with a percentage each result has that expanded uncertainty, k 2."""
    share = Fraction(percent) / 100
    found = [
        Pair(
            Fraction(shown), Fraction(real), state=state, uncertainty=Fraction(real) * share or None,
            k=Fraction(2) if share else None,
        )
        for shown, real in pairs
    ]  # fmt: skip
    return error_curve(found, "cw", state)


EXACT = curve(("20", "20"), ("200", "200"), state="as-left")
EXACT_FOUND = curve(("20", "20"), ("200", "200"))


def question(reading: str, limits: Limits = LIMITS, **more: object) -> Question:
    """A reading without adapters."""
    asked = Question(parse_torque(reading), ONE, limits, ONE, limits, limits.high)
    return asked._replace(**more)


@pytest.mark.parametrize(
    ("real", "answer", "over"),
    [("94", "outside", ""), ("95", "within", ""), ("105", "within", ""), ("106", "outside", "certain")],
)
def test_what_was_found_decides(real: str, answer: str, over: str) -> None:
    """100 N·m set was so much; on a limit is within."""
    found = judge(Basis(curve(("20", "20"), ("100", real)), EXACT), question("100 N·m"))
    assert (found.answer, found.over, found.found, found.left) == (
        answer,
        over,
        Fraction(real),
        Fraction(100),
    )


def test_an_uncertainty_that_spans_a_limit_leaves_it_open() -> None:
    """105 N·m known to 1 % may be above: that it yielded cannot be excluded, either."""
    found = judge(Basis(curve(("20", "20"), ("100", "105"), percent="1"), EXACT), question("100 N·m"))
    assert (found.answer, found.reasons, found.over) == (
        "indeterminate",
        ("uncertainty-spans-limit",),
        "possible",
    )
    assert found.probability == pytest.approx(0.5, abs=0.01)


def test_an_over_torque_is_certain_with_its_whole_uncertainty() -> None:
    """105.5 N·m known to 1 % may still be inside; 107 is not."""
    found = [
        judge(Basis(curve(("20", "20"), ("100", real), percent="1"), EXACT), question("100 N·m"))
        for real in ("105.5", "107")
    ]
    assert [(each.answer, each.over) for each in found] == [
        ("indeterminate", "possible"),
        ("outside", "certain"),
    ]


def test_a_coarse_scale_widens_the_uncertainty() -> None:
    """A graduation of 10 N·m is a rectangular uncertainty of 2.9 N·m, which 98 N·m does not survive."""
    basis = Basis(curve(("20", "20"), ("100", "98"), percent="1"), EXACT)
    assert judge(basis, question("100 N·m")).answer == "within"
    assert judge(basis._replace(graduation=Fraction(10)), question("100 N·m")).answer == "indeterminate"


def test_nothing_is_extrapolated() -> None:
    """Beyond the points, and where nobody found anything, nobody can tell; the as-left torque stands beside it."""
    short = judge(Basis(curve(("20", "20"), ("90", "90")), EXACT), question("100 N·m"))
    none = judge(Basis(Indeterminate("no-result-as-found"), EXACT), question("100 N·m"))
    assert [(each.answer, each.reasons, each.found, each.left) for each in (short, none)] == [
        ("indeterminate", ("above-the-points",), None, Fraction(100)),
        ("indeterminate", ("no-result-as-found",), None, Fraction(100)),
    ]


def test_a_certificate_in_another_unit_may_be_a_rounding_short() -> None:
    """100 lbf·ft is 135.58 N·m; a certificate that ends at 135.5 speaks of it, one in lbf·ft at 99.94 does not."""
    found = curve(("20", "20"), ("135.5", "135.5"))
    asked = question("100 lbf·ft", Limits(Fraction(130), Fraction(140)))
    assert judge(Basis(found, EXACT, found_unit="N·m"), asked).answer == "within"
    assert judge(Basis(found, EXACT, found_unit="lbf·ft"), asked).answer == "indeterminate"


def test_a_certificate_of_an_unknown_unit_is_not_stretched() -> None:
    """Of 100 N·m one that ends at 99.94 says nothing where nobody told its unit, as found or as left."""
    short = curve(("20", "20"), ("99.94", "99.94"))
    left = curve(("20", "20"), ("99.94", "99.94"), state="as-left")
    found = judge(Basis(short, left), question("100 N·m"))
    assert (found.answer, found.reasons, found.left) == ("indeterminate", ("above-the-points",), None)
    told = judge(Basis(short, left, found_unit="lbf·ft", left_unit="lbf·ft"), question("100 N·m"))
    assert (told.answer, told.left) == ("within", Fraction("99.94"))  # its end


def test_a_wrench_that_nobody_left_in_a_known_state_has_no_torque_as_left() -> None:
    """What was found of it still decides."""
    found = judge(Basis(EXACT_FOUND, Indeterminate("no-result-as-left")), question("100 N·m"))
    assert (found.answer, found.found, found.left) == ("within", Fraction(100), None)


def test_where_the_wrench_is_not_in_doubt_its_certificate_as_left_decides() -> None:
    """So a lot or an adapter can be judged before the wrench is calibrated again."""
    found = judge(Basis(Indeterminate("no-result-as-found"), EXACT, by="as-left"), question("100 N·m"))
    assert (found.answer, found.found, found.by) == ("within", Fraction(100), "as-left")


def test_adapters_and_run_on_torque_as_they_really_were() -> None:
    """What was found goes through the true gain against the true limits; as left stays as it was taken."""
    asked = question(
        "80 N·m", gain=Fraction(6, 5), true_gain=Fraction(49, 40), true_limits=Limits(Fraction(97), None)
    )
    found = judge(Basis(EXACT, EXACT, by="as-left"), asked)
    assert (found.found, found.left, found.answer) == (Fraction(98), Fraction(96), "within")


def test_a_doubt_leaves_it_open_and_a_fault_puts_it_outside() -> None:
    """A run-on torque that nobody knows, and a nut that was worn."""
    basis = Basis(EXACT, EXACT, by="as-left")
    doubt = judge(basis, question("100 N·m", doubt="run-on-unknown"))
    fault = judge(basis, question("100 N·m", fault="run-on-outside"))
    assert (doubt.answer, doubt.reasons[-1], doubt.probability) == ("indeterminate", "run-on-unknown", None)
    assert (fault.answer, fault.reasons[-1]) == ("outside", "run-on-outside")


def test_where_the_limits_are_in_doubt_no_probability_is_told() -> None:
    """98 N·m known to 1 % lies within 95 to 105 almost surely; of limits that nobody knows it says nothing."""
    basis = Basis(curve(("20", "20"), ("100", "98"), percent="1"), EXACT)
    sure = judge(basis, question("100 N·m")).probability
    assert sure is not None
    assert sure > 0.99
    assert judge(basis, question("100 N·m", doubt="run-on-unknown")).probability is None


@pytest.mark.parametrize(
    ("torque", "low", "high", "share"),
    [
        (90, 95, 105, Fraction(5, 95)),
        (95, 95, 105, Fraction(0)),
        (97, 95, 105, Fraction(-2, 95)),
        (103, 95, 105, Fraction(-2, 105)),
        (105, 95, 105, Fraction(0)),
        (110, 95, 105, Fraction(5, 105)),
        (90, 95, None, Fraction(5, 95)),
        (110, None, 105, Fraction(5, 105)),
        (110, 0, 105, Fraction(5, 105)),  # of nothing there is no share
        (110, None, None, None),
    ],
)
def test_how_far_beyond_is_a_share_of_the_nearer_limit(
    torque: int, low: int | None, high: int | None, share: Fraction | None
) -> None:
    """5 N·m below 95 is a nineteenth, 5 N·m above 105 a twenty-first; an open limit, or one of 0, gives none."""
    ends = [None if end is None else Fraction(end) for end in (low, high)]
    assert beyond(Fraction(torque), Limits(*ends)) == share


def test_an_open_limit_is_never_exceeded() -> None:
    """A minimum alone has no torque above it."""
    limits = Limits(Fraction(95), None)
    found = judge(Basis(curve(("20", "20"), ("100", "300")), EXACT), question("100 N·m", limits))
    assert (found.answer, found.over) == ("within", "")


def test_results_of_a_tester_in_doubt_are_taken_as_it_measured_them() -> None:
    """It read 1.5 % high: 101.5 on the certificate was 100; what its own results do not reach is left out."""
    tester = curve(("20.3", "20"), ("152.25", "150"))
    pairs = [Pair(Fraction(100), Fraction("101.5")), Pair(Fraction(200), Fraction(203))]
    assert [(each.indicated, each.reference) for each in corrected(pairs, tester)] == [(100, 100)]
    assert corrected(pairs, Indeterminate("no-result-as-found")) == ()


@given(st.integers(1, 400), st.integers(1, 400), st.integers(1, 400))
def test_beyond_tells_the_side(torque: int, one: int, other: int) -> None:
    """Above zero outside, below zero inside, zero on a limit."""
    limits = Limits(Fraction(min(one, other)), Fraction(max(one, other)))
    share = beyond(Fraction(torque), limits)
    assert share is not None
    assert (share <= 0) == (limits.side(Fraction(torque)) == "within")
    assert beyond(None, limits) is None


@given(st.integers(80, 120), st.integers(1, 60), st.integers(1, 60))
def test_a_larger_uncertainty_never_makes_it_definite(real: int, small: int, more: int) -> None:
    """What nobody could tell with less uncertainty nobody can tell with more."""

    def answer(permille: int) -> str:
        found = curve(("20", "20"), ("100", str(real)), percent=str(Fraction(permille, 10)))
        return judge(Basis(found, EXACT), question("100 N·m")).answer

    first, second = answer(small), answer(small + more)
    assert second in (first, "indeterminate")
