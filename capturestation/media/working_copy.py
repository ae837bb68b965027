"""A copy of a recording to look at: every frame opens at once, upright, small, in ordinary colours.

Owns when a copy is worth it, how it is made in the background, and which copy belongs to which
file. Frame k of a copy is frame k of the original, whose times alone count. It is for looking
only: a clip and a measurement take the original, which is never touched. Called by the station.

A copy's name is made of the original's bytes, length and time of change and of the method's
number, so that a changed file or a better method never meets an old copy. The folder may be
emptied at any time.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import sys
import threading
from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.errors import CancelledError, NotReadableError
from capturestation.media._mapping import reading, writing
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader, OtherFramesError
from capturestation.media.index import FrameIndex, index_frames
from capturestation.media.light import Transfer
from capturestation.media.probe import MediaFacts, probe
from capturestation.records import Quiet, Watch

METHOD = 1
"""Raised whenever copies come out differently."""

BOX_PX = (1280, 720)
"""Long and short side that a copy fits: what two views side by side can show."""

CLOSE_KEYS = 3
"""Groups of pictures up to this long open within 5 ms as they are."""

_LIGHT_CODECS = {"h264", "mjpeg", "mpeg4", "mpeg2video", "vp8"}
"""Those that decode 720 lines in about a millisecond."""

_CRF = 25
_RATE_HZ = Fraction(30)
"""A copy's own clock means nothing; this one plays it slowly."""

_PIECE_BYTES = 1 << 16
_NICENESS = 10
"""Behind everything that somebody waits for."""


def why_copy(facts: MediaFacts, index: FrameIndex) -> str:
    """The reason to make a working copy, in a sentence; empty if the file is quick as it is."""
    if facts.transfer is not Transfer.ORDINARY:
        return "Its high dynamic range takes long to bring into the ordinary one."
    if facts.codec not in _LIGHT_CODECS or facts.bits > 8:
        return f"Its coding ({facts.codec}, {facts.bits} bits) takes long to open."
    if index.longest_group > CLOSE_KEYS:
        return f"Only one in {index.longest_group} of its frames opens by itself."
    longer, shorter = sorted((facts.width_px, facts.height_px), reverse=True)
    if longer > BOX_PX[0] or shorter > BOX_PX[1]:
        return f"Its pictures ({facts.width_px}x{facts.height_px}) are larger than is shown."
    return ""


def copy_path(original: Path, folder: Path) -> Path:
    """Where the working copy of a file is, or would be.

    Raises:
        NotReadableError: If the original can't be read.
    """
    with reading(original), original.open("rb") as file:
        status = os.fstat(file.fileno())
        mark = hashlib.blake2b(f"{status.st_size} {status.st_mtime_ns}".encode(), digest_size=16)
        for place in (0, status.st_size // 2, max(0, status.st_size - _PIECE_BYTES)):
            file.seek(place)
            mark.update(file.read(_PIECE_BYTES))
    return folder / f"{mark.hexdigest()}.look{METHOD}.mp4"


def open_frames(original: Path, folder: Path, *, cache_mb: int = 64) -> FrameReader:
    """A reader for looking: over the working copy if a whole one is there, else the original.

    Raises:
        NotReadableError: If the original can't be read.
    """
    copy = copy_path(original, folder)
    if copy.exists():
        # One that was damaged on the disk is passed over: the original is there.
        with suppress(NotReadableError, OtherFramesError):
            return FrameReader(original, cache_mb=cache_mb, copy=copy)
    return FrameReader(original, cache_mb=cache_mb)


def _fits(copy: Path, original: Path) -> bool:
    if not copy.exists():
        return False
    frames = len(index_frames(original))
    try:
        return len(index_frames(copy)) == frames
    except NotReadableError:
        return False


def make_copy(original: Path, folder: Path, *, watch: Watch) -> Path:
    """Make the working copy of a file, unless a whole one is there.

    H.264 of key frames only: by measurement it opens faster than MJPEG and is a third of its size.

    Args:
        original: Any file that `FrameReader` reads.
        folder: Where copies are kept; made if it isn't there.
        watch: Is told how far it is, and may stop it.

    Returns:
        The copy.

    Raises:
        NotReadableError: If the original, or a frame of it, can't be read.
        OutputError: If the folder takes no file, or the disk is full.
        CancelledError: If it was stopped. Whatever the reason, nothing is left behind.
    """
    copy = copy_path(original, folder)
    if _fits(copy, original):
        return copy
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
    # Two programs may be making it at once: neither may write into what the other has begun.
    own = copy.with_name(f"{secrets.token_hex(4)}.{copy.name}")
    _write_copy(original, own, watch)
    try:
        with writing(copy):
            own.replace(copy)
    except BaseException:
        own.unlink(missing_ok=True)
        raise
    return copy


def _write_copy(original: Path, copy: Path, watch: Watch) -> None:
    with FrameReader(original, cache_mb=0) as reader:
        pictures = reader.iter_rgb(0, len(reader), box_px=BOX_PX)
        first = next(pictures)
        height, width = first.shape[:2]
        with ClipWriter(
            copy,
            width=width,
            height=height,
            rate_hz=_RATE_HZ,
            crf=_CRF,
            preset="ultrafast",
            tune="fastdecode",
            key_every=1,
        ) as writer:
            writer.write_rgb(first)
            for number, picture in enumerate(pictures, start=1):
                watch.report(number / len(reader), f"preparing {original.name}")
                writer.write_rgb(picture)


def copy_if_slow(original: Path, folder: Path, *, watch: Watch) -> Path | None:
    """Make the working copy of a file that is slow as it is; `make_copy` says how.

    Returns:
        The copy; None for a file that is quick as it is, of which none is made.

    Raises:
        NotReadableError: If the original, or a frame of it, can't be read.
        OutputError: If the folder takes no file, or the disk is full.
        CancelledError: If it was stopped. Whatever the reason, nothing is left behind.
    """
    watch.report(0.0, f"reading {original.name}")
    if not why_copy(probe(original), index_frames(original)):
        return None
    return make_copy(original, folder, watch=watch)


def drop_copies(folder: Path, originals: Iterable[Path] = ()) -> int:
    """Delete every working copy, whole or begun, of other files than these.

    Whoever deletes a recording calls it: a copy shows the same person.

    Args:
        folder: Where copies are kept; it need not be there.
        originals: Files whose copies may stay.

    Returns:
        How many files were deleted.

    Raises:
        OutputError: If one can't be deleted.
    """
    kept = {copy_path(original, folder) for original in originals}
    found = [*folder.glob("*.look*.mp4"), *folder.glob(".*.look*.mp4.partial")]
    with writing(folder):
        for path in found:
            if path not in kept:
                path.unlink(missing_ok=True)
    return len([path for path in found if path not in kept])


class CopyMaker:
    """Makes working copies one after another, behind everything that somebody waits for.

    Close it, or use it in a `with` block: what is being made then is stopped and taken away.
    On Linux its thread gives way to all others; elsewhere it runs as any other.

    Example:
        with CopyMaker() as maker:
            coming = maker.ask(path, folder)
    """

    def __init__(self) -> None:
        self._asked: dict[tuple[Path, Path], Future[Path | None]] = {}
        self._stop = threading.Event()
        self._lock = threading.Lock()
        self._worker = ThreadPoolExecutor(
            max_workers=1, thread_name_prefix="working copy", initializer=give_way
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def ask(self, original: Path, folder: Path, watch: Watch | None = None) -> Future[Path | None]:
        """Have a copy made if the file is slow; asking again meanwhile gives the same answer.

        Args:
            original: The file.
            folder: Where its copy is kept.
            watch: Is told how far it is, from the maker's thread, and may stop it.

        Returns:
            What `copy_if_slow` will return or raise. Cancelling it works until it is begun.
        """
        asked = (original, folder)
        with self._lock:
            known = self._asked.get(asked)
            if known is not None and not known.done():
                return known
            told = _UntilStopped(self._stop, watch or Quiet())
            coming = self._worker.submit(copy_if_slow, original, folder, watch=told)
            self._asked = {key: job for key, job in self._asked.items() if not job.done()}
            self._asked[asked] = coming
            return coming

    def close(self) -> None:
        """Stop what is being made, forget what waits, and wait until all is taken away."""
        self._stop.set()
        self._worker.shutdown(wait=True, cancel_futures=True)


class _UntilStopped:
    """A watch that stops the job when the maker closes."""

    def __init__(self, stop: threading.Event, watch: Watch) -> None:
        self.stop = stop
        self.watch = watch

    def report(self, share: float, words: str) -> None:
        if self.stop.is_set():
            raise CancelledError
        self.watch.report(share, words)


def give_way() -> None:
    """Let this thread run behind all others, where the system can do that."""
    if sys.platform == "linux":
        # There a thread has a niceness of its own, and those that it starts inherit it.
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), _NICENESS)
