"""Exports and taking in: the chains of several stations in one file, in whatever order they come."""

import json
import subprocess
import sys

import pytest

from tests.book.elsewhere import other_station
from tests.book.tampering import verified
from tests.ledger import checker
from tests.support.books import DAY, HOUR, NOON, enrol, sign_in
from torquelog.book import exporting, takein, writing
from torquelog.book.opening import open_book
from torquelog.clock import SetClock
from torquelog.errors import TorquelogError
from torquelog.facts import people, registry, stations
from torquelog.ledger.form import BODY_BYTES
from torquelog.quality import station
from torquelog.quality.people import add_person, change_role


@pytest.fixture(name="lgw")
def _lgw(tmp_path):
    """Another station, with a second person and a report."""
    kept = other_station(tmp_path, "LGW", SetClock(NOON - DAY))
    enrol(kept.book, kept.quality, "EF", "Edda Frost", ["technician"])
    report(kept, "W-900")
    yield kept
    kept.book.close()


@pytest.fixture(name="fao")
def _fao(tmp_path):
    kept = other_station(tmp_path, "FAO", SetClock(NOON - 2 * HOUR))
    report(kept, "W-901")
    yield kept
    kept.book.close()


def report(kept, tool):
    kept.clock.moment += 1000
    with writing.writing(kept.book) as w:
        return w.append(kept.signer, "report", {"tool": tool, "what": "dropped"}).reference


def exported(book, **limits):
    return list(exporting.lines(book.connection, exporting.parts(book.connection, **limits)))


def take(story, lines):
    story.clock.moment += 1000
    return takein.take_in(story.book, story.signed["TK"], lines)


def refusal(code, story, lines):
    with story.refused(code) as caught:
        take(story, lines)
    return caught.value


def facts(book):
    """Every fact row but for when this file came to know it, without the own chain's account of what it took in."""
    found = {}
    for name in (
        line.split()[2] for line in registry.schema().splitlines() if line.startswith("CREATE TABLE")
    ):
        cursor = book.connection.execute(f"SELECT * FROM {name}")
        columns = [column[0] for column in cursor.description]
        kept = [place for place, column in enumerate(columns) if column != "known"]
        found[name] = sorted([tuple(row[place] for place in kept) for row in cursor], key=repr)
    del found["taken_in"]
    return found


def test_an_export_is_every_chain_in_order(worked):
    """The checker that stands alone takes it, and so does this program."""
    chains = {}
    for line in exported(worked.book):
        checker.check_entry(chains, **json.loads(line))
    assert len(chains["QHR"]["digests"]) == worked.entries() + 1
    assert chains["QHR"]["digests"][1] == worked.book.identity


def test_the_checker_reads_the_file_that_the_export_writes(worked, lgw, tmp_path):
    """Two chains in one file, as a program of its own."""
    take(worked, exported(lgw.book))
    (tmp_path / "all.jsonl").write_text("\n".join(exported(worked.book)) + "\n", encoding="utf-8")
    command = [sys.executable, "-I", checker.__file__, str(tmp_path / "all.jsonl")]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert [line.split()[0] for line in done.stdout.splitlines()] == ["QHR", "LGW"]


def test_an_export_from_a_day_on(worked):
    """Only what was recorded at that moment or later."""
    cut = worked.clock.moment
    worked.clock.moment += 1
    report(worked_kept(worked), "W-1")
    (line,) = exported(worked.book, since=cut + 1)
    assert json.loads(json.loads(line)["text"])["body"]["tool"] == "W-1"
    assert len(exported(worked.book, since=0)) == worked.entries()
    assert exported(worked.book, since=worked.clock.moment + 1) == []


def worked_kept(story):
    from tests.support.books import Kept

    return Kept(story.book, story.clock, story.own["TK"], story.signed["TK"])


def test_an_export_from_an_entry_on(worked):
    """From the entry after the one that is named; an entry that is not there is refused."""
    assert len(exported(worked.book, after={"QHR": worked.entries() - 2})) == 2
    assert exported(worked.book, after={"QHR": worked.entries()}) == []
    for after in ({"QHR": worked.entries() + 1}, {"LGW": 1}):
        with pytest.raises(TorquelogError) as caught:
            exported(worked.book, after=after)
        assert caught.value.code == "entry-unknown"


def test_an_export_tells_of_one_moment(worked):
    """What others write while it is being written is not in it, and is seen afterwards."""
    with open_book(worked.book.path, "read", worked.clock) as book:
        with exporting.at_rest(book.connection):
            before = exporting.parts(book.connection)
            worked.says("report", {"tool": "W-0402", "what": "dropped"})
            assert exporting.parts(book.connection) == before
        assert exporting.parts(book.connection) == exporting.parts(worked.book.connection) != before


def test_another_stations_chain_is_held_verbatim(story, lgw):
    """Texts and signatures as they were; the own chain says how far, with the digest; everything verifies."""
    lines = exported(lgw.book)
    (taken,) = take(story, lines)
    assert (taken.station, taken.new, taken.through) == ("LGW", len(lines), len(lines))
    assert taken.identity == lgw.book.identity
    assert not taken.accepted
    assert exported(story.book)[-len(lines) :] == lines
    held = stations.held_through(story.book.connection, "QHR", "LGW")
    assert held is not None
    assert held[0] == len(lines)
    report = verified(story.book.path)
    assert report.holds
    assert [(chain.station, chain.through) for chain in report.chains] == [
        ("QHR", taken_at(taken)),
        ("LGW", len(lines)),
    ]


def taken_at(taken):
    return int(taken.reference.rpartition("-")[2])


def test_facts_are_known_from_when_they_were_taken_in(story, lgw):
    """Asked by known time before that, this file knows nothing of them."""
    take(story, exported(lgw.book))
    known = story.clock.moment
    assert people.person(story.book.connection, "EF") is not None
    before = people.AsOf(people.LATEST.at, known - 1)
    assert people.person(story.book.connection, "EF", before) is None
    assert people.person(story.book.connection, "EF", before._replace(known=known)) is not None


def test_what_is_held_already_is_passed_over(story, lgw):
    """A second time nothing is new and nothing is recorded; later entries are added to it."""
    take(story, exported(lgw.book))
    entries = story.entries()
    (again,) = take(story, exported(lgw.book))
    assert (again.new, again.reference) == (0, "")
    assert story.entries() == entries
    report(lgw, "W-902")
    (more,) = take(story, exported(lgw.book))
    assert more.new == 1
    report(lgw, "W-903")
    (since,) = take(story, exported(lgw.book, after={"LGW": more.through}))
    assert (since.new, since.through) == (1, more.through + 1)
    assert verified(story.book.path).holds


@pytest.mark.parametrize("order", ["together", "lgw first", "fao first", "in pieces"])
def test_facts_do_not_depend_on_the_order(story, lgw, fao, order, tmp_path):
    """Taken in together, one by one, or piece by piece: the same rows."""
    first, second = exported(lgw.book), exported(fao.book)
    ways = {
        "together": [first + second],
        "lgw first": [first, second],
        "fao first": [second, first],
        "in pieces": [first[:2], second[:1], first[2:4], second, first],
    }
    for lines in ways[order]:
        take(story, lines)
    assert verified(story.book.path).holds
    other = other_station(tmp_path, "QHR")
    assert {name: others(rows) for name, rows in facts(story.book).items()} == {
        name: others(rows) for name, rows in expected(other, first, second).items()
    }
    other.book.close()


def others(rows):
    return [row for row in rows if row[0] != "QHR"]


def expected(other, *exports):
    for lines in exports:
        other.clock.moment += 1000
        takein.take_in(other.book, other.signer, lines)
    return facts(other.book)


def test_a_chain_that_comes_by_way_of_a_third_station(story, lgw, fao):
    """FAO holds LGW; its export brings both here."""
    takein.take_in(fao.book, fao.signer, exported(lgw.book))
    taken = take(story, exported(fao.book))
    assert [each.station for each in taken] == ["FAO", "LGW"]
    assert verified(story.book.path).holds


def test_a_gap_is_refused(story, lgw):
    """The chain's beginning is missing, or something in the middle; nothing is taken in."""
    lines = exported(lgw.book)
    assert "first entry of LGW in it is LGW-000003" in refusal("gap", story, lines[2:]).what
    take(story, lines[:2])
    assert refusal("gap", story, lines[3:]).exit == 5


def test_a_fork_is_refused_and_shown(story, lgw, tmp_path):
    """Two copies of LGW went on by themselves: the number and both digests are told."""
    lines = exported(lgw.book)
    take(story, lines)
    copy = fork(lgw, tmp_path)
    report(copy, "W-950")
    report(lgw, "W-951")
    take(story, exported(lgw.book))
    error = refusal("fork", story, exported(copy.book))
    assert error.exit == 5
    assert f"LGW-{len(lines) + 1:06d} is another entry there than here" in error.what
    copy.book.close()


def fork(kept, tmp_path):
    """A copy of a record that goes on by itself."""
    from torquelog.book.opening import open_book
    from torquelog.ledger import database

    database.copy(kept.book.connection, tmp_path / "copy.db")
    book = open_book(tmp_path / "copy.db", "write", kept.clock, clock_ok=True)
    return kept._replace(book=book)


def test_another_record_under_the_same_code_is_refused(story, lgw, tmp_path):
    """A station's code names one record."""
    take(story, exported(lgw.book))
    (tmp_path / "second").mkdir()
    second = other_station(tmp_path / "second", "LGW")
    assert (
        "another record than the LGW that is held here" in refusal("fork", story, exported(second.book)).what
    )
    second.book.close()


def test_an_export_that_holds_more_of_the_own_chain_is_an_alarm(story, lgw, tmp_path):
    """LGW took in entries of ours that this file does not have: it is an older copy."""
    older = fork(worked_kept(story), tmp_path)
    report(worked_kept(story), "W-1")
    takein.take_in(lgw.book, sign_in(lgw.book, lgw.quality), exported(story.book))
    with pytest.raises(TorquelogError) as caught:
        takein.take_in(older.book, story.signed["TK"], exported(lgw.book))
    assert (caught.value.code, caught.value.exit) == ("older-copy", 5)
    older.book.close()


SPOILT = {
    "signature": ("signature", lambda line: line | {"signature": "00" * 64}),
    "text": ("signature", lambda line: line | {"text": line["text"].replace("Edda Frost", "Edda Froth")}),
    "form": ("entry-form", lambda line: line | {"text": line["text"].replace('"id"', '"ID"')}),
    "members": ("line-form", lambda line: line | {"more": "than that"}),
    "no text": ("line-form", lambda line: line | {"text": 7}),
    "no hex": ("line-form", lambda line: line | {"signature": "XY" * 64}),
    "station": ("chain", lambda line: line | {"text": line["text"].replace('"LGW"', '"LGX"')}),
}


@pytest.mark.parametrize("spoil", SPOILT)
def test_a_spoilt_line_is_refused_with_its_number(story, lgw, spoil):
    """Nothing of the export is taken in."""
    code, change = SPOILT[spoil]
    lines = exported(lgw.book)
    place = next(number for number, line in enumerate(lines) if "Edda Frost" in line)
    lines[place] = json.dumps(change(json.loads(lines[place])))
    error = refusal("gap" if spoil == "station" else code, story, lines)
    assert f"Line {place + 1} of the export" in error.what
    assert error.exit == 5


@pytest.mark.parametrize(
    "line", ["", "[]", "null", "{", '{"text": "", "text": "", "signature": ""}', "\x00", "1e400"]
)
def test_a_line_of_anything_is_refused(story, line):
    """What is no line of an export, and an export with nothing in it."""
    assert refusal("line-form" if line else "export-empty", story, [line]).exit == (5 if line else 2)


def test_an_entry_without_authority_in_its_own_chain_is_refused(story, lgw, monkeypatch):
    """A changed program at LGW let a technician grant a role; the signature is good."""
    monkeypatch.setattr(writing, "authorise", lambda *_: None)
    _, signer = enrol(lgw.book, lgw.quality, "GH", "Gil Hart", ["technician"])
    with writing.writing(lgw.book) as w:
        w.append(signer, "role", {"person": "GH", "role": "quality", "change": "add"})
    monkeypatch.undo()
    error = refusal("authority", story, exported(lgw.book))
    assert error.exit == 5
    assert "LGW-" in error.what


def test_only_the_crib_takes_in(story, lgw):
    """A technician's sign-in is not enough."""
    with story.refused("no-role"):
        takein.take_in(story.book, story.signed["IK"], exported(lgw.book))


def test_people_of_another_station_sign_nothing_here(story, lgw):
    """Keys count in the chain that introduced them: LGW's quality is nobody at QHR until enrolled here."""
    take(story, exported(lgw.book))
    with story.refused("key-owner"):
        change_role(story.book, lgw.quality, "IK", "crib", add=True)
    add_person(story.book, story.own["TK"], "AB", "Ann Bold", ("technician",))
    assert people.roles_to_sign(story.book.connection, "QHR", "AB", story.clock.moment) == {"technician"}


def test_a_station_is_accepted_by_quality(story, lgw):
    """Once, with its identity on record."""
    take(story, exported(lgw.book))
    done = station.accept_station(story.book, story.own["TK"], "LGW", "same company")
    assert done.identity == lgw.book.identity
    assert stations.accepted(story.book.connection, "QHR", "LGW")
    with story.refused("station-accepted"):
        station.accept_station(story.book, story.own["TK"], "LGW", "same company")
    assert station.show(story.book).held[0][2]


def test_one_name_for_two_people_is_a_question(story, tmp_path):
    """MS is Mira Solheim here and somebody else there; both stay, and it is told."""
    kept = other_station(tmp_path, "FAO", SetClock(NOON - DAY))
    add_person(kept.book, kept.quality, "MS", "Milo Santos", ("crib",))
    (taken,) = take(story, exported(kept.book))
    (question,) = taken.questions
    assert question == "FAO registered MS with name Milo Santos; on record is Mira Solheim."
    kept.book.close()


def test_lines_are_read_piece_by_piece():
    """Ends of lines anywhere; a carriage return is none of the line; the last may lack its end."""
    assert list(takein.exported_lines([b"ab", b"c\nde\r\n", b"f"])) == ["abc", "de", "f"]
    assert list(takein.exported_lines([b"a\n", b""])) == ["a"]
    with pytest.raises(TorquelogError, match="UTF-8"):
        list(takein.exported_lines([b"\xff\n"]))


def test_a_line_without_an_end_is_not_kept_in_memory():
    """Four gigabytes of it would be refused after one megabyte."""

    def endless():
        while True:
            yield b"x" * 65536

    with pytest.raises(TorquelogError) as caught:
        list(takein.exported_lines(endless()))
    assert caught.value.code == "line-form"


def test_the_largest_entry_fits_on_a_line():
    """A body of the largest size, each sign of it written as an escape."""
    largest = BODY_BYTES // 2 * "é"
    assert len(json.dumps({"text": largest})) < takein.LONGEST


def test_an_entry_that_no_rows_can_be_made_of_is_named(story, lgw, monkeypatch):
    """Whatever its form let through: the entry is told, and nothing of the export is taken in."""
    real = takein.replaying.add

    def stumbling(connection, entry, *rest):
        if entry.kind == "report":
            raise KeyError("aircraft")
        real(connection, entry, *rest)

    monkeypatch.setattr(takein.replaying, "add", stumbling)
    before = facts(story.book)
    error = refusal("body-form", story, exported(lgw.book))
    assert error.what.startswith("LGW-")
    assert facts(story.book) == before
