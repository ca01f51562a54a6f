"""Issue, return, send, receive and retire: what is refused, and where tools are afterwards."""

import pytest

from tests.crib.conftest import add, calibrate, certificate, entries, fit, later, wrench
from tests.support.books import HOUR, enrol
from tests.support.tools import points
from torquelog.crib import custody
from torquelog.errors import TorquelogError
from torquelog.facts.custody import whereabouts
from torquelog.facts.uses import uses_between


def codes(fitness):
    return [ground.code for ground in fitness.grounds]


def where(kept, number="W-0417"):
    return whereabouts(kept.book.connection, number)


def issue(kept, *numbers, to="TK", **more):
    return custody.issue(kept.book, kept.signer, numbers, to, **more)


def refuses(act, code):
    with pytest.raises(TorquelogError) as raised:
        act()
    assert raised.value.code == code


def test_issue_to_a_person_and_return(kept):
    """For a job; back in the crib with uses elsewhere, which count as cycles."""
    fit(kept)
    (moved,) = issue(kept, "w-0417", to="tk", job="J-1").moved
    assert (moved.before.kind, moved.after.person, moved.after.job) == ("crib", "TK", "J-1")
    later(kept, hours=1)
    (back,) = custody.give_back(kept.book, kept.signer, ["W-0417"], uses=12, place="B2")
    assert (back.after.kind, back.after.place) == ("crib", "B2")
    assert back.fitness.cycles_left == 4988
    assert uses_between(kept.book.connection, "W-0417", 0, kept.clock.moment) == 12


def test_issue_to_a_place(kept):
    """What is no person's id is a place."""
    fit(kept)
    (moved,) = issue(kept, "W-0417", to="wheel shop").moved
    assert (moved.after.kind, moved.after.place) == ("place", "wheel shop")


def test_one_unfit_tool_holds_all_back_and_nothing_is_written(kept):
    """Each unfit one is named with every ground."""
    fit(kept)
    add(kept, wrench("W-2"))
    before = entries(kept)
    answer = issue(kept, "W-0417", "W-2")
    assert answer.moved == ()
    assert [(each.tool.tool, codes(each.fitness)) for each in answer.unfit] == [("W-2", ["not-calibrated"])]
    assert entries(kept) == before
    assert where(kept).kind == "crib"


def test_a_tool_named_twice_is_issued_once(kept):
    """A double scan."""
    fit(kept)
    assert len(issue(kept, "W-0417", "w-0417").moved) == 1


def test_what_is_not_where_it_has_to_be(kept):
    """Out already, not out, away, retired: each says so and writes nothing."""
    book, signer, name = kept.book, kept.signer, ["W-0417"]
    fit(kept)
    refuses(lambda: custody.give_back(book, signer, name), "tool-not-out")
    refuses(lambda: custody.receive(book, signer, name), "nothing-to-receive")
    issue(kept, "W-0417")
    refuses(lambda: issue(kept, "W-0417", to="wheel shop"), "tool-out")
    custody.send(book, signer, name, to="Lab")
    refuses(lambda: custody.send(book, signer, name, to="Lab"), "tool-away")
    refuses(lambda: custody.give_back(book, signer, name), "tool-away")
    assert codes(issue(kept, "W-0417").unfit[0].fitness) == ["away"]
    custody.receive(book, signer, name)
    custody.retire(book, signer, name, why="worn out")
    for act in (custody.give_back, custody.receive):
        refuses(lambda act=act: act(book, signer, name), "tool-retired")
    refuses(lambda: custody.retire(book, signer, name, why="again"), "tool-retired")
    assert codes(issue(kept, "W-0417").unfit[0].fitness) == ["retired"]
    refuses(lambda: issue(kept, "W-0471"), "tool-unknown")


def test_sent_yesterday_told_today(kept):
    """It stands at its own time; a time of the future is refused."""
    fit(kept)
    later(kept, days=2)
    yesterday = kept.clock.moment - 24 * HOUR
    custody.send(kept.book, kept.signer, ["W-0417"], to="Lab", at=yesterday)
    assert where(kept).since == yesterday
    refuses(
        lambda: custody.receive(kept.book, kept.signer, ["W-0417"], at=kept.clock.moment + 1), "in-the-future"
    )


def test_receive_accepts_the_newest_certificate_and_no_older_one(kept):
    """Two were put on record while it was away."""
    fit(kept)
    custody.send(kept.book, kept.signer, ["W-0417"], to="Lab")
    later(kept, days=10)
    calibrate(kept, new=certificate("C-2", "2026-11-28"), accept=False)
    calibrate(kept, new=certificate("C-3", "2026-12-01"), accept=False)
    (moved,) = custody.receive(kept.book, kept.signer, ["W-0417"])
    assert moved.accepted.certificate == "C-3"
    assert moved.fitness.calibration.certificate == "C-3"
    assert (moved.after.kind, codes(moved.fitness)) == ("crib", [])


def test_receive_without_a_certificate_leaves_the_old_one_in_force(kept):
    """It was only lent."""
    fit(kept)
    custody.send(kept.book, kept.signer, ["W-0417"], to="QLX")
    (moved,) = custody.receive(kept.book, kept.signer, ["W-0417"])
    assert (moved.accepted, moved.fitness.calibration.certificate, codes(moved.fitness)) == (
        None,
        "C-118",
        [],
    )


def test_a_failed_certificate_is_not_accepted_but_the_tool_is_back(kept):
    """It lies in the crib and may not be used."""
    fit(kept)
    custody.send(kept.book, kept.signer, ["W-0417"], to="Lab")
    later(kept, days=3)
    calibrate(kept, new=certificate("C-2", "2026-11-27", points=points("20 20", "100 90")), accept=False)
    (moved,) = custody.receive(kept.book, kept.signer, ["W-0417"])
    assert moved.after.kind == "crib"
    assert moved.accepted is None
    assert "leaves W-0417 outside its 4 %" in moved.not_accepted[1]
    assert codes(moved.fitness) == ["not-accepted", "as-left-failed"]
    refuses(lambda: custody.receive(kept.book, kept.signer, ["W-0417"]), "as-left-failed")


def test_only_the_crib_hands_out(kept):
    """A technician takes what is handed out, and does not hand out himself."""
    _, technician = enrol(kept.book, kept.quality, "IK", "Ilse Kern", ["technician"])
    fit(kept)
    refuses(lambda: custody.issue(kept.book, technician, ["W-0417"], "IK"), "no-role")
    assert where(kept).kind == "crib"
