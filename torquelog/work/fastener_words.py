"""How a fastener, a pass and an act are written, on a command line as in a file."""

from typing import Final

from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_name

LARGEST_ITEM: Final = 999
LARGEST_PASS: Final = 99


def parse_fastener(text: str) -> tuple[str, int]:
    """Group and number from `tie-bolt:7`; raises `fastener-form`."""
    group, colon, item = text.strip().partition(":")
    if not colon or not item.isascii() or not item.isdigit() or not 1 <= int(item[:4]) <= LARGEST_ITEM:
        raise TorquelogError(
            "fastener-form",
            f'"{text[:40]}" names no fastener. Nothing was recorded.',
            hint="Write group and number, such as tie-bolt:7",
        )
    return gate_name(group, "group"), int(item)


def parse_pass(text: str) -> int:
    """The number of a pass; raises `pass-unknown`."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= LARGEST_PASS:
        raise TorquelogError(
            "pass-unknown", f'"{text[:40]}" is no pass. Nothing was recorded.', hint="Passes count from 1."
        )
    return int(text)


def parse_act(text: str) -> str:
    """`tighten` or `check`; raises `act-unknown`."""
    if text not in ("tighten", "check"):
        raise TorquelogError(
            "act-unknown", f'"{text[:40]}" is no act. Nothing was recorded.', hint="It is tighten or check."
        )
    return text
