"""A record with one job on one wheel, and beside it the key that signs: what a program needs to go on after a kill.

Who signs is handed in, as every round is a session of the system of its own.
"""

import json
from pathlib import Path
from typing import Any, Final

from tests.support.books import HOUR
from tests.support.story import Story
from torquelog.book.signer import Signer
from torquelog.clock import offset_text
from torquelog.ledger import keys
from torquelog.ledger.form import parse_reference

RECORD: Final = "qhr.db"
_KEY: Final = "signer.json"


def lay(folder: Path, group: dict[str, Any]) -> None:
    """The job J-1 of this group, with a wrench whose cycles are not counted, and the key of a sign-in."""
    story = Story(folder)
    story.wrench(cycles=None)
    story.assembly()
    story.card("BUILD", group)
    story.job()
    seed = keys.new_seed()
    until = offset_text(story.clock.moment + 16 * HOUR, story.book.zone)
    entry = story.says("sign-in", {"public_key": keys.public_key(seed), "until": until}, own=True)
    kept = {"key": parse_reference(entry)[1], "seed": seed.hex()}
    (folder / _KEY).write_text(json.dumps(kept), encoding="utf-8")
    story.close_book()


def signed_in(folder: Path) -> Signer:
    """Who was signed in when it was laid."""
    kept = json.loads((folder / _KEY).read_text(encoding="utf-8"))
    return Signer("TK", kept["key"], "sign-in", bytes.fromhex(kept["seed"]))
