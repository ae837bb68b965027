"""Who has the library open: many may share it, one alone may repair it.

SQLite's file locks are used because they work on every system and vanish with their process, even
one that was killed. The lock has a small file of its own: the library's database is in WAL mode,
where a reader's lock shows nothing.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from capturestation.library.faults import explained, is_busy

_WAIT_MS = 10_000
# Others hold it alone only while they repair or upgrade; beyond this something is stuck.


class Turn:
    """A place in the library, held until `release`."""

    def __init__(self, path: Path) -> None:
        """Take a place: alone if nobody else is there, else beside the others.

        Raises:
            LibraryError: If another process repairs the library for longer than ten seconds, or
                the lock's file can't be used.
        """
        self.path = path
        with explained(path):
            self._connection = sqlite3.connect(
                path, timeout=0, isolation_level=None, check_same_thread=False
            )
            try:
                self.alone = self._take_alone()
                if not self.alone:
                    self.share()
            except BaseException:
                self._connection.close()
                raise

    def _take_alone(self) -> bool:
        try:
            self._connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            if not is_busy(error):
                raise
            return False
        return True

    def share(self) -> None:
        """Let others in beside this one.

        Raises:
            LibraryError: If another holds it alone for longer than ten seconds.
        """
        with explained(self.path):
            if self._connection.in_transaction:
                self._connection.execute("COMMIT")
            self.alone = False
            self._connection.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
            self._connection.execute("BEGIN")
            # A reader's lock is taken by its first read and held until the transaction ends.
            self._connection.execute("SELECT count(*) FROM sqlite_master").fetchone()

    def release(self) -> None:
        """Leave."""
        self._connection.close()
