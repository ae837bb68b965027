"""Swings: taken in whole or not at all, changed by their book, found again.

The folder is the truth. A change goes: note, rows and file in one transaction with the file last,
commit. Killed before the file: the old stands. Killed between file and commit: the next opening
reads the folder and writes its rows.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path

from capturestation.errors import NotFoundError
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
from capturestation.library.finding import Candidate, nothing, only_one, prefix_range
from capturestation.library.places import Subject, swing_place
from capturestation.library.rows import CHILDREN, Row, put_swing, swing_from, utc_us
from capturestation.library.settle import drop, remove_media
from capturestation.library.store import Store, missing
from capturestation.records import (
    ClubGroup,
    LessonId,
    Part,
    StudentId,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    View,
    Watch,
)

_NEAR_FROM = 2_000
# Ids are compared one by one when nothing fits; older swings than these are rarely meant.
_COPIED = 0.95
# Share of taking in that is copying; the rest is flushing and rows.


class Swings(Store):
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
                building.seal(facts)
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
        swing = self._checked_new(facts, book)
        check_recordings(source, facts, Part(watch, 0.0, _COPIED))
        folder = swing_place(facts)
        final = self.places.root / folder
        with self._settling(Subject.SWING, swing.id, folder):
            make_folder(final.parent)
            try:
                write_book(source, book)
                with self._finishing(Subject.SWING, swing.id) as db:
                    put_swing(db, swing, folder)
                    move_folder(source, final)
            except BaseException:
                if final.exists() and not source.exists():
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
        swing = Swing(facts=self.swing(book.id).facts, book=book)
        self._need_lesson_of(book)
        with self._changing(Subject.SWING, book.id, folder) as db:
            put_swing(db, swing, folder)
            write_book(self.places.root / folder, book)
        return swing

    def delete_swing(self, swing_id: SwingId) -> None:
        """Delete a swing for good: rows and recordings; a tombstone with its id stays.

        Raises:
            NotFoundError: If there is no such swing.
            OutputError: If the tombstone can't be written; the swing stays.
        """
        folder = self._folder(swing_id)
        with self._settling(Subject.SWING, swing_id, folder):
            with self._transaction() as db:
                drop(db, Subject.SWING, swing_id)
                self.places.bury(Subject.SWING, swing_id)
            # The note stays until the last file has gone; an open player can hold one for long.
            if remove_media(self.places, Subject.SWING, swing_id, folder):
                with self._finishing(Subject.SWING, swing_id):
                    pass

    def swing(self, swing_id: SwingId) -> Swing:
        """The swing of that id.

        Raises:
            NotFoundError: If there is none.
        """
        found = self._swings("WHERE id = ?", [swing_id])
        if not found:
            raise missing(Subject.SWING, swing_id)
        return found[0]

    def swings(self, lesson_id: LessonId) -> tuple[Swing, ...]:
        """A lesson's swings in the order they were struck."""
        return self._swings("WHERE lesson_id = ? ORDER BY struck_utc_us, id", [lesson_id])

    def swings_of(self, student_id: StudentId) -> tuple[Swing, ...]:
        """All swings of a student in the order they were struck."""
        return self._swings("WHERE student_id = ? ORDER BY struck_utc_us, id", [student_id])

    def latest_swing(self) -> Swing | None:
        """The swing struck last of all students', or None if there is none."""
        found = self._swings("ORDER BY struck_utc_us DESC, id LIMIT 1", [])
        return found[0] if found else None

    def own_best(
        self, student_id: StudentId, kind: SwingKind, group: ClubGroup, before: datetime
    ) -> Swing | None:
        """The student's best earlier swing of one kind and club group: the star, then the rating.

        Args:
            student_id: Whose.
            kind: Kinds are never compared across.
            group: Nor are club groups.
            before: Only swings struck before this count.

        Returns:
            Of equals the newest; None if none has a star or a rating.
        """
        # The plus keeps SQLite from going by time alone and sorting all that it finds.
        found = self._swings(
            "WHERE student_id = ? AND kind = ? AND club_group = ? AND +struck_utc_us < ?"
            " AND (starred OR ball_rating IS NOT NULL)"
            " ORDER BY starred DESC, ball_rating DESC, struck_utc_us DESC, id LIMIT 1",
            [student_id, kind.value, group.value, utc_us(before)],
        )
        return found[0] if found else None

    def swing_with_hash(self, sha256: str) -> Swing | None:
        """The first swing that holds a file of these bytes, or None if none does."""
        same = "(SELECT swing_id FROM recordings WHERE sha256 = ?)"
        found = self._swings(f"WHERE id IN {same} ORDER BY struck_utc_us, id LIMIT 1", [sha256])
        return found[0] if found else None

    def find_swing(self, prefix: str) -> Swing:
        """The one swing whose id starts so.

        Raises:
            NotFoundError: If none or more than one does; says which come near.
        """
        sql = "SELECT id, struck_at, club FROM swings"
        where = f"{sql} WHERE id >= ? AND id < ? ORDER BY struck_utc_us DESC LIMIT 20"
        found = self._rows(where, prefix_range(prefix)) if prefix.strip() else []
        if not found:
            newest = self._rows(f"{sql} ORDER BY struck_utc_us DESC LIMIT ?", [_NEAR_FROM])
            raise nothing(Subject.SWING, prefix, map(_candidate, newest))
        several = [_candidate(row) for row in found]
        return self.swing(SwingId(only_one(Subject.SWING, prefix, several)))

    def swing_path(self, swing_id: SwingId) -> Path:
        """The folder of a swing.

        Raises:
            NotFoundError: If there is no such swing.
        """
        return self.places.root / self._folder(swing_id)

    def media_path(self, swing: Swing, view: View) -> Path:
        """The file of one view of a swing.

        Raises:
            NotFoundError: If the swing is not there or has no such view.
        """
        recording = swing.recording(view)
        if recording is None:
            has = " and ".join(r.view.value for r in swing.facts.recordings)
            raise NotFoundError(
                f"The swing {swing.id} has no {view.value} view.",
                try_next=f"It has {has}.",
                subject=swing.id,
            )
        return self.swing_path(swing.id) / recording.file

    def _folder(self, swing_id: SwingId) -> str:
        found = self._rows("SELECT folder FROM swings WHERE id = ?", [swing_id])
        if not found:
            raise missing(Subject.SWING, swing_id)
        return str(found[0]["folder"])

    def _swings(self, where: str, values: Sequence[object]) -> tuple[Swing, ...]:
        with self._lock:
            rows = self._rows(f"SELECT * FROM swings {where}", values)
            ids = json.dumps([row["id"] for row in rows])
            children = {table: self._children(table, ids) for table in CHILDREN}
        return tuple(
            swing_from(row, {table: children[table].get(str(row["id"]), []) for table in CHILDREN})
            for row in rows
        )

    def _children(self, table: str, ids: str) -> dict[str, list[Row]]:
        among = "(SELECT value FROM json_each(?))"
        sql = f"SELECT * FROM {table} WHERE swing_id IN {among} ORDER BY swing_id, place"
        by_swing: dict[str, list[Row]] = {}
        for row in self._rows(sql, [ids]):
            by_swing.setdefault(str(row["swing_id"]), []).append(row)
        return by_swing


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


def _candidate(row: Row) -> Candidate:
    return Candidate(str(row["id"]), f"{row['id']} ({row['club']}, {row['struck_at']})")
