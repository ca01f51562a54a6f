"""`torquelog work`: leads through a job, fastener by fastener, on a screen or as lines."""

import os
from secrets import token_hex
from typing import TYPE_CHECKING, Final, TextIO

import click

from torquelog.cli import ask, carry, work_lines, work_opening
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.render import BOLD, PLAIN, Page, envelope_text, write_lines
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.text import columns, wrapped
from torquelog.cli.work_screen import NARROW, Head, screen
from torquelog.cli.work_words import say
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.book.signer import Signer
    from torquelog.work.session_question import Question
    from torquelog.work.session_state import Effect, Last, Session

USUAL_HEIGHT: Final = 24
ASKED_FOR: Final = 60_000
"""Milliseconds for which it is not asked again who is signed in."""

ROOM: Final = 10
"""Columns that are left behind a prompt for what is typed."""

PROGRESS: Final = len("   999 of 999")
"""Columns that are left behind a reading for how far the job is."""

CLEAR: Final = "\x1b[H\x1b[2J"
PLAIN_FIRST: Final = frozenset({"condition", "lots", "wrench", "end"})
"""Questions that are asked below what was said before, before the screen of the fasteners is drawn."""


@command(
    "work",
    short="Lead through a job, fastener by fastener.",
    examples=(
        Example(
            "torquelog work J-5 --lines", "one line a reading", stdin="y\nL-77\nW-0417\n26.5\n26.5\n26.5\n"
        ),
    ),
)
@click.argument("job", metavar="JOB", required=False)
@click.option(
    "--lines", is_flag=True, help="Lines instead of a screen, for logs, scripts and screen readers."
)
def work(context: Context, job: str | None, lines: bool) -> Answer:
    """Say what you hold, set it, and press Enter at each click. ? shows the other keys.

    A wrench that indicates is read, so its figure is typed. Every answer is on record before it is shown: you can
    stop, or lose power, at any point, and go on with the same command.
    """
    from torquelog.book.log_room import make_room
    from torquelog.work import doing

    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        name = job_asked(context, book, job, signer.person)
        make_room(book)
        work_opening.handed_over(context, book, signer, name)
        session = doing.begin(book, name, signer.person)
        carry.remember_job(context, book, signer.person, name)
        driver = Driver(context, book, session, lines=lines)
        driver.run()
        return driver.end()


def job_asked(context: Context, book: "Book", job: str | None, person: str) -> str:
    """The job that is named, or the one this person is at; it has to be open.

    Raises:
        TorquelogError: needs-option, job-unknown, job-closed.
    """
    from torquelog.book.named import job_named

    named = job or carry.current_job(context, book, person)
    if not named:
        raise TorquelogError("needs-option", "Which job? None was named.", hint="torquelog job list")
    found = job_named(book.connection, named)
    if found.closed is not None:
        raise TorquelogError("job-closed", f"{found.job} is closed.", hint="torquelog job list")
    return found.job


def terminal_height(stream: TextIO) -> int:
    """Lines of a terminal, 24 where it does not say."""
    try:
        return os.get_terminal_size(stream.fileno()).lines or USUAL_HEIGHT
    except (OSError, ValueError):
        return USUAL_HEIGHT


class Driver:
    """Shows what is asked, reads a line, has it carried out, until it ends."""

    def __init__(self, context: Context, book: "Book", session: "Session", *, lines: bool) -> None:
        self.context, self.book, self.session = context, book, session
        self.page = Page(context.stdout)
        self.drawn = self.page.coloured and context.can_ask and not lines
        self.round = ("", "")
        self.exits: list[int] = []
        self.number = 0
        self.signed: Signer | None = None
        self.asked_at = 0
        self.head_seen = work_opening.head_number(book)
        self.opened = session
        self.claims = work_opening.claims_of(book, session)
        self.begun = False

    def run(self) -> None:
        """The whole session."""
        if not self.context.json:
            self.write(work_opening.lines(self.context, self.book, self.session))
        try:
            self.loop()
        finally:
            self.claims.let_go()
            self.end_line("")

    def loop(self) -> None:
        """Ask, read, carry out, tell; until it ends."""
        from torquelog.work.session import take
        from torquelog.work.session_question import question

        while not self.session.ended:
            self.look()
            asked = question(self.session)
            if asked.kind == "end" and not self.session.left and not self.session.dialogue:
                break
            line = self.next_line(asked)
            if line is None:
                break
            before = self.session
            turn = take(self.session, line, self.context.now)
            self.session = turn.session
            for effect in turn.effects:
                self.carry_out(effect)
            self.told(before)

    def carry_out(self, effect: "Effect") -> None:
        """Have one effect carried out, signed by who is signed in."""
        from torquelog.work import doing

        signer = self.signer()
        expected = self.head_seen
        self.session = doing.carry_out(
            self.book, signer, self.session, effect, token_hex(16), self.begin_line
        )
        self.head_seen = work_opening.head_number(self.book)
        if self.head_seen > expected + 1:
            self.session = doing.look_again(self.book, self.session, self.session.others)

    def signer(self) -> "Signer":
        """Who is signed in here; asked anew after a while, as a sign-in may lie unused or be gone.

        Whether the sign-in still counts is looked at for every single entry, when it is written.
        """
        now = self.context.now
        if self.signed is None or not 0 <= now - self.asked_at <= ASKED_FOR:
            self.signed, self.asked_at = signed_in(self.context, self.book), now
        return self.signed

    def look(self) -> None:
        """Look whether others have worked meanwhile, and where they are."""
        from torquelog.work import doing

        head = work_opening.head_number(self.book)
        if head != self.head_seen:
            self.head_seen = head
            self.session = doing.look_again(self.book, self.session, self.session.others)
        self.session = self.claims.settle(self.session, self.context.now)

    # What is shown

    def next_line(self, asked: "Question") -> str | None:
        """Show what is asked and read a line; nothing at the end of the input."""
        prompt = self.show(asked)
        try:
            if not self.context.is_terminal or self.context.json:
                return ask.read_line(self.context)
            *before, last = wrapped(prompt, self.page.width and self.page.width - ROOM)
            self.write(before)
            return ask.line(self.context, f"{last.rstrip()} ")
        except TorquelogError as error:
            if error.code == "input-ended":
                self.leave_prompt()
                return None
            return "\0"
        except OSError:
            return None

    def leave_prompt(self) -> None:
        """Go to a line of its own behind a prompt that nobody answered."""
        if self.context.is_terminal and not self.context.json:
            self.context.stdout.write("\n")

    def show(self, asked: "Question") -> str:
        """What is asked, on the screen or as lines; gives the prompt."""
        if self.context.json:
            return ""
        if self.drawn and asked.kind not in PLAIN_FIRST and self.session.bench is not None:
            return self.draw(asked)
        heading = work_lines.heading(self.session, asked)
        at = work_lines.slot_heading(self.session, asked)
        if heading and at != self.round:
            self.round = at
            self.write([heading])
        told, prompt = work_lines.asking(self.session, asked)
        self.write(told)
        if not self.context.is_terminal and asked.kind != "reading":
            self.write([prompt.rstrip()])
        return prompt

    def draw(self, asked: "Question") -> str:
        """The whole screen anew."""
        width, height = min(self.page.width or 80, 80), terminal_height(self.context.stdout)
        lines = screen(self.head(), self.session, asked, width, height)
        large = say(self.session, asked).large
        shown = [self.page.plain(line) for line in lines]
        if large:
            plain = self.page.plain(large)
            shown = [line.replace(plain, f"{BOLD}{plain}{PLAIN}") for line in shown]
        self.context.stdout.write(CLEAR + "\n".join(shown) + ("\n\n" if width >= NARROW else "\n"))
        self.context.stdout.flush()
        return say(self.session, asked).prompt

    def head(self) -> Head:
        """What stands at the top of the screen."""
        return work_opening.head(self.context, self.book, self.session)

    def told(self, before: "Session") -> None:
        """Say what a line brought; on the drawn screen that stands there."""
        from torquelog.work.session_question import question

        after = self.session
        self.number += 1
        self.exits.append(work_lines.exit_of(before, after))
        bench = after.bench
        if bench is not None and bench is not before.bench:
            self.session = after.saying(
                *work_opening.wrench_lines(self.context, self.book, bench), *after.said
            )
            after = self.session
            carry.remember_wrench(
                self.context, self.book, after.person, after.job, bench.wrench.tool, bench.adapters
            )  # fmt: skip
        if self.context.json:
            answer = work_lines.answer_to(before, after, question(after))
            write_lines(self.context.stdout, [envelope_text(self.context, answer, self.number)])
        elif not self.drawn or bench is None or after.ended or question(after).kind in PLAIN_FIRST:
            news = work_lines.since(before, after)
            if self.begun:
                next(news)
                self.end_line(work_lines.so_far(after))
            self.write(list(news))

    def begin_line(self, last: "Last") -> None:
        """Say at once that a reading is on record; the line ends with how far the job is, once that is worked out.

        Not on the drawn screen, nor where the line has to be broken.
        """
        if self.context.json or self.drawn:
            return
        line = self.page.plain(work_lines.reading_line(last))
        if self.page.width is None or columns(line) + PROGRESS <= self.page.width:
            self.context.stdout.write(line)
            self.context.stdout.flush()
            self.begun = True

    def end_line(self, rest: str) -> None:
        """The rest of a line that was begun."""
        if self.begun:
            self.begun = False
            write_lines(self.context.stdout, [rest])

    def write(self, lines: list[str]) -> None:
        """Write lines as this terminal or pipe can show them."""
        pieces = [piece for line in lines for piece in self.page.prose(line)]
        if pieces:
            write_lines(self.context.stdout, pieces)

    def end(self) -> Answer:
        """The answer after the session: how far the job is, and what is open."""
        if self.context.json:
            from torquelog.cli.lines import worst

            return Answer(exit=worst(self.exits), written=True)
        return work_opening.ending(self.context, self.book, self.session, self.exits)
