"""A wrench fails: 140 fasteners, what each of them got, where it is, and what is done until nothing is open."""

from collections import Counter

import pytest

from tests.quality.recalled import decided, key, opened, whole
from tests.support.story import Story
from torquelog.errors import TorquelogError
from torquelog.quality import recall
from torquelog.work import assemblies


@pytest.mark.parametrize("seed", [1, 2])
def test_the_whole_story(story: Story, seed: int) -> None:
    """Whatever the order in which it was told: 76 outside, 26 nobody can tell, 38 within; 40 outside ones fly."""
    whole(story, seed)
    (cause,) = recall.list_recalls(story.book).pending
    assert (cause.code, cause.tool, cause.sort) == ("failed-as-found", "W-1", "wrench")
    assert cause.window.since == story.moment("2027-01-12T00:00")
    assert "20 N·m shown was 18.69 N·m" in cause.text
    with story.refused("assembly-recalled"):
        assemblies.fit(story.book, story.signed["TK"], "STORES-1", "QQ-HLB", "nose")

    view = opened(story)
    counts = view.counts
    assert (view.recall.recall, view.state) == ("R-1", "open")
    assert (counts.items, counts.outside, counts.indeterminate, counts.within) == (140, 76, 26, 38)
    assert (counts.retightened, counts.concerned_outside, counts.flying_outside) == (30, 46, 40)
    assert (counts.readings, counts.governing, counts.earlier) == (423, 140, 280)
    assert (counts.refused, counts.struck, counts.checked) == (2, 1, 0)
    assert counts.undecided == 140
    assert recall.list_recalls(story.book).pending == ()

    flying = view.items[:40]
    assert {each.verdict for each in flying} == {"outside"}
    assert {each.where.registration for each in flying} == {"QQ-HLB"}
    assert [each.number for each in view.items] == list(range(1, 141))
    assert Counter(each.where.kind for each in view.items) == {"aircraft": 118, "stores": 16, "other": 6}
    sent = [each for each in view.items if each.where.kind == "other"]
    assert {each.where.text for each in sent} == {"Other Air, Porto"}
    near = [each for each in view.items if each.verdict == "indeterminate"]
    assert {each.reasons for each in near} == {("uncertainty-spans-limit", "between-good-and-bad")}
    assert [(each.value, each.unit, each.items) for each in view.measure] == [("25", "N·m", 26)]

    with story.refused("assembly-recalled"):
        assemblies.fit(story.book, story.signed["TK"], "STORES-1", "QQ-HLB", "nose")
    close_it(story)


def close_it(story: Story) -> None:
    """Decide everything but one, be refused, decide that one, and close; the stores wheel may be fitted then."""
    within = [each.number for each in recall.show(story.book, "R-1").items if each.verdict == "within"]
    decided(story, "R-1", "accepted", items=within)
    again = [each.number for each in recall.show(story.book, "R-1").items if each.retightened]
    decided(story, "R-1", "re-tightened", items=again)
    rest = [each.number for each in recall.show(story.book, "R-1").items if not each.decided]
    with pytest.raises(TorquelogError, match="Not known to be within"):
        decided(story, "R-1", "accepted", items=rest)
    decided(story, "R-1", "accepted", items=rest[:-1], document="EO-EX-31")
    with story.refused("recall-undecided") as caught:
        recall.close(story.book, story.own["TK"], "R-1")
    assert caught.value.what.startswith("R-1 cannot close yet: 1 of 140 items is undecided.")
    decided(story, "R-1", "removed-from-service", items=rest[-1:])
    closed = recall.close(story.book, story.own["TK"], "R-1")
    assert closed.state == "closed"
    assert closed.closing is not None
    assert closed.closing[3:8] == (423, 140, 76, 26, 38)
    placed = assemblies.fit(story.book, story.signed["TK"], "STORES-1", "QQ-HLB", "nose")
    assert placed.assembly.key == key("STORES-1")
