"""Jobs: what they are about, whose fasteners they work on, and when they were open."""

import pytest

from tests.support.cards import AXLE_NUT, TIE_BOLT, card_content
from tests.support.rows import Rows
from torquelog.errors import TorquelogError
from torquelog.facts import jobs
from torquelog.facts.card_form import card_from
from torquelog.facts.jobs import Job, owner_of
from torquelog.facts.rows import LATEST, AsOf

HOUR = 3_600_000
BODY = {"job": "J-1", "card": "MW-BUILD", "revision": "B", "digest": "ab" * 32}
WHEEL = {"wheel": "EX-4410-1 WH-2231"}
BOTH = WHEEL | {"brake": "EX-7 BR-1"}


@pytest.fixture
def rows() -> Rows:
    rows = Rows()
    rows.put("job", BODY | {"assemblies": BOTH, "aircraft": "100", "position": "main 2"}, HOUR)
    return rows


def close(rows: Rows, hour: int) -> str:
    return rows.put("job-closed", {"job": "J-1"}, hour * HOUR, signer="IK")


def test_a_job_says_what_it_is_about(rows: Rows) -> None:
    """Its card by revision and digest, its assemblies by kind, its aircraft, who opened it when."""
    assert jobs.job(rows.connection, "J-1") == Job(
        "J-1", "MW-BUILD", "B", "ab" * 32, "100", "main 2", BOTH, HOUR, "TK", None, "QHR-000001"
    )
    assert jobs.job(rows.connection, "J-2") is None


def test_a_job_was_open_before_it_was_closed(rows: Rows) -> None:
    """Asked as of an hour before the closing it is open; a struck closing never was."""
    entry = close(rows, 5)
    found = jobs.job(rows.connection, "J-1")
    assert found is not None
    assert found.closed == 5 * HOUR
    before = AsOf(5 * HOUR - 1, LATEST.known)
    assert [each.job for each in jobs.open_jobs(rows.connection, before)] == ["J-1"]
    assert jobs.open_jobs(rows.connection) == []
    rows.put("strike", {"entry": entry, "why": "not complete"}, 6 * HOUR)
    assert [each.job for each in jobs.open_jobs(rows.connection)] == ["J-1"]


def test_a_name_opened_twice_counts_as_opened_first(rows: Rows) -> None:
    """Another station's job of the same name, recorded later, does not take its place."""
    rows.put("job", BODY | {"card": "OTHER", "assemblies": WHEEL}, 2 * HOUR, station="QXA", number=1)
    found = jobs.job(rows.connection, "J-1")
    assert found is not None
    assert found.card == "MW-BUILD"
    every = jobs.Every(rows.connection)
    assert (len(every), list(every), every.last(), found in every) == (1, [found], found, True)


def test_every_job_is_read_as_it_is_asked_for(rows: Rows, monkeypatch: pytest.MonkeyPatch) -> None:
    """Oldest first, each once, the struck ones left out; few of them are held, many are not."""
    for number in range(2, 6):
        rows.put("job", BODY | {"job": f"J-{number}"}, number * HOUR, number=100 + number)
    rows.put("strike", {"entry": "QHR-000103", "why": "a slip"}, 9 * HOUR)
    every = jobs.Every(rows.connection)
    assert [each.job for each in every] == ["J-1", "J-2", "J-4", "J-5"]
    last = every.last()
    assert last is not None
    assert (len(every), last.job, last) == (4, "J-5", jobs.job(rows.connection, "J-5"))
    assert every.held() == tuple(every)
    monkeypatch.setattr(jobs, "_HELD", 3)
    assert every.held() is every
    assert next(iter(every)).job == "J-1"
    early = jobs.Every(rows.connection, AsOf(1, LATEST.known))
    assert (len(early), list(early), early.last()) == (0, [], None)


def test_a_card_knows_what_it_opened(rows: Rows) -> None:
    """A card with jobs is not struck; this is what tells."""
    assert jobs.opened_by_card(rows.connection, "ab" * 32) == ["J-1"]
    assert jobs.opened_by_card(rows.connection, "cd" * 32) == []


def job(assemblies: dict[str, str], aircraft: str | None = None) -> Job:
    place = "main 2" if aircraft else None
    return Job("J-1", "C", "B", "", aircraft, place, assemblies, 0, "TK", None, "QHR-000001")


def owner(group: dict[str, object], of: Job, **card: str) -> str:
    return owner_of(of, card_from(card_content("C", "B", group, **card)).groups[0])


def test_tie_bolts_travel_with_their_wheel() -> None:
    """A group on a wheel belongs to the wheel that the job names, also on the aircraft."""
    assert owner(TIE_BOLT, job(BOTH, "100")) == "assembly EX-4410-1 WH-2231"


def test_the_axle_nut_stays_with_the_position() -> None:
    """A group on the aircraft belongs to the position, whatever assemblies the job names."""
    assert owner(AXLE_NUT, job(BOTH, "100")) == "aircraft 100 main 2"


def test_a_group_that_does_not_say_follows_its_card_then_the_job() -> None:
    """The card's kind first; without one the job's only assembly, else its position."""
    group = {name: value for name, value in TIE_BOLT.items() if name != "on"}
    assert owner(group, job(BOTH), kind="wheel") == "assembly EX-4410-1 WH-2231"
    assert owner(group, job(WHEEL, "100")) == "assembly EX-4410-1 WH-2231"
    assert owner(group, job({}, "100")) == "aircraft 100 main 2"


@pytest.mark.parametrize(
    ("group", "of"),
    [
        (TIE_BOLT, job({"brake": "EX-7 BR-1"}, "100")),
        (AXLE_NUT, job(WHEEL)),
        ({"id": "nut", "count": 1, "torque": "1..2 N·m"}, job(BOTH, "100")),
        ({"id": "nut", "count": 1, "torque": "1..2 N·m"}, job({})),
    ],
)
def test_nothing_is_guessed_where_the_job_names_no_owner(group: dict[str, object], of: Job) -> None:
    """No wheel, no position, or two assemblies to choose from: an error, never the nearest one."""
    with pytest.raises(TorquelogError) as caught:
        owner(group, of)
    assert caught.value.code == "job-owner"
