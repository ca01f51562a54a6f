"""The triggers that keep rows as they were written.

A trigger against DELETE is not asked when INSERT OR REPLACE removes the row in its way, and REPLACE finds
that row through any unique key. So every unique key has a guard of its own before each INSERT, the hidden
rowid of a table that has one included.
"""

from collections.abc import Sequence


def guards(table: str, keys: Sequence[Sequence[str]], *, mutable: bool = False) -> str:
    """SQL text of a table's triggers.

    Args:
        table: the table's name.
        keys: the columns of each unique key, the primary key among them; ("rowid",) too, unless the table is
            WITHOUT ROWID or its primary key is the rowid itself.
        mutable: whether rows may be changed and removed (a running tally); then only its keys stay.
    """
    if mutable:
        columns = ", ".join(dict.fromkeys(column for key in keys for column in key if column != "rowid"))
        return _trigger(
            f"{table}_keeps_key", f"UPDATE OF {columns} ON {table}", "", f"{table}: keys never change"
        )
    parts = [
        _trigger(f"{table}_no_update", f"UPDATE ON {table}", "", f"{table}: rows are never changed"),
        _trigger(f"{table}_no_delete", f"DELETE ON {table}", "", f"{table}: rows are never removed"),
    ]
    parts += [_once(table, key) for key in keys]
    return "".join(parts)


def follows_head(table: str, chain: str, number: str) -> str:
    """SQL text of a trigger that takes only the number after its chain's newest, 1 in an empty chain."""
    newest = f"(SELECT max({number}) FROM {table} WHERE {chain} = NEW.{chain})"
    condition = f"WHEN NEW.{number} IS NOT coalesce({newest}, 0) + 1 "
    return _trigger(
        f"{table}_follows_head", f"INSERT ON {table}", condition, f"{table}: number is not head + 1"
    )


def _once(table: str, key: Sequence[str]) -> str:
    same = " AND ".join(f"{column} = NEW.{column}" for column in key)
    condition = f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
    name = f"{table}_once_{'_'.join(key)}"
    return _trigger(name, f"INSERT ON {table}", condition, f"{table}: {', '.join(key)} is on record already")


def _trigger(name: str, event: str, condition: str, message: str) -> str:
    return f"CREATE TRIGGER {name} BEFORE {event} {condition}BEGIN SELECT RAISE(ABORT, '{message}'); END;\n"
