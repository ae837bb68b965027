"""Caring for a library: looking it over, and forgetting a student altogether."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

from capturestation.errors import CancelledError
from capturestation.folders import (
    BOOK_FILE,
    FACTS_FILE,
    read_book,
    read_document,
    read_swing_facts,
    remove_file,
)
from capturestation.library.calibrations import Calibrations
from capturestation.library.check import (
    CheckReport,
    Finding,
    Problem,
    file_findings,
    leftover_findings,
    recording_findings,
    stray_findings,
)
from capturestation.library.housing import remove_other_rows
from capturestation.library.lessons import Lessons
from capturestation.library.places import Subject
from capturestation.library.rows import Person, calibration_from, lesson_from
from capturestation.library.settle import drop, remove_media, settle
from capturestation.library.students import Students
from capturestation.library.traces import Traces
from capturestation.library.trash import Trash
from capturestation.records import (
    CalibrationRow,
    Lesson,
    Part,
    StudentId,
    Swing,
    SwingId,
    Watch,
)


class Care(Students, Lessons, Trash, Calibrations, Traces):
    """What concerns a whole library or a whole student."""

    def check(self, watch: Watch) -> CheckReport:
        """Read every file of the library against its rows; changes nothing.

        Raises:
            CancelledError: If the watch stops it.
            LibraryError: If the rows can't be read at all.
        """
        findings = list(self._database_findings())
        swings = self._rows("SELECT id, folder FROM swings ORDER BY folder")
        files = 0
        for number, row in enumerate(swings):
            part = Part(watch, number / len(swings), (number + 1) / len(swings))
            part.report(0.0, "reading swings")
            swing = self.swing(SwingId(str(row["id"])))
            files += len(swing.facts.recordings)
            findings += _swing_findings(self.places.root / str(row["folder"]), swing, part)
        known = [self.places.root / str(row["folder"]) for row in swings]
        findings += stray_findings(self.places.swings, known)
        findings += self.trash_findings()
        findings += self._document_findings()
        watch.report(1.0, "done")
        return CheckReport(findings=tuple(findings), swings=len(swings), files=files)

    def _database_findings(self) -> Iterator[Finding]:
        for row in self._rows("PRAGMA quick_check"):
            said = str(row["quick_check"])
            if said != "ok":
                yield Finding(problem=Problem.DATABASE, path=self.places.database, said=said)

    def _document_findings(self) -> Iterator[Finding]:
        for subject, key, record in self._documents():
            path = self.places.file(subject, key)
            read = partial(read_document, word=subject, kind=type(record))
            yield from file_findings(path, read, record)
        yield from leftover_findings(self.places.gone)
        for subject in Subject:
            if subject is not Subject.SWING:
                yield from leftover_findings(self.places.folder_of(subject))
                yield from self._stray_documents(subject)

    def _documents(self) -> Iterator[tuple[Subject, str, Person | Lesson | CalibrationRow]]:
        for person in self._persons(""):
            yield Subject.STUDENT, person.student.id, person
        for row in self._rows("SELECT * FROM lessons"):
            yield Subject.LESSON, str(row["id"]), lesson_from(row)
        for row in self._rows("SELECT * FROM calibrations"):
            yield Subject.CALIBRATION, str(row["id"]), calibration_from(row)

    def _stray_documents(self, subject: Subject) -> Iterator[Finding]:
        for path in sorted(self.places.folder_of(subject).glob("*.json")):
            if not self._exists(subject, path.stem):
                yield Finding(problem=Problem.ORPHANED, path=path)

    def delete_student(self, student_id: StudentId, watch: Watch) -> None:
        """Forget a student: swings, those in the trash, lessons, answers, copies of older rows.

        Tombstones with ids stay. Stopped or killed anywhere, it is called again to go on.

        Raises:
            NotFoundError: If there is no such student.
            OutputError: If a tombstone can't be written.
            CancelledError: If the watch stops it; says what was deleted by then, for good.
        """
        self._need(Subject.STUDENT, student_id)
        self._delete_swings_of(student_id, watch)
        for note in self.trash():
            if note.student_id == student_id:
                self.delete_trashed(note.id)
        for lesson in self.lessons(student_id):
            self.delete_lesson(lesson.id)
        with self._changing(Subject.STUDENT, student_id, removes=True) as db:
            drop(db, Subject.STUDENT, student_id)
            self.places.bury(Subject.STUDENT, student_id)
            remove_media(self.places, Subject.STUDENT, student_id, "")
        self.clear_after_deletion()

    def clear_after_deletion(self) -> None:
        """Finish deletions that a crash left half done; let go of copies that still name people.

        What resists is left and logged.
        """
        for row in self._rows("SELECT subject, id, folder FROM unsettled"):
            subject, key, folder = Subject(str(row["subject"])), str(row["id"]), str(row["folder"])
            # Others may be at work: only what is buried is nobody's any more.
            if self.places.tombstone(key).exists():
                with self._transaction() as db:
                    settle(db, self.places, subject, key, folder)
        for copy in self.places.old_copies():
            remove_file(copy)
        remove_other_rows(self.places)
        # The write-ahead file still holds the rows as they were.
        self._rows("PRAGMA wal_checkpoint(TRUNCATE)")

    def _delete_swings_of(self, student_id: StudentId, watch: Watch) -> None:
        swings = self._rows("SELECT id FROM swings WHERE student_id = ?", [student_id])
        for number, row in enumerate(swings):
            try:
                watch.report(number / len(swings), "deleting swings")
            except CancelledError as error:
                raise CancelledError(
                    f"Stopped at your request: {number} of {len(swings)} swings are deleted for "
                    "good, everything else of the student is kept.",
                    try_next="Delete the student again to delete the rest.",
                ) from error
            self.delete_swing(SwingId(str(row["id"])))


def _swing_findings(folder: Path, swing: Swing, watch: Watch) -> Iterator[Finding]:
    if not folder.is_dir():
        yield Finding(problem=Problem.NO_FOLDER, path=folder)
        return
    yield from file_findings(
        folder / FACTS_FILE, lambda _: read_swing_facts(folder), swing.kept_facts
    )
    yield from file_findings(folder / BOOK_FILE, lambda _: read_book(folder), swing.book)
    yield from leftover_findings(folder)
    yield from recording_findings(folder, swing.facts.recordings, watch)
