"""SQLite's own errors in words: the one place where they become the station's.

What the world can cause (a lock, a damaged file, a full disk) is mapped. What only a wrong call
can cause is our bug and passes through.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from capturestation.errors import LibraryError, OutputError, StationError

WORLDLY = (
    sqlite3.DatabaseError,
    sqlite3.OperationalError,
    sqlite3.IntegrityError,
    sqlite3.InternalError,
)
"""Raised by a lock, a disk or a damaged file."""
OURS = (
    sqlite3.ProgrammingError,
    sqlite3.InterfaceError,
    sqlite3.DataError,
    sqlite3.NotSupportedError,
)
"""Raised by a wrong call only."""

_PRIMARY = 0xFF
# The lower byte of an extended code is its family.
_REBUILD = "Rebuild the library from its folders; no recording is touched."
_BUSY = ("in use by another program", "Close the other program and try again.")
_DAMAGED = ("damaged", _REBUILD)
_BLOCKED = ("not open to this account", "Check the rights of its folder and its disk.")
_OF_FULL_DISKS = (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN)
# Said where the file can be made but not its pages, or what the database shares in memory.
_LEAST_BYTES = 64 << 10
# What the database needs to be opened at all: pages and a shared index of 32 KiB.
_OF_WRITING = (
    sqlite3.SQLITE_IOERR_WRITE,
    sqlite3.SQLITE_IOERR_FSYNC,
    sqlite3.SQLITE_IOERR_DIR_FSYNC,
    sqlite3.SQLITE_IOERR_TRUNCATE,
)
# A quota, or a file as large as it may be, shows no full disk and is told so only.
_WORDS = {
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_PROTOCOL: _BUSY,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: _DAMAGED,
    sqlite3.SQLITE_FORMAT: _DAMAGED,
    sqlite3.SQLITE_CONSTRAINT: ("at odds with itself", _REBUILD),
    sqlite3.SQLITE_READONLY: _BLOCKED,
    sqlite3.SQLITE_PERM: _BLOCKED,
    sqlite3.SQLITE_AUTH: _BLOCKED,
    sqlite3.SQLITE_CANTOPEN: _BLOCKED,
    sqlite3.SQLITE_NOLFS: _BLOCKED,
    sqlite3.SQLITE_IOERR: (
        "on a disk that failed to read or write",
        "Check that the disk is connected, then try again.",
    ),
}


def is_busy(error: sqlite3.Error) -> bool:
    """Whether another process has what was asked for: it may be free a moment later."""
    return getattr(error, "sqlite_errorcode", 0) & _PRIMARY == sqlite3.SQLITE_BUSY


@contextmanager
def explained(database: Path) -> Iterator[None]:
    """Map what SQLite says about `database`.

    Raises:
        OutputError: If the disk is full, or can't be written for another reason.
        LibraryError: If it is locked, damaged, not ours to open, or on a failing disk.
    """
    try:
        yield
    except WORLDLY as error:
        if isinstance(error, OURS):
            raise
        raise as_station_error(error, database) from error
    except UnicodeDecodeError as error:
        what = f"{database} is damaged: it holds bytes that are no text."
        raise LibraryError(what, try_next=_REBUILD, subject=str(database)) from error


def as_station_error(error: sqlite3.Error, database: Path) -> StationError:
    """The station's error for one of SQLite's.

    Example:
        >>> print(as_station_error(sqlite3.OperationalError("disk I/O"), Path("a.sqlite")))
        a.sqlite can't be used: disk I/O. Check the library; rebuild it if that says so.
    """
    whole_code = getattr(error, "sqlite_errorcode", 0)
    code = whole_code & _PRIMARY
    if code == sqlite3.SQLITE_FULL or (code in _OF_FULL_DISKS and _is_full(database.parent)):
        what = f"There is no room left to write {database}: the disk is full."
        hint = "Free some space and try again; the last change was not kept."
        return OutputError(what, try_next=hint, subject=str(database))
    if whole_code in _OF_WRITING:
        what = f"{database} can't be written: is the disk full?"
        hint = "Look whether there is room and the disk is connected; the last change wasn't kept."
        return OutputError(what, try_next=hint, subject=str(database))
    if code in _WORDS:
        state, hint = _WORDS[code]
        what = f"{database} is {state} ({error})."
        return LibraryError(what, try_next=hint, subject=str(database))
    what = f"{database} can't be used: {error}."
    hint = "Check the library; rebuild it if that says so."
    return LibraryError(what, try_next=hint, subject=str(database))


def _is_full(folder: Path) -> bool:
    return folder.is_dir() and shutil.disk_usage(folder).free < _LEAST_BYTES
