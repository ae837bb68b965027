"""A library whose swing takes long to open, and a cache for it, for tests of looking."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.media import working_copy
from capturestation.media.index import index_frames
from capturestation.records import SwingId, View, Watch
from capturestation.station.angle import Angle
from capturestation.station.cache import Cache, cache_of
from capturestation.station.looking import Looking
from tests.helpers.coded_media import read_code
from tests.helpers.station_library import Filled

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """An open library with two swings, and where what is made of them lies."""

    library: Library
    cache: Cache
    swing_id: SwingId
    other_id: SwingId

    def names(self) -> list[str]:
        """All files of the cache, by swing and name."""
        found = (path for path in self.cache.root.rglob("*") if path.is_file())
        return sorted(path.relative_to(self.cache.root).as_posix() for path in found)

    def original(self, view: View = View.FACE_ON) -> Path:
        """The kept recording of the swing."""
        return self.library.media_path(self.library.swing(self.swing_id), view)

    def times_ns(self, view: View) -> list[int]:
        """When each frame of the swing is shown, from impact, worked out one by one."""
        sync = self.library.swing(self.swing_id).sync(view)
        assert sync is not None
        return [sync.to_swing(int(at)) for at in index_frames(self.original(view)).times_ns]


@contextmanager
def room(filled: Filled, above: Path) -> Iterator[Room]:
    """The filled library, open, with a cache in another folder."""
    with Library.open(filled.folder) as library:
        cache = cache_of(library, above)
        yield Room(library=library, cache=cache, swing_id=filled.today.id, other_id=filled.best.id)


def made(looking: Looking) -> None:
    """Wait until all copies that were asked for are made, or failed."""
    looking._maker._worker.submit(int).result(timeout=30)


def codes(angle: Angle) -> list[int]:
    """The numbers painted into all its frames, opened backwards."""
    return [read_code(angle.frame_rgb(n)) for n in reversed(range(len(angle)))]


class Held:
    """Holds the maker back until it may go on."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.go_on = threading.Event()
        real = working_copy.copy_if_slow

        def held(original: Path, folder: Path, *, watch: Watch) -> Path | None:
            assert self.go_on.wait(20)
            return real(original, folder, watch=watch)

        monkeypatch.setattr(working_copy, "copy_if_slow", held)
