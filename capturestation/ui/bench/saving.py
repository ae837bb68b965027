"""Changes of swings that are written beside the window, one after another.

Owns their order: what was done first is written first, so that taking a step back never overtakes
the step; and that what was seen is written, also when the window closes. The state shows a change
at once; the answer corrects it where the library knew better.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError
from capturestation.records import Swing


class Saver(QObject):
    """Writes changes of swings, on one thread of its own.

    Signals:
        saved: The `Swing` as the library has it, once nothing more waits.
        trouble: The `StationError` of a change that was not made.
    """

    saved = pyqtSignal(object)
    trouble = pyqtSignal(object)
    _back = pyqtSignal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="save")
        self._waiting = 0
        self._untold: list[StationError] = []
        self._back.connect(self._run_here)

    @property
    def is_busy(self) -> bool:
        """Whether something is not written yet."""
        return self._waiting > 0

    def save(self, op: Callable[[], Swing], failed: Callable[[], None] | None = None) -> None:
        """Have a change written.

        Args:
            op: Makes it; called on another thread.
            failed: Called on the window's thread where it was not made, before that is told.
        """
        self._waiting += 1
        self._pool.submit(self._work, op, failed)

    def close(self) -> tuple[StationError, ...]:
        """Write what waits and end the thread.

        Returns:
            What could not be written and was not told any more.
        """
        self._pool.shutdown(wait=True)
        return tuple(self._untold)

    def _work(self, op: Callable[[], Swing], failed: Callable[[], None] | None) -> None:
        try:
            swing = op()
        except StationError as error:
            kept = error
            self._untold.append(kept)
            self._back.emit(lambda: self._tell(kept, failed))
        except Exception as error:  # noqa: BLE001 - a bug: told where all bugs are told
            bug = error
            self._back.emit(lambda: self._fault(bug))
        else:
            self._back.emit(lambda: self._done(swing))

    def _done(self, swing: Swing) -> None:
        self._waiting -= 1
        if not self._waiting:
            self.saved.emit(swing)

    def _tell(self, error: StationError, failed: Callable[[], None] | None) -> None:
        self._waiting -= 1
        self._untold.remove(error)
        if failed is not None:
            failed()
        self.trouble.emit(error)

    def _fault(self, bug: Exception) -> None:
        self._waiting -= 1
        sys.excepthook(type(bug), bug, bug.__traceback__)

    def _run_here(self, run: Callable[[], None]) -> None:
        run()
