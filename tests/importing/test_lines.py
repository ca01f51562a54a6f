"""Facts about reading a file as lines: bounded, in UTF-8, whatever the file holds."""

import tracemalloc
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.importing.lines import LONGEST, Line, Lines

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\r\n\ufeff"), max_size=30)


@given(lines=st.lists(TEXT, max_size=8), size=st.integers(1, 40), end=st.sampled_from(["\n", "\r\n"]))
def test_lines_are_the_same_however_the_bytes_arrive(lines: list[str], size: int, end: str) -> None:
    """Lines end with a line feed, alone or behind a carriage return; a last line needs no end."""
    data = end.join([*lines, "last"]).encode()
    chunks = (data[start : start + size] for start in range(0, len(data), size))
    found = list(Lines(chunks))
    assert found == [Line(number, text) for number, text in enumerate([*lines, "last"], start=1)]


def test_a_byte_order_mark_is_no_part_of_the_first_line() -> None:
    """Spreadsheets put it there; it is remembered, as what is written back has it again."""
    lines = Lines([b"\xef\xbb", b"\xbfa,b\n1,2\n"])
    assert [line.text for line in lines] == ["a,b", "1,2"]
    assert lines.marked


@pytest.mark.parametrize("data", ["a,b".encode("utf-16"), b"\xff\xfea\0,\0b\0", b"ok\nna\xefve\n"])
def test_another_encoding_is_told_with_its_line(data: bytes) -> None:
    """UTF-16 by its mark, anything else by the first byte that does not fit."""
    with pytest.raises(TorquelogError) as caught:
        list(Lines([data]))
    assert caught.value.code == "file-encoding"
    assert "UTF-16" in caught.value.what or caught.value.what.startswith(
        "Line 2 is not UTF-8 text: its byte 3"
    )


def endless(taken: list[int]) -> Iterator[bytes]:
    """A file of gigabytes without an end of line, made as it is asked for; nobody may ask for much of it."""
    for number in range(1 << 16):
        taken.append(number)
        assert len(taken) < 100, "the line is read on and on"
        yield b"x" * (1 << 16)


def test_a_line_without_an_end_is_not_read_to_its_end() -> None:
    """Reading stops at the longest line that is taken, with little memory."""
    taken: list[int] = []
    tracemalloc.start()
    with pytest.raises(TorquelogError) as caught:
        list(Lines(endless(taken)))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert caught.value.code == "file-form"
    assert len(taken) <= 2
    assert peak < 8 * LONGEST
