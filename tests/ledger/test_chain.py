"""What makes an entry the next one of a chain."""

import json

import pytest

from tests.ledger.golden import make
from torquelog.errors import TorquelogError
from torquelog.ledger.chain import Link, follows, joins, link
from torquelog.ledger.form import entry_text, parse_entry

GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))["entries"]
TEXTS = [golden["text"] for golden in GOLDEN]
ENTRIES = [parse_entry(text) for text in TEXTS]


def refusal(act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    assert caught.value.code == "chain"
    assert caught.value.exit == 5
    return caught.value.why


def test_the_golden_entries_follow_each_other():
    """Each is the next one after the one before, and the first begins the chain."""
    follows(None, ENTRIES[0])
    for text, entry in zip(TEXTS, ENTRIES[1:], strict=False):
        follows(text, entry)


def test_a_link_is_what_the_next_entry_joins_on_to():
    """Station, number, digest and time of an entry."""
    assert link(ENTRIES[1], TEXTS[1]) == Link("QHR", 2, GOLDEN[1]["digest"], "2026-11-02T08:12:40.250Z")
    joins(link(ENTRIES[1], TEXTS[1]), ENTRIES[2])


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"number": 2}, "before it are missing"),
        ({"kind": "tool"}, "begins with kind station"),
        ({"previous": "1" + "0" * 63}, "names an entry before it"),
        ({"key": 2}, "not by key 2"),
        ({"station": "LGW"}, "introduces another one"),
        ({"body": {}}, "introduces another one"),
    ],
)
def test_what_cannot_begin_a_chain(changes, why):
    """Entry 1 has number 1, kind station, zeros before it, its own key, and its own code."""
    assert why in refusal(follows, None, ENTRIES[0]._replace(**changes))


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"station": "LGW"}, "belongs to station LGW"),
        ({"number": 4}, "comes 5, not 4"),
        ({"number": 6}, "comes 5, not 6"),
        ({"previous": GOLDEN[2]["digest"]}, "another entry QHR-000004"),
        ({"recorded_at": "2026-11-02T08:31:05.006Z"}, "bears the time"),
        ({"key": 5}, "signed by key 5"),
        ({"key": 6}, "signed by key 6"),
        ({"kind": "station"}, "one entry of kind station"),
    ],
)
def test_what_cannot_follow(changes, why):
    """The first thing that is wrong is named: station, number, digest, time, key, kind."""
    assert why in refusal(follows, TEXTS[3], ENTRIES[4]._replace(**changes))


def test_times_may_be_equal_and_a_clock_entry_may_step_back():
    """Two entries of one millisecond are in order by number; only kind clock goes back in time."""
    last = link(ENTRIES[3], TEXTS[3])
    joins(last, ENTRIES[4]._replace(recorded_at=last.recorded_at))
    joins(last, ENTRIES[4]._replace(kind="clock", recorded_at="2020-01-01T00:00:00.000Z"))


def test_a_changed_entry_breaks_the_link_to_the_next():
    """Any change of an entry's text shows at the entry after it."""
    changed = entry_text(ENTRIES[3]._replace(signer="C-DUARTF"))
    assert "another entry QHR-000004" in refusal(follows, changed, ENTRIES[4])


def test_what_is_no_entry_has_nothing_to_follow():
    """A text before it that is no entry is said to be none."""
    with pytest.raises(TorquelogError) as caught:
        follows("{}", ENTRIES[4])
    assert caught.value.code == "entry-form"
