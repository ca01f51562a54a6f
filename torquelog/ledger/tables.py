"""The ledger's own tables: the entries of every chain in the file, and which chain is this file's own."""

from typing import Final

from torquelog.ledger.guards import follows_head, guards

LEDGER_SCHEMA: Final = (
    """
CREATE TABLE entry (
    station TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number >= 1),
    id BLOB NOT NULL CHECK (length(id) = 16),
    text TEXT NOT NULL,
    signature BLOB NOT NULL CHECK (length(signature) = 64),
    PRIMARY KEY (station, number),
    UNIQUE (station, id)
) STRICT;
CREATE TABLE home (
    position INTEGER PRIMARY KEY,
    station TEXT NOT NULL
) STRICT;
"""
    + guards("entry", (("rowid",), ("station", "number"), ("station", "id")))
    + follows_head("entry", "station", "number")
    + guards("home", (("position",),))
)
"""SQL text of the tables `entry` and `home` with their guards."""
