"""Opening a swing to look at: any picture of any angle at a time of the swing's clock.

Owns which file is looked at: the recording itself where it is quick, else its working copy once
that is made. Until then, and wherever no copy can be made, the recording; it says so. Knows no
window: whoever shows the pictures asks for them. Clips and measures take the recordings.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import Self
from weakref import WeakSet

from capturestation.errors import LibraryError, NotReadableError, OutputError
from capturestation.library import Library
from capturestation.media.working_copy import CopyMaker
from capturestation.records import Swing, SwingId, View
from capturestation.station.angle import Angle, Making
from capturestation.station.cache import Cache

NO_ROOM = (
    "There is little room on the disk, so no working copy is made: stepping through this angle may "
    "be slow."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSwing:
    """A swing that is open to look at; close it, or use it in a `with` block.

    Args:
        swing: As it was when it was opened.
        angles: Those that can be shown, in the order of the views.
        said: Why a recording of it can't be, a sentence each.
    """

    swing: Swing
    angles: Mapping[View, Angle]
    said: tuple[str, ...] = ()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the files; copies that are being made are made to their end."""
        for angle in self.angles.values():
            angle.close()


class Looking:
    """Opens swings and has their working copies made, one after another, behind everything else.

    Close it, or use it in a `with` block, before the library is closed.

    Args:
        library: Whose swings.
        cache: Where copies lie; what belongs to no swing any more goes when this begins.
        cache_mb: How much decoded picture an open angle keeps.
    """

    def __init__(self, library: Library, cache: Cache, *, cache_mb: int = 64) -> None:
        self.library = library
        self.cache = cache
        self.cache_mb = cache_mb
        self._maker = CopyMaker()
        self._open: WeakSet[Angle] = WeakSet()
        self._jobs: dict[Path, tuple[Future[Path | None], Making]] = {}
        cache.sweep(library)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Stop what is being made and take it away; opened swings stay open."""
        self._maker.close()

    def open(self, swing_id: SwingId) -> OpenSwing:
        """Open all recordings of a swing that can be shown.

        Raises:
            NotFoundError: If there is no such swing.
            NotReadableError: If none of its recordings can be read.
        """
        swing = self.library.swing(swing_id)
        angles: dict[View, Angle] = {}
        failed: dict[View, NotReadableError] = {}
        said = []
        for recording in sorted(swing.facts.recordings, key=lambda r: list(View).index(r.view)):
            sync = swing.sync(recording.view)
            if sync is None:
                said.append(f"The {recording.view} recording is not placed on the clock yet.")
                continue
            path = self.library.media_path(swing, recording.view)
            try:
                angle = Angle(
                    path, recording, sync, self.cache.folder(swing.id), cache_mb=self.cache_mb
                )
            except NotReadableError as error:
                failed[recording.view] = error
                said.append(f"The {recording.view} recording can't be shown: {error.what}")
                continue
            angles[recording.view] = angle
            self._open.add(angle)
            self._ask(swing, angle)
        if failed and not angles:
            raise next(iter(failed.values()))
        return OpenSwing(swing=swing, angles=MappingProxyType(angles), said=tuple(said))

    def prepare(self, swing_id: SwingId) -> None:
        """Have the copies of a swing made that will be looked at soon, such as one just taken in.

        Raises:
            NotFoundError: If there is no such swing.
            NotReadableError: If none of its recordings can be read.
        """
        with self.open(swing_id):
            pass

    def _ask(self, swing: Swing, angle: Angle) -> None:
        if angle.is_copy:
            return
        try:
            if not self.cache.has_room():
                angle.say(NO_ROOM)
                return
            folder = self.cache.made_folder(swing.id)
        except OutputError as error:
            angle.say(f"No working copy is made: {error}")
            return
        known = self._jobs.get(angle.path)
        if known is not None and not known[0].done():
            coming, angle.making = known
            angle.expect(coming)
            return
        coming = self._maker.ask(angle.path, folder, angle.making)
        self._jobs = {path: job for path, job in self._jobs.items() if not job[0].done()}
        self._jobs[angle.path] = (coming, angle.making)
        angle.expect(coming)
        # After the angle has taken it: what is looked at stays.
        coming.add_done_callback(lambda _: self._made(swing.id))

    def _made(self, swing_id: SwingId) -> None:
        """Keep the cache to its size, and nothing of a swing that was deleted meanwhile."""
        self.cache.trim(kept=[angle.source for angle in self._open])
        # Where the rows can't be asked just now, the next beginning sweeps.
        with suppress(LibraryError):
            self.cache.drop(self.library.unknown_swings([swing_id]))
