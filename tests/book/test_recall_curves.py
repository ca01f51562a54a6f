"""The error curves of a recall: the same whatever is held of them, and few held however many certificates there are."""

import gc
from collections.abc import Sequence
from datetime import date

import pytest

from tests.quality.recalled import GOOD, results
from tests.rules.test_recall_window import term_at
from tests.support.books import DAY
from tests.support.story import WHEEL, Story
from torquelog.book import recall_curves, recall_judging
from torquelog.book.recall_causes import Facts, failing
from torquelog.book.recall_curves import Curves, Spans
from torquelog.book.recall_items import readings_of
from torquelog.book.recall_judging import Judge, Scope
from torquelog.crib import calibration
from torquelog.crib.calibration import NewCalibration
from torquelog.facts import calibrations
from torquelog.facts.readings import Reading
from torquelog.rules import recall_window
from torquelog.rules.recall_verdict import Judged
from torquelog.torque import curve
from torquelog.torque.curve import Curve, Indeterminate

YEARS = range(2012, 2024)
NOBODY = frozenset[str]()


def of_years(story: Story) -> Sequence[Reading]:
    """A reading a year with a wrench that has a certificate a year, found the worse the older it is."""
    story.bench(WHEEL)
    story.take("tie-bolt:1", "50 N·m")
    for year in YEARS:
        found = (("20", str(20 - (2024 - year) / 8)), ("100", "100"))
        story.calibrate("W-0417", f"{year}-06-01", points=(*results(found, "as-found"), *results(GOOD)))
    (reading,) = [
        each.reading for each in readings_of(story.book.connection, scope(story, subject="", name=""))
    ]
    return [
        reading._replace(at=story.moment(f"{year}-01-01T12:00"), number=year)
        for year in YEARS
        for _ in (1, 2)
    ]


def scope(story: Story, subject: str = "wrench", name: str = "W-0417") -> Scope:
    """Everything that was done with the wrench."""
    return Scope(subject, name, "", "", 0, story.clock.moment)


def alive(*kinds: type) -> int:
    """How many things of some kinds are held anywhere."""
    gc.collect()
    return sum(type(each) in kinds for each in gc.get_objects())


def test_no_more_is_held_of_many_certificates_than_of_few(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a walk through twelve years: no result of any certificate, and the points of three curves."""
    readings = of_years(story)
    monkeypatch.setattr(recall_curves, "MOST", 3)
    before = alive(calibrations.Point, calibrations.Calibration, curve.Point)
    judge = Judge(story.book.connection, scope(story))
    for each in readings:
        judge.judged(each, NOBODY, {})
    assert alive(calibrations.Point, calibrations.Calibration, curve.Point) - before <= 3 * len(GOOD)


def test_what_is_read_again_is_judged_as_what_was_held(story: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each year by its own certificate, also where no curve but the last one is held."""
    years = of_years(story)
    readings = [*years, *reversed(years)]

    def judged() -> list[Judged]:
        judge = Judge(story.book.connection, scope(story))
        return [judge.judged(each, NOBODY, {}) for each in readings]

    held = judged()
    monkeypatch.setattr(recall_curves, "MOST", 1)
    monkeypatch.setattr(recall_judging, "MOST", 0)
    assert judged() == held
    assert len({each.found for each in held}) == len(YEARS)


def test_a_curve_is_made_once_while_it_is_held(story: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """The one that was asked for last stays, the one that nobody asked for the longest goes."""
    of_years(story)
    monkeypatch.setattr(recall_curves, "MOST", 2)
    curves = Curves(story.book.connection, Facts(story.book.connection))
    known = [curves.span("W-0417", story.moment(f"{year}-01-01T12:00")).found for year in (2013, 2014, 2015)]
    first, second, third = (curves.curve(each, "cw", "as-found") for each in known)
    assert curves.curve(known[2], "cw", "as-found") is third
    assert curves.curve(known[1], "cw", "as-found") is second
    assert curves.curve(known[0], "cw", "as-found") == first
    assert curves.curve(known[1], "cw", "as-found") is second
    assert curves.curve(known[2], "cw", "as-found") is not third


def test_the_time_of_a_moment_is_the_one_that_the_rule_names(story: Story) -> None:
    """Also where a certificate of an earlier day was accepted after the next one, and on the very moment of an end."""
    of_years(story)
    connection = story.book.connection
    certificates = Facts(connection).read("W-0417")
    mixed = [
        each._replace(accepted=each.recorded if place % 3 else None, found_on=date(2016, 1, 20 - place))
        for place, each in enumerate(certificates)
    ]
    for given in (certificates, mixed, mixed[:1], ()):
        spans, terms = (
            Spans(given, Facts(connection)),
            recall_window.terms(given, Facts(connection).zone),
        )
        ends = [term.ends for term in terms if term.ends is not None]
        for moment in {0, *ends, *(end - 1 for end in ends), *(end + DAY for end in ends)}:
            term, span = term_at(terms, moment), spans.at(moment)
            assert span.ends == term.ends
            for one, other in ((span.left, term.left), (span.found, term.found)):
                assert (one and (one.station, one.number)) == (other and (other.station, other.number))


def test_what_no_certificate_tells_has_its_reason(story: Story) -> None:
    """A tool without any; one that was withdrawn."""
    of_years(story)
    curves = Curves(story.book.connection, Facts(story.book.connection))
    assert curves.curve(curves.span("W-NONE", 0).found, "cw", "as-left") == Indeterminate("no-result-as-left")
    known = curves.span("W-0417", story.moment("2015-01-01T12:00")).found
    assert known is not None
    assert curves.curve(known._replace(withdrawn=True), "cw", "as-found") == Indeterminate(
        "certificate-withdrawn"
    )


def test_a_tester_in_doubt_corrects_every_certificate_that_it_measured(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It read 1.5 % high; whether it is in doubt is found out once."""
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    found = (("20", "19.7044335"), ("100", "98.522167"))
    story.calibrate("T-1", "2024-12-01", points=(*results(found, "as-found"), *results(GOOD)))
    story.wrench("W-1", on="")
    for day in (9, 10):
        new = NewCalibration(
            f"C-{day}", date(2024, 11, day), standard="T-1", points=results(GOOD, "unchanged")
        )
        calibration.calibrate(story.book, story.signed["TK"], "W-1", new, accept=True)
    curves, asked = Curves(story.book.connection, Facts(story.book.connection)), []
    monkeypatch.setattr(recall_curves, "failing", lambda *given: asked.append(given) or failing(*given))
    for day in (9, 10):
        known = curves.span("W-1", story.moment(f"2024-11-{day:02}T00:00")).found
        assert known is not None
        made = curves.curve(known, "cw", "as-found")
        assert isinstance(made, Curve)
        assert [round(float(point.reference), 3) for point in made.points] == [19.704, 59.113, 98.522]
    assert len(asked) == 1
