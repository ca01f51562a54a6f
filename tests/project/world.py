"""The station in which the examples of the help are tried: command lines that set it up, in order.

Add what the examples of a new command need: a line and what it reads on its standard input.
"""

from typing import Final

PASSPHRASE: Final = "nine apples on the wing\n"

SET_UP: Final[tuple[tuple[str, str], ...]] = ()
"""Each a command line and its standard input; each must end with 0 or 4."""
