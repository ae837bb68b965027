"""The script's entry: the command line, and the window that one of its commands opens."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path
from types import FrameType


def main() -> None:
    """Run the command line and leave with its exit code."""
    # All that the commands need takes a second to load, and the stop key is heard in it too.
    signal.signal(signal.SIGINT, _leave)
    from capturestation.cli.main import run
    from capturestation.cli.window import Faces

    code = run(sys.argv[1:], Faces(window=_open_window))
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.exit(code)


def _open_window(library: Path | None) -> int:
    """Open the window; what it needs is loaded only then."""
    from capturestation.ui.app import run_window

    return run_window(library, sys.argv[:1])


def _leave(_signal: int, _frame: FrameType | None) -> None:
    """Leave while nothing was begun; an error raised in the midst of loading would be mistaken."""
    os.write(2, b"Stopped at your request.\nNothing was begun; start again when you like.\n")
    os._exit(130)


if __name__ == "__main__":
    main()
