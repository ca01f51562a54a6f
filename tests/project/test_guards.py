"""No table of the whole schema can be changed by another program without a trigger in its way."""

from tests.ledger.guarding import openings
from torquelog.book.founding import schema
from torquelog.ledger.authorizer import MUTABLE


def test_no_table_leaves_a_way_open():
    """Every table, a later one too, refuses updates, removals and replacements through each unique key."""
    assert openings(schema(), tuple(MUTABLE)) == []
