"""Changes of swings that are written beside the window, one after another.

Owns their order: what was done first is written first, so that taking a step back never overtakes
the step. The state shows a change at once; the answer corrects it where the library knew better.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError
from capturestation.records import Swing
from capturestation.ui.work import Workers


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    words: str
    op: Callable[[], Swing]


class Saver(QObject):
    """Writes changes of swings.

    Signals:
        saved: The `Swing` as the library has it, once nothing more waits.
        trouble: The `StationError` of a change that was not made.
    """

    saved = pyqtSignal(object)
    trouble = pyqtSignal(object)

    def __init__(self, workers: Workers, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._workers = workers
        self._waiting: deque[_Change] = deque()
        self._busy = False

    @property
    def is_busy(self) -> bool:
        """Whether something is not written yet."""
        return self._busy

    def save(self, words: str, op: Callable[[], Swing]) -> None:
        """Have a change written.

        Args:
            words: What it is.
            op: Makes it; called on another thread.
        """
        self._waiting.append(_Change(words=words, op=op))
        self._next()

    def _next(self) -> None:
        if self._busy or not self._waiting:
            return
        self._busy = True
        change = self._waiting.popleft()
        self._workers.run(change.words, lambda _watch: change.op(), self._done, self._failed)

    def _done(self, swing: Swing) -> None:
        self._busy = False
        if not self._waiting:
            self.saved.emit(swing)
        self._next()

    def _failed(self, error: StationError) -> None:
        self._busy = False
        self.trouble.emit(error)
        self._next()
