"""A few named threads that work for one job and end with it.

Owns stopping, joining and the cause of a failure. Used by jobs whose steps overlap: decode,
paint, encode.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Generic, Self, TypeVar

_LOOK_S = 0.05
# How often a waiting thread looks whether the job was stopped.
_JOIN_S = 30.0
# A step (one frame) takes milliseconds; a thread that needs longer than this hangs.

Item = TypeVar("Item")


class StoppedError(Exception):
    """Inside a crew only: the job was stopped, leave quietly."""


class Belt(Generic[Item]):
    """A bounded queue from one thread to another that lets go when the job stops."""

    def __init__(self, room: int, stopping: threading.Event) -> None:
        self._queue: queue.Queue[Item] = queue.Queue(maxsize=room)
        self._stopping = stopping

    def put(self, item: Item) -> None:
        """Hand on, waiting for room.

        Raises:
            StoppedError: If the job was stopped.
        """
        while not self._stopping.is_set():
            try:
                self._queue.put(item, timeout=_LOOK_S)
            except queue.Full:
                continue
            return
        raise StoppedError

    def get(self) -> Item:
        """Take, waiting for something to come.

        Raises:
            StoppedError: If the job was stopped.
        """
        while not self._stopping.is_set():
            try:
                return self._queue.get(timeout=_LOOK_S)
            except queue.Empty:
                continue
        raise StoppedError


class Crew:
    """Threads of one job; leaving the `with` block ends them all.

    Leaving it in order waits for the work to be done. Leaving it by an exception, or the failure
    of one thread, stops the rest. The first failure is raised when leaving.

    Args:
        job: A word for the threads' names.
    """

    def __init__(self, job: str) -> None:
        self._job = job
        self._threads: list[threading.Thread] = []
        self._stopping = threading.Event()
        self._failures: list[BaseException] = []

    def belt(self, room: int) -> Belt[Item]:
        """A queue between two of this job's threads."""
        return Belt(room, self._stopping)

    def start(self, name: str, work: Callable[[], None]) -> None:
        """Let a thread do some work."""
        thread = threading.Thread(
            target=self._run, args=(work,), name=f"{self._job}-{name}", daemon=True
        )
        self._threads.append(thread)
        thread.start()

    def _run(self, work: Callable[[], None]) -> None:
        try:
            work()
        except StoppedError:
            return
        except BaseException as error:  # noqa: BLE001 - kept, and raised where the crew is left
            self._failures.append(error)
            self._stopping.set()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is not None:
            self._stopping.set()
        for thread in self._threads:
            thread.join(_JOIN_S)
        hung = [thread.name for thread in self._threads if thread.is_alive()]
        if hung:
            msg = f"threads {hung} did not end"
            raise RuntimeError(msg)
        if self._failures and (kind is None or kind is StoppedError):
            raise self._failures[0]
