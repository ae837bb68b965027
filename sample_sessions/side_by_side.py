"""Renders several clips at once, one process a core, and stops them all when asked.

A module of its own because spawned processes don't import a package's `__main__`.
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from ctypes import c_double
from dataclasses import dataclass
from multiprocessing.sharedctypes import SynchronizedArray
from multiprocessing.synchronize import Event
from pathlib import Path

import cv2

from capturestation.errors import CancelledError, OutputError
from capturestation.records import Watch
from sample_sessions.film import Shot, render_shot
from sample_sessions.kept import kept_clip

_POLL_S = 0.2


@dataclass
class _Shared:
    """What parent and processes share: the order to stop, and how far each job is."""

    stop: Event
    shares: SynchronizedArray[float]


_shared: list[_Shared] = []


class _Stoppable:
    """The watch of one job: says how far it is, and stops it when the whole run is stopped."""

    def __init__(self, job: int) -> None:
        self._job = job

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Raise once the run is stopped."""
        for shared in _shared:
            if shared.stop.is_set():
                raise CancelledError
            shared.shares[self._job] = share


def _begin(stop: Event, shares: SynchronizedArray[float]) -> None:
    """In each process: the parent alone answers Ctrl-C, and OpenCV keeps to one core."""
    _shared[:] = [_Shared(stop, shares)]
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cv2.setNumThreads(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Into:
    """Where clips go.

    Args:
        folder: Must exist.
        cache: Where rendered clips are kept; the usual place unless given.
        fresh: Whether to render even what is kept.
    """

    folder: Path
    cache: Path | None = None
    fresh: bool = False


def _job(number: int, shot: Shot, into: Into) -> Path:
    watch = _Stoppable(number)
    if into.fresh:
        return render_shot(shot, into.folder, watch)
    kept = kept_clip(shot, watch, folder=into.cache)
    for name in (shot.truth_name, shot.clip_name):
        _copy(kept.parent / name, into.folder / name)
    return into.folder / shot.clip_name


def _copy(source: Path, target: Path) -> None:
    """Copy so that nobody ever sees half a file."""
    partial = target.with_name(f".{target.name}.partial")
    try:
        shutil.copyfile(source, partial)
        partial.replace(target)
    except OSError as error:
        partial.unlink(missing_ok=True)
        raise OutputError(
            f"{target.name} can't be written: {error.strerror}.",
            try_next="Choose a folder that can be written and has room.",
            subject=target.name,
        ) from error


def render_all(
    shots: Sequence[Shot], into: Into, made: Callable[[Path], None], watch: Watch
) -> list[Path]:
    """Render clips into a folder, several at once.

    Args:
        shots: What decides each clip.
        into: Where they go.
        made: Told of each clip when it is whole.
        watch: Hears how far all are together.

    Returns:
        All clips, sorted.

    Raises:
        OutputError: If a clip can't be written.
        CancelledError: On Ctrl-C or by the watch; whole clips stay, no partial one does.
    """
    spawn = multiprocessing.get_context("spawn")
    stop, shares = spawn.Event(), spawn.Array(c_double, len(shots))
    workers = max(min(os.cpu_count() or 1, len(shots)), 1)
    with ProcessPoolExecutor(workers, spawn, initializer=_begin, initargs=(stop, shares)) as pool:
        waiting = {pool.submit(_job, n, shot, into) for n, shot in enumerate(shots)}
        try:
            return sorted(_collect(waiting, made, lambda: _tell(watch, shares)))
        except KeyboardInterrupt:
            raise CancelledError from None
        finally:
            # Does nothing after success; after a failure the other jobs end at their next report.
            stop.set()
            pool.shutdown(cancel_futures=True)


def _tell(watch: Watch, shares: SynchronizedArray[float]) -> None:
    done = shares[:]
    watch.report(sum(done) / max(len(done), 1), "rendering")


def _collect(
    waiting: set[Future[Path]], made: Callable[[Path], None], tell: Callable[[], None]
) -> list[Path]:
    clips: list[Path] = []
    while waiting:
        done, waiting = wait(waiting, timeout=_POLL_S, return_when=FIRST_COMPLETED)
        tell()
        for future in done:
            clips.append(future.result())
            made(clips[-1])
    return clips
