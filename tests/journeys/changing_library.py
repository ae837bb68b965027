"""A process that changes a library again and again, beside others that do the same."""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library
from capturestation.station import people


def main(folder: Path, name: str, field: str, times: int) -> None:
    """Begin when everybody is there, then change a field of that student so many times.

    Each change has to stand until the next one: nobody else changes that field.
    """
    with Library.open(folder) as library:
        sys.stdout.write("there\n")
        sys.stdout.flush()
        sys.stdin.readline()
        for number in range(times):
            words = f"{name} {number}"
            people.change_student(library, name, {field: words})
            kept = getattr(library.find_student(name), field)
            if kept != words:
                msg = f"{kept} instead of {words}"
                raise RuntimeError(msg)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3], int(sys.argv[4]))
