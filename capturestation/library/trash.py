"""The trash: a swing's whole folder, out of the rows and out of the way, until it goes for good.

Where the folder lies is the truth: below `swings` it is a swing, below `trash` it is none. A move
is one rename on one disk, so that a crash leaves it in one place or the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from capturestation.errors import LibraryError, RefusedError
from capturestation.folders import (
    make_folder,
    move_folder,
    read_book,
    read_document,
    read_swing_facts,
    remove_file,
    write_book,
    write_document,
)
from capturestation.library.check import Finding, Problem
from capturestation.library.places import Subject, swing_place
from capturestation.library.rows import put_swing
from capturestation.library.settle import TRASHED_FILE, drop, need_key
from capturestation.library.store import missing
from capturestation.library.swings import Swings
from capturestation.records import LessonId, StudentId, Swing, SwingId, facts_by_book


@dataclass(frozen=True, slots=True, kw_only=True)
class Trashed:
    """A swing in the trash; ids only.

    Args:
        id: The swing's.
        student_id: Whose it was, so that nothing of him is left when he is forgotten.
        lesson_id: The lesson that it was of.
        trashed_at: Since when.
    """

    id: SwingId
    student_id: StudentId
    lesson_id: LessonId
    trashed_at: datetime


class Trash(Swings):
    """Swings of a library that were thrown away and can be brought back."""

    def trash_swing(self, swing_id: SwingId) -> Trashed:
        """Take a swing out of the rows and its folder into the trash.

        Raises:
            NotFoundError: If there is no such swing.
            OutputError: If it can't be moved; the swing stays.
        """
        folder, book = self._folder(swing_id), self.swing(swing_id).book
        note = Trashed(
            id=swing_id,
            student_id=book.student_id,
            lesson_id=book.lesson_id,
            trashed_at=datetime.now(UTC),
        )
        place = self.places.root / folder
        with (
            self._settling(Subject.SWING, swing_id, folder),
            self._finishing(Subject.SWING, swing_id) as db,
        ):
            drop(db, Subject.SWING, swing_id)
            write_document(place / TRASHED_FILE, "trashed", note)
            move_folder(place, self.places.trashed(swing_id))
        return note

    def trashed_swing(self, swing_id: SwingId) -> Swing:
        """A swing in the trash, as it was.

        Raises:
            NotFoundError: If it isn't there.
            LibraryError: If its folder is damaged.
        """
        place = self.places.trashed(swing_id)
        if not place.is_dir():
            raise missing(Subject.SWING, swing_id)
        facts, book = read_swing_facts(place), read_book(place)
        need_key(place, swing_id, facts.id, book.id)
        return Swing(facts=facts_by_book(facts, book), book=book)

    def restore_swing(self, swing_id: SwingId, *, lesson_id: LessonId | None = None) -> Swing:
        """Bring a swing back from the trash, with its marks and its star.

        Args:
            swing_id: Which.
            lesson_id: The lesson of the same student that it shall be of; None is its own.

        Raises:
            NotFoundError: If it isn't in the trash, or the lesson is not there.
            RefusedError: If a recording of it is in the library again, in another swing.
            LibraryError: If its folder is damaged.
            OutputError: If it can't be moved; it stays in the trash.
        """
        old = self.trashed_swing(swing_id)
        swing = replace(old, book=replace(old.book, lesson_id=lesson_id or old.book.lesson_id))
        self._need_lesson_of(swing.book)
        self._refuse_twice(swing)
        folder, source = swing_place(swing.facts), self.places.trashed(swing_id)
        final = self.places.root / folder
        with self._settling(Subject.SWING, swing_id, folder):
            make_folder(final.parent)
            with self._finishing(Subject.SWING, swing_id) as db:
                put_swing(db, swing, folder)
                if swing != old:
                    write_book(source, swing.book)
                move_folder(source, final)
        remove_file(final / TRASHED_FILE)
        return swing

    def _refuse_twice(self, swing: Swing) -> None:
        for recording in swing.facts.recordings:
            again = self.swing_with_hash(recording.sha256)
            if again is not None:
                raise RefusedError(
                    f"The {recording.view} recording of swing {swing.id} is in the library again, "
                    f"in swing {again.id}.",
                    try_next="Delete that one first, or leave this one in the trash.",
                    subject=swing.id,
                )

    def trash(self) -> tuple[Trashed, ...]:
        """What lies in the trash and can be understood, newest first."""
        found = [note for _, note in self._in_trash() if isinstance(note, Trashed)]
        return tuple(sorted(found, key=lambda note: (note.trashed_at, note.id), reverse=True))

    def trash_findings(self) -> tuple[Finding, ...]:
        """What lies in the trash and can't be understood, or should have gone."""
        return tuple(note for _, note in self._in_trash() if isinstance(note, Finding))

    def _in_trash(self) -> Iterator[tuple[Path, Trashed | Finding]]:
        folders = self.places.trash.glob("[!.]*") if self.places.trash.is_dir() else ()
        for path in sorted(folders):
            yield path, self._read_note(path)

    def _read_note(self, path: Path) -> Trashed | Finding:
        try:
            if self.places.tombstone(path.name).exists():
                return Finding(problem=Problem.GONE, path=path)
            note = read_document(path / TRASHED_FILE, "trashed", Trashed)
            need_key(path, path.name, note.id)
        except (LibraryError, ValueError) as error:
            return Finding(problem=Problem.UNREADABLE, path=path, said=str(error))
        return note

    def delete_trashed(self, swing_id: SwingId) -> None:
        """Delete a swing in the trash for good; a tombstone with its id stays.

        Raises:
            NotFoundError: If it isn't in the trash.
            OutputError: If the tombstone can't be written; it stays.
        """
        place = self.places.trashed(swing_id)
        if not place.is_dir():
            raise missing(Subject.SWING, swing_id)
        self._delete(swing_id, place.relative_to(self.places.root).as_posix())
