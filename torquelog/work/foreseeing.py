"""A reading as it would be recorded, judged on a rehearsal."""

from torquelog.book.asked import Asked
from torquelog.book.opening import Book
from torquelog.book.rehearsal import Foreseen, Rehearsal
from torquelog.book.signer import Signer
from torquelog.ledger.form import body_text
from torquelog.work.record import judged_body


def foresee(w: Rehearsal, book: Book, signer: Signer, asked: Asked, entry_id: str) -> tuple[Foreseen, str]:
    """Record one reading in a rehearsal; the entry that it would be, and its outcome.

    Args:
        w: the rehearsal; book: the copy that it writes to.
        signer: who would sign.
        asked: the reading.
        entry_id: 32 hex digits, which nothing bears yet.

    Raises:
        TorquelogError: what `record` raises.
    """
    now = w.time()
    judged, body = judged_body(w, book, signer, asked, now, None)
    appended = w.append(signer, "reading", body, id=entry_id, at=now)
    return Foreseen(appended.number, entry_id, body_text(body), judged.until), judged.outcome
