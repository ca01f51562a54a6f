"""The counter's machine: two scans hand out, a question takes back, and nothing goes to the person before."""

from tests.support.tools import wrench
from torquelog.crib.desk import (
    STAYS,
    Desk,
    GiveBack,
    Issue,
    Named,
    Report,
    ShowOut,
    ShowPerson,
    Turn,
    prompt,
    take,
)
from torquelog.facts.custody import Whereabouts

W = wrench("W-0417")
IN = Named("tool", "W-0417", tool=W, where=Whereabouts("crib"), scanned=True)
OUT = Named("tool", "W-0417", tool=W, where=Whereabouts("person", "IK"), scanned=True)
TK = Named("person", "TK", "Tove Kallas", scanned=True)
NOBODY = Named("nothing")


def step(desk: Desk, named: Named, line: str = "scan", now: int = 1000) -> Turn:
    """One line."""
    return take(desk, line, named, now)


def test_a_person_and_a_tool_make_an_issue() -> None:
    """Several tools go to the same person."""
    here = step(Desk(), TK)
    assert here.effects == (ShowPerson("TK", "Tove Kallas"),)
    first = step(here.desk, IN)
    assert first.effects == (Issue(W, "TK", ""),)
    assert step(first.desk, IN).effects == (Issue(W, "TK", ""),)


def test_a_job_is_named_with_the_issue_until_the_next_person() -> None:
    """Scanned between person and tool it is the job that the tool is for."""
    here = step(step(Desk(), TK).desk, Named("job", "J-1"))
    assert step(here.desk, IN).effects == (Issue(W, "TK", "J-1"),)
    assert step(step(here.desk, TK).desk, IN).effects == (Issue(W, "TK", ""),)


def test_a_tool_alone_is_not_issued() -> None:
    """Somebody has to stand at the counter, and after two minutes nobody does."""
    assert step(Desk(), IN).effects == ()
    here = step(Desk(), TK).desk
    assert step(here, IN, now=1000 + STAYS).effects
    late = step(here, IN, now=1001 + STAYS)
    assert late.effects == ()
    assert "Scan the person first" in late.desk.said[0]


def test_a_return_is_recorded_once_it_was_asked_whether_anything_is_wrong() -> None:
    """No scan and no Enter answers that; n takes it back."""
    asked = step(step(Desk(), TK).desk, OUT)
    assert asked.effects == ()
    assert prompt(asked.desk) == "W-0417 back from IK. Dropped, or anything wrong? y/n: "
    for named, line in ((OUT, "scan"), (TK, "scan"), (NOBODY, ""), (NOBODY, "maybe")):
        asked = step(asked.desk, named, line)
        assert asked.effects == ()
        assert asked.desk.returning is not None
    assert step(asked.desk, NOBODY, "n").effects == (GiveBack(W, Whereabouts("person", "IK")),)


def test_what_befell_it_is_reported_before_it_is_taken_back() -> None:
    """So it is never fit in the crib in between."""
    asked = step(step(Desk(), OUT).desk, NOBODY, "y")
    assert "da(m)aged" in prompt(asked.desk)
    asked = step(asked.desk, NOBODY, "x")
    assert asked.effects == ()
    assert step(asked.desk, NOBODY, "d").effects == (
        Report(W, "dropped"),
        GiveBack(W, Whereabouts("person", "IK")),
    )


def test_a_return_can_be_left_as_it_was() -> None:
    """A full stop: the wrong label was scanned."""
    left = step(step(Desk(), OUT).desk, NOBODY, ".")
    assert (left.effects, left.desk.returning) == ((), None)


def test_what_is_away_or_retired_is_not_issued() -> None:
    """It is said where it is."""
    for kind in ("away", "retired"):
        away = IN._replace(where=Whereabouts(kind))
        told = step(step(Desk(), TK).desk, away)
        assert told.effects == ()
        assert "NOT issued" in told.desk.said[0]


def test_other_lines_do_nothing_but_answer() -> None:
    """An empty one shows what is out, a garbled scan and an unknown word are said, q ends."""
    assert step(Desk(), NOBODY, "").effects == (ShowOut(),)
    assert "garbled" in step(Desk(), Named("garbled", scanned=True)).desk.said[0]
    assert "neither" in step(Desk(), NOBODY, "W-9999").desk.said[0]
    assert step(Desk(), NOBODY, "q").desk.ended
