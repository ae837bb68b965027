"""A process that changes a library again and again, beside others that do the same."""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library
from capturestation.station import people


def main(folder: Path, name: str, times: int) -> None:
    """Begin when everybody is there, then change the student of that name so many times."""
    with Library.open(folder) as library:
        sys.stdout.write("there\n")
        sys.stdout.flush()
        sys.stdin.readline()
        for number in range(times):
            people.change_student(library, name, {"notes": f"{name} {number}"})


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
