"""Work that takes its time, off the window's thread; answers come back on it.

Owns threads, progress and stopping. `op` touches no widget. A `StationError` is the world's or
the user's and goes to `failed`; anything else is our bug and goes to Python's own hook, where the
program says so.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.errors import CancelledError, StationError
from capturestation.records import Watch
from capturestation.ui.writing import Writer

_THREADS = 2
# Jobs that run at once: each uses several cores of its own where it can.

Answer = TypeVar("Answer")


class Job(QObject):
    """One piece of work under way; also the `Watch` that it reports to.

    Signals:
        moved: Share 0..1 and what is being done, a few words.
        ended: It is over, however it ended.
    """

    moved = pyqtSignal(float, str)
    ended = pyqtSignal()
    _back = pyqtSignal(object)

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words
        self.is_over = False
        self._stop = threading.Event()
        self._back.connect(self._run_here)

    def report(self, share: float, words: str) -> None:
        """Pass on how far it is.

        Raises:
            CancelledError: If it was asked to stop.
        """
        if self._stop.is_set():
            raise CancelledError
        self.moved.emit(share, words)

    def stop(self) -> None:
        """Ask it to stop; it undoes what it began and ends."""
        self._stop.set()

    @property
    def is_stopping(self) -> bool:
        """Whether it was asked to stop."""
        return self._stop.is_set()

    def give_back(self, run: Callable[[], None]) -> None:
        """Run something on the window's thread; called by the worker."""
        self._back.emit(run)

    def _run_here(self, run: Callable[[], None]) -> None:
        run()


class Workers(QObject):
    """The window's workers: a few threads that end with it.

    Signals:
        changed: A job began or ended.
    """

    changed = pyqtSignal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=_THREADS, thread_name_prefix="window work")
        self._jobs: list[Job] = []
        # Whoever owns it may be gone before its threads are: their answers have nowhere to go then.
        self.destroyed.connect(self._jobs.clear)
        self.writer = Writer(self)
        """Writes what is changed at any place, in the order in which it was asked for."""

    @property
    def jobs(self) -> tuple[Job, ...]:
        """What is under way, oldest first."""
        return tuple(self._jobs)

    def run(
        self,
        words: str,
        op: Callable[[Watch], Answer],
        done: Callable[[Answer], None],
        failed: Callable[[StationError], None],
    ) -> Job:
        """Do some work and bring its answer back to the window's thread.

        Args:
            words: What it is, for whoever waits.
            op: The work; gets a watch and touches no widget.
            done: Gets the answer.
            failed: Gets what went wrong, `CancelledError` where it was stopped.
        """
        job = Job(words)
        self._jobs.append(job)
        # Whoever shows it listens before it first tells how far it is.
        self.changed.emit()
        self._pool.submit(self._work, job, op, done, failed)
        return job

    def _work(
        self,
        job: Job,
        op: Callable[[Watch], Answer],
        done: Callable[[Answer], None],
        failed: Callable[[StationError], None],
    ) -> None:
        try:
            answer = op(job)
        except StationError as error:
            # Where it came from holds files and pictures, and itself: they'd stay until Python
            # next looks for rings.
            kept = error.with_traceback(None)
            job.give_back(lambda: self._finish(job, lambda: failed(kept)))
        except Exception as error:  # noqa: BLE001 - a bug: told where all bugs are told
            bug = error
            job.give_back(lambda: self._finish(job, lambda: _tell(bug)))
        else:
            job.give_back(lambda: self._finish(job, lambda: done(answer)))

    def _finish(self, job: Job, then: Callable[[], None]) -> None:
        if job not in self._jobs:
            return  # It came after the end.
        job.is_over = True
        self._jobs.remove(job)
        self.changed.emit()
        job.ended.emit()
        then()

    def stop_all(self) -> None:
        """Ask all jobs to stop."""
        for job in self._jobs:
            job.stop()

    def close(self) -> None:
        """Stop all and wait for the threads; answers that come now are dropped."""
        self.stop_all()
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._jobs.clear()
        self.writer.close()


def _tell(bug: Exception) -> None:
    sys.excepthook(type(bug), bug, bug.__traceback__)
