"""Where finished clips lie until they are handed on: in the cache, as long as their window is open.

Owns one folder for each window and that none outlives its window: what a window left that was
killed goes when the next one opens. A clip goes with its swing, as all of the cache does.
"""

from __future__ import annotations

import secrets
import threading
from pathlib import Path

from PyQt6.QtCore import QLockFile

from capturestation.errors import (
    CancelledError,
    NotFoundError,
    OutputError,
    RefusedError,
    StationError,
)
from capturestation.folders import atomic_write_bytes, make_folder, remove_file, remove_folder
from capturestation.library import Library
from capturestation.records import Watch
from capturestation.station.cache import Cache
from capturestation.station.clips import MadeClip
from capturestation.station.going_home import take_home
from capturestation.station.sending import Order, make

_LOCK = "window.lock"
_PROBE, _PROBE_BYTES = "probe", 64
# More than the lock holds: its process and its computer.


class ClipFolder:
    """One window's clips; safe on any thread. Close it with the window.

    Args:
        library: Whose swings.
        cache: Its cache.
    """

    def __init__(self, library: Library, cache: Cache) -> None:
        self._library, self._cache = library, cache
        self._own = cache.clips / secrets.token_hex(8)
        self._held: QLockFile | None = None
        self._guard = threading.Lock()

    def make(self, order: Order, watch: Watch) -> MadeClip:
        """Make a clip that is to be handed on, and what is asked for beside it.

        Raises:
            StationError: As `station.sending.make`; nothing was left.
            NotFoundError: If the swing was deleted meanwhile, and its folder here with it.
        """
        self._hold()
        try:
            folder = self._own / order.now
            if order.home is None:
                return make(self._library, order, folder, watch)
            home = take_home(self._library, order.now, order.then, order.home, folder, watch)
            return MadeClip(
                report=home.clip, comparison=None, said=home.said, beside=home.files[1:]
            )
        except CancelledError:
            raise
        except StationError as error:
            if self._library.unknown_swings([order.now]):
                raise NotFoundError(
                    "The swing was deleted while its clip was made, so there is none.",
                    try_next="Take it back, or choose another swing; then make the clip again.",
                    subject=order.now,
                ) from error
            raise

    def sweep(self) -> None:
        """Take away what windows left that are no more."""
        for folder in self._cache.clips.glob("*"):
            if folder == self._own:
                continue
            lock = _lock_of(folder)
            if lock.tryLock(0):
                lock.unlock()
                remove_folder(folder)

    def close(self) -> None:
        """Take away what was not handed on."""
        with self._guard:
            if self._held is not None:
                self._held.unlock()
                self._held = None
                remove_folder(self._own)

    def _hold(self) -> None:
        with self._guard:
            if self._held is not None:
                return
            make_folder(self._own)
            lock = _lock_of(self._own)
            if not lock.tryLock(0):
                if lock.error() is not QLockFile.LockError.LockFailedError:
                    self._refuse_to_write()
                raise RefusedError(
                    f"The clip can't be made in {self._own}: another program holds that folder.",
                    try_next="Try it once more, or close the window and open it anew.",
                    subject=str(self._own),
                )
            self._held = lock

    def _refuse_to_write(self) -> None:
        """Say why nothing can be written there, as the system says it of a file.

        Raises:
            OutputError: Always.
        """
        probe = self._own / _PROBE
        atomic_write_bytes(probe, bytes(_PROBE_BYTES))
        remove_file(probe)
        raise OutputError(
            f"The clip can't be written in {self._own}.",
            try_next="Look whether there is room, and whether this account may write there.",
            subject=str(self._own),
        )


def _lock_of(folder: Path) -> QLockFile:
    lock = QLockFile(str(folder / _LOCK))
    # However old: a window may stand open for days, and one that was killed is known as such.
    lock.setStaleLockTime(0)
    return lock
