"""The digest that opening a record compares with is the digest of the schema that founding lays."""

from tests.project.write_schema_digest import computed
from torquelog.book.format import SCHEMA_DIGEST


def test_expected_digest_is_that_of_the_schema():
    """A changed table without a new digest would make every file look altered."""
    assert computed() == SCHEMA_DIGEST
