"""Reviewing a record: each question is asked of the entries it is about, and an answer is kept."""

from typing import Any

import pytest

from tests.quality.recalled import GOOD, decided, opened, results
from tests.support.story import Story
from torquelog.book.verification import verify
from torquelog.quality import review, station


def asked(story: Story, **more: Any) -> dict[str, list[tuple[str, ...]]]:
    """The entries of the open questions, by code."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for each in review.questions(story.book, **more):
        if each.answer is None:
            found.setdefault(each.question.code, []).append(each.question.entries)
    return found


def answered(story: Story, entry: str, by: str = "TK") -> review.Given:
    """Answer by somebody's passphrase."""
    return review.answer(story.book, story.own[by], entry, "as the worksheet shows")


def test_an_honest_record_raises_no_question(story: Story):
    """Ten seconds a bolt, issued, on its marks."""
    story.bench()
    story.issue("W-0417")
    for item in (1, 2, 3):
        story.later(seconds=10)
        story.take(f"tie-bolt:{item}", "100 N·m")
    assert asked(story) == {}


def test_readings_closer_than_hands_allow(story: Story):
    """A second apart as the scene takes them; not what was copied from paper; a station may set it otherwise."""
    story.bench()
    entries = [story.take(f"tie-bolt:{item}", "100 N·m").reference for item in (1, 2)]
    assert asked(story) == {"close-readings": [tuple(entries)]}
    assert asked(story, since=story.clock.moment + 1) == {}
    assert asked(story, as_of=story.clock.moment - 60_000) == {}
    story.later(seconds=1)
    station.set_rule(story.book, story.own["TK"], "hands-seconds", "0", None)
    assert asked(story) == {}


def test_back_filled_readings_are_asked_about_their_lateness_alone(story: Story):
    """Two days after the work, both at one time."""
    story.bench()
    story.later(days=2)
    entries = [
        story.take(f"tie-bolt:{item}", "100 N·m", at="2026-11-25T12:30", why="kept on paper").reference
        for item in (1, 2)
    ]
    assert asked(story) == {"long-after": [tuple(entries)]}


def test_a_wrench_of_somebody_else(story: Story):
    """Issued to IK and used by TK."""
    story.bench()
    story.issue("W-0417", "IK")
    story.later(seconds=10)
    entry = story.take("tie-bolt:1", "100 N·m").reference
    assert asked(story) == {"not-issued": [(entry,)]}


def test_finer_than_the_graduation(story: Story):
    """An indicating wrench in steps of 0.5 that somebody read to a hundredth."""
    story.bench()
    story.wrench("W-2", type="indicating", lever=None)
    story.later(seconds=10)
    entry = story.take("tie-bolt:1", "100.03 N·m", "W-2").reference
    assert asked(story) == {"too-fine": [(entry,)]}


def test_one_wrench_in_two_places(story: Story):
    """TK here and IK there, six seconds later."""
    story.bench()
    story.assembly("WH-2232")
    story.job("J-2", "BUILD", "WH-2232")
    one = story.take("tie-bolt:1", "100 N·m")
    story.later(seconds=5)
    two = story.take("tie-bolt:1", "100 N·m", job="J-2", by="IK")
    assert asked(story) == {"two-places": [(one.reference, two.reference)]}


def test_an_earlier_time_that_changed_a_verdict(story: Story):
    """Told for the day before the due date, entered after it."""
    story.bench()
    story.until("2027-11-12T09:00")
    entry = story.take("tie-bolt:1", "100 N·m", at="2027-11-09T10:00", why="kept on paper").reference
    assert asked(story) == {"long-after": [(entry,)], "revived": [(entry,)]}


def test_an_inspection_right_after_the_work_and_a_burst(story: Story):
    """MS signs for six wheels in a row, each seconds after its last bolt."""
    story.wrench()
    story.card("BUILD", {"id": "tie-bolt", "on": "wheel", "count": 1, "torque": "95..105 N·m"})
    signed = []
    for number in range(1, 7):
        serial, job = f"WH-{number}", f"J-{number}"
        story.assembly(serial)
        story.job(job, "BUILD", serial)
        story.later(seconds=5)
        story.take("tie-bolt:1", "100 N·m", job=job)
        signed.append(
            story.says(
                "inspection",
                {
                    "job": job, "group": "tie-bolt", "items": ["1"], "assembly": f"EX-4410-1 {serial}",
                    "outcome": "accepted", "performed_by": "MS", "performed_at": _now(story),
                },
                by="MS", own=True,
            )
        )  # fmt: skip
    found = asked(story)
    assert found["inspected-at-once"] == [(entry,) for entry in signed]
    (burst,) = found["signed-in-a-burst"]
    assert burst[-6:] == tuple(signed)


def _now(story: Story) -> str:
    from torquelog.clock import offset_text

    return offset_text(story.clock.moment, story.book.zone)


def test_a_disposition_about_own_work(story: Story):
    """TK tightened it, and decides about it."""
    story.bench()
    story.take("tie-bolt:1", "100 N·m")
    story.later(days=1)
    bad = results((("20", "20"), ("100", "90")), "as-found") + results(GOOD)
    story.calibrate("W-0417", "2026-11-26", points=bad)
    view = opened(story, name="W-0417")
    decided(story, view.recall.recall, "removed-from-service", items=[1])
    (entries,) = asked(story)["own-work"]
    assert entries[0].startswith("QHR-")


class TestAnswers:
    def test_an_answer_is_kept_and_later_entries_ask_anew(self, story: Story):
        """By somebody whom the question is not about."""
        story.bench()
        story.issue("W-0417", "IK")
        story.later(seconds=10)
        first = story.take("tie-bolt:1", "100 N·m", by="TK").reference
        given = answered_by_other(story, first)
        assert [each.code for each in given.questions] == ["not-issued"]
        assert asked(story) == {}
        (kept,) = review.questions(story.book)
        assert kept.answer is not None
        assert (kept.answer.signer, kept.answer.why, kept.answer.own) == (
            "RS",
            "as the worksheet shows",
            False,
        )
        story.later(seconds=10)
        second = story.take("tie-bolt:2", "100 N·m").reference
        assert asked(story) == {"not-issued": [(first, second)]}

    def test_nobody_answers_about_entries_of_their_own(self, story: Story):
        """While somebody else could; alone with a reason, and it is marked."""
        story.bench()
        entry = [story.take(f"tie-bolt:{item}", "100 N·m").reference for item in (1, 2)][-1]
        story.later(seconds=1)
        given = answered(story, entry)
        assert given.own
        third = story.take("tie-bolt:3", "100 N·m").reference
        story.later(seconds=60)
        enrolled(story)
        with story.refused("needs-another"):
            answered(story, third)

    @pytest.mark.parametrize("entry", ["QHR-000001", "QHR-999999"])
    def test_what_is_not_asked_about(self, story: Story, entry: str):
        """Nothing is answered that nobody asks."""
        story.bench()
        with story.refused("not-asked"):
            answered(story, entry)

    def test_quality_alone_answers(self, story: Story):
        """An inspector does not."""
        story.bench()
        entry = [story.take(f"tie-bolt:{item}", "100 N·m").reference for item in (1, 2)][-1]
        story.later(seconds=1)
        with story.refused("no-role"):
            answered(story, entry, "MS")
        assert verify(story.book.connection, story.book.station).holds


def enrolled(story: Story) -> None:
    """RS, quality as well."""
    from tests.support.books import enrol

    story.own["RS"], story.signed["RS"] = enrol(story.book, story.own["TK"], "RS", "Rui Sá", ["quality"])


def answered_by_other(story: Story, entry: str) -> review.Given:
    """Answer by RS."""
    enrolled(story)
    story.later(seconds=1)
    return answered(story, entry, "RS")
