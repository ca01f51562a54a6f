"""Everything that reads what strangers wrote, as one function each from bytes to nothing.

A reader may refuse with a `TorquelogError` and with nothing else. Where it accepts, what it gave back is held
against something: a canonical text is read again, a card's content is written and read again.
"""

import io
import json
import lzma
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, Final, NamedTuple

from tests.strangers import imports
from tests.strangers.words import (
    CARD_WORDS,
    JSON_WORDS,
    NAME_WORDS,
    POINT_WORDS,
    QUANTITY_WORDS,
    TEXT_WORDS,
    XML_WORDS,
)
from torquelog import clock
from torquelog.book import takein
from torquelog.cli.asked import from_line, parse_fastener, parse_pass
from torquelog.cli.lines import request_of
from torquelog.cli.reading import Line, batches
from torquelog.cli.spreadsheet import guarded
from torquelog.cli.text import ascii_only, columns, visible, wrapped
from torquelog.crib import dcc, results
from torquelog.crib.scales import parse_scale
from torquelog.errors import CODES, TorquelogError
from torquelog.facts import registry
from torquelog.ledger import checkpoint, signin
from torquelog.ledger.form import canonical, entry_text, parse_entry, parse_reference, strict_json
from torquelog.ledger.private import UnsafeError
from torquelog.ledger.text import gate_identifier, gate_name, gate_station, gate_text, is_gated
from torquelog.torque import limits, number, sequence, thread, units
from torquelog.work import scan
from torquelog.work.cardfile import MOST_BYTES, examine

SAMPLES: Final = Path(__file__).parents[2] / "sample_data"
CERTIFICATES: Final = Path(__file__).parents[1] / "crib" / "dcc"
ARCHIVED: Final = Path(__file__).parents[1] / "archive" / "format-1.db.xz"
LONGEST_WORDS: Final = 2000
"""Characters of an error's words at most: nobody reads more, and a stranger must not choose how many there are."""


class Reader(NamedTuple):
    """One way in.

    Attributes:
        name: what comes in.
        read: reads it; raises where something is wrong with the program.
        seeds: good examples, from which bad ones are made.
        words: what means something in it, for a fuzzer to put in.
        longest: bytes of the longest input that is tried.
    """

    name: str
    read: Callable[[bytes], None]
    seeds: Sequence[bytes]
    words: Sequence[str]
    longest: int = 4096


def soundly(read: Callable[[bytes], None]) -> Callable[[bytes], None]:
    """Let a reader refuse with an error of ours, whose words are of a sane length."""

    def reading(data: bytes) -> None:
        try:
            read(data)
        except TorquelogError as error:
            demand_sound(error)

    return reading


def demand_sound(error: TorquelogError) -> None:
    """Demand that an error can be shown: a code of the table, words of bounded length, nothing raw when shown."""
    assert error.code in CODES
    shown = f"{error.message} {error.hint}"
    assert len(shown) <= LONGEST_WORDS, f"{error.code}: {len(shown)} characters of error"
    assert visible(shown).isprintable()


def text_of(data: bytes) -> str:
    """The text of a file, as `cli.files.read_text` gives it."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise TorquelogError("file-encoding", "It is not UTF-8 text.") from None


def read_line(data: bytes) -> None:
    """A line of `record --lines`."""
    request = request_of(Line(1, data))
    if isinstance(request, TorquelogError):
        raise request
    given = from_line(request)
    if isinstance(given.get("fastener"), str):
        parse_fastener(given["fastener"])
    if isinstance(given.get("reading"), str):
        units.parse_torque(given["reading"])


class Pieces(io.BytesIO):
    """A pipe through which seven bytes arrive at a time."""

    def read1(self, _size: int | None = -1, /) -> bytes:
        return self.read(7)


def read_stream(data: bytes) -> None:
    """Lines as they arrive: what is read is what was sent, whatever pieces it came in."""

    whole = [line for batch in batches(io.TextIOWrapper(io.BytesIO(data))) for line in batch]
    assert whole == [line for batch in batches(io.TextIOWrapper(Pieces(data))) for line in batch]
    assert [line.number for line in whole] == list(range(1, len(whole) + 1))


def read_card(data: bytes) -> None:
    """A card file."""
    found, problems = examine(text_of(data[:MOST_BYTES]), "card.toml")
    for problem in problems:
        demand_sound(problem)
    if found is not None:
        assert json.loads(canonical(found.content)) == found.content
        demand_gated(found.content)


def demand_gated(content: Any) -> None:
    """Demand that no text of a content holds what cannot be seen."""
    if isinstance(content, str):
        assert is_gated(content), content
    elif isinstance(content, dict):
        for name, value in content.items():
            demand_gated(name)
            demand_gated(value)
    elif isinstance(content, list):
        for value in content:
            demand_gated(value)


def read_points(data: bytes) -> None:
    """Results of a calibration in CSV."""
    for point in results.read_csv(text_of(data)):
        assert point.indicated.newton_metres >= 0
        assert str(point.reference).isprintable()


def read_certificate(data: bytes) -> None:
    """A digital calibration certificate."""
    found = dcc.read(data)
    demand_gated(
        [found.number, found.laboratory, *found.equipment, *(text for item in found.items for text in item)]
    )
    asked = {"direction": "cw", "state": "as-left"}
    dcc.points(found, **{name: asked[name] for name in dcc.unsaid(found)})


def read_checkpoint(data: bytes) -> None:
    """A checkpoint's line."""
    found, signature = checkpoint.parse_line(text_of(data))
    assert checkpoint.parse_checkpoint(checkpoint.checkpoint_text(found)) == found
    checkpoint.check_checkpoint(found, signature, "00" * 32)


def read_export(data: bytes) -> None:
    """Lines of an export, as `take-in` reads them."""
    for line in takein.exported_lines(data[at : at + 700] for at in range(0, len(data), 700)):
        if line.strip():
            text, _ = takein.parse_line(line)
            read_entry(text.encode())


def read_entry(data: bytes) -> None:
    """An entry's text: what is accepted is canonical, and its body keeps to its kind."""
    text = text_of(data)
    entry = parse_entry(text)
    assert entry_text(entry) == text
    registry.check(entry.kind, entry.body)


def read_json(data: bytes) -> None:
    """Any JSON of strangers: what is accepted and can be canonical is stable."""
    value = strict_json(text_of(data))
    text = canonical(value)
    assert canonical(strict_json(text, longest=10 * len(text) + 100)) == text


_AT = signin.Place("/nowhere", "ab" * 32, "session")


def read_sign_in(data: bytes) -> None:
    """A sign-in file."""
    try:
        _, found = signin._parse(_AT, "TK", data)
    except UnsafeError:
        return
    assert found.person == "TK"
    assert len(found.seed) == 32
    assert found.seed.hex() not in repr(found)


LISBON = clock.zone("Europe/Lisbon")
QUANTITIES: Final[tuple[Callable[[str], object], ...]] = (
    number.parse_number, number.parse_signed, units.parse_torque, units.parse_unit, units.parse_length,
    units.parse_angle, units.parse_percent, units.parse_fraction, limits.parse_spec, limits.parse_basis,
    thread.parse_thread, parse_scale, clock.parse_date, clock.parse_period,
    lambda text: clock.parse_moment(text, LISBON), lambda text: sequence.parse_passes(text.split(",")),
)  # fmt: skip
NAMES: Final[tuple[Callable[[str], object], ...]] = (
    parse_fastener, parse_pass, scan.parse_scan, scan.is_scan, scan.fastener_scanned, parse_reference, gate_station,
    lambda text: gate_identifier(text, "a person"), lambda text: gate_name(text, "a group"),
)  # fmt: skip


def each_of(readers: Sequence[Callable[[str], object]]) -> Callable[[bytes], None]:
    """Read a text by every one of several readers."""

    def read(data: bytes) -> None:
        text = data.decode("utf-8", "surrogateescape")
        for reader in readers:
            try:
                reader(text)
            except TorquelogError as error:
                demand_sound(error)

    return read


def read_text(data: bytes) -> None:
    """A text through the gate, to a screen, to a spreadsheet; what passed the gate passes it again unchanged."""
    text = data.decode("utf-8", "surrogateescape")
    demand_shown(text)
    for reason in (False, True):
        gated = gate_text(text, "the reason", reason=reason)
        assert gate_text(gated, "the reason", reason=reason) == gated
        demand_shown(gated)


def demand_shown(text: str) -> None:
    """Demand that a text steers neither a terminal nor a spreadsheet."""
    shown = visible(text)
    assert shown.isprintable()
    assert ascii_only(shown).isascii()
    assert columns(shown) >= 0
    lines = wrapped(shown, 40)
    assert "".join("".join(lines).split()) == "".join(shown.split())
    assert not guarded(shown).startswith(("=", "@"))


ENTRY = canonical(
    {
        "body": {"why": "a reason"}, "id": "0f" * 16, "key": 1, "kind": "sign-out", "number": 2,
        "previous": "ab" * 32, "recorded_at": "2026-11-25T12:00:00.000Z", "signer": "TK", "station": "QHR", "version": 1,
    }
)  # fmt: skip
LINE = (
    b'{"fastener": "tie-bolt:3", "reading": "26.5 ft-lb", "job": "J-5", "wrench": "W-0417", "adapter": ["A-1"], '
    b'"why": "kept on paper", "at": "2026-11-25T12:00", "id": "0123456789abcdef0123456789abcdef", "loosened": true}'
)
CHECKPOINT = checkpoint.checkpoint_line(
    checkpoint.Checkpoint("ab" * 32, 1, "cd" * 32, 7, "2026-11-25T12:00:00.000Z", "TK", "QHR"), bytes(32)
).encode()
SIGN_IN = signin._contents(
    _AT, signin.SignIn("TK", "QHR", 3, bytes(32), 1_795_608_000_000, 1_795_600_000_000)
)


def _entries() -> list[bytes]:
    """An entry of each kind, from the archived record of the first format."""
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.deserialize(lzma.decompress(ARCHIVED.read_bytes()))
        texts = [text for (text,) in connection.execute("SELECT text FROM entry ORDER BY number DESC")]
    return [text.encode() for text in {json.loads(text)["kind"]: text for text in texts}.values()]


def _files(*patterns: str) -> list[bytes]:
    folders = (SAMPLES, CERTIFICATES)
    return [
        path.read_bytes()
        for pattern in patterns
        for folder in folders
        for path in sorted(folder.glob(pattern))
    ]


READERS: Final[tuple[Reader, ...]] = (
    Reader("line", soundly(read_line), [LINE, b"{}", b'{"fastener":"a:1"}'], JSON_WORDS),
    Reader("stream", soundly(read_stream), [LINE + b"\n" + LINE, b"\r\n\n", b"a\nb"], ("\n", "\r\n", "\x00")),
    Reader("json", soundly(read_json), [LINE, b'{"a":["b",1,{"c":"\xc3\xa9"}]}', b"[]"], JSON_WORDS),
    Reader("entry", soundly(read_entry), [ENTRY.encode(), *_entries()], JSON_WORDS, longest=8192),
    Reader("export", soundly(read_export),
           [canonical({"text": ENTRY, "signature": "ab" * 64}).encode() + b"\n"], JSON_WORDS),
    Reader("checkpoint", soundly(read_checkpoint), [CHECKPOINT], JSON_WORDS),
    Reader("sign-in", soundly(read_sign_in), [SIGN_IN], JSON_WORDS),
    Reader("card", soundly(read_card), _files("*.toml"), CARD_WORDS, longest=8192),
    Reader("points", soundly(read_points), _files("*.csv"), POINT_WORDS),
    *(
        Reader(f"import-{name}", soundly(imports.reader(name, demand_sound)),
               _files("*-wrenches.csv", "*-certificates.csv", "old-readings.csv", "shop-*.csv"), imports.WORDS)
        for name in imports.KINDS
    ),
    Reader("certificate", soundly(read_certificate), _files("*.xml"), XML_WORDS, longest=16384),
    Reader("quantity", each_of(QUANTITIES), [word.encode() for word in QUANTITY_WORDS[:20]], QUANTITY_WORDS, longest=200),
    Reader("zone", each_of((clock.zone,)), [b"Europe/Lisbon", b"UTC"], ("../", "/etc/", "\x00", "posix/"),
           longest=100),
    Reader("name", each_of(NAMES), [b"tie-bolt:3", b"QHR-000003", scan.code("wrench", "W-0417").encode()], NAME_WORDS,
           longest=200),
    Reader("text", soundly(read_text), [b"a crack", "Évora · 26 °C".encode()], TEXT_WORDS, longest=3000),
)  # fmt: skip


def _stumble(data: bytes) -> None:
    """Wrong: stumbles over a specification with a tolerance."""
    text = text_of(data)
    limits.parse_spec(text)
    assert "±" not in text


PLANTED: Final = Reader("planted", soundly(_stumble), [b"26.5 N\xc2\xb7m"], QUANTITY_WORDS, longest=60)
"""A reader that is wrong, which the fuzzer has to find."""

BY_NAME: Final = {reader.name: reader for reader in (*READERS, PLANTED)}
