"""Giving back memory that only the beginning of a process needed.

Most of what a process holds once it has begun is code: the libraries' own beginnings, run once. It
lies in the system's memory for files in any case and comes back by itself where it is run again.
"""

from __future__ import annotations

import ctypes
import re
import sys
from pathlib import Path

_MAPS = Path("/proc/self/smaps")
_PLACE = re.compile(r"^([0-9a-f]+)-([0-9a-f]+) r-[-x]p \S+ \S+ [1-9]\d* +/")
# A library's code or constants: read only, private, from a file.
_DONT_NEED = 4
# As <sys/mman.h> of Linux has it, on all its machines.


def let_go_of_beginnings() -> int:
    """Give back what was read of libraries' files so far; gives how many bytes of them there are.

    Nothing that was changed is touched. Where the system has no such list, nothing is done.
    """
    if sys.platform != "linux" or not _MAPS.exists():
        return 0
    system = ctypes.CDLL(None, use_errno=True)
    system.madvise.argtypes = (ctypes.c_void_p, ctypes.c_size_t, ctypes.c_int)
    whole_bytes = 0
    for begin, end in _unchanged(_MAPS.read_text(encoding=sys.getfilesystemencoding())):
        whole_bytes += end - begin
        system.madvise(begin, end - begin, _DONT_NEED)
    return whole_bytes


def _unchanged(maps: str) -> list[tuple[int, int]]:
    """Where read-only parts of files lie of which this process has no pages of its own."""
    found: list[tuple[int, int]] = []
    place: tuple[int, int] | None = None
    for line in maps.splitlines():
        known = _PLACE.match(line)
        if known is not None:
            place = int(known[1], 16), int(known[2], 16)
        elif not line[:1].isupper():
            place = None
        elif place is not None and line.split() == ["Anonymous:", "0", "kB"]:
            found.append(place)
    return found
