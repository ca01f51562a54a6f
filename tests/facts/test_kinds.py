"""What a body may hold: each member in its form, nothing more and nothing less."""

import pytest

from torquelog.errors import TorquelogError
from torquelog.facts.kinds import Kind, Member, check_body, optional

KIND = Kind("sample", (Member("on", "date", "a day"), optional("count", "count", "how many")))


@pytest.mark.parametrize(
    "text", ["2026-02-29", "2026-13-01", "2026-00-10", "0000-01-01", "26-01-01", "٢٠٢٦-٠١-٠١"]
)
def test_a_date_is_a_day_of_the_calendar(text: str) -> None:
    """What is only written like one is not taken, so that nothing behind the gate meets it."""
    with pytest.raises(TorquelogError) as caught:
        check_body(KIND, {"on": text})
    assert caught.value.code == "body-form"


def test_a_leap_day_is_a_day() -> None:
    """29 February of a leap year is taken."""
    check_body(KIND, {"on": "2024-02-29"})


def test_members_that_lack_or_are_unknown() -> None:
    """A needed member that lacks, and one that nobody knows, which a newer program may have written."""
    for body, code in (({}, "body-form"), ({"on": "2026-01-01", "off": "x"}, "body-newer")):
        with pytest.raises(TorquelogError) as caught:
            check_body(KIND, body)
        assert caught.value.code == code
