"""`torquelog desk`: the crib's counter. Scan a person, scan a tool; lines on standard input."""

from typing import TYPE_CHECKING

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.lines import worst
from torquelog.cli.render import Page, envelope_text, write_lines
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.toolwords import briefly, due_words, since_words, where_words
from torquelog.crib import condition, custody
from torquelog.crib.desk import (
    Desk,
    Effect,
    GiveBack,
    Issue,
    Named,
    Report,
    ShowPerson,
    prompt,
    take,
    whose,
)
from torquelog.errors import STORAGE, TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.facts.tools import Tool


@command(
    "desk",
    short="Hand tools out and take them back: scan a person, scan a tool.",
    examples=(Example("torquelog desk", "lines on standard input", stdin="TK\nW-0417\n\n"),),
)
def desk(context: Context) -> Answer:
    """A person and then a tool hand it out; a tool that is out comes back, once it was asked whether anything is wrong.
    What is unfit is not issued, and it is said why. An empty line shows what is out, q ends.
    """
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        counter = Counter(context, book, signer.person)
        counter.run()
        return Answer(exit=0 if context.can_ask else worst(counter.exits), written=True)


class Counter:
    """Reads lines, has them carried out, and says what became of them."""

    def __init__(self, context: Context, book: "Book", person: str) -> None:
        self.context, self.book, self.person = context, book, person
        self.desk = Desk()
        self.page = Page(context.stdout)
        self.exits: list[int] = []
        self.number = 0

    def run(self) -> None:
        """Until q, or the end of the input."""
        if not self.context.json:
            self.write(
                [f"{self.book.station} crib, {self.person}. Scan or type. Empty line: what is out. q: stop."]
            )
        while not self.desk.ended:
            line = self.next_line()
            if line is None:
                return
            turn = take(self.desk, line, self.named(line), self.context.now)
            self.desk = turn.desk
            told, status = list(self.desk.said), 0
            for effect in turn.effects:
                said, worse = self.carried_out(effect)
                told, status = [*told, *said], max(status, worse)
            self.tell(told, status)

    def next_line(self) -> str | None:
        """The next line; nothing at the end of the input."""
        try:
            if self.context.is_terminal and not self.context.json:
                return ask.line(self.context, prompt(self.desk))
            if self.desk.returning is not None and not self.context.json:
                self.write([prompt(self.desk).rstrip()])
            return ask.read_line(self.context)
        except TorquelogError as error:
            if error.code != "input-ended":
                return "\0"
            if self.context.is_terminal and not self.context.json:
                self.context.stdout.write("\n")
            return None
        except OSError:
            return None

    def tell(self, told: list[str], status: int) -> None:
        """Say what a line brought."""
        self.number += 1
        self.exits.append(status)
        if self.context.json:
            returning = self.desk.returning
            data = {"said": told, "person": self.desk.person or None, "asks": returning and returning.asks}
            answer = Answer(data=data, exit=status)
            write_lines(self.context.stdout, [envelope_text(self.context, answer, self.number)])
        else:
            self.write(told)

    def write(self, lines: list[str]) -> None:
        """Write lines as this terminal or pipe can show them."""
        pieces = [piece for line in lines for piece in self.page.prose(line)]
        if pieces:
            write_lines(self.context.stdout, pieces)

    # What a line names

    def named(self, line: str) -> Named:
        """What was typed or scanned: a tool, a person or a job on record."""
        from torquelog.work.scan import is_scan, parse_scan

        text = line.strip()
        if is_scan(text):
            try:
                scan = parse_scan(text)
            except TorquelogError:
                return Named("garbled", scanned=True)
            return self._found(scan.name)._replace(scanned=True)
        return self._found(text.upper())

    def _found(self, name: str) -> Named:
        from torquelog.facts import custody as places
        from torquelog.facts import jobs, people, tools

        tool = tools.tool(self.book.connection, name)
        if tool is not None:
            return Named("tool", name, tool=tool, where=places.whereabouts(self.book.connection, name))
        person = people.person(self.book.connection, name)
        if person is not None:
            return Named("person", name, person.name)
        job = jobs.job(self.book.connection, name)
        return Named("job", name) if job is not None and job.closed is None else Named("nothing", name)

    # What is done

    def carried_out(self, effect: Effect) -> tuple[list[str], int]:
        """Carry out an effect; what is said, and its exit status. Only trouble of the storage ends the run."""
        try:
            return self._carried_out(effect)
        except TorquelogError as error:
            if error.exit == STORAGE or error.code.startswith(("sign-in-", "key-")):
                raise
            return [f"{error.message} {error.hint}".strip()], error.exit

    def _carried_out(self, effect: Effect) -> tuple[list[str], int]:
        if isinstance(effect, Issue):
            return self._issue(effect)
        if isinstance(effect, GiveBack):
            signer = signed_in(self.context, self.book)
            (moved,) = custody.give_back(self.book, signer, [effect.tool.tool])
            at = words.time(self.context.now, self.book.zone)
            return [f"{effect.tool.tool} back from {whose(effect.where)}, {at}.   {moved.reference}"], 0
        if isinstance(effect, Report):
            signer = signed_in(self.context, self.book)
            told = condition.report(self.book, signer, effect.tool.tool, effect.what)
            said = f"{effect.tool.tool} is reported {effect.what}, and not to be used.   {told.reference}"
            return [
                said,
                f"Lay it aside: torquelog {effect.tool.sort} quarantine {effect.tool.tool} --why …",
            ], 0
        if isinstance(effect, ShowPerson):
            return [f"{effect.person}, {effect.name}. {self._has(effect.person)}"], 0
        return self._out(), 0

    def _issue(self, effect: Issue) -> tuple[list[str], int]:
        signer = signed_in(self.context, self.book)
        done = custody.issue(self.book, signer, [effect.tool.tool], effect.person, job=effect.job)
        if done.unfit:
            unfit = done.unfit[0]
            why = "; ".join(briefly(unfit.tool, ground) for ground in unfit.fitness.grounds)
            return [f"{unfit.tool.tool} is NOT issued: {why}.", *self._instead(unfit.tool)], 3
        moved = done.moved[0]
        today = words.local(self.context.now, self.book.zone).date()
        at = words.time(self.context.now, self.book.zone)
        job = f" for {effect.job}" if effect.job else ""
        due = words.sentence(due_words(moved.fitness.due, today))
        return [f"{effect.tool.tool} issued to {effect.person}{job}, {at}. {due}.   {moved.reference}"], 0

    def _instead(self, tool: "Tool") -> list[str]:
        """Tools of the same range that are in the crib and fit."""
        from torquelog.crib.alternatives import alternatives, middle_of

        middle = middle_of(tool)
        if middle is None:
            return []
        found = alternatives(self.book, lambda each: (middle,), sort=tool.sort, without=[tool.tool], most=3)
        named = [
            f"{each.tool.tool}, {where_words(each.tool, each.where, self.context.now, self.book.zone)}"
            for each in found
        ]
        return [f"   In its range and here: {'; '.join(named)}."] if named else []

    def _has(self, person: str) -> str:
        from torquelog.facts import custody as places

        held = places.issued(self.book.connection, person=person)
        if not held:
            return "Has nothing."
        return f"Has {words.listing([name for name, _ in held])}."

    def _out(self) -> list[str]:
        """Every tool that is out, with whom and since when."""
        from torquelog.facts import custody as places
        from torquelog.facts import tools

        now, zone = self.context.now, self.book.zone
        lines = []
        for sort in ("wrench", "adapter"):
            for tool in tools.tools(self.book.connection, sort):
                where = places.whereabouts(self.book.connection, tool.tool)
                if where.kind in ("person", "place"):
                    since = f" since {since_words(where.since, now, zone)}" if where.since is not None else ""
                    job = f" for {where.job}" if where.job else ""
                    lines.append(f"  {tool.tool:<8} {whose(where)}{job}{since}")
        return [f"{words.count(len(lines), 'tool')} out.", *lines]
