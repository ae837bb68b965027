"""A library out of its copy, and a whole library on another disk.

Owns that the new one is there whole or not at all, and that each file is held against the sums
that were written when it was copied.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from capturestation.errors import LibraryError, NotFoundError, RefusedError
from capturestation.folders import (
    PARTIAL,
    copy_durably,
    make_folder,
    move_folder,
    remove_folder,
)
from capturestation.library.backup import (
    CARD_FILE,
    KNOWN_FILE,
    BackupCard,
    card_in,
    document_folders,
    swing_copies,
)
from capturestation.library.housing import find_places
from capturestation.library.mirror import files_in, folders_below, need_same, read_sums
from capturestation.library.rebuild import RebuildReport, rebuild
from capturestation.library.turn import Turn
from capturestation.records import Part, Watch

_COPYING = 0.9
# Share of the work that is copying; the rest writes the rows.


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """A library that was made from a copy, or on another disk.

    Args:
        folder: Where it is.
        card: Of the copy; None where a library was moved.
        rows: What its rows were made of.
        damaged: Files whose bytes are not those that were copied; they are there as they are.
        old: Where the library lay before, under its new name there; None for a copy.
    """

    folder: Path
    card: BackupCard | None
    rows: RebuildReport
    damaged: tuple[Path, ...] = ()
    old: Path | None = None


def restore(copy: Path, into: Path, watch: Watch, *, local: Path | None = None) -> Restored:
    """Make a library from a copy that `back_up` made.

    Args:
        copy: The copy's folder, or the one above it; only read.
        into: The library's new folder; empty or not there yet.
        watch: Told the share of bytes copied.
        local: Where rows may lie that can't lie there; None is this account's own data folder.

    Raises:
        NotFoundError: If there is no copy.
        RefusedError: If something lies where the library is to be.
        NotReadableError: If the copy can't be read.
        OutputError: If the new library can't be written; nothing is left of it.
        CancelledError: If the watch stops it; nothing is left of it.
    """
    root, card = card_in(copy)
    sources = [*document_folders(root), *swing_copies(root)]
    damaged = _copy_all(root, sources, into, Part(watch, 0.0, _COPYING))
    rows = rebuild(into, Part(watch, _COPYING, 1.0), local=local)
    return Restored(folder=into, card=card, rows=rows, damaged=damaged)


def relocate(folder: Path, into: Path, watch: Watch, *, local: Path | None = None) -> Restored:
    """Bring a library to another disk; the old folder stays, under a name that nobody opens.

    Args:
        folder: The library; nobody may have it open.
        into: Its new folder; empty or not there yet.
        watch: Told the share of bytes copied.
        local: Where rows may lie that can't lie there.

    Raises:
        LibraryError: If somebody has it open.
        Else as `restore`; the library stays where it is then.
    """
    places, _ = find_places(folder, local)
    if not places.has_content():
        what = f"There is no library in {folder}."
        raise NotFoundError(what, try_next="Choose its folder.", subject=str(folder))
    if into.resolve().is_relative_to(places.root.resolve()):
        raise RefusedError(
            f"{into} lies within the library itself.",
            try_next="Choose a folder beside it or on another disk.",
            subject=str(into),
        )
    turn = Turn(places.lock)
    try:
        if not turn.alone:
            raise LibraryError(
                f"{folder} is open in another program.",
                try_next="Close the other program, then move it.",
                subject=str(folder),
            )
        sources = [*document_folders(places.root), *swing_copies(places.root)]
        sources += folders_below(places.inbox, 1)
        _copy_all(places.root, sources, into, Part(watch, 0.0, _COPYING), checks=True)
    finally:
        turn.release()
    rows = rebuild(into, Part(watch, _COPYING, 1.0), local=local)
    old = _put_aside(places.root)
    return Restored(folder=into, card=None, rows=rows, old=old)


def _put_aside(root: Path) -> Path:
    """Give the old folder a name under which nobody goes on writing."""
    day = datetime.now(UTC).date().isoformat()
    target = root.with_name(f"{root.name} moved {day}")
    move_folder(root, target)
    return target


def _copy_all(
    root: Path, sources: list[Path], into: Path, watch: Watch, *, checks: bool = False
) -> tuple[Path, ...]:
    """Copy folders to a place where nothing is; all or nothing.

    Args:
        root: What the folders lie in.
        sources: Which.
        into: Where to.
        watch: Told the share of bytes.
        checks: Whether each file is read back, as there are no sums to hold it against.

    Returns:
        Files with other bytes than their sums say.
    """
    _refuse_filled(into)
    partial = into.with_name(into.name + PARTIAL)
    remove_folder(partial)
    pairs = list(_pairs(root, sources, partial))
    whole = sum(source.stat().st_size for source, _, _ in pairs) or 1
    damaged, done = [], 0
    try:
        make_folder(partial)
        for source, target, digest in pairs:
            size = source.stat().st_size
            make_folder(target.parent)
            part = Part(watch, done / whole, min((done + size) / whole, 1.0))
            hashed = copy_durably(source, target, part)
            if checks:
                need_same(target, hashed, part)
            if digest and hashed.sha256 != digest:
                damaged.append(into / target.relative_to(partial))
            done += size
        if into.exists():
            into.rmdir()
        move_folder(partial, into)
    finally:
        remove_folder(partial)
    return tuple(damaged)


def _pairs(root: Path, sources: list[Path], target: Path) -> Iterator[tuple[Path, Path, str]]:
    """Each file that belongs into a library, where it goes, and what its sum is, if known."""
    # A copy that was cut short may still hold what has its tombstone there already.
    gone = {path.stem for path in files_in(root / "gone")}
    for folder in sources:
        sums = read_sums(folder)
        for path in files_in(folder):
            if folder.name in gone or (path.stem in gone and folder.name != "gone"):
                continue
            is_top = folder == root
            if is_top and (path.suffix != ".json" or path.name in (CARD_FILE, KNOWN_FILE)):
                continue
            yield path, target / path.relative_to(root), sums.get(path.name, "")


def _refuse_filled(into: Path) -> None:
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise RefusedError(
            f"{into} is not empty.",
            try_next="Choose a folder that is empty or not there yet: nothing is overwritten.",
            subject=str(into),
        )
