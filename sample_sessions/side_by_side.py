"""Renders several clips at once, one process a core, and stops them all when asked.

A module of its own because spawned processes don't import a package's `__main__`.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from multiprocessing.synchronize import Event
from pathlib import Path

import cv2

from capturestation.errors import CancelledError
from capturestation.records import View
from sample_sessions.film import find_swing, render_clip
from sample_sessions.session import load_session

_POLL_S = 0.2
_stop: Event | None = None


class _Stoppable:
    """The watch of one job: stops it when the whole run is stopped."""

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Raise once the run is stopped."""
        if _stop is not None and _stop.is_set():
            raise CancelledError


def _begin(stop: Event) -> None:
    """In each process: the parent alone answers Ctrl-C, and OpenCV keeps to one core."""
    global _stop
    _stop = stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cv2.setNumThreads(1)


def _job(name: str, view: View, folder: Path, frames: int | None) -> Path:
    swing = find_swing(load_session(), name)
    return render_clip(swing, view, folder, _Stoppable(), frames=frames)


def render_all(
    jobs: Sequence[tuple[str, View]],
    folder: Path,
    made: Callable[[Path], None],
    *,
    frames: int | None = None,
) -> list[Path]:
    """Render clips into a folder, several at once.

    Args:
        jobs: Names of swings with their views.
        folder: Must exist.
        made: Told of each clip when it is whole.
        frames: Only so many frames of each; all unless given.

    Returns:
        All clips, sorted.

    Raises:
        OutputError: If a clip can't be written.
        CancelledError: On Ctrl-C; whole clips stay, no partial one does.
    """
    spawn = multiprocessing.get_context("spawn")
    stop = spawn.Event()
    workers = max(min(os.cpu_count() or 1, len(jobs)), 1)
    with ProcessPoolExecutor(workers, spawn, initializer=_begin, initargs=(stop,)) as pool:
        waiting = {pool.submit(_job, name, view, folder, frames) for name, view in jobs}
        try:
            return sorted(_collect(waiting, made))
        except KeyboardInterrupt:
            raise CancelledError from None
        finally:
            # Does nothing after success; after a failure the other jobs end at their next report.
            stop.set()
            pool.shutdown(cancel_futures=True)


def _collect(waiting: set[Future[Path]], made: Callable[[Path], None]) -> list[Path]:
    clips: list[Path] = []
    while waiting:
        done, waiting = wait(waiting, timeout=_POLL_S, return_when=FIRST_COMPLETED)
        for future in done:
            clips.append(future.result())
            made(clips[-1])
    return clips
