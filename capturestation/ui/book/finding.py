"""Lessons as one types: their words are read beside the window, once after each change.

Owns the thread that reads them. What was read last is searched until something newer is there.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from PyQt6.QtCore import QObject, QTimer, pyqtSignal

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import Lesson
from capturestation.station.finder import Finder
from capturestation.ui.book.wording import day_finds

SOON_MS = 200
"""After somebody came to the field: what was to be painted is painted, and no letter is typed."""


class Finding(QObject):
    """Finds lessons by the words that are typed.

    Signals:
        ready: All lessons' words are read; what was asked before may have another answer.
        failed: A `StationError`: they can't be read.
    """

    ready = pyqtSignal()
    failed = pyqtSignal(object)
    _read = pyqtSignal(object)
    _broke = pyqtSignal(object)

    def __init__(self, library: Library, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._library = library
        self._reader = ThreadPoolExecutor(max_workers=1, thread_name_prefix="finding")
        self._finder: Finder | None = None
        self._is_stale = True
        self._is_reading = False
        self._is_over = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.read)
        self._read.connect(self._take)
        self._broke.connect(self._fail)

    def lessons(self, text: str) -> tuple[Lesson, ...]:
        """Lessons that fit; none while they are read for the first time."""
        if not text.strip():
            return ()
        self.read()
        found = self._finder.find(text) if self._finder is not None else ()
        return self._library.lessons_among(found) if found else ()

    def read_soon(self) -> None:
        """Somebody may type: have the words ready by then."""
        self._soon.start(SOON_MS)

    def read(self) -> None:
        """Read the words where something changed since they were read."""
        if self._is_stale and not self._is_reading and not self._is_over:
            self._is_stale, self._is_reading = False, True
            self._reader.submit(self._do_read)

    def _do_read(self) -> None:
        # On the thread that reads: what is told from here is heard by the window's later.
        try:
            finder = Finder(self._library, day_finds)
        except StationError as error:
            self._broke.emit(error)
        else:
            self._read.emit(finder)

    def forget(self) -> None:
        """Something changed: read again when somebody types."""
        self._is_stale = True

    def _take(self, finder: Finder) -> None:
        self._is_reading = False
        self._finder = finder
        if not self._is_over:
            self.ready.emit()

    def _fail(self, error: StationError) -> None:
        self._is_reading = False
        if not self._is_over:
            self.failed.emit(error)

    def let_go(self) -> None:
        """End the thread; an answer that is still on its way tells nobody."""
        self._is_over = True
        self._soon.stop()
        self._reader.shutdown(wait=True, cancel_futures=True)
