"""How a view for other programs is told: its columns with their SQL and their meaning, and the pieces they share.

A view says what is on record now. Its names and the meanings of its columns stay as they are once they are published;
new columns come behind the others. What is not on record is NULL, a yes or no is `yes` or `no`.
"""

from typing import Final, NamedTuple

from torquelog.torque.units import TORQUE_UNITS


class Column(NamedTuple):
    """A column of a view.

    Attributes:
        name: its name.
        sql: the expression that gives it.
        meaning: what it says, in which unit.
    """

    name: str
    sql: str
    meaning: str


class View(NamedTuple):
    """A view.

    Attributes:
        name: its name, which begins with `public_`.
        meaning: what one row of it is.
        columns: its columns, in order.
        source: SQL from FROM on.
    """

    name: str
    meaning: str
    columns: tuple[Column, ...]
    source: str

    @property
    def statement(self) -> str:
        """The SQL that lays it."""
        columns = ", ".join(f"{column.sql} AS {column.name}" for column in self.columns)
        return f"CREATE VIEW {self.name} AS SELECT {columns} {self.source};"


NEWEST: Final = "ORDER BY {0}.at DESC, {0}.recorded DESC, {0}.station DESC, {0}.number DESC LIMIT 1"
FIRST: Final = "ORDER BY {0}.recorded, {0}.station, {0}.number LIMIT 1"


def reference(table: str) -> str:
    """An entry as people name it, `QHR-000123`."""
    return target(f"{table}.station", f"{table}.number")


def target(station: str, number: str) -> str:
    """The same, of two columns that name another entry."""
    return f"{station} || '-' || printf('%06d', {number})"


def moment(expression: str) -> str:
    """A time in UTC with three decimals, `2026-11-25T14:07:31.000Z`."""
    return f"strftime('%Y-%m-%dT%H:%M:%fZ', {expression} / 1000.0, 'unixepoch')"


def yes(condition: str) -> str:
    """`yes` or `no`."""
    return f"iif({condition}, 'yes', 'no')"


# Every text here is read at every opening of a record, so the conditions are as short as they can be.


def standing(table: str) -> str:
    """This row's entry is not struck."""
    return f"({table}.station, {table}.number) NOT IN (SELECT target_station, target_number FROM strike)"


def counted(table: str) -> str:
    """This row's entry is of the file's own station, or of one that quality here has accepted."""
    return f"{table}.station IN (SELECT station FROM public_stations WHERE counts = 'yes')"


def member(text: str, path: str) -> str:
    """A member of an entry's text; json_extract() is not allowed in a view by everybody's SQLite, json_each() is."""
    return f"(SELECT value FROM json_each({text}, '$.{path}'))"


def struck_by(table: str) -> Column:
    """The strike of a row's entry."""
    first = (
        f"(SELECT {reference('strike')} FROM strike WHERE strike.target_station = {table}.station "
        f"AND strike.target_number = {table}.number {FIRST.format('strike')})"
    )
    return Column("struck_by", first, "the entry that struck it as a mistake; NULL where it stands")


def confirmation_of(table: str, column: str) -> str:
    """Something of the first standing confirmation of a row's entry."""
    return (
        f"(SELECT {column} FROM confirmation JOIN entry AS own ON own.station = confirmation.station "
        f"AND own.number = confirmation.number WHERE confirmation.target_station = {table}.station "
        f"AND confirmation.target_number = {table}.number AND {standing('confirmation')} "
        f"{FIRST.format('confirmation')})"
    )


def entry_of(table: str) -> Column:
    """The entry of a row."""
    return Column("entry", reference(table), "the entry that says so")


def recorded(table: str) -> Column:
    """When a row's entry was recorded."""
    return Column("recorded_at", moment(f"{table}.recorded"), "when it was recorded (UTC)")


def why(table: str) -> Column:
    """The reason that a row's entry gives."""
    return Column("why", f"{table}.why", "the reason that was given; NULL where none was")


def at(name: str, expression: str, meaning: str) -> Column:
    """A column that holds a time."""
    return Column(name, moment(expression), f"{meaning} (UTC)")


def plain(table: str, *columns: tuple[str, str]) -> tuple[Column, ...]:
    """Columns that are called as in their table, each with its meaning."""
    return tuple(Column(name, f"{table}.{name}", meaning) for name, meaning in columns)


def owner(table: str) -> tuple[Column, ...]:
    """Whose a fastener is: an assembly's, or an aircraft's position's."""
    text, rest = f"{table}.owner", f"substr({table}.owner, 10)"
    first = f"substr({rest}, 1, instr({rest}, ' ') - 1)"
    second = f"substr({rest}, instr({rest}, ' ') + 1)"
    wheel = f"substr({text}, 1, 9) = 'assembly '"
    return (
        Column("part_number", f"iif({wheel}, {first}, NULL)", "part number of the assembly that carries it"),
        Column("serial", f"iif({wheel}, {second}, NULL)", "the assembly's serial number"),
        Column(
            "msn", f"iif({wheel}, NULL, {first})", "serial number of the aircraft, where it stays with one"
        ),
        Column("position", f"iif({wheel}, NULL, {second})", "where on that aircraft"),
    )


def fastener(table: str) -> tuple[Column, ...]:
    """Which fastener a row is about."""
    name = f"{table}.grp || ':' || {table}.item"
    return (
        *owner(table),
        Column("fastener", name, "the fastener, group and number: `tie-bolt:3`"),
        Column("fastener_group", f"{table}.grp", "its group on the card"),
        Column("fastener_number", f"{table}.item", "its number in the group, a whole number"),
    )


def rounded(expression: str) -> str:
    """A number of floating point as a text with at most six decimals, without zeros at its end."""
    return f"rtrim(rtrim(printf('%.6f', {expression}), '0'), '.')"


def real(expression: str) -> str:
    """An exact number, `26.5` or `3/4`, as one of floating point."""
    above = f"CAST(substr({expression}, 1, instr({expression} || '/', '/') - 1) AS REAL)"
    below = f"CAST(substr({expression} || '/1', instr({expression} || '/1', '/') + 1) AS REAL)"
    return f"{above} / {below}"


def decimal(expression: str) -> str:
    """An exact number as a decimal: as it stands, or a fraction rounded to six decimals."""
    return f"iif(instr({expression}, '/'), {rounded(real(expression))}, {expression})"


def newton_metres(value: str, unit: str) -> str:
    """A torque in N·m, in floating point, for showing."""
    cases = " ".join(
        f"WHEN '{symbol}' THEN {float(each.newton_metres)!r}" for symbol, each in TORQUE_UNITS.items()
    )
    return f"CAST({value} AS REAL) * CASE {unit} {cases} END"
