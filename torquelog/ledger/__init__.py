"""The append-only book as such: the form of an entry, the chain, keys, checkpoints and the database file."""
