"""What happens when this program itself is at fault: it says so calmly, notes where, and goes on.

Owns Python's hooks for errors that nobody caught. What is noted holds kinds of errors and lines of
code only: an error's message may hold a name or what a file says.
"""

from __future__ import annotations

import logging
import sys
import threading
import traceback
from pathlib import Path
from types import TracebackType
from typing import Self

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError

_log = logging.getLogger(__name__)
_DEEPEST = 6


def where_of(error: BaseException) -> str:
    """The kind of an error and the last lines of code on its way, without any message.

    Example:
        >>> try:
        ...     {}["Zoë"]
        ... except KeyError as error:
        ...     "Zoë" in where_of(error)
        False
    """
    kinds = []
    link: BaseException | None = error
    while link is not None:
        kinds.append(type(link).__name__)
        link = link.__cause__
    frames = traceback.extract_tb(error.__traceback__)[-_DEEPEST:]
    lines = [f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames]
    return " ← ".join([" from ".join(kinds), *reversed(lines)])


class BugHook(QObject):
    """Catches what nobody caught, from any thread, and tells it on the window's.

    Signals:
        found: Where it was, without any name.
        refused: A `StationError` that nobody told where it came up: no bug, told like any other.
        stop_asked: The stop key was pressed in the terminal that started the program.
    """

    found = pyqtSignal(str)
    refused = pyqtSignal(object)
    stop_asked = pyqtSignal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._before = (sys.excepthook, threading.excepthook)

    def __enter__(self) -> Self:
        self._before = (sys.excepthook, threading.excepthook)
        sys.excepthook = self.catch
        threading.excepthook = self._catch_in_thread
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        sys.excepthook, threading.excepthook = self._before

    def catch(
        self,
        kind: type[BaseException],
        error: BaseException,
        _trace: TracebackType | None,
    ) -> None:
        """Note a bug and tell it; Python's own hook otherwise ends a Qt program."""
        if issubclass(kind, KeyboardInterrupt):
            self.stop_asked.emit()
            return
        where = where_of(error)
        if isinstance(error, StationError):
            _log.warning("told at last: %s", where)
            self.refused.emit(error)
            return
        _log.error("a bug: %s", where)
        self.found.emit(where)

    def _catch_in_thread(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is not None:
            self.catch(args.exc_type, args.exc_value, args.exc_traceback)
