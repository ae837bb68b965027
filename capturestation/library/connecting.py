"""Opening the database, and copying it whole while others use it."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlite_utils import Database

from capturestation.errors import LibraryError
from capturestation.folders import PARTIAL, flush_folder, remove_file
from capturestation.folders.files import explained_writing, taken
from capturestation.folders.patience import patiently
from capturestation.library.faults import explained

WAIT_S = 4.0
# Another process writes for milliseconds; beyond this something is stuck, and whoever waits before
# the window gives up after five seconds.
TRY_AGAIN_S = 0.02
# A hand doesn't notice it, and fifty looks a second cost nothing.
_PAGE_BYTES = 8_192
# Of a new database. A lesson's marks and recordings stand under ids without order: of 100,000
# swings its 20 take 160 reads from the disk with pages of 4 KiB, 134 with 8, and each change
# writes no more than a few pages.
_PRIVATE_FILE = 0o600
# The rows name people; what SQLite lays beside them gets the same rights.


def connect(path: Path) -> Database:
    """Open the database, or begin one, with the settings that every connection has.

    Foreign keys are on; a commit is on the disk when it returns (`FULL`), because a note must
    outlive a power cut; deleted text is overwritten, because it may be about a person.

    Raises:
        LibraryError: If it can't be opened.
        OutputError: If it can't be begun.
    """
    if not path.exists():
        _begin_private(path)
    with explained(path):
        connection = sqlite3.connect(path, timeout=WAIT_S, check_same_thread=False)
        try:
            db = Database(connection, execute_plugins=False)
            db.execute(f"PRAGMA page_size = {_PAGE_BYTES}")
            db.execute("PRAGMA foreign_keys = ON")
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA secure_delete = ON")
        except BaseException:
            connection.close()
            raise
    return db


def connect_to_read(path: Path) -> Database:
    """Open a database where nothing may be written, not even what readers share with each other.

    Raises:
        LibraryError: If its last changes lie beside it and would have to be written into it first.
    """
    for side in ("-wal", "-journal"):
        beside = path.with_name(path.name + side)
        if beside.exists() and beside.stat().st_size > 0:
            raise LibraryError(
                f"{path} may only be read here, and was not closed after its last change.",
                try_next="Open the library once where it may be written, and close it there.",
                subject=str(path),
            )
    with explained(path):
        address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        connection = sqlite3.connect(address, uri=True, check_same_thread=False)
        return Database(connection, execute_plugins=False)


@contextmanager
def written(db: Database) -> Iterator[None]:
    """One transaction that has the right to write from its start; inside another, a part of it.

    A transaction that reads first and writes then fails at once, without waiting, where another
    process wrote in between: what it read is old.
    """
    if db.conn.in_transaction:
        with db.atomic():
            yield
        return
    db.conn.execute("BEGIN IMMEDIATE")
    with ended(db):
        yield


@contextmanager
def ended(db: Database) -> Iterator[None]:
    """Commit what was begun, or take it all back where something fails."""
    try:
        yield
        db.conn.execute("COMMIT")
    except BaseException:
        db.rollback()
        raise


def begin(db: Database) -> None:
    """Begin a transaction with the right to write: now, or not at all.

    Raises:
        sqlite3.OperationalError: If another process has the right, which is seen without waiting.
    """
    wait_ms = patience_ms(db)
    db.conn.execute("PRAGMA busy_timeout = 0")
    try:
        db.conn.execute("BEGIN IMMEDIATE")
    finally:
        db.conn.execute(f"PRAGMA busy_timeout = {wait_ms}")


def patience_ms(db: Database) -> int:
    """For how long this connection waits for other processes."""
    return int(db.conn.execute("PRAGMA busy_timeout").fetchone()[0])


def copy_rows(path: Path, target: Path) -> None:
    """Copy the database at `path` to a free name, as it stands now, and read the copy over.

    Others may go on writing: the copy is what one read transaction sees.

    Raises:
        OutputError: If the target is taken or can't be written; nothing is left of it.
        LibraryError: If the database, or the copy, is damaged.
    """
    if target.exists():
        raise taken(target)
    partial = target.with_name(f".{target.name}{PARTIAL}")
    remove_file(partial)
    try:
        _begin_private(partial)
        with closing(connect(path)) as db, explained(partial):
            db.execute("VACUUM INTO ?", [str(partial)])
        check_copy(partial)
        with explained_writing(target):
            with partial.open("r+b") as stream:
                os.fsync(stream.fileno())
            patiently(lambda: partial.replace(target))
            flush_folder(target.parent)
    except BaseException:
        remove_file(partial)
        raise


def _begin_private(path: Path) -> None:
    # SQLite takes an empty file for an empty database.
    with explained_writing(path):
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, _PRIVATE_FILE))


def check_copy(copy: Path) -> None:
    """Read a copy of the database over.

    Raises:
        LibraryError: If it is not whole.
    """
    try:
        with closing(sqlite3.connect(copy)) as connection:
            said = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    except sqlite3.DatabaseError as error:
        raise _not_whole(copy, str(error)) from error
    if said != ["ok"]:
        raise _not_whole(copy, said[0])


def _not_whole(copy: Path, why: str) -> LibraryError:
    return LibraryError(
        f"The copy {copy} is not whole: {why}.",
        try_next="Check the disk, then copy again; the library itself is as it was.",
        subject=str(copy),
    )
