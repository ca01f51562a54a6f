"""Standard input as lines."""

import io
import os
import select
import sys
import time
import tracemalloc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cli.terminal import Pipe
from torquelog.cli import reading
from torquelog.cli.reading import Line, batches, next_line


def stream(content: bytes) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BufferedReader(io.BytesIO(content)), encoding="utf-8")  # type: ignore[type-var]


def test_lines_are_numbered_from_one() -> None:
    """Both kinds of line ends, and a last line without one."""
    assert list(batches(stream(b"a\r\nb\n\nc"))) == [
        [Line(1, b"a"), Line(2, b"b"), Line(3, b"")],
        [Line(4, b"c")],
    ]
    assert list(batches(Pipe("a\nb\n"))) == [[Line(1, b"a"), Line(2, b"b")]]
    assert list(batches(stream(b""))) == []


def test_a_line_beyond_the_bound_is_told_and_passed_over(monkeypatch) -> None:
    """Its bytes are not kept; the next line is read as ever."""
    monkeypatch.setattr(reading, "LONGEST", 10)
    monkeypatch.setattr(reading, "CHUNK", 7)
    lines = [line for batch in batches(stream(b"x" * 50 + b"\nok\n" + b"y" * 11)) for line in batch]
    assert lines == [Line(1, b"", whole=False), Line(2, b"ok"), Line(3, b"", whole=False)]


class Endless:
    """A stream whose first line goes on for 64 MiB."""

    def __init__(self) -> None:
        self.buffer = self
        self.left = 1024

    def read1(self, size: int) -> bytes:
        self.left -= 1
        return b"x" * size if self.left > 0 else b"\nok\n" if self.left == 0 else b""


def test_an_endless_line_does_not_fill_the_memory() -> None:
    """It is thrown away as it comes; a few megabytes are enough for any line."""
    tracemalloc.start()
    lines = [line for batch in batches(Endless()) for line in batch]
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert lines == [Line(1, b"", whole=False), Line(2, b"ok")]
    assert peak < 5 * reading.LONGEST


@given(st.lists(st.binary(max_size=12).filter(lambda part: b"\n" not in part and not part.endswith(b"\r"))))
@settings(max_examples=60)
def test_cutting_the_input_changes_no_line(lines: list[bytes]) -> None:
    """However the bytes arrive, the lines are those that were written."""
    content = b"".join(line + b"\n" for line in lines)
    usual, reading.CHUNK = reading.CHUNK, 3
    try:
        found = [line.content for batch in batches(stream(content)) for line in batch]
    finally:
        reading.CHUNK = usual
    assert found == lines


def test_a_waiting_client_is_answered_at_once() -> None:
    """What has been sent is handed on before the input ends; lines sent together arrive together."""
    inlet, outlet = os.pipe()
    with os.fdopen(outlet, "wb", buffering=0) as client, os.fdopen(inlet, "r", encoding="utf-8") as server:
        arriving = batches(server)
        client.write(b"one\n")
        assert next(arriving) == [Line(1, b"one")]
        client.write(b"two\nthree\n")
        assert next(arriving) == [Line(2, b"two"), Line(3, b"three")]


class Asked:
    """Something that arrives after so many looks, each a tenth of what is waited awake; notes how it was waited for."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = 0.0
        self.looks = 0
        self.left = 0
        self.slept = 0
        monkeypatch.setattr(select, "poll", lambda: self)
        monkeypatch.setattr(time, "perf_counter", lambda: self.now)

    def register(self, descriptor: int, _events: int) -> None:
        assert descriptor == sys.__stdin__.fileno()

    def poll(self, timeout: int | None = None) -> list[object]:
        if timeout is None:
            self.slept += 1
            self.now += self.left * reading.AWAKE / 10
            self.left = 0
            return [self]
        self.looks += 1
        self.left -= 1
        self.now += reading.AWAKE / 10
        return [self] if self.left <= 0 else []


def test_a_client_that_answers_soon_is_waited_for_awake(monkeypatch: pytest.MonkeyPatch) -> None:
    """One that takes longer is waited for asleep, again and again, until it was quick once more."""
    asked = Asked(monkeypatch)
    wait = reading.awake(sys.__stdin__)
    told = []
    for takes in (3, 3, 500, 500, 3, 3):
        asked.looks, asked.slept, asked.left = 0, 0, takes
        wait()
        told.append((asked.looks, asked.slept))
    assert told == [(3, 0), (3, 0), (10, 1), (0, 1), (0, 1), (3, 0)]


def test_a_line_taken_first_leaves_the_rest() -> None:
    """A passphrase is the first line; the others are still there for `--lines`."""
    source = stream(b"secret words\n{}\n")
    assert next_line(source, 100) == b"secret words\n"
    assert list(batches(source)) == [[Line(1, b"{}")]]
    assert next_line(Pipe("ä\n"), 100) == "ä\n".encode()
