"""Bringing another library's lessons into this one: ids decide, nothing is lost silently.

The other library is only read, and only its folders: they are the truth. Each thing comes whole by
the same way as a new one, so a merge that is stopped anywhere leaves whole things, and run again
it brings the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from capturestation.errors import (
    CancelledError,
    LibraryError,
    NotFoundError,
    NotReadableError,
    RefusedError,
)
from capturestation.folders import PARTIAL, check_id, read_book, read_document, read_swing_facts
from capturestation.library.check import swing_folders
from capturestation.library.housing import find_places
from capturestation.library.library import Library
from capturestation.library.merge_desk import MergeDesk, Resolve, or_none
from capturestation.library.merge_report import (
    Conflict,
    Difference,
    MergeReport,
    Outcome,
    Side,
    differences,
    joined,
)
from capturestation.library.places import Places, Subject, Tombstone
from capturestation.library.rows import Person
from capturestation.library.settle import need_key
from capturestation.records import (
    CalibrationRow,
    Lesson,
    LessonId,
    Part,
    StudentId,
    Swing,
    SwingId,
    Watch,
    facts_by_book,
)

_DELETED_IN_ORDER = (Subject.SWING, Subject.LESSON, Subject.STUDENT)
_LOOKED_AT = 0.98
# Share of a merge that is bringing things in; the rest is what was deleted over there.


def keep_ours(_: Conflict) -> Side:
    """Let what is here stand; the other side's text is in the report."""
    return Side.OURS


def merge_library(
    into: Library,
    other_folder: Path,
    watch: Watch,
    *,
    resolve: Resolve = keep_ours,
    dry_run: bool = False,
) -> MergeReport:
    """Bring the students, lessons, swings and calibrations of another library into this one.

    Same id and same content: nothing. Same id, other content: `resolve` says whose version
    stands, and the report keeps both. Answers about consent are joined. What was deleted here
    stays deleted; what was deleted there and is here is a conflict like any other.

    Args:
        into: The library that grows.
        other_folder: The other library's top folder; it is only read.
        watch: Told the share of all things looked at.
        resolve: Asked for each conflict.
        dry_run: Only say what would be done; recordings are not read.

    Returns:
        All that was not the same on both sides, and what became of it.

    Raises:
        NotFoundError: If no library lies there.
        RefusedError: If it is this very library.
        OutputError: If this library can't be written; what came by then is whole and stays.
        CancelledError: If the watch stops it; what came by then is whole and stays.
    """
    merge = Merge(into, _other_places(into, other_folder), resolve, dry_run=dry_run)
    try:
        merge.run(watch)
    except CancelledError as stopped:
        came = len(merge.report().of(Outcome.NEW))
        words = CancelledError(f"Stopped at your request; {came} things had come whole and stay.")
        words.try_next = "Run it again to bring the rest."
        raise words from stopped
    return merge.report()


def _other_places(into: Library, folder: Path) -> Places:
    other, _ = find_places(folder)
    if not other.has_content():
        what = f"There is no library in {folder}."
        hint = "Choose the folder that holds people, lessons and swings."
        raise NotFoundError(what, try_next=hint, subject=str(folder))
    if other.root.resolve() == into.folder.resolve():
        what = f"{folder} is the very library that it would be merged into."
        raise RefusedError(what, try_next="Choose the other library.", subject=str(folder))
    return other


class Merge(MergeDesk):
    """One merge: everything the other library holds, in the order in which one leans on another."""

    def run(self, watch: Watch) -> None:
        """Look at everything, and do what is to be done."""
        found = list(self._found())
        for number, (subject, path) in enumerate(found):
            part = Part(
                watch,
                _LOOKED_AT * number / len(found),
                _LOOKED_AT * (number + 1) / len(found),
                f"{subject} {number + 1} of {len(found)}",
            )
            part.report(0.0, "")
            try:
                self._take(subject, path, part)
            except (LibraryError, NotReadableError) as error:
                key = path.name.removesuffix(".json")
                self.add(subject, key, Outcome.LEFT, said=error.what)
        for stone in self._stones():
            self._take_deletion(stone, Part(watch, _LOOKED_AT, 1.0))
        watch.report(1.0, "done")

    def _found(self) -> Iterator[tuple[Subject, Path]]:
        for subject in (Subject.STUDENT, Subject.LESSON, Subject.CALIBRATION):
            for path in sorted(self.other.folder_of(subject).glob("[!.]*.json")):
                yield subject, path
        for path in swing_folders(self.other.swings):
            if not path.name.endswith(PARTIAL):
                yield Subject.SWING, path

    def _take(self, subject: Subject, path: Path, watch: Watch) -> None:
        key = path.name if subject is Subject.SWING else path.stem
        try:
            check_id(key)
        except ValueError as error:
            self.add(subject, key, Outcome.LEFT, said=str(error))
            return
        if self.other.tombstone(key).exists():
            return
        here = self.into.places
        if here.tombstone(key).exists() or here.trashed(key).exists():
            self.add(subject, key, Outcome.GONE_HERE)
        elif subject is Subject.STUDENT:
            self._take_student(path, read_document(path, subject, Person))
        elif subject is Subject.LESSON:
            self._take_lesson(path, read_document(path, subject, Lesson))
        elif subject is Subject.CALIBRATION:
            self._take_calibration(path, read_document(path, subject, CalibrationRow))
        else:
            facts, book = read_swing_facts(path), read_book(path)
            need_key(path, path.name, facts.id, book.id)
            self._take_swing(path, Swing(facts=facts_by_book(facts, book), book=book), watch)

    def _take_student(self, path: Path, theirs: Person) -> None:
        key = theirs.student.id
        need_key(path, path.stem, key)
        ours = or_none(lambda: self.into.person(key))
        if ours is None:
            self.bring(Subject.STUDENT, key, lambda: self.into.keep_person(theirs))
            return
        history = joined(ours.history, theirs.history)
        told = differences(ours.student, theirs.student, without=("consents",))
        if not told and history != ours.history:
            self.add(Subject.STUDENT, key, Outcome.JOINED)
            side = Side.OURS
        else:
            side = self.settle(Subject.STUDENT, key, told)
        student = theirs.student if side is Side.THEIRS else ours.student
        if not self.dry_run and (side is Side.THEIRS or history != ours.history):
            self.into.keep_person(Person(student=student, history=history))

    def _take_lesson(self, path: Path, theirs: Lesson) -> None:
        key = theirs.id
        need_key(path, path.stem, key)
        ours = or_none(lambda: self.into.lesson(key))
        if ours is not None and ours.student_id != theirs.student_id:
            why = "a lesson stays with its student"
            self.add(Subject.LESSON, key, Outcome.OURS, differences(ours, theirs), said=why)
        elif ours is not None:
            side = self.settle(Subject.LESSON, key, differences(ours, theirs))
            if side is Side.THEIRS and not self.dry_run:
                self.into.save_lesson(theirs)
        elif self.has_student(theirs.student_id):
            whose = theirs.student_id
            self.bring(Subject.LESSON, key, lambda: self.into.add_lesson(theirs), whose=whose)
        else:
            self.leave(Subject.LESSON, key, Subject.STUDENT, theirs.student_id)

    def _take_calibration(self, path: Path, theirs: CalibrationRow) -> None:
        key = theirs.id
        need_key(path, path.stem, key)
        ours = {row.id: row for row in self.into.calibrations()}.get(key)
        if ours is None:
            self.bring(Subject.CALIBRATION, key, lambda: self.into.add_calibration(theirs))
            return
        side = self.settle(Subject.CALIBRATION, key, differences(ours, theirs))
        if side is Side.THEIRS and not self.dry_run:
            self.into.replace_calibration(theirs)

    def _take_swing(self, folder: Path, theirs: Swing, watch: Watch) -> None:
        key, book = theirs.id, theirs.book
        ours = or_none(lambda: self.into.swing(key))
        if ours is not None and ours.kept_facts != theirs.kept_facts:
            told = differences(ours.kept_facts, theirs.kept_facts) + differences(ours.book, book)
            why = "recordings are facts and are not replaced"
            self.add(Subject.SWING, key, Outcome.OURS, told, said=why)
        elif not self.has_lesson(book.lesson_id, book.student_id):
            self.leave(Subject.SWING, key, Subject.LESSON, book.lesson_id)
        elif ours is not None:
            side = self.settle(Subject.SWING, key, differences(ours.book, book))
            if side is Side.THEIRS and not self.dry_run:
                self.into.save_book(book)
        else:
            self._bring_swing(folder, theirs, watch)

    def _bring_swing(self, folder: Path, theirs: Swing, watch: Watch) -> None:
        media = {r.view: folder / r.file for r in theirs.facts.recordings}
        _need_files(media.values())
        said = ""
        for recording in theirs.facts.recordings:
            kept = self.into.swing_with_hash(recording.sha256)
            if kept is not None:
                said = f"the same recording is here too, in swing {kept.id}"
        self.bring(
            Subject.SWING,
            theirs.id,
            lambda: self.into.keep_swing(theirs.facts, theirs.book, media, watch),
            said=said,
        )

    def _stones(self) -> list[Tombstone]:
        found = []
        for path in sorted(self.other.gone.glob("[!.]*.json")):
            try:
                stone = read_document(path, "tombstone", Tombstone)
                need_key(path, path.stem, stone.id)
            except LibraryError as error:
                self.add(Subject.SWING, path.stem, Outcome.LEFT, said=error.what)
            else:
                found.append(stone)
        kept = [stone for stone in found if stone.subject in _DELETED_IN_ORDER]
        return sorted(kept, key=lambda stone: _DELETED_IN_ORDER.index(stone.subject))

    def _take_deletion(self, stone: Tombstone, watch: Watch) -> None:
        here = or_none(lambda: self._in_words(stone))
        if here is None:
            return
        gone = Difference(field="deleted", ours=here, theirs=stone.gone_at.isoformat())
        side = self.settle(stone.subject, stone.id, (gone,))
        if side is Side.THEIRS and not self.dry_run:
            try:
                self._delete(stone, watch)
            except RefusedError as error:
                self.add(stone.subject, stone.id, Outcome.LEFT, said=error.what)

    def _in_words(self, stone: Tombstone) -> str:
        if stone.subject is Subject.SWING:
            swing = self.into.swing(SwingId(stone.id))
            return f"{swing.book.club}, struck {swing.facts.struck_at:%Y-%m-%d %H:%M}"
        if stone.subject is Subject.LESSON:
            return f"held on {self.into.lesson(LessonId(stone.id)).on}"
        student = self.into.student(StudentId(stone.id))
        return f"{student.name}, with {len(self.into.lessons(student.id))} lessons here"

    def _delete(self, stone: Tombstone, watch: Watch) -> None:
        if stone.subject is Subject.SWING:
            self.into.delete_swing(SwingId(stone.id))
        elif stone.subject is Subject.LESSON:
            self.into.delete_lesson(LessonId(stone.id))
        else:
            self.into.delete_student(StudentId(stone.id), watch)


def _need_files(paths: Iterable[Path]) -> None:
    for path in paths:
        if not path.is_file():
            raise NotReadableError(
                f"{path} is missing.",
                try_next="Bring it back from where it was recorded.",
                subject=str(path),
            )
