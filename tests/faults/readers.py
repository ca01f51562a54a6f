"""A reader among writers: `python -m tests.faults.readers PATH ENTRIES` looks again until it sees so many entries.

Each look must find a whole prefix of the chain, no shorter than the one before. Prints how often it looked.
"""

import sys
from contextlib import closing

from tests.ledger import small
from torquelog.ledger import database, store


def look(path: str) -> int:
    """How many entries there are now, without a gap."""
    with closing(database.connect(path, "read")) as connection:
        numbers = [each.number for each in store.entries(connection, small.STATION)]
    assert numbers == list(range(1, len(numbers) + 1)), numbers
    return len(numbers)


def main() -> None:
    """Look until everything is there."""
    path, wanted = sys.argv[1], int(sys.argv[2])
    looks = seen = 0
    while seen < wanted:
        found = look(path)
        assert found >= seen, f"{found} entries after {seen}"
        looks, seen = looks + 1, found
    print(looks)


if __name__ == "__main__":
    main()
