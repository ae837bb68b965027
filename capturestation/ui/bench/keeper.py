"""Changes on a picture, written beside the window in the order in which they were made.

Owns one thread. What was handed in is written even when the window closes: a change that was seen
is never lost. A `StationError` is told; anything else is our bug and goes to Python's own hook.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError


class Keeper(QObject):
    """Writes changes; one is a `station.keeping.Keep`.

    Signals:
        trouble: The `StationError` of a change that could not be written.
    """

    trouble = pyqtSignal(object)
    _back = pyqtSignal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="keep")
        self._waiting = 0
        self._untold: list[StationError] = []
        self._back.connect(self._run_here)

    def __call__(self, words: str, op: Callable[[], object], failed: Callable[[], None]) -> None:
        """Have a change written; `words` says what it is to whoever reads the code that waits."""
        del words
        self._waiting += 1
        self._pool.submit(self._work, op, failed)

    @property
    def is_busy(self) -> bool:
        """Whether something is not written yet."""
        return self._waiting > 0

    def when_kept(self, then: Callable[[], None]) -> None:
        """Do something on the window's thread once all that was handed in so far is written."""
        self(then.__class__.__name__, lambda: self._back.emit(then), lambda: None)

    def close(self) -> tuple[StationError, ...]:
        """Write what waits and end the thread.

        Returns:
            What could not be written and was not told any more.
        """
        self._pool.shutdown(wait=True)
        return tuple(self._untold)

    def _work(self, op: Callable[[], object], failed: Callable[[], None]) -> None:
        try:
            op()
        except StationError as error:
            kept = error
            self._untold.append(kept)
            self._back.emit(lambda: self._tell(kept, failed))
        except Exception as error:  # noqa: BLE001 - a bug: told where all bugs are told
            bug = error
            self._back.emit(lambda: sys.excepthook(type(bug), bug, bug.__traceback__))
        finally:
            self._back.emit(self._one_less)

    def _one_less(self) -> None:
        self._waiting -= 1

    def _tell(self, error: StationError, failed: Callable[[], None]) -> None:
        self._untold.remove(error)
        failed()
        self.trouble.emit(error)

    def _run_here(self, run: Callable[[], None]) -> None:
        run()
