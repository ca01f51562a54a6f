"""The sentences of the guided session that more than one of its parts says."""

from fractions import Fraction
from typing import Final

from torquelog.torque.beside import beside
from torquelog.work.bench import Aim, Bench
from torquelog.work.session_state import Session

NOTHING: Final = "Nothing was recorded."

KEYS: Final = (
    ("Enter", "it clicked at the setting (a dial must be typed)"),
    ("26.5", "what was set or read; with a unit only if it is another: 36 Nm"),
    ("b", "back one fastener, to look; nothing is undone"),
    ("x", "the last entry was wrong: strike it and say why"),
    ("s", "leave this one out and say why; it stays open"),
    ("f", "bolt or nut found sheared, loose, missing or damaged; f 3 for number 3"),
    ("w", "another wrench: w W-0417, with its adapters behind it"),
    ("a", "an adapter goes on or comes off: a A-03, or a none"),
    ("r", "run-on torque: measure it for this one; r W-0391 for another tool"),
    ("o", "hand the job over to somebody"),
    ("q", "stop; you go on later with: torquelog work"),
)
"""The keys at a fastener, with what each does."""

ANY_TIME: Final = "A label may be scanned at any time, and tie-bolt:7 goes there. A scan confirms nothing."
BACK: Final = "Enter now goes back; nothing is recorded by it."
"""What stands below the keys: whoever has read them presses Enter to be rid of them."""


def shown(newton_metres: Fraction, unit: str) -> str:
    """A torque with its unit, rounded for reading: "35.93 N·m"."""
    return beside(newton_metres, unit)


def limits_words(aim: Aim) -> str:
    """The limits at the fastener, in the card's unit, rounded inwards as little as six digits do."""
    return aim.limits.words(aim.unit, 5)


def line_words(bench: Bench) -> str:
    """What stands between wrench and fastener: "no adapter", "adapter A-03"."""
    if not bench.adapters:
        return "no adapter"
    return f"adapter {' and '.join(bench.adapters)}"


def not_a_key(session: Session, line: str) -> Session:
    """What is said to something that is no key here."""
    return session.saying(f'"{line[:20]}" is no key here, nor a torque. {NOTHING} Type ? for the keys.')
