"""What a verification tells: how far each chain stands, and what does not hold."""

from typing import NamedTuple


class Finding(NamedTuple):
    """Something that does not hold.

    Attributes:
        entry: the entry it is about, as `QHR-000123`, or "" where it is about none.
        code: a stable name of what is wrong; one of `torquelog.errors.CODES`.
        message: what is wrong, in a sentence or two.
        table: the register that differs, or "".
    """

    entry: str
    code: str
    message: str
    table: str = ""


class Chain(NamedTuple):
    """How far a chain stands.

    Attributes:
        station: its code.
        identity: the digest of its first entry; "" where not even that one stands.
        through: the number of the last entry up to which everything holds; 0 for none.
        digest: the digest of that entry; "" for none.
        held: how many of its entries lie in the file.
    """

    station: str
    identity: str
    through: int
    digest: str
    held: int


class Report(NamedTuple):
    """What a verification found.

    Attributes:
        station: the file's own station.
        chains: the file's own chain first, then the others by code.
        judged: how many judgements came out as they are on record.
        findings: what does not hold: of entries the first one alone, of registers one for each.
        newer: the first entry that only a newer program understands, or "".
        compared: whether the registers were compared: they are where every entry stands.
        since: the checkpoint's entry before which only links, forms and registers were looked at, or "" where
            everything was.
        stopped: of other stations' chains the entries from which on nothing was judged again, as what those stations had
            taken in by then does not lie here.
    """

    station: str
    chains: tuple[Chain, ...]
    judged: int
    findings: tuple[Finding, ...]
    newer: str
    compared: bool
    since: str = ""
    stopped: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether everything holds."""
        return not self.findings
