"""Who is at work in a folder: a file that is locked as long as its process lives.

The system lets go of the lock when the process ends, however it ends, so a file that is there and
not locked tells of a process that was killed.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from capturestation.folders.files import explained_writing, remove_file

if sys.platform == "win32":
    import msvcrt

    def _lock(number: int) -> None:
        msvcrt.locking(number, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(number: int) -> None:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)


class Hold:
    """A file held by this process until `release`.

    Args:
        path: The file; made if it is not there.

    Raises:
        OutputError: If it can't be made, or another process holds it.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        with explained_writing(path):
            self._number = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
            try:
                _lock(self._number)
            except BaseException:
                os.close(self._number)
                raise

    def release(self) -> None:
        """Let go, and take the file away."""
        if self._number >= 0:
            # Windows removes no file that is open; elsewhere nobody takes it in between for dead,
            # since what it stands for is done by now.
            os.close(self._number)
            self._number = -1
            remove_file(self.path)


def is_alive(path: Path) -> bool:
    """Whether a living process holds a file; False where there is none."""
    try:
        number = os.open(path, os.O_RDWR)
    except FileNotFoundError:
        return False
    try:
        _lock(number)
    except OSError:
        return True
    finally:
        os.close(number)
    return False
