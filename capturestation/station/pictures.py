"""The small picture at impact by which a swing is known in a list: one for each angle.

Owns when one is made and found again. Its name carries the recording's hash and where zero lies in
it, so that another recording or another zero never meets an old picture.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.errors import RefusedError
from capturestation.folders import atomic_write_bytes, remove_file
from capturestation.library import Library
from capturestation.media.still import still_jpeg
from capturestation.media.working_copy import give_way
from capturestation.records import Swing, SwingId, View
from capturestation.station.cache import Cache

BOX_PX = (320, 320)
"""A list shows it a quarter of a screen wide at most."""

_HASH_SIGNS = 16


def picture_path(cache: Cache, swing: Swing, view: View) -> Path | None:
    """Where the picture of an angle is, or would be; None for one that has no place on the clock.

    Args:
        cache: Where pictures lie.
        swing: The swing.
        view: Which angle.
    """
    recording, sync = swing.recording(view), swing.sync(view)
    if recording is None or sync is None:
        return None
    mark = f"{recording.sha256[:_HASH_SIGNS]}.{sync.contact_media_ns}"
    return cache.folder(swing.id) / f"{view}.{mark}.jpg"


def picture_of(library: Library, cache: Cache, swing_id: SwingId, view: View) -> Path:
    """The picture at impact of one angle, made if it isn't there.

    Args:
        library: Holds the swing.
        cache: Where pictures lie.
        swing_id: Which swing.
        view: Which angle.

    Returns:
        A JPEG of at most 320 px a side; it may be made again under another name when the angle
        gets another place on the clock.

    Raises:
        NotFoundError: If there is no such swing, or it has no such view.
        RefusedError: If that recording is not placed on the clock.
        NotReadableError: If the recording can't be read.
        OutputError: If the picture can't be written; nothing is left of it.
    """
    swing = library.swing(swing_id)
    source = library.media_path(swing, view)
    sync, path = swing.sync(view), picture_path(cache, swing, view)
    if sync is None or path is None:
        raise RefusedError(
            f"The {view} recording of swing {swing.id} is not placed on the clock yet.",
            try_next="Place it by hand first.",
            subject=swing.id,
        )
    if not path.exists():
        jpeg = still_jpeg(source, sync.contact_media_ns, box_px=BOX_PX)
        cache.made_folder(swing.id)
        atomic_write_bytes(path, jpeg)
        for other in path.parent.glob(f"{view}.*.jpg"):
            if other != path:
                remove_file(other)
        if library.unknown_swings([swing.id]):
            # It was deleted meanwhile, and nothing of it may stay.
            cache.drop([swing.id])
            library.swing(swing.id)
    return path


class PictureMaker:
    """Makes pictures one after another, behind everything that somebody waits for.

    Close it, or use it in a `with` block, before the library is closed.

    Args:
        library: Holds the swings.
        cache: Where pictures lie.
    """

    def __init__(self, library: Library, cache: Cache) -> None:
        self._library = library
        self._cache = cache
        self._worker = ThreadPoolExecutor(
            max_workers=1, thread_name_prefix="picture", initializer=give_way
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

    def ask(self, swing_id: SwingId, view: View) -> Future[Path]:
        """Have a picture made, or found; what `picture_of` returns or raises."""
        return self._worker.submit(picture_of, self._library, self._cache, swing_id, view)

    def close(self) -> None:
        """Forget what waits, and wait for the one that is being made."""
        self._worker.shutdown(wait=True, cancel_futures=True)
