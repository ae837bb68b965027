"""An open library: its connection, its place among others, and the way every change is made.

Safe to call from several threads: one lock goes round each read and each transaction.
"""

from __future__ import annotations

import logging
import os
import sqlite3
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager

from sqlite_utils import Database

from capturestation.errors import LibraryError, NotFoundError, StationError
from capturestation.folders import BOOK_FILE, refuse_newer, remove_file
from capturestation.library.connecting import (
    TRY_AGAIN_S,
    begin,
    connect,
    connect_to_read,
    ended,
    patience_ms,
    written,
)
from capturestation.library.disk import Disk, disk_of
from capturestation.library.faults import explained, is_busy
from capturestation.library.housing import Why, is_stale, need_hold, take_hold, token_of
from capturestation.library.places import Places, Subject
from capturestation.library.rebuild import fill_anew
from capturestation.library.rows import Row
from capturestation.library.schema import NEWEST, schema_number, upgrade
from capturestation.library.settle import TABLES, note, settle, settle_all, strike
from capturestation.library.swap import finish_swap
from capturestation.library.turn import Turn
from capturestation.records import Watch

_log = logging.getLogger(__name__)


class Store:
    """What the topics of a library share; made by `Library.open`."""

    def __init__(self, places: Places, why: Why, watch: Watch) -> None:
        """Open, upgrade and settle; whoever comes second, or may only read, only opens.

        Raises:
            LibraryError: If it is damaged, locked, newer or open in an older program.
            OutputError: If it can't be written.
            CancelledError: If the watch stops the making of rows.
        """
        self.places = places
        self._why = why
        self._lock = threading.RLock()
        self._read_only = places.apart is None and not os.access(places.root, os.W_OK)
        self._turn = Turn(places.lock)
        try:
            if self._turn.alone and not self._read_only:
                finish_swap(places)
                self._renew(watch)
            open_rows = connect_to_read if self._read_only else connect
            self._db = open_rows(places.database)
        except BaseException:
            self._turn.release()
            raise
        try:
            with explained(places.database):
                self._start()
        except BaseException:
            self.close()
            raise

    def _renew(self, watch: Watch) -> None:
        """Make the rows anew where another computer changed the folders, or there are none."""
        places = self.places
        with explained(places.database), closing(connect(places.database)) as db:
            stale = is_stale(db, places)
        if stale:
            left = len(fill_anew(places, watch).left)
            if left:
                _log.warning("%d things were not taken up; check the library", left)
            # Somebody may have been forgotten on the other computer.
            for copy in places.old_copies():
                remove_file(copy)

    def _start(self) -> None:
        if self._turn.alone and not self._read_only:
            upgrade(self._db, self.places.database)
            if disk_of(self.places.rows) is Disk.LOCAL:
                self._db.enable_wal()
            else:
                self._db.disable_wal()
            settle_all(self._db, self.places)
            take_hold(self._db, self.places)
            self._turn.share()
        elif schema_number(self._db, self.places.database) != NEWEST:
            raise LibraryError(
                f"{self.places.root} is of an older program, or open in one.",
                try_next="Close the other program, or open the library where it may be written.",
                subject=str(self.places.root),
            )
        self._token = token_of(self._db)
        need_hold(self.places, self._token)

    def close(self) -> None:
        """Leave the library; further calls are a mistake."""
        with self._lock:
            self._db.close()
            self._turn.release()

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[Row]:
        with self._lock, explained(self.places.database):
            return list(self._db.query(sql, list(values)))

    def _exists(self, subject: Subject, key: str) -> bool:
        return bool(self._rows(f"SELECT id FROM {TABLES[subject]} WHERE id = ?", [key]))

    def _need(self, subject: Subject, key: str) -> None:
        if not self._exists(subject, key):
            raise missing(subject, key)

    def _need_free(self, subject: Subject, key: str) -> None:
        was_here = self.places.tombstone(key).exists() or self.places.trashed(key).exists()
        if was_here or self._exists(subject, key):
            msg = f"the {subject.value} {key} is or was in the library already"
            raise ValueError(msg)

    @contextmanager
    def _settling(self, subject: Subject, key: str, folder: str = "") -> Iterator[None]:
        """Note a change before it starts; if it fails, make the rows say what the files say."""
        need_hold(self.places, self._token)
        with self._transaction() as db:
            note(db, subject, key, folder)
        try:
            yield
        except BaseException:
            self._settle_after_failure(subject, key, folder)
            raise

    def _settle_after_failure(self, subject: Subject, key: str, folder: str) -> None:
        try:
            with self._transaction() as db:
                settle(db, self.places, subject, key, folder)
        except StationError as error:
            # The note stands and the next opening tries again; the first cause is what counts.
            # A message can hold what a file says about a person, and a log must not.
            cause = type(error).__name__
            _log.warning("%s %s is settled at the next opening: %s", subject, key, cause)

    @contextmanager
    def _finishing(self, subject: Subject, key: str) -> Iterator[Database]:
        """One transaction that writes the rows and takes the note away; files go in last."""
        with self._transaction() as db:
            strike(db, subject, key)
            yield db

    @contextmanager
    def _transaction(self) -> Iterator[Database]:
        """One transaction, which waits for other processes before it reads.

        Threads of this one may read while it waits: a window has to show something meanwhile.
        """
        with explained(self.places.database):
            with self._lock:
                is_inner = self._db.conn.in_transaction
                if is_inner:
                    with written(self._db):
                        yield self._db
            if not is_inner:
                self._begin()
                try:
                    with ended(self._db):
                        yield self._db
                finally:
                    self._lock.release()

    def _begin(self) -> None:
        """Take the lock and begin; the lock is free while another process is waited for."""
        begun = time.monotonic()
        while True:
            self._lock.acquire()
            try:
                begin(self._db)
            except BaseException as error:
                gives_up = begun + patience_ms(self._db) / 1_000
                self._lock.release()
                others = isinstance(error, sqlite3.Error) and is_busy(error)
                if not others or time.monotonic() >= gives_up:
                    raise
            else:
                return
            time.sleep(TRY_AGAIN_S)

    @contextmanager
    def _changing(
        self, subject: Subject, key: str, folder: str = "", *, removes: bool = False
    ) -> Iterator[Database]:
        """Change the rows and one small file of `key` together, or remove both.

        Raises:
            LibraryError: If a newer program wrote the file that would be replaced.
        """
        if not removes:
            swing_book = self.places.root / folder / BOOK_FILE
            refuse_newer(swing_book if folder else self.places.file(subject, key))
        with self._settling(subject, key, folder), self._finishing(subject, key) as db:
            yield db


def missing(subject: Subject, key: str) -> NotFoundError:
    """The error for an id that nothing answers to."""
    what = f"There is no {subject.value} {key} in the library."
    return NotFoundError(what, try_next="List what is there and choose from it.", subject=key)
