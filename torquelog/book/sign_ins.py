"""The entry of a sign-in: a fresh key, introduced by a person's passphrase key, with its end."""

from typing import Final, NamedTuple

from torquelog.book.signer import Signer
from torquelog.book.writing import Writing
from torquelog.clock import Moment, offset_text, zone
from torquelog.facts import stations
from torquelog.ledger import keys

HOUR: Final[Moment] = 3_600_000
LONGEST_HOURS: Final = 16


class Fresh(NamedTuple):
    """A fresh key.

    Attributes:
        reference, number: the entry that introduced it.
        seed: its private half, 32 bytes.
        at, until: its beginning and its end, in milliseconds since 1970 UTC.
    """

    reference: str
    number: int
    seed: bytes
    at: Moment
    until: Moment

    def __repr__(self) -> str:
        return f"Fresh({self.reference})"


def introduce(w: Writing, signer: Signer) -> Fresh:
    """Introduce a fresh key for as long as the station's rule says, 16 hours at most.

    Args:
        w: the right to write.
        signer: whose key it will be, by passphrase.
    """
    seed, now = keys.new_seed(), w.time()
    hours = stations.rules(w.connection, w.station).whole("shift-hours")
    station = stations.station(w.connection, w.station)
    until = now + min(hours, LONGEST_HOURS) * HOUR
    end = offset_text(until, zone(station.zone if station else "UTC"))
    appended = w.append(signer, "sign-in", {"public_key": keys.public_key(seed), "until": end}, at=now)
    return Fresh(appended.reference, appended.number, seed, now, until)
