"""Bringing in a file: every row is judged first, on a private copy of the record; then it is written.

The writing goes in transactions of bounded time, with pauses between them in which the next rows are read, so that no
other writer waits long. Readings are written as they were judged for as long as nobody else writes; from then on, and
everything else, is judged again inside its transaction: what somebody wrote meanwhile counts, and where a row comes
out otherwise, it is told.
"""

from torquelog.book.opening import Book
from torquelog.book.rehearsal import demand_authority, rehearsal
from torquelog.book.signer import Signer
from torquelog.errors import TorquelogError
from torquelog.importing.acts import Acts
from torquelog.importing.again import Again
from torquelog.importing.as_judged import write_as_judged
from torquelog.importing.judging import Judging
from torquelog.importing.sheet import Sheet
from torquelog.importing.spool import Spool
from torquelog.importing.tally import Tally
from torquelog.importing.turns import Turns
from torquelog.importing.unit import Kind
from torquelog.importing.ways import Ways


def bring_in(book: Book, signer: Signer, kind: Kind, sheet: Sheet, ways: Ways) -> Tally:
    """Bring in the rows of a file.

    Args:
        book: the record, open for writing.
        signer: who signs.
        kind: what the rows are.
        sheet: the file.
        ways: how, and to whom what is told.

    Returns:
        What became of it. Where rows are wrong and it was not said to keep going, nothing was written; where somebody
        pressed Ctrl-C, what is counted is on record, and the same call goes on from there.

    Raises:
        TorquelogError: what says something of the whole file, of the signer or of the storage.
    """
    acts = Acts(book, signer, kind, ways, Tally())
    try:
        _bring_in(acts, sheet)
    except KeyboardInterrupt:
        acts.tally.interrupted = True
    except TorquelogError as error:
        if not acts.tally.last:
            raise
        raise _in_the_middle(error, acts.tally.last) from error
    return acts.tally


def _in_the_middle(error: TorquelogError, last: str) -> TorquelogError:
    """An error that ended the writing: it may say that nothing was recorded, and knows nothing of what was before."""
    return TorquelogError(
        error.code,
        error.what,
        why=f"What was written before is on record, up to {last}.",
        hint="Once that is set right, give the same command again: it goes on from there.",
    )


def _bring_in(acts: Acts, sheet: Sheet) -> None:
    turns = Turns(acts.ways.seconds, acts.ways.pause)
    with Spool() as spool:
        with rehearsal(acts.book) as (copy, w):
            demand_authority(copy, w, acts.signer, acts.kind.entry)
            Judging(acts, copy, w, spool).judge(sheet)
            if acts.ways.dry_run or (acts.tally.errors and not acts.ways.keep_going):
                return
            total = acts.tally.left
            left = spool.kept() if acts.kind.foresee is None else write_as_judged(acts, w, spool, turns)
        Again(acts, sheet, left, turns, total).write()
