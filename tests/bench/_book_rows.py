"""Opening the Book of a library of 20,000 swings: from asking for it until it is painted whole.

The library is written row by row, so its swings have no pictures; those come later anyway, beside
the window.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np
from PyQt6.QtCore import QEvent
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.app import forget_cv2_qt
from capturestation.library import Library
from capturestation.station.cache import cache_of
from capturestation.station.undo import UndoList
from capturestation.ui.book.place import BookPlace
from capturestation.ui.look import Look
from capturestation.ui.style import dress
from capturestation.ui.work import Workers
from tests.bench._big_library import made_big
from tests.bench.report import Bar

SWINGS, LESSONS = 20_000, 1_000
TIMES = 15
SIZE = (1920, 1080)


def run() -> Bar:
    """Open the Book again and again, each time as a new one."""
    forget_cv2_qt()
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    look = Look()
    dress(app, look)
    with tempfile.TemporaryDirectory(prefix="bench-book-") as name:
        folder = made_big(Path(name) / "library", 3, swings=SWINGS, lessons_held=LESSONS).folder
        with Library.open(folder) as library:
            took_ms = [_opened_ms(library, look, Path(name) / "cache") for _ in range(TIMES)]
    worst_ms = float(np.percentile(took_ms, 95))
    return Bar(name="book_20000_swings_ms", value=worst_ms, unit="ms", op="<=", bar=100)


def _opened_ms(library: Library, look: Look, cache: Path) -> float:
    workers = Workers()
    begun = time.perf_counter()
    place = BookPlace(library, workers, look, UndoList(), cache=cache_of(library, cache))
    place.resize(*SIZE)
    place.show()
    painted = place.grab()
    took_ms = (time.perf_counter() - begun) * 1e3
    if painted.isNull() or not place.page.model.lines:
        msg = "nothing was painted"
        raise AssertionError(msg)
    place.let_go()
    workers.close()
    place.close()
    place.deleteLater()
    # What is left of it would be painted along the next time.
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    return took_ms
