"""What this computer made of a library's recordings to look at: working copies, small pictures.

Owns one private folder per library, in it one per swing, and how large it may grow. All of it can
be made again, and shows the same people as the recordings: it goes with them. Paths hold ids only.

    <cache>/<library's id>/<swing's id>/<hash>.look1.mp4          a working copy
                                        face-on.<hash>.<zero>.jpg the picture at impact
    <cache>/<library's id>/.clips/<a window's>/<swing's id>/      clips until they are handed on
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_cache_path

from capturestation.folders import PARTIAL, check_id, make_folder, remove_file, remove_folder
from capturestation.library import Library

MOST_COPIES_BYTES = 4 << 30
"""By measurement 42 MB for 4 s at 240 a second and 720 lines: some fifty swings from two angles, a
full day's lessons. What was not looked at for longest goes first."""

MOST_PICTURES_BYTES = 512 << 20
"""At 15 KB some 35,000 pictures: years of lessons."""

LEAST_FREE_BYTES = 2 << 30
"""Less is left for the next recordings: they matter more than quick looking."""

_CLIPS = ".clips"
_STALE_S = 3600.0
"""No copy takes so long: what is older and unfinished was left by a program that was killed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """What went, and what resisted."""

    files: int = 0
    size_bytes: int = 0
    left: tuple[Path, ...] = ()

    def __add__(self, other: Freed) -> Freed:
        """Both together."""
        return Freed(
            files=self.files + other.files,
            size_bytes=self.size_bytes + other.size_bytes,
            left=(*self.left, *other.left),
        )


def default_cache() -> Path:
    """The folder of all libraries' caches: this account's own."""
    return user_cache_path("capturestation")


def cache_of(library: Library, above: Path | None = None) -> Cache:
    """The cache of a library; a library that is carried elsewhere keeps it.

    Args:
        library: The library.
        above: Where all caches lie; None is this account's own folder for such things.
    """
    return Cache((above or default_cache()) / library.key)


class Cache:
    """One library's folder of what can be made again.

    Args:
        root: The folder; it need not be there.
        most_bytes: How large all working copies together may grow.
        least_free_bytes: How much room on the disk is left to others.
    """

    def __init__(
        self,
        root: Path,
        *,
        most_bytes: int = MOST_COPIES_BYTES,
        least_free_bytes: int = LEAST_FREE_BYTES,
    ) -> None:
        self.root = root
        self.most_bytes = most_bytes
        self.least_free_bytes = least_free_bytes

    def folder(self, swing_id: str) -> Path:
        """Where a swing's things lie, whether they are there or not."""
        check_id(swing_id)
        return self.root / swing_id

    @property
    def clips(self) -> Path:
        """Where windows keep clips until they are handed on, each in a folder of its own."""
        return self.root / _CLIPS

    def made_folder(self, swing_id: str) -> Path:
        """Where a swing's things lie, made if need be, for this account alone.

        Raises:
            OutputError: If it can't be made.
        """
        folder = self.folder(swing_id)
        make_folder(folder)
        return folder

    def held(self) -> frozenset[str]:
        """The swings of which something lies here."""
        found = (*self.root.glob("[!.]*"), *self.clips.glob("*/*"))
        return frozenset(path.name for path in found if path.is_dir())

    def has_room(self) -> bool:
        """Whether its disk has room for a working copy and enough left over for recordings."""
        there = self.root
        while not there.exists() and there != there.parent:
            there = there.parent
        return shutil.disk_usage(there).free >= self.least_free_bytes

    def drop(self, swing_ids: Iterable[str]) -> Freed:
        """Delete all that lies here of these swings."""
        freed = Freed()
        for folder in [folder for key in swing_ids for folder in self._folders(key)]:
            before = measured(folder)
            remove_folder(folder)
            left = tuple(p for p in folder.rglob("*") if p.is_file()) if folder.exists() else ()
            kept = measured(folder)
            freed += Freed(
                files=before.files - kept.files,
                size_bytes=before.size_bytes - kept.size_bytes,
                left=left,
            )
        return freed

    def _folders(self, swing_id: str) -> list[Path]:
        """All that are there of a swing."""
        folders = (self.folder(swing_id), *self.clips.glob(f"*/{swing_id}"))
        return [folder for folder in folders if folder.exists()]

    def sweep(self, library: Library) -> Freed:
        """Delete what lies here of swings that the library doesn't hold, and what a kill left."""
        for path in self._unfinished():
            remove_file(path)
        return self.drop(library.unknown_swings(self.held()))

    def _unfinished(self) -> Iterator[Path]:
        begun = [*self.root.glob(f"*/.*{PARTIAL}"), *self.root.glob("*/*.*.look*.mp4")]
        for path in begun:
            if time.time() - _looked_at(path) > _STALE_S:
                yield path

    def trim(self, kept: Iterable[Path] = ()) -> Freed:
        """Bring it back to its size: the copy that was not looked at for longest goes first.

        Args:
            kept: Copies that are being looked at.
        """
        freed = _trimmed(self.root.glob("*/*.look*.mp4"), self.most_bytes, frozenset(kept))
        return freed + _trimmed(self.root.glob("*/*.jpg"), MOST_PICTURES_BYTES, frozenset())


def _trimmed(paths: Iterable[Path], most_bytes: int, kept: frozenset[Path]) -> Freed:
    found = sorted((_looked_at(path), path, _size(path)) for path in paths)
    over_bytes = sum(size for _, _, size in found) - most_bytes
    freed = Freed()
    for _, path, size in found:
        if over_bytes <= 0:
            break
        if path in kept:
            continue
        remove_file(path)
        if path.exists():
            freed += Freed(left=(path,))
            continue
        over_bytes -= size
        freed += Freed(files=1, size_bytes=size)
    return freed


def measured(folder: Path) -> Freed:
    """How many files lie below a folder, and how large they are."""
    sizes = [_size(path) for path in folder.rglob("*") if path.is_file()]
    return Freed(files=len(sizes), size_bytes=sum(sizes))


def _size(path: Path) -> int:
    return path.stat().st_size if path.exists() else 0


def _looked_at(path: Path) -> float:
    """When a file was made or last looked at; one that is gone meanwhile was never."""
    try:
        return path.stat().st_mtime
    except FileNotFoundError:
        return time.time()
