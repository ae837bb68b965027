"""Copies of the library on another disk: made, listed, restored; and the library moved there.

Owns what is said of each copy. Called by commands and, when somebody is forgotten, by `forgetting`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from capturestation import library as books
from capturestation.errors import StationError
from capturestation.library import BackupReport, Library, Restored, Subject
from capturestation.records import StudentId, Watch


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyState:
    """A copy of the library as far as it can be seen now.

    Args:
        folder: The folder in which it was made.
        is_there: Whether it can be looked at: a drive may lie in a drawer.
        finished_at: When it was last finished; None if never, or not to be seen.
        is_finished: Whether the last one came to its end.
    """

    folder: Path
    is_there: bool
    finished_at: datetime | None = None
    is_finished: bool = False


def back_up(library: Library, above: Path, watch: Watch) -> BackupReport:
    """Make or bring up the copy of a library in a folder, while the library is in use.

    Raises:
        As `library.back_up`.
    """
    return books.back_up(library.places, above, watch)


def restore(copy: Path, into: Path, watch: Watch) -> Restored:
    """Make a library from a copy, in a folder that is empty or not there yet.

    Raises:
        As `library.restore`.
    """
    return books.restore(copy, into, watch)


def relocate(folder: Path, into: Path, watch: Watch) -> Restored:
    """Bring a library to another disk.

    Raises:
        As `library.relocate`.
    """
    return books.relocate(folder, into, watch)


def copies(library: Library) -> tuple[CopyState, ...]:
    """All copies that were made of this library, and how each stands."""
    return tuple(_state(folder) for folder in books.known_backups(library.places))


def _state(folder: Path) -> CopyState:
    try:
        _, card = books.card_in(folder)
    except StationError:
        return CopyState(folder=folder, is_there=False)
    done = card.finished_at is not None and card.finished_at >= card.begun_at
    return CopyState(folder=folder, is_there=True, finished_at=card.finished_at, is_finished=done)


def still_held(library: Library, student_id: StudentId) -> tuple[str, ...]:
    """Which copies still hold a student who was deleted, or may, a sentence each."""
    said = []
    for folder in books.known_backups(library.places):
        try:
            root, _ = books.card_in(folder)
        except StationError:
            said.append(
                f"The back-up in {folder} is not connected and may still hold this student: "
                "connect it and back up there again, and what was deleted goes there too."
            )
            continue
        if (
            root / library.places.file(Subject.STUDENT, student_id).relative_to(library.places.root)
        ).exists():
            said.append(
                f"The back-up in {folder} still holds this student: back up there again, and "
                "what was deleted goes there too."
            )
    return tuple(said)
