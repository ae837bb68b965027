"""Changes of swings that are written beside the window, one after another.

Owns that the state, which shows a change at once, is corrected where the library knew better. How
changes are written, and that none is lost when the window closes, is the keeper's.
"""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.records import Swing
from capturestation.ui.bench.keeper import Keeper


class Saver(Keeper):
    """Writes changes of swings, on one thread of its own.

    Signals:
        saved: The `Swing` as the library has it, once nothing more waits.
        trouble: The `StationError` of a change that was not made.
    """

    saved = pyqtSignal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._newest: Swing | None = None

    def save(self, op: Callable[[], Swing], failed: Callable[[], None] = lambda: None) -> None:
        """Have a change written.

        Args:
            op: Makes it; called on another thread.
            failed: Called on the window's thread where it was not made, before that is told.
        """

        def work() -> None:
            self._newest = op()

        self("save", work, failed)

    def _one_less(self) -> None:
        super()._one_less()
        # Nothing is being written then, so nobody else touches it.
        if not self.is_busy and self._newest is not None:
            newest, self._newest = self._newest, None
            self.saved.emit(newest)
