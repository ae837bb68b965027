"""Copies of a library for the day its disk fails: made while it is in use, verified, restored.

    FOLDER/backup-<first signs of the library's id>/
        backup.json     which library, when it was begun and when it was finished
        people/ lessons/ calibrations/ gone/ swings/ trash/ ...    as in the library
        .../SHA256SUMS  of each folder's files

Owns what belongs into a copy and in which order, so that one that was cut short anywhere can be
restored. What was deleted for good goes from the copy too; what the library merely lost stays.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from capturestation.errors import LibraryError, NotFoundError, OutputError, RefusedError
from capturestation.folders import (
    PARTIAL,
    make_folder,
    move_folder,
    read_document,
    remove_folder,
    write_document,
)
from capturestation.library.housing import card_of
from capturestation.library.mirror import Mirror, files_in, folders_below, is_same
from capturestation.library.places import Places
from capturestation.records import Watch

CARD_FILE = "backup.json"
KNOWN_FILE = "backups.json"
"""In the library: where its copies lie, so that forgetting somebody can name them."""
_NOT_COPIED = {"holder.json", KNOWN_FILE}
_APART = {"swings", "trash", "inbox"}
# Folders that are not copied file by file: swings are whole or not there, capture's is its own.
_SPARE_BYTES = 64 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupCard:
    """What a copy says of itself.

    Args:
        library_id: Whose copy it is.
        begun_at: When it was last begun.
        finished_at: When it was last finished; None before the first time.
    """

    library_id: str
    begun_at: datetime
    finished_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownBackups:
    """The folders in which copies of a library lie."""

    folders: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupReport:
    """What a back-up did.

    Args:
        folder: The copy.
        swings: How many swings it holds, those in the trash too.
        new: How many of them came now.
        files: Files that were written.
        size_bytes: Their length.
        removed: Files that went because what they belong to was deleted for good.
        only_there: Ids of swings that the library does not hold any more though nobody deleted
            them; they stay in the copy.
    """

    folder: Path
    swings: int
    new: int
    files: int
    size_bytes: int
    removed: int
    only_there: tuple[str, ...]


def back_up(places: Places, above: Path, watch: Watch) -> BackupReport:
    """Make or bring up the copy of a library in a folder; the library may be in use.

    Stopped or killed anywhere, what is in the copy is whole, and the next one goes on from there.

    Args:
        places: The library.
        above: A folder outside of it, such as a drive.
        watch: Told the share of bytes copied.

    Raises:
        RefusedError: If one folder lies within the other, or another library's copy is there.
        OutputError: If it can't be written, has no room, or reads back wrong.
        CancelledError: If the watch stops it.
    """
    key = card_of(places).id
    root = _root(places, above, key)
    make_folder(root)
    card = _begun(root, key)
    steady = _Steady(watch)
    mirror = Mirror(watch=steady)
    clear_partials(root)
    copy_documents(mirror, places.root, root)
    new = _Swings(places.root, root, mirror).copy(steady)
    # A lesson begun meanwhile, and what was deleted meanwhile.
    copy_documents(mirror, places.root, root)
    _take_away(mirror, root)
    _remember(places, above)
    write_document(root / CARD_FILE, "backup", replace(card, finished_at=datetime.now(UTC)))
    held = {path.name for path in swing_copies(root)}
    return BackupReport(
        folder=root,
        swings=len(held),
        new=new,
        files=mirror.copied.files,
        size_bytes=mirror.copied.size_bytes,
        removed=mirror.copied.removed,
        only_there=tuple(sorted(held - {path.name for path in swing_copies(places.root)})),
    )


def _root(places: Places, above: Path, key: str) -> Path:
    if not above.is_dir():
        raise NotFoundError(
            f"{above} is not there.",
            try_next="Connect the drive, or make the folder first.",
            subject=str(above),
        )
    inner, outer = above.resolve(), places.root.resolve()
    if inner.is_relative_to(outer):
        raise RefusedError(
            f"{above} lies within the library itself.",
            try_next="Choose another drive: a copy on the same disk is lost with it.",
            subject=str(above),
        )
    return above / f"backup-{key[:8]}"


def _begun(root: Path, key: str) -> BackupCard:
    old = None
    if (root / CARD_FILE).is_file():
        old = read_document(root / CARD_FILE, "backup", BackupCard)
        if old.library_id != key:
            raise RefusedError(
                f"{root} is another library's copy.",
                try_next="Choose another folder.",
                subject=str(root),
            )
    finished_at = old.finished_at if old else None
    card = BackupCard(library_id=key, begun_at=datetime.now(UTC), finished_at=finished_at)
    write_document(root / CARD_FILE, "backup", card)
    return card


class _Steady:
    """A watch that asks at each piece whether to stop, and moves only by what is known of all."""

    def __init__(self, watch: Watch) -> None:
        self._watch = watch
        self._share, self._words = 0.0, "looking"

    def go(self, share: float, words: str) -> None:
        """So far it is."""
        self._share, self._words = share, words
        self._watch.report(share, words)

    def report(self, share: float, words: str) -> None:
        """A piece of one file is done."""
        del share, words
        self._watch.report(self._share, self._words)


class _Swings:
    """Copies swings' folders, those in the trash too, each whole.

    Args:
        source: The library's folder.
        target: The copy's.
        mirror: Copies.
    """

    def __init__(self, source: Path, target: Path, mirror: Mirror) -> None:
        self._source, self._target, self._mirror = source, target, mirror
        self._there = {path.name: path for path in swing_copies(target)}

    def copy(self, watch: _Steady) -> int:
        """Copy all; how many were new."""
        folders = list(swing_copies(self._source))
        needs = [self._needs(folder) for folder in folders]
        whole = sum(needs)
        _need_room(self._target, whole)
        new, done = 0, 0
        for folder, size in zip(folders, needs, strict=True):
            share = done / whole if whole else 1.0
            watch.go(share, f"swing {folder.name[:8]}")
            new += self._one(folder)
            done += size
        return new

    def _needs(self, folder: Path) -> int:
        """Bytes that will be copied for this one, nearly."""
        there = self._there.get(folder.name)
        needed = 0
        for path in files_in(folder):
            if there is None or not is_same(path, there / path.name, is_summed=True):
                needed += path.stat().st_size if path.exists() else 0
        return needed

    def _one(self, folder: Path) -> bool:
        target = self._target / folder.relative_to(self._source)
        there = self._there.get(folder.name)
        if not folder.is_dir():
            return False
        if there is not None and there != target:
            if target.parent.name == "trash":
                # What says how it comes back is there before it lies in the trash.
                self._mirror.same(folder, there)
            move_folder(there, target)
        return self._mirror.whole(folder, target)


def _need_room(target: Path, size_bytes: int) -> None:
    free = shutil.disk_usage(target).free
    if size_bytes and free < size_bytes + _SPARE_BYTES:
        raise OutputError(
            f"{target} has {free / 1e9:.1f} GB left and the copy takes {size_bytes / 1e9:.1f} GB "
            "more.",
            try_next="Free some space there or use a larger drive; what is copied already stays.",
            subject=str(target),
        )


def swing_copies(root: Path) -> Iterator[Path]:
    """The folders of swings in a library or a copy of one, those in the trash too."""
    yield from folders_below(root / "swings", 3)
    yield from folders_below(root / "trash", 1)


def document_folders(root: Path) -> list[Path]:
    """Folders of small files, with the top one first; a library's rows are not among them."""
    below = (path for path in sorted(root.iterdir()) if path.is_dir())
    return [root, *(p for p in below if p.name not in _APART and not p.name.endswith(PARTIAL))]


def copy_documents(mirror: Mirror, source: Path, target: Path) -> None:
    """Bring the small files up: persons, lessons, tombstones, what the library says of itself."""
    for folder in document_folders(source):
        if folder == source:
            _copy_top(mirror, source, target)
        else:
            mirror.add(folder, target / folder.name)


def _copy_top(mirror: Mirror, source: Path, target: Path) -> None:
    for path in files_in(source):
        if path.suffix == ".json" and path.name not in _NOT_COPIED | {CARD_FILE}:
            mirror.put_alone(path, target / path.name)


def _take_away(mirror: Mirror, root: Path) -> None:
    """What has a tombstone was deleted for good: it goes here too."""
    gone = {path.stem for path in files_in(root / "gone")}
    if not gone:
        return
    for folder in list(swing_copies(root)):
        if folder.name in gone:
            partial = folder.with_name(folder.name + PARTIAL)
            mirror.copied.removed += len(files_in(folder))
            move_folder(folder, partial)
            remove_folder(partial)
    for folder in document_folders(root)[1:]:
        names = {path.name for path in files_in(folder) if path.stem in gone}
        if folder.name != "gone" and names:
            mirror.drop(folder, names)


def clear_partials(root: Path) -> None:
    """Remove what a copy that was cut short left unfinished."""
    for pattern in ("swings/*/*/*", "trash/*"):
        for path in root.glob(pattern + PARTIAL):
            remove_folder(path)


# Where copies lie.


def known_backups(places: Places) -> tuple[Path, ...]:
    """The folders in which copies of this library were made."""
    try:
        known = read_document(places.root / KNOWN_FILE, "backups", KnownBackups)
    except LibraryError:
        return ()
    return tuple(Path(folder) for folder in known.folders)


def _remember(places: Places, above: Path) -> None:
    folder = str(above.resolve())
    known = [str(path) for path in known_backups(places)]
    if folder not in known:
        write_document(places.root / KNOWN_FILE, "backups", KnownBackups(folders=(*known, folder)))


def card_in(folder: Path) -> tuple[Path, BackupCard]:
    """The copy in a folder: that folder itself, or the one copy that lies in it.

    Raises:
        NotFoundError: If there is none, or more than one.
        LibraryError: If its card is damaged or newer than this program.
    """
    found = [folder] if (folder / CARD_FILE).is_file() else []
    found = found or [path.parent for path in sorted(folder.glob(f"backup-*/{CARD_FILE}"))]
    if len(found) != 1:
        raise NotFoundError(
            f"{folder} holds {len(found) or 'no'} back-ups.",
            try_next="Choose the folder backup-... itself.",
            subject=str(folder),
        )
    return found[0], read_document(found[0] / CARD_FILE, "backup", BackupCard)
