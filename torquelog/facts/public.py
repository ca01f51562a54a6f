"""The views for other programs, all of them: a part of every record's schema, like its tables and guards."""

from typing import Final

from torquelog.facts import public_places, public_tools, public_work
from torquelog.facts.public_form import View

VIEWS: Final[tuple[View, ...]] = (*public_work.VIEWS, *public_tools.VIEWS, *public_places.VIEWS)


def schema() -> str:
    """The SQL that lays them."""
    return "\n".join(view.statement for view in VIEWS)
