"""What is said of a whole file, beside what its rows say."""

from typing import NamedTuple
from zoneinfo import ZoneInfo


class Setting(NamedTuple):
    """What is said of a whole file.

    Attributes:
        zone: the station's, for times without an offset.
        person: whoever signs, and did what names nobody.
        why: the reason of readings that have none of their own, or "".
        accept: whether certificates are accepted, where they can be.
    """

    zone: ZoneInfo
    person: str
    why: str = ""
    accept: bool = False
