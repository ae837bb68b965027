"""Swings: taken in whole or not at all, changed by their book, found again.

The folder is the truth. A change goes: note, rows and file in one transaction with the file last,
commit. Killed before the file: the old stands. Killed between file and commit: the next opening
reads the folder and writes its rows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from capturestation.folders import (
    BOOK_FILE,
    SwingFolder,
    check_id,
    make_folder,
    move_folder,
    read_swing_facts,
    remove_file,
    write_book,
)
from capturestation.library.check import check_recordings
from capturestation.library.places import Subject, swing_place
from capturestation.library.rows import put_swing
from capturestation.library.settle import drop, remove_media
from capturestation.library.store import missing
from capturestation.library.swing_answers import SwingAnswers
from capturestation.records import (
    Part,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    View,
    Watch,
    facts_by_book,
)

_COPIED = 0.95
# Share of taking in that is copying; the rest is flushing and rows.


class Swings(SwingAnswers):
    """The swings of a library."""

    def keep_swing(
        self, facts: SwingFacts, book: SwingBook, media: Mapping[View, Path], watch: Watch
    ) -> Swing:
        """Take a swing in: copy its recordings into a folder of its own, then write its rows.

        Args:
            facts: With the name, hash and length of each recording as it will lie in the folder.
            book: Its lesson and student are in the library already.
            media: The file to copy for each recording; it is only read.
            watch: Told the share of the whole.

        Raises:
            NotReadableError: If a file can't be read, or is not what the facts say.
            NotFoundError: If the lesson is not there.
            OutputError: If the folder can't be written.
            CancelledError: If the watch stops it. In no case is a folder or a row left.
        """
        swing = self._checked_new(facts, book)
        if set(media) != {recording.view for recording in facts.recordings}:
            msg = f"files for {sorted(media)}, recordings of {[r.view for r in facts.recordings]}"
            raise ValueError(msg)
        folder = swing_place(facts)
        final = self.places.root / folder
        with self._settling(Subject.SWING, swing.id, folder):
            make_folder(final.parent)
            with SwingFolder(final) as building:
                _copy_all(building, facts, media, Part(watch, 0.0, _COPIED))
                building.add_book(book)
                building.seal(swing.kept_facts)
                watch.report(_COPIED, "writing down")
                with self._finishing(Subject.SWING, swing.id) as db:
                    put_swing(db, swing, folder)
                    building.publish()
        return swing

    def adopt_folder(self, source: Path, book: SwingBook, watch: Watch) -> Swing:
        """Take in a finished folder that capture left on the library's disk, without copying.

        Args:
            source: Holds `swing.json` and its recordings; moved, not copied.
            book: As for `keep_swing`.
            watch: Told the share of the bytes that were checked.

        Raises:
            LibraryError: If its `swing.json` is missing or damaged.
            NotReadableError: If a recording is not what `swing.json` says.
            NotFoundError: If the lesson is not there.
            OutputError: If it can't be moved.
            CancelledError: If the watch stops it. In each case the folder stays where it was.
        """
        facts = read_swing_facts(source)
        swing = self._checked_new(facts_by_book(facts, book), book)
        check_recordings(source, facts, Part(watch, 0.0, _COPIED))
        folder = swing_place(facts)
        final = self.places.root / folder
        with self._settling(Subject.SWING, swing.id, folder):
            make_folder(final.parent)
            is_ours = False
            try:
                write_book(source, book)
                with self._finishing(Subject.SWING, swing.id) as db:
                    # Another window may have taken it in; from here on none can.
                    is_ours = source.exists()
                    put_swing(db, swing, folder)
                    move_folder(source, final)
            except BaseException:
                if is_ours and final.exists() and not source.exists():
                    move_folder(final, source)
                remove_file(source / BOOK_FILE)
                raise
        return swing

    def _checked_new(self, facts: SwingFacts, book: SwingBook) -> Swing:
        check_id(facts.id)
        swing = Swing(facts=facts, book=book)
        self._need_free(Subject.SWING, swing.id)
        self._need_lesson_of(book)
        return swing

    def _need_lesson_of(self, book: SwingBook) -> None:
        found = self._rows("SELECT student_id FROM lessons WHERE id = ?", [book.lesson_id])
        if not found:
            raise missing(Subject.LESSON, book.lesson_id)
        if found[0]["student_id"] != book.student_id:
            msg = f"the lesson {book.lesson_id} is not of the student {book.student_id}"
            raise ValueError(msg)

    def save_book(self, book: SwingBook) -> Swing:
        """Replace the library's part of a swing: `book.json` whole, and its rows.

        Raises:
            NotFoundError: If there is no such swing or lesson.
            OutputError: If it can't be written; the old stands.
        """
        folder = self._folder(book.id)
        swing = _with_book(self.swing(book.id), book)
        self._need_lesson_of(book)
        with self._changing(Subject.SWING, book.id, folder) as db:
            put_swing(db, swing, folder)
            write_book(self.places.root / folder, book)
        return swing

    def change_book(self, swing_id: SwingId, change: Callable[[SwingBook], SwingBook]) -> Swing:
        """Change the library's part of a swing as it stands now, not as it was read some time ago.

        Args:
            swing_id: Which swing.
            change: Gets the book as it is and gives it as it shall be; may refuse by raising, and
                then the old stands.

        Raises:
            NotFoundError: If there is no such swing or lesson.
            OutputError: If it can't be written; the old stands.
        """
        folder = self._folder(swing_id)
        with self._changing(Subject.SWING, swing_id, folder) as db:
            old = self.swing(swing_id)
            book = change(old.book)
            swing = _with_book(old, book)
            self._need_lesson_of(book)
            if book != old.book:
                put_swing(db, swing, folder)
                write_book(self.places.root / folder, book)
        return swing

    def delete_swing(self, swing_id: SwingId) -> None:
        """Delete a swing for good: rows and recordings; a tombstone with its id stays.

        Raises:
            NotFoundError: If there is no such swing.
            OutputError: If the tombstone can't be written; the swing stays.
        """
        self._delete(swing_id, self._folder(swing_id))

    def _delete(self, swing_id: SwingId, folder: str) -> None:
        with self._settling(Subject.SWING, swing_id, folder):
            with self._transaction() as db:
                drop(db, Subject.SWING, swing_id)
                self.places.bury(Subject.SWING, swing_id)
            # The note stays until the last file has gone; an open player can hold one for long.
            if remove_media(self.places, Subject.SWING, swing_id, folder):
                with self._finishing(Subject.SWING, swing_id):
                    pass


def _with_book(old: Swing, book: SwingBook) -> Swing:
    """A swing with another book; what was kept of it stays."""
    return Swing(facts=facts_by_book(old.kept_facts, book), book=book)


def _copy_all(
    building: SwingFolder, facts: SwingFacts, media: Mapping[View, Path], watch: Watch
) -> None:
    whole = max(sum(recording.size_bytes for recording in facts.recordings), 1)
    done = 0
    for recording in facts.recordings:
        end = done + recording.size_bytes
        part = Part(watch, done / whole, end / whole, recording.view.value)
        building.add_copy(media[recording.view], recording.file, part)
        done = end
