"""Clips outlive neither their window nor their swing."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest
from PyQt6.QtCore import QLockFile, QSysInfo

from capturestation.errors import OutputError, RefusedError, StationError
from capturestation.folders.files import explained_writing
from capturestation.library import Library
from capturestation.records import Quiet, Watch
from capturestation.station.cache import Cache, Freed, cache_of
from capturestation.station.clips import MadeClip
from capturestation.station.sending import Order, Sending
from capturestation.ui.bench import clip_folder
from capturestation.ui.bench.clip_folder import ClipFolder
from tests.helpers.station_library import Filled

NOBODY = 999_999_999
"""No process has that number."""


@pytest.fixture
def cache(library: Library, tmp_path: Path) -> Cache:
    return cache_of(library, tmp_path / "caches")


@pytest.fixture
def clips(library: Library, cache: Cache, monkeypatch: pytest.MonkeyPatch) -> ClipFolder:
    """A folder whose clips are a word long."""

    def made(_library: Library, order: Order, folder: Path, _watch: Watch) -> MadeClip:
        folder.mkdir(exist_ok=True)
        (folder / order.name).write_bytes(b"clip")
        raise StoppedHereError

    monkeypatch.setattr(clip_folder, "make", made)
    return ClipFolder(library, cache)


class StoppedHereError(Exception):
    """The clip is written; the rest of making is tried elsewhere."""


def make(clips: ClipFolder, library: Library, filled: Filled) -> None:
    sending = Sending(library)
    sending.look_at(filled.today)
    order = Order(now=filled.today.id, then=None, wish=sending.wish, name="clip.mp4")
    with pytest.raises(StoppedHereError):
        clips.make(order, Quiet())


def lying(cache: Cache) -> list[str]:
    return sorted(path.parent.name for path in cache.clips.rglob("*.mp4"))


def test_a_clip_lies_under_its_swing_until_the_window_closes(
    clips: ClipFolder, cache: Cache, library: Library, filled: Filled
) -> None:
    make(clips, library, filled)
    open_ = lying(cache)
    clips.close()

    assert open_ == [filled.today.id]
    assert list(cache.clips.iterdir()) == []


def test_a_window_without_a_clip_leaves_no_folder(clips: ClipFolder, cache: Cache) -> None:
    clips.sweep()
    clips.close()

    assert not cache.clips.exists()


def test_the_next_window_takes_away_what_a_killed_one_left_and_nothing_of_an_open_one(
    clips: ClipFolder, cache: Cache, library: Library, filled: Filled
) -> None:
    make(clips, library, filled)
    killed = cache.clips / "killed" / filled.best.id
    killed.mkdir(parents=True)
    (killed / "half.mp4").write_bytes(b"half")
    lock = f"{NOBODY}\nwindow\n{QSysInfo.machineHostName()}\n"
    (killed.parent / "window.lock").write_text(lock)

    ClipFolder(library, cache).sweep()

    assert lying(cache) == [filled.today.id]
    clips.close()


def test_a_clip_goes_with_its_swing(
    clips: ClipFolder, cache: Cache, library: Library, filled: Filled
) -> None:
    make(clips, library, filled)

    freed = cache.drop([filled.today.id])

    assert freed == Freed(files=1, size_bytes=4)
    assert lying(cache) == []
    clips.close()


def test_a_clip_of_a_swing_that_is_gone_is_swept(
    clips: ClipFolder, cache: Cache, library: Library
) -> None:
    stray = cache.clips / "window" / "gone"
    stray.mkdir(parents=True)
    (stray / "clip.mp4").write_bytes(b"clip")

    assert cache.sweep(library).files == 1
    assert lying(cache) == []


def test_a_folder_that_another_program_holds_is_not_used(
    clips: ClipFolder, cache: Cache, library: Library, filled: Filled
) -> None:
    clips._own.mkdir(parents=True)
    held = QLockFile(str(clips._own / "window.lock"))
    assert held.tryLock(0)
    sending = Sending(library)
    sending.look_at(filled.today)
    order = Order(now=filled.today.id, then=None, wish=sending.wish, name="clip.mp4")

    with pytest.raises(RefusedError):
        clips.make(order, Quiet())

    assert lying(cache) == []
    held.unlock()


def an_order(library: Library, filled: Filled) -> Order:
    """A clip of today's swing."""
    sending = Sending(library)
    sending.look_at(filled.today)
    return Order(now=filled.today.id, then=None, wish=sending.wish, name="clip.mp4")


def unwritable(folder: Path) -> QLockFile:
    """A lock that can't be written, which nobody holds."""
    return QLockFile(str(folder / "no such folder" / "window.lock"))


def test_a_lock_that_cannot_be_written_is_not_called_held(
    clips: ClipFolder, library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clip_folder, "_lock_of", unwritable)

    with pytest.raises(OutputError, match="can't be written"):
        clips.make(an_order(library, filled), Quiet())


def test_why_a_lock_cannot_be_written_is_said_as_the_system_says_it(
    clips: ClipFolder, library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, _data: bytes) -> None:
        with explained_writing(path):
            raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(clip_folder, "_lock_of", unwritable)
    monkeypatch.setattr(clip_folder, "atomic_write_bytes", full)

    with pytest.raises(OutputError, match="no room left"):
        clips.make(an_order(library, filled), Quiet())


@pytest.mark.parametrize(("goes", "said"), [(True, "was deleted"), (False, "not there")])
def test_a_swing_that_is_deleted_while_its_clip_is_made_is_named_so(
    library: Library,
    cache: Cache,
    filled: Filled,
    monkeypatch: pytest.MonkeyPatch,
    goes: bool,
    said: str,
) -> None:
    def made(_library: Library, order: Order, _folder: Path, _watch: Watch) -> MadeClip:
        if goes:
            library.trash_swing(filled.today.id)
        raise OutputError("Its folder is not there.", try_next="Make the folder first.")

    monkeypatch.setattr(clip_folder, "make", made)
    clips = ClipFolder(library, cache)

    with pytest.raises(StationError, match=said):
        clips.make(an_order(library, filled), Quiet())

    clips.close()
    assert lying(cache) == []
