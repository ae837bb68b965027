"""Lessons, newest first."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from capturestation.errors import RefusedError
from capturestation.folders import check_id, remove_file, write_document
from capturestation.library.finding import Candidate, nothing, only_one, prefix_range
from capturestation.library.places import Subject
from capturestation.library.rows import lesson_from, listed, put_lesson
from capturestation.library.settle import drop, remove_media
from capturestation.library.store import Store, missing
from capturestation.records import Lesson, LessonId, Plain, StudentId

_NEWEST = "ORDER BY held_on DESC, id"
_NEAR_FROM = 200
# Names are compared one by one when nothing fits; older lessons than these are rarely meant.


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonWords:
    """What a lesson can be found by.

    Args:
        id: The lesson's.
        on: Its day.
        name: The student's, folded.
        text: Its focus and the clubs of its swings.
    """

    id: LessonId
    on: date
    name: str
    text: str


class Lessons(Store):
    """The lessons of a library; each change is also in `lessons/<id>.json`."""

    def add_lesson(self, lesson: Lesson) -> Lesson:
        """Add a lesson whose id is new.

        Raises:
            ValueError: If the id is or was in the library.
            NotFoundError: If there is no such student.
            OutputError: If it can't be written; nothing was added.
        """
        check_id(lesson.id)
        self._need_free(Subject.LESSON, lesson.id)
        self._need(Subject.STUDENT, lesson.student_id)
        return self._write_lesson(lesson)

    def save_lesson(self, lesson: Lesson) -> Lesson:
        """Replace what is known of a lesson; it stays with its student.

        Raises:
            NotFoundError: If there is no such lesson.
            ValueError: If it is another student's: its swings would contradict it.
            OutputError: If it can't be written; the old stands.
        """
        known = self.lesson(lesson.id)
        if known.student_id != lesson.student_id:
            msg = f"the lesson {lesson.id} is of {known.student_id}, not {lesson.student_id}"
            raise ValueError(msg)
        return self._write_lesson(lesson)

    def change_lesson(self, lesson_id: LessonId, change: Callable[[Lesson], Lesson]) -> Lesson:
        """Change a lesson as it stands now, not as it was read some time ago.

        Args:
            lesson_id: Which.
            change: Gets what is known and gives what shall be; may refuse by raising, and then the
                old stands.

        Raises:
            NotFoundError: If there is no such lesson.
            OutputError: If it can't be written; the old stands.
        """
        self.lesson(lesson_id)
        with self._changing(Subject.LESSON, lesson_id) as db:
            known = self.lesson(lesson_id)
            lesson = change(known)
            if (lesson.id, lesson.student_id) != (known.id, known.student_id):
                msg = f"a change of {lesson_id} may not make it another lesson"
                raise ValueError(msg)
            if lesson != known:
                put_lesson(db, lesson)
                write_document(self.places.file(Subject.LESSON, lesson_id), "lesson", lesson)
            return lesson

    def _write_lesson(self, lesson: Lesson) -> Lesson:
        with self._changing(Subject.LESSON, lesson.id) as db:
            put_lesson(db, lesson)
            write_document(self.places.file(Subject.LESSON, lesson.id), "lesson", lesson)
        return lesson

    def lesson(self, lesson_id: LessonId) -> Lesson:
        """The lesson of that id.

        Raises:
            NotFoundError: If there is none.
        """
        found = self._rows("SELECT * FROM lessons WHERE id = ?", [lesson_id])
        if not found:
            raise missing(Subject.LESSON, lesson_id)
        return lesson_from(found[0])

    def lessons(self, student_id: StudentId) -> tuple[Lesson, ...]:
        """A student's lessons, newest first; none for a student who is not there."""
        sql = f"SELECT * FROM lessons WHERE student_id = ? {_NEWEST}"
        return tuple(lesson_from(row) for row in self._rows(sql, [student_id]))

    def newest_lessons(self, most: int = 20) -> tuple[Lesson, ...]:
        """The newest lessons of all students."""
        return tuple(
            lesson_from(row)
            for row in self._rows(f"SELECT * FROM lessons {_NEWEST} LIMIT ?", [most])
        )

    def last_days(self) -> dict[StudentId, date]:
        """The day of each student's newest lesson; a student without one isn't among them."""
        rows = self._rows("SELECT student_id, max(held_on) AS day FROM lessons GROUP BY student_id")
        return {StudentId(str(r["student_id"])): date.fromisoformat(str(r["day"])) for r in rows}

    def lesson_words(self) -> tuple[LessonWords, ...]:
        """What each lesson can be found by, newest first; reads no more of them than that."""
        clubs = self._rows(
            "SELECT lesson_id, group_concat(DISTINCT club) AS clubs FROM swings GROUP BY lesson_id"
        )
        by_lesson = {str(row["lesson_id"]): str(row["clubs"]).replace(",", " ") for row in clubs}
        rows = self._rows(
            "SELECT l.id, l.held_on, l.focus, s.name_folded FROM lessons AS l"
            " JOIN students AS s ON s.id = l.student_id ORDER BY l.held_on DESC, l.id"
        )
        return tuple(
            LessonWords(
                id=LessonId(str(row["id"])),
                on=date.fromisoformat(str(row["held_on"])),
                name=str(row["name_folded"]),
                text=f"{_joined(row['focus'])} {by_lesson.get(str(row['id']), '')}",
            )
            for row in rows
        )

    def lessons_among(self, ids: Iterable[LessonId]) -> tuple[Lesson, ...]:
        """Those of these lessons that are there, newest first."""
        among = "(SELECT value FROM json_each(?))"
        sql = f"SELECT * FROM lessons WHERE id IN {among} {_NEWEST}"
        return tuple(lesson_from(row) for row in self._rows(sql, [json.dumps(list(ids))]))

    def changes_elsewhere(self) -> int:
        """A number that is another one once another program, or window, changed the rows."""
        return int(str(self._rows("PRAGMA data_version")[0]["data_version"]))

    def lesson_on(self, student_id: StudentId, on: date) -> Lesson | None:
        """A student's lesson on that day, or None on a day without one."""
        sql = "SELECT * FROM lessons WHERE student_id = ? AND held_on = ? ORDER BY id"
        found = self._rows(sql, [student_id, on.isoformat()])
        return lesson_from(found[0]) if found else None

    def find_lesson(self, prefix: str) -> Lesson:
        """The one lesson whose id starts so.

        Raises:
            NotFoundError: If none or more than one does; says which come near.
        """
        sql = f"SELECT id, held_on FROM lessons WHERE id >= ? AND id < ? {_NEWEST} LIMIT 20"
        found = self._rows(sql, prefix_range(prefix)) if prefix.strip() else []
        if not found:
            known = self.newest_lessons(_NEAR_FROM)
            raise nothing(Subject.LESSON, prefix, (_candidate(x.id, str(x.on)) for x in known))
        several = [_candidate(str(r["id"]), str(r["held_on"])) for r in found]
        return self.lesson(LessonId(only_one(Subject.LESSON, prefix, several)))

    def withdraw_lesson(self, lesson_id: LessonId) -> None:
        """Take back a lesson that was opened for a swing that then didn't come.

        Unlike a deleted one it leaves no tombstone: it never held anything. One that holds a swing
        by now stays.
        """
        with self._settling(Subject.LESSON, lesson_id):
            # Rows go first: killed between the two, the next opening finds the file and a whole
            # lesson again.
            with self._transaction() as db:
                held = "EXISTS (SELECT 1 FROM swings WHERE lesson_id = lessons.id)"
                db.execute(f"DELETE FROM lessons WHERE id = ? AND NOT {held}", [lesson_id])
            if not self._exists(Subject.LESSON, lesson_id):
                remove_file(self.places.file(Subject.LESSON, lesson_id))
            with self._finishing(Subject.LESSON, lesson_id):
                pass

    def delete_lesson(self, lesson_id: LessonId) -> None:
        """Delete a lesson that holds no swing.

        Raises:
            NotFoundError: If there is no such lesson.
            RefusedError: If it still holds swings; nothing was deleted.
        """
        self._need(Subject.LESSON, lesson_id)
        held = self._rows("SELECT count(*) AS n FROM swings WHERE lesson_id = ?", [lesson_id])
        if held[0]["n"]:
            raise RefusedError(
                f"The lesson {lesson_id} still holds {held[0]['n']} swings.",
                try_next="Delete its swings or move them to another lesson first.",
                subject=lesson_id,
            )
        with self._changing(Subject.LESSON, lesson_id, removes=True) as db:
            drop(db, Subject.LESSON, lesson_id)
            self.places.bury(Subject.LESSON, lesson_id)
            remove_media(self.places, Subject.LESSON, lesson_id, "")


def _joined(focus: Plain) -> str:
    things = listed(focus)
    return " ".join(map(str, things)) if isinstance(things, list) else ""


def _candidate(key: str, on: str) -> Candidate:
    return Candidate(key, f"{key} of {on}")
