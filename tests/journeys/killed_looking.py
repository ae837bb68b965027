"""A process that begins the working copy of a swing and stands still in the midst of it."""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library
from capturestation.records import SwingId
from capturestation.station.angle import Making
from capturestation.station.cache import cache_of
from capturestation.station.looking import Looking


def stand_still(self: Making, share: float, words: str) -> None:
    """Say once that half of it is made, and wait to be killed."""
    if share > 0.5:
        sys.stdout.write("half\n")
        sys.stdout.flush()
        sys.stdin.readline()


if __name__ == "__main__":
    setattr(Making, "report", stand_still)  # noqa: B010 - the class is not to be assigned to
    with (
        Library.open(Path(sys.argv[1])) as library,
        Looking(library, cache_of(library, Path(sys.argv[2]))) as looking,
        looking.open(SwingId(sys.argv[3])),
    ):
        looking._maker._worker.submit(int).result()
