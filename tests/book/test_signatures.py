"""Signatures checked in batches: confirmed in order, and nothing behind the first that does not hold."""

import pytest

from torquelog.book import signatures
from torquelog.book.signatures import Check, Signatures, Signed
from torquelog.ledger import keys

SEED = bytes(range(32))


def signed(number: int, *, good: bool = True) -> Signed:
    """An entry with a signature that holds, or with that of another message."""
    message = f"entry {number}".encode()
    signature = keys.sign(SEED, message if good else b"another")
    return Signed("QHR", number, "", (Check(keys.public_key(SEED), message, signature),))


@pytest.fixture(autouse=True)
def one_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each entry is a batch of its own, and none may wait."""
    monkeypatch.setattr(signatures, "BATCH", 1)
    monkeypatch.setattr(signatures, "WAITING", 0)


def test_the_first_that_does_not_hold_is_kept_and_nothing_behind_it_is_confirmed() -> None:
    """Neither one that waits, nor one that is added later, nor what is left at the end."""
    confirmed: list[int] = []
    with Signatures(lambda entry: confirmed.append(entry.number), threads=1) as checking:
        for number in (1, 2, 3, 4):
            checking.add(signed(number, good=number not in (2, 3)))
        assert checking.bad is not None
        assert (checking.bad.entry.number, checking.bad.error.code) == (2, "signature")
        checking.finish()
    assert confirmed == [1]
    assert checking.bad.entry.number == 2


def test_what_is_left_behind_a_bad_one_is_not_confirmed_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A batch that never got full, behind one in which something does not hold."""
    monkeypatch.setattr(signatures, "BATCH", 2)
    confirmed: list[int] = []
    with Signatures(lambda entry: confirmed.append(entry.number), threads=1) as checking:
        for number in (1, 2, 3):
            checking.add(signed(number, good=number != 2))
        checking.finish()
    assert confirmed == [1]


def test_what_is_left_at_the_end_is_checked(monkeypatch: pytest.MonkeyPatch) -> None:
    """A last batch that never got full."""
    monkeypatch.setattr(signatures, "BATCH", 64)
    confirmed: list[int] = []
    with Signatures(lambda entry: confirmed.append(entry.number), threads=1) as checking:
        for number in (1, 2):
            checking.add(signed(number))
        assert confirmed == []
        checking.finish()
    assert confirmed == [1, 2]


def test_what_waits_is_checked_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Batches that nobody looked at while entries were added, in their order."""
    monkeypatch.setattr(signatures, "WAITING", 64)
    monkeypatch.setattr("concurrent.futures.Future.done", lambda _: False)
    confirmed: list[int] = []
    with Signatures(lambda entry: confirmed.append(entry.number), threads=1) as checking:
        for number in (1, 2, 3):
            checking.add(signed(number))
        assert confirmed == []
        checking.finish()
    assert confirmed == [1, 2, 3]


def test_a_signature_that_holds_at_the_second_look_is_not_to_be_relied_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The computer is at fault, and the entry does not stand."""
    monkeypatch.setattr(signatures, "first_wrong", lambda _: 0)
    with Signatures(lambda _: None, threads=1) as checking:
        checking.add(signed(1))
        assert checking.bad is not None
        assert checking.bad.error.message.startswith("A signature held at one look and not at another.")
