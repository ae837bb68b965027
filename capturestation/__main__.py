"""The script's entry."""

from __future__ import annotations

import os
import signal
import sys
from types import FrameType


def main() -> None:
    """Run the command line and leave with its exit code."""
    # All that the commands need takes a second to load, and the stop key is heard in it too.
    signal.signal(signal.SIGINT, _leave)
    from capturestation.cli.main import run

    code = run(sys.argv[1:])
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.exit(code)


def _leave(_signal: int, _frame: FrameType | None) -> None:
    """Leave while nothing was begun; an error raised in the midst of loading would be mistaken."""
    os.write(2, b"Stopped at your request.\nNothing was begun; start again when you like.\n")
    os._exit(130)


if __name__ == "__main__":
    main()
