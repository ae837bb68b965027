"""What is written beside the window, one thing after another, each begun when its turn has come.

Owns the order: what was asked first is written first, taking back and doing again among it. A
step that only writes is made here one that the list of steps takes note of when it is written.
"""

from __future__ import annotations

import sys
from collections import deque
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeAlias

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import StationError
from capturestation.station.undo import Step, UndoList


@dataclass(frozen=True, slots=True, kw_only=True)
class Write:
    """Something to be written.

    Args:
        op: Writes it; called on another thread, so it touches no widget.
        done: Called on the window's thread when it is written.
        failed: Called there with what went wrong, where it was not written.
    """

    op: Callable[[], None]
    done: Callable[[], None]
    failed: Callable[[StationError], None]


Begin: TypeAlias = Callable[[], Write | None]
"""Says on the window's thread what is to be written, as things stand then; None is nothing."""


class Noted:
    """Does something, unless it was done beside the window just before.

    Args:
        run: Does it.
    """

    def __init__(self, run: Callable[[], None]) -> None:
        self.run = run
        self._is_done = False

    def take_note(self) -> None:
        """It was done: the next call does nothing."""
        self._is_done = True

    def __call__(self) -> None:
        """Do it."""
        if self._is_done:
            self._is_done = False
        else:
            self.run()


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside(Step):
    """A step that only writes, so that it can be done and taken back on another thread.

    Args:
        doing: Does it.
        undoing: Takes it back.
    """

    doing: Noted
    undoing: Noted


def beside(step: Step) -> Beside:
    """The same step, to be written beside the window."""
    doing, undoing = Noted(step.do), Noted(step.undo)
    return Beside(
        words=step.words,
        about=step.about,
        do=doing,
        undo=undoing,
        doing=doing,
        undoing=undoing,
    )


class Writer(QObject):
    """Writes on one thread of its own."""

    _back = pyqtSignal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="write")
        self._waiting: deque[Begin] = deque()
        self._is_writing = False
        self._is_over = False
        self._back.connect(self._run_here)

    @property
    def is_busy(self) -> bool:
        """Whether something is not written yet."""
        return self._is_writing or bool(self._waiting)

    def add(self, begin: Begin) -> None:
        """Have something written when all that was asked before is.

        Args:
            begin: Called at once where nothing waits.
        """
        self._waiting.append(begin)
        self._next()

    def close(self) -> None:
        """End the thread; what it has begun is written, and tells nobody."""
        self._is_over = True
        self._waiting.clear()
        self._pool.shutdown(wait=True)

    def _next(self) -> None:
        while self._waiting and not self._is_writing and not self._is_over:
            begin = self._waiting.popleft()
            # What is asked meanwhile waits for it.
            self._is_writing = True
            try:
                write = begin()
            except BaseException:
                self._is_writing = False
                raise
            if write is None:
                self._is_writing = False
            else:
                self._pool.submit(self._work, write)

    def _work(self, write: Write) -> None:
        try:
            write.op()
        except StationError as error:
            kept = error
            self._back.emit(lambda: write.failed(kept))
        except Exception as error:  # noqa: BLE001 - a bug: told where all bugs are told
            bug = error
            self._back.emit(lambda: sys.excepthook(type(bug), bug, bug.__traceback__))
        else:
            self._back.emit(write.done)

    def _run_here(self, run: Callable[[], None]) -> None:
        if self._is_over:
            return
        try:
            run()
        finally:
            self._is_writing = False
            self._next()


def write_step(
    writer: Writer,
    steps: UndoList,
    make: Callable[[], Step],
    *,
    done: Callable[[], None],
    failed: Callable[[StationError], None],
) -> None:
    """Have a step written beside the window, and remembered once it is.

    Args:
        writer: Writes it in its turn.
        steps: Remembers it.
        make: Makes the step when all that was asked before is written; may refuse.
        done: Shows it.
        failed: Called with what went wrong, where it was refused or not written.
    """

    def begin() -> Write | None:
        try:
            step = beside(make())
        except StationError as error:
            failed(error)
            return None

        def written() -> None:
            step.doing.take_note()
            steps.run(step)
            done()

        return Write(op=step.doing.run, done=written, failed=failed)

    writer.add(begin)
