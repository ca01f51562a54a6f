"""Many requests on standard input, one answer a line."""

import json
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cli.terminal import play
from torquelog.cli.answer import Answer
from torquelog.cli.lines import PRECEDENCE, Request, answer_lines, worst
from torquelog.errors import TorquelogError


def act(requests: Sequence[Request]) -> Iterator[Answer]:
    """Answers a request with the exit status it asks for; raises what it asks for."""
    for request in requests:
        if "raise" in request:
            raise TorquelogError(str(request["raise"]), "raised")
        if "crash" in request:
            raise ZeroDivisionError
        yield Answer(data={"got": request["n"]}, exit=int(str(request.get("exit", 0))))


def answers(trial, stdin: str):
    trial(lambda context: answer_lines(context, act))
    played = play(["trial"], stdin=stdin)
    return played.exit, [json.loads(line) for line in played.out.splitlines()]


def test_each_line_has_one_envelope_with_its_number(trial) -> None:
    """In order, with the usual keys and "line"; blank lines are counted and passed over."""
    status, told = answers(trial, '{"n":"1"}\n\n{"n":"2"}\n')
    assert status == 0
    assert [(envelope["line"], envelope["data"]) for envelope in told] == [
        (1, {"got": "1"}),
        (3, {"got": "2"}),
    ]
    assert list(told[0])[-2:] == ["remarks", "line"]


def test_a_bad_line_does_not_stop_the_run(trial) -> None:
    """No JSON, no object, twin keys: answered with an error, and the next line is done."""
    status, told = answers(trial, 'nonsense\n[1]\n{"n":"1","n":"2"}\n{"n":"4"}\n')
    assert [envelope["ok"] for envelope in told] == [False, False, False, True]
    assert [envelope["line"] for envelope in told] == [1, 2, 3, 4]
    assert status == 2


def test_trouble_with_the_storage_stops_the_run(trial) -> None:
    """What comes after it is not tried, as it could not be kept."""
    for line in ('{"raise":"disk-full"}', '{"n":"2","exit":"6"}'):
        status, told = answers(trial, '{"n":"1"}\n' + line + '\n{"n":"3"}\n')
        assert (status, len(told)) == (6, 2)


def test_an_unforeseen_error_is_told_for_its_line_and_ends_the_run(trial) -> None:
    """The client learns which line was not done."""
    status, told = answers(trial, '{"n":"1"}\n{"crash":"x"}\n{"n":"3"}\n')
    assert (status, [envelope["line"] for envelope in told]) == (1, [1, 2])
    assert told[1]["problems"][0]["code"] == "fault"


def test_the_run_ends_with_the_gravest_status(trial) -> None:
    """Here outside (4) and refused (3): 3 comes first."""
    assert answers(trial, '{"n":"1","exit":"4"}\n{"n":"2","exit":"3"}\n{"n":"3"}\n')[0] == 3


@given(st.lists(st.sampled_from(PRECEDENCE)))
def test_the_order_of_gravity_is_that_of_the_interface(exits: list[int]) -> None:
    """6, 5, 1, 2, 3, 4, 0, whatever came first."""
    assert worst(exits) == (min(exits, key=[6, 5, 1, 2, 3, 4, 0].index) if exits else 0)


@pytest.mark.parametrize("stdin", ["", "\n\n"])
def test_nothing_asked_is_nothing_answered(trial, stdin: str) -> None:
    """An empty input is done at once."""
    assert answers(trial, stdin) == (0, [])
