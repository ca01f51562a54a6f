"""Write the digest of the schema into `torquelog/book/format.py`: run it after a change of any table.

python -m tests.project.write_schema_digest
"""

import re
from contextlib import closing
from pathlib import Path

from torquelog.book.founding import schema
from torquelog.ledger.database import schema_digest, scratch

FORMAT = Path(__file__).parents[2] / "torquelog" / "book" / "format.py"


def computed() -> str:
    """The digest of the schema as this program would lay it."""
    with closing(scratch(schema())) as connection:
        return schema_digest(connection)


def main() -> None:
    """Replace the digest in the file."""
    text = FORMAT.read_text(encoding="utf-8")
    FORMAT.write_text(re.sub(r'(?<=Final = )"[0-9a-f]*"\n', f'"{computed()}"\n', text), encoding="utf-8")


if __name__ == "__main__":
    main()
