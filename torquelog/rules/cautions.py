"""What to be careful of, by the kind of a card and the place of a job: few, and only those that apply.

A caution that never applies teaches people to skip them all. These are common practice; approved data and local
rules come before them.
"""

from typing import Final

BEFORE_THESE: Final = "Your approved data and local rules come before this."

_DEFLATE: Final = "Deflate fully before an axle nut or a wheel-half nut is loosened."
_BROKEN: Final = "Keep away from a wheel with a broken bolt until it is deflated."
_CAGE: Final = "Inflate only in a cage. Stand clear of the plane of the wheel."
_HOT: Final = "Hot brakes: let them cool. Go near from the front or the rear, never from the side."
_PRESSURE: Final = "Parking brake and hydraulic pressure as the manual says."
_STANDING: Final = "Jacks, chocks and pins are in place."

ON_AIRCRAFT: Final[dict[str, tuple[str, ...]]] = {
    "wheel": (_HOT, _DEFLATE, _BROKEN, _STANDING),
    "brake": (_HOT, _PRESSURE, _STANDING),
}
ON_BENCH: Final[dict[str, tuple[str, ...]]] = {"wheel": (_DEFLATE, _BROKEN, _CAGE)}


def cautions(kind: str, *, on_aircraft: bool) -> tuple[str, ...]:
    """The cautions of a job.

    Args:
        kind: the card's kind, as `wheel`; empty where it has none.
        on_aircraft: whether the job is at a position of an aircraft.

    Returns:
        Sentences; none for a kind that is not known here.
    """
    table = ON_AIRCRAFT if on_aircraft else ON_BENCH
    return table.get(kind, ())
