"""`torquelog`, and `python -m torquelog`."""

import sys

from torquelog.cli.run import run


def main() -> None:
    """Carry out the words of the command line and end with their exit status."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
