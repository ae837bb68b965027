"""Lessons as one types: their words are read beside the window, once after each change.

Owns the thread that reads them. What was read last is searched until something newer is there.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import Lesson
from capturestation.station.finder import Finder
from capturestation.ui.book.wording import day_finds


class Finding(QObject):
    """Finds lessons by the words that are typed.

    Signals:
        ready: All lessons' words are read; what was asked before may have another answer.
        failed: A `StationError`: they can't be read.
    """

    ready = pyqtSignal()
    failed = pyqtSignal(object)
    _read = pyqtSignal(object)

    def __init__(self, library: Library, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._library = library
        self._reader = ThreadPoolExecutor(max_workers=1, thread_name_prefix="finding")
        self._finder: Finder | None = None
        self._is_stale = True
        self._reading: Future[Finder] | None = None
        # Queued: reading may be over before it is listened to, and who asks must not be asked back.
        self._read.connect(self._take)

    def lessons(self, text: str) -> tuple[Lesson, ...]:
        """Lessons that fit; none while they are read for the first time."""
        if not text.strip():
            return ()
        if self._is_stale and self._reading is None:
            self._is_stale = False
            self._reading = self._reader.submit(Finder, self._library, day_finds)
            self._reading.add_done_callback(self._read.emit)
        found = self._finder.find(text) if self._finder is not None else ()
        return self._library.lessons_among(found) if found else ()

    def forget(self) -> None:
        """Something changed: read again when somebody types."""
        self._is_stale = True

    def _take(self, done: Future[Finder]) -> None:
        self._reading = None
        if done.cancelled():
            return
        try:
            self._finder = done.result()
        except StationError as error:
            self.failed.emit(error)
        else:
            self.ready.emit()

    def let_go(self) -> None:
        """End the thread."""
        self._reader.shutdown(wait=True, cancel_futures=True)
