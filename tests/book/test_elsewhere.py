"""What another station judged is judged again here, by what that station knew."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.model.three import Three
from torquelog.book.elsewhere import judged_elsewhere
from torquelog.book.verification import verify
from torquelog.work import record


@pytest.fixture
def three(tmp_path: Path) -> Iterator[Three]:
    """A shop that uses a crib's wrenches, which it holds the crib's record of, and a line that gets its file."""
    made = Three(tmp_path)
    for number in (0, 1):
        made.move("CRB", "wrench", number)
    for what in ("wheel", "card"):
        made.move("WSH", what, 0)
    made.send("CRB", "WSH", everything=True)
    made.move("WSH", "job", 0)
    yield made
    made.close()


def take(three: Three, item: int, wrench: str = "W-1") -> record.Recorded:
    """A reading at the shop."""
    return three.places["WSH"].take(f"tie-bolt:{item}", "36 N·m", wrench, by="WA", job="J-WSH")


def test_it_comes_out_as_it_is_on_record(three: Three) -> None:
    """By the crib's facts as the shop had them, although more is known here: the wrench was dropped before."""
    shop, line, crib = (three.places[code] for code in ("WSH", "LIN", "CRB"))
    crib.report("W-1", "dropped")
    assert take(three, 1).outcome == "within"
    three.send("CRB", "LIN", everything=True)
    three.send("WSH", "LIN", everything=True)
    report = verify(line.book.connection, "LIN")
    assert (report.holds, report.judged, report.stopped) == (True, 1, ())
    three.send("CRB", "WSH", everything=True)
    assert take(three, 2).outcome == "refused"
    three.send("WSH", "LIN", everything=True)
    assert verify(line.book.connection, "LIN").judged == 2
    assert verify(shop.book.connection, "WSH").judged == 2


def test_what_a_changed_program_let_through_there_is_found_here(
    three: Three, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shop used a wrench that the crib had reported as dropped, and its program said nothing."""
    line = three.places["LIN"]
    three.places["CRB"].report("W-1", "dropped")
    three.send("CRB", "WSH", everything=True)
    assert take(three, 1, "W-2").outcome == "within"
    real = record.judge

    def lenient(*given: object, **named: object) -> object:
        return real(*given, **named)._replace(grounds=(), outcome="within")

    monkeypatch.setattr(record, "judge", lenient)
    forged = take(three, 2)
    monkeypatch.setattr(record, "judge", real)
    assert forged.outcome == "within"
    three.send("WSH", "LIN", everything=True)
    report = verify(line.book.connection, "LIN")
    assert [(each.entry, each.code) for each in report.findings] == [(forged.reference, "judgement")]
    shop = next(chain for chain in report.chains if chain.station == "WSH")
    assert shop.through == int(forged.reference.partition("-")[2]) - 1


def test_it_is_judged_up_to_what_is_missing_here(three: Three) -> None:
    """The shop had taken in the crib's record, of which nothing came to the line: it says from where on."""
    shop, line = three.places["WSH"], three.places["LIN"]
    connection = shop.book.connection
    (taken_in,) = connection.execute("SELECT number FROM taken_in WHERE station = 'WSH'").fetchone()
    assert take(three, 1).outcome == "within"
    from torquelog.book import exporting, takein

    parts = [part for part in exporting.parts(connection) if part.station == "WSH"]
    three.clock.moment += 1000
    takein.take_in(line.book, line.signed["TK"], list(exporting.lines(connection, tuple(parts))))
    report = verify(line.book.connection, "LIN")
    assert (report.holds, report.judged, report.stopped) == (True, 0, (f"WSH-{taken_in:06d}",))
    three.send("CRB", "LIN", everything=True)
    assert judged_elsewhere(line.book.connection, "WSH").judged == 1
