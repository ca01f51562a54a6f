"""What every command is handed: where it stands, who asks, what the time is, and how it may speak."""

import os
from typing import TYPE_CHECKING, Final, Literal, TextIO

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.clock import Clock, Moment

DATABASE: Final = "TORQUELOG_DB"
DATABASE_NAME: Final = "ledger.db"
PLAIN_WIDTH: Final = 80


class Context:
    """The surroundings of one run of one command.

    Attributes:
        stdin: what is read; its lines, or its bytes through `stdin.buffer`.
        stdout: where the answer goes.
        stderr: where problems and progress go.
        db: the file named with `--db`, or nothing.
        as_person: the person named with `--as`, or nothing.
        json: whether the answer is an envelope.
        csv: whether the answer's table is wanted as CSV.
        passphrase_stdin: whether passphrases are read from standard input.
        clock_ok: whether somebody vouches for the clock after a long gap, with `--clock-ok`.
        command: the command's name as it was typed, "wrench add"; for the envelope.
        station: the station's code, once a record is open; for the envelope.
        ledger: the ledger's identity, once a record is open; for the envelope.
        secrets: texts that no file of details may hold.
    """

    def __init__(
        self, *, clock: "Clock | None" = None, stdin: TextIO, stdout: TextIO, stderr: TextIO
    ) -> None:
        self._clock = clock
        self.stdin = stdin
        self.stdout = stdout
        self.stderr = stderr
        self.db = ""
        self.as_person = ""
        self.json = False
        self.csv = False
        self.passphrase_stdin = False
        self.clock_ok = False
        self.command = ""
        self.station = ""
        self.ledger = ""
        self.stays_open = False
        self.secrets: list[str] = []
        self._book: Book | None = None

    @property
    def clock(self) -> "Clock":
        """What tells the time: the one that was handed in, else the computer's."""
        if self._clock is None:
            from torquelog.clock import SystemClock

            self._clock = SystemClock()
        return self._clock

    @property
    def now(self) -> "Moment":
        """The present moment in milliseconds, asked anew each time."""
        return self.clock.now()

    @property
    def is_terminal(self) -> bool:
        """Whether a person reads the answer on a terminal."""
        return is_terminal(self.stdout)

    @property
    def can_ask(self) -> bool:
        """Whether a person is there to be asked: a terminal on both sides, and no program that wants JSON."""
        return self.is_terminal and is_terminal(self.stdin) and not self.json and not self.csv

    @property
    def width(self) -> int | None:
        """Columns of the terminal; nothing in a pipe, where no line is broken."""
        return terminal_width(self.stdout) if self.is_terminal else None

    def database(self) -> str:
        """The path of the record: `--db`, else TORQUELOG_DB, else `ledger.db` in the data folder."""
        given = self.db or os.environ.get(DATABASE, "")
        if given:
            return os.path.abspath(os.path.expanduser(given))
        from torquelog.ledger.folders import data_folder

        return os.path.join(data_folder(), DATABASE_NAME)

    def book(self, mode: Literal["read", "write"] = "read") -> "Book":
        """The open record, the same one each time; closed when the command ends.

        From then on the envelope names its station and ledger.

        Args:
            mode: "write" to add entries; "read" to look only.

        Raises:
            TorquelogError: what `torquelog.book.opening.open_book` raises.
        """
        if self._book is not None and mode == "write" and not self._book.writable:
            self.close()
        if self._book is None:
            from torquelog.book.opening import open_book

            return self.adopt(open_book(self.database(), mode, self.clock, clock_ok=self.clock_ok))
        return self._book

    def adopt(self, book: "Book") -> "Book":
        """Take a record that was just opened or begun as the one of this run; gives it back."""
        self.close()
        self._book = book
        self.station = book.station
        self.ledger = book.identity
        return book

    def hide(self, secret: str) -> str:
        """Remember a passphrase or code, so that no file of details will hold it; gives it back."""
        if secret:
            self.secrets.append(secret)
        return secret

    def close(self) -> None:
        """Close what was opened."""
        book, self._book = self._book, None
        if book is not None:
            book.close()


def is_terminal(stream: TextIO) -> bool:
    """Whether a stream is a terminal; a closed one is none."""
    try:
        return stream.isatty()
    except ValueError:
        return False


def terminal_width(stream: TextIO) -> int:
    """Columns of a terminal: COLUMNS, else what the terminal says, else 80."""
    named = os.environ.get("COLUMNS", "")
    if named.isascii() and named.isdigit() and 0 < int(named) < 10_000:
        return int(named)
    try:
        return os.get_terminal_size(stream.fileno()).columns or PLAIN_WIDTH
    except (OSError, ValueError):
        return PLAIN_WIDTH


def short_path(path: str) -> str:
    """A path for people, with "~" for the home folder."""
    home = os.path.expanduser("~")
    return "~" + path[len(home) :] if path.startswith(home + os.sep) else path
