"""One of several writers at one record: a program of its own, which records readings as fast as it can.

Usage: python -m tests.work.writer RECORD KEY COUNT NOW; the private key comes on standard input. It says "ready", waits
for a line before each `ROUND` readings, and prints each entry as it is acknowledged; an error is a line with its code.
"""

import sys
from contextlib import closing

from torquelog.book.asked import Asked
from torquelog.book.opening import open_book
from torquelog.book.signer import Signer
from torquelog.clock import SetClock
from torquelog.errors import TorquelogError
from torquelog.ledger import database
from torquelog.torque.units import parse_torque
from torquelog.work.record import record

ROUND = 25
"""Readings in one go. Whoever is at it would else be done before the others, who wait, look again."""


def main(path: str, key: str, count: str, now: str) -> None:
    """Record so many readings at the bolt whose number is the key's; each is loosened first, so that each counts."""
    signer = Signer("TK", int(key), "sign-in", bytes.fromhex(sys.stdin.readline().strip()))
    with closing(open_book(path, "write", SetClock(int(now)))) as book:
        print("ready", flush=True)
        for number in range(int(count)):
            if number % ROUND == 0:
                sys.stdin.readline()
            asked = Asked(
                "J-1",
                "tie-bolt",
                int(key) % 8 + 1,
                parse_torque("100 N·m"),
                "W-0417",
                (),
                "TK",
                loosened=True,
            )
            try:
                print(
                    record(book, signer, asked, entry_id=f"{int(key):016x}{number:016x}").reference,
                    flush=True,
                )
            except TorquelogError as error:
                print(error.code, flush=True)
        database.close(book.connection)


if __name__ == "__main__":
    main(*sys.argv[1:])
