"""One recording of a swing, open to look at, on the swing's clock.

Owns the change from the recording to its working copy while it is looked at: numbers and times
stay the same, pictures become smaller and come faster. Safe to use from several threads.
"""

from __future__ import annotations

import os
import threading
from concurrent.futures import Future
from contextlib import suppress
from pathlib import Path
from weakref import WeakMethod

import numpy as np

from capturestation.errors import CancelledError, NotReadableError, StationError
from capturestation.media.frames import FrameReader
from capturestation.media.working_copy import open_frames
from capturestation.records import FrameArray, IntArray, Planes, Recording, Sync, View
from capturestation.timing.frames import nearest_frame


class Making:
    """How far the working copy of an angle is, and whether it is still wanted.

    Apart from the angle, so that one that is closed is not kept for its copy's sake: a decoder
    holds tens of megabytes.
    """

    def __init__(self) -> None:
        self.share: float | None = None
        self.stopped = False

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Hear how far the copy is.

        Raises:
            CancelledError: If it shall not be made any more.
        """
        if self.stopped:
            raise CancelledError
        self.share = share


class Angle:
    """Pictures of one recording by their number or their time from impact.

    Args:
        path: The recording.
        recording: What is known of it.
        sync: Its place on the swing's clock.
        folder: Where its working copy is, or will be.
        cache_mb: How much decoded picture to keep.

    Raises:
        NotReadableError: If the recording can't be read.
    """

    def __init__(
        self, path: Path, recording: Recording, sync: Sync, folder: Path, *, cache_mb: int
    ) -> None:
        self.path = path
        self.recording = recording
        self.sync = sync
        self._folder = folder
        self._cache_mb = cache_mb
        self._lock = threading.Lock()
        self._closed = False
        self.making = Making()
        self._said: list[str] = []
        self._fault: BaseException | None = None
        self._reader = open_frames(path, folder, cache_mb=cache_mb)
        self.times_ns: IntArray = sync.to_swing(self._reader.index.times_ns)
        """Of each frame, (n,), from impact, swing clock; rising, read-only."""
        self.times_ns.setflags(write=False)
        self._mark_looked_at()

    def __len__(self) -> int:
        return len(self.times_ns)

    @property
    def view(self) -> View:
        """Where its camera stands."""
        return self.recording.view

    @property
    def label(self) -> str:
        """What to write at it: the view, and the camera's name where it has one."""
        camera = self.recording.camera
        return f"{self.view}, {camera}" if camera else str(self.view)

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the recording as shown; pictures have its shape and may be smaller.

        They come turned upright: nothing is left to rotate.
        """
        return self.recording.width_px, self.recording.height_px

    @property
    def is_upright(self) -> bool:
        """Whether it is higher than wide."""
        width, height = self.size_px
        return height > width

    @property
    def is_copy(self) -> bool:
        """Whether pictures come from the working copy by now."""
        return self._reader.source != self.path

    @property
    def source(self) -> Path:
        """The file from which pictures come now."""
        return self._reader.source

    @property
    def said(self) -> tuple[str, ...]:
        """Why looking may be slow, a sentence each."""
        return tuple(self._said)

    @property
    def copied_share(self) -> float | None:
        """How much of the working copy is made, 0..1; None while none is being made."""
        return self.making.share

    def at(self, swing_ns: int) -> int:
        """The ordinal of the frame nearest to a time from impact."""
        return int(nearest_frame(self.times_ns, np.array([swing_ns], np.int64))[0])

    def frame_rgb(self, ordinal: int) -> FrameArray:
        """Frame `ordinal`, upright, (H, W, 3) uint8 RGB, full range, read-only.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            return self._usable().frame_rgb(ordinal)

    def frame_planes(self, ordinal: int) -> Planes | None:
        """Frame `ordinal` as it is coded; None where only `frame_rgb` can show it.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            return self._usable().frame_planes(ordinal)

    def frame_grey(self, ordinal: int) -> FrameArray:
        """Frame `ordinal`, upright, (H, W) uint8 grey, full range, read-only.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            return self._usable().frame_grey(ordinal)

    def close(self) -> None:
        """Let go of the file; a copy that is being made is made to its end."""
        with self._lock:
            self._closed = True
            self._reader.close()

    def say(self, words: str) -> None:
        """Add a sentence to what is said."""
        self._said.append(words)

    def stop_copying(self) -> None:
        """Have no copy made of it; what is begun is taken away."""
        self.making.stopped = True

    def expect(self, coming: Future[Path | None]) -> None:
        """Take pictures from a copy as soon as it is made."""
        arrived = WeakMethod(self._arrived)

        def hand_over(made: Future[Path | None]) -> None:
            take = arrived()
            if take is not None:
                take(made)

        coming.add_done_callback(hand_over)

    def _arrived(self, coming: Future[Path | None]) -> None:
        # Called by the maker's thread; opening it here spares whoever looks the wait.
        self.making.share = None
        if self._closed or coming.cancelled():
            return
        error = coming.exception()
        if error is None:
            if coming.result() is not None:
                self._take_copy()
        elif isinstance(error, StationError):
            if not isinstance(error, CancelledError):
                self.say(f"No working copy could be made: {error}")
        else:
            self._fault = error

    def _take_copy(self) -> None:
        try:
            fresh = open_frames(self.path, self._folder, cache_mb=self._cache_mb)
        except NotReadableError as error:
            self.say(f"The working copy can't be used: {error}")
            return
        with self._lock:
            old = fresh if self._closed else self._reader
            if not self._closed:
                self._reader = fresh
        self._mark_looked_at()
        old.close()

    def _usable(self) -> FrameReader:
        if self._fault is not None:
            raise self._fault
        return self._reader

    def _mark_looked_at(self) -> None:
        if self.is_copy:
            # By this the copy is found that was not looked at for longest; if it can't be, it goes
            # earlier and is made again.
            with suppress(OSError):
                os.utime(self._reader.source)
