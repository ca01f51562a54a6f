"""A card file: TOML, read into the content that the record keeps, its problems named by file, table and key.

A card is copied from approved data by hand, so everything that can be wrong in it is told at once, in the
words of the file. A question is no problem: it points at what looks unlikely and leaves the answer to people.
"""

from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Card, Content, card_from
from torquelog.torque.limits import parse_spec
from torquelog.work.card_keys import CARD, CHECK, GROUP, HARDWARE, STEP, Key
from torquelog.work.card_rules import Question, conflicts, missing, numbers, questions
from torquelog.work.card_values import wrong

MOST_BYTES: Final = 1 << 20
"""The largest card file."""

MOST_CONTENT: Final = 240 << 10
"""The largest content, as canonical text: an entry's body has to hold it and a little more."""

TOP: Final = ("card", "group", "check")


class CardFile(NamedTuple):
    """What a card file says.

    Attributes:
        content: as the record keeps it.
        card: the same, as it is worked by.
        questions: what looks unlikely.
    """

    content: Content
    card: Card
    questions: tuple[Question, ...]


def read_card(text: str, file: str) -> CardFile:
    """Read a card file.

    Args:
        text: the file's content.
        file: its name, for messages.

    Raises:
        TorquelogError: the first of its problems, which says how many more there are. Their codes: card-file,
            card-key, card-value, card-large, and those of the torque, date or text that cannot be read.
    """
    found, problems = examine(text, file)
    if found is None:
        raise _first_of(problems)
    return found


def examine(text: str, file: str) -> tuple[CardFile | None, tuple[TorquelogError, ...]]:
    """Read a card file and give back all its problems; what it says only where there are none."""
    reader = _Reader(file)
    try:
        content = reader.card(_tables(text, file))
        if not reader.problems:
            _check_size(content, file)
    except TorquelogError as error:
        return None, (error,)
    if reader.problems:
        return None, tuple(reader.problems)
    card = card_from(content)
    return CardFile(content, card, tuple(questions(card))), ()


class _Reader:
    """Reads the tables of one file and gathers what is wrong with them."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[TorquelogError] = []

    def card(self, tables: Mapping[str, Any]) -> dict[str, Any]:
        """The whole card; only of use where no problem was found."""
        for key in tables:
            if key not in TOP:
                self.wrong("", key, _unknown(key, TOP))
        content = self.table("[card]", _one(tables.get("card")), CARD)
        content["groups"] = [
            self.group(f"[[group]] {number}", each)
            for number, each in enumerate(self.several(tables, "group"), start=1)
        ]
        checks = [
            self.table(f"[[check]] {number}", each, CHECK)
            for number, each in enumerate(self.several(tables, "check"), start=1)
        ]
        if checks:
            content["checks"] = checks
        self.twice("[[group]] and [[check]]", [*content["groups"], *checks])
        return content

    def several(self, tables: Mapping[str, Any], name: str) -> list[Any]:
        """The tables that stand under `[[name]]`."""
        value = tables.get(name, [])
        if isinstance(value, dict):
            self.wrong("", name, wrong(f"[{name}] stands for one alone.", f"Write it [[{name}]]."))
            return [value]
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            self.wrong("", name, wrong("This is not a table.", f"Begin it with a line [[{name}]]."))
            return []
        if name == "group" and not value:
            self.wrong("", "[[group]]", missing("what is to be tightened"))
        return value

    def group(self, place: str, table: Mapping[str, Any]) -> dict[str, Any]:
        """One group with its steps and hardware, and what must fit together in it."""
        named = table.get("id")
        where = f"[[group]] {named}" if isinstance(named, str) and named else place
        content = self.table(where, table, GROUP)
        for key, keys in (("steps", STEP), ("hardware", HARDWARE)):
            if key in content:
                content[key] = [
                    self.table(f"{where}, {key} {number}", each, keys)
                    for number, each in enumerate(content[key], start=1)
                ]
        steps = content.get("steps", [])
        self.torque(where, content, table)
        for step, given in zip(steps, table.get("steps", ()), strict=False):
            self.torque(f"{where}, step {step.get('id', '?')}", step, given)
        self.order(where, content)
        for key, problem in conflicts(content, torque_given=_has_torque(table, content)):
            self.wrong(where, key, problem)
        self.twice(f"{where}, steps", steps)
        return content

    def table(self, where: str, table: Mapping[str, Any], keys: Mapping[str, Key]) -> dict[str, Any]:
        """The keys of one table, each read."""
        content: dict[str, Any] = {}
        for key, value in table.items():
            try:
                if key not in keys:
                    raise _unknown(key, keys)
                read = keys[key].read(value)
            except TorquelogError as error:
                self.wrong(where, key, error)
            else:
                if read is not None:
                    content[key] = read
        for key, form in keys.items():
            if form.needed and key not in table:
                self.wrong(where, key, missing(form.meaning))
        return content

    def torque(self, where: str, content: dict[str, Any], table: Mapping[str, Any]) -> None:
        """Read a torque with the tolerance beside it, which then stands in the torque itself."""
        share = content.pop("tolerance", None)
        if "torque" not in content or (share is None and "tolerance" in table):
            if "torque" not in table and share is not None:
                self.wrong(where, "tolerance", wrong("There is no torque that it belongs to."))
            content.pop("torque", None)
            return
        try:
            content["torque"] = parse_spec(content["torque"], share).text
        except TorquelogError as error:
            self.wrong(where, "torque", error)
            del content["torque"]

    def order(self, where: str, content: dict[str, Any]) -> None:
        """Turn an order into the numbers it stands for."""
        if "order" in content and "count" in content:
            try:
                content["order"] = list(map(str, numbers(int(content["count"]), content["order"])))
            except TorquelogError as error:
                self.wrong(where, "order", error)

    def twice(self, where: str, tables: Iterable[Mapping[str, Any]]) -> None:
        """Tell of names that stand in several tables."""
        seen: set[str] = set()
        for name in (each["id"] for each in tables if "id" in each):
            if name in seen:
                self.wrong(where, "id", wrong(f'"{name}" stands there twice.'))
            seen.add(name)

    def wrong(self, where: str, key: str, error: TorquelogError) -> None:
        """Keep a problem, with the place where it was found."""
        place = ", ".join(part for part in (self.file, where, key) if part)
        self.problems.append(
            TorquelogError(error.code, f"{place}: {error.what}", why=error.why, hint=error.hint)
        )


def _tables(text: str, file: str) -> Mapping[str, Any]:
    import tomllib

    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        reason = "It is nested too deep." if isinstance(error, RecursionError) else f"{error}."
        raise TorquelogError(
            "card-file",
            f"{file} cannot be read as TOML.",
            why=reason,
            hint="torquelog card new FILE writes one to start from.",
        ) from None


def _has_torque(table: Mapping[str, Any], content: Mapping[str, Any]) -> bool:
    """Whether a group's file has a torque, or steps that could not be read and may have one."""
    if "torque" in table or ("steps" in table and "steps" not in content):
        return True
    return any("torque" in step for step in table.get("steps", ()))


def _one(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _check_size(content: Content, file: str) -> None:
    from torquelog.ledger.form import canonical

    size = len(canonical(content).encode())
    if size > MOST_CONTENT:
        raise TorquelogError(
            "card-large",
            f"{file} says more than an entry can hold: {size >> 10} KiB of at most {MOST_CONTENT >> 10}.",
            hint="Make several cards of it.",
        )


def _first_of(problems: tuple[TorquelogError, ...]) -> TorquelogError:
    first, more = problems[0], len(problems) - 1
    if not more:
        return first
    words = "one more problem" if more == 1 else f"{more} more problems"
    hint = f"{first.hint} " if first.hint else ""
    return TorquelogError(
        first.code,
        first.what,
        why=first.why,
        hint=f"{hint}The file has {words}; torquelog card check shows all.",
    )


def _unknown(key: str, keys: Iterable[str]) -> TorquelogError:
    from difflib import get_close_matches

    near = get_close_matches(key, list(keys), n=1)
    return TorquelogError(
        "card-key",
        "There is no such key here.",
        hint=f"Did you mean {near[0]}?" if near else f"These are known: {', '.join(keys)}.",
    )
