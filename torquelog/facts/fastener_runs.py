"""Runs of fasteners as an entry names them: `assembly EX-4410-1 WH-2231 tie-bolt:1-12`."""

from collections.abc import Iterable

from torquelog.errors import TorquelogError

Fastener = tuple[str, str, int]
"""Owner, group and number of a fastener."""


def runs(fasteners: Iterable[Fastener]) -> list[str]:
    """Fasteners in their order, with neighbours of one group folded: `assembly EX-1 WH-1 tie-bolt:1-12`."""
    folded: list[tuple[str, str, int, int]] = []
    for owner, group, item in fasteners:
        if folded and folded[-1][:2] == (owner, group) and folded[-1][3] == item - 1:
            folded[-1] = (owner, group, folded[-1][2], item)
        else:
            folded.append((owner, group, item, item))
    return [f"{owner} {group}:{first}-{last}" for owner, group, first, last in folded]


def run_of(text: str) -> tuple[str, str, int, int]:
    """Owner, group, first and last number of a run.

    Raises:
        TorquelogError: `body-form`.
    """
    owner, _, rest = text.rpartition(" ")
    group, _, span = rest.partition(":")
    first, _, last = span.partition("-")
    if not (owner and group and first.isdigit() and last.isdigit() and 1 <= int(first) <= int(last) <= 999):
        raise TorquelogError("body-form", f"A run of fasteners cannot be read: {text[:60]}.")
    return owner, group, int(first), int(last)
