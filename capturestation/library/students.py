"""Students and what they allowed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import replace

from sqlite_utils import Database

from capturestation.errors import RefusedError
from capturestation.folders import check_id, remove_file, write_document
from capturestation.library.finding import Candidate, matches, nothing, only_one, prefix_range
from capturestation.library.places import Subject
from capturestation.library.rows import Person, fold, latest, persons, put_person
from capturestation.library.store import Store, missing
from capturestation.records import Consent, Student, StudentId


class Students(Store):
    """The students of a library; each change is also in `people/<id>.json`."""

    def add_student(self, student: Student) -> Student:
        """Add a student whose id is new.

        Raises:
            ValueError: If the id is or was in the library.
            OutputError: If it can't be written; nothing was added.
        """
        check_id(student.id)
        self._need_free(Subject.STUDENT, student.id)
        with self._changing(Subject.STUDENT, student.id) as db:
            return self._write_person(db, student, (), student.consents)

    def withdraw_student(self, student_id: StudentId) -> Person:
        """Take back a student who was written down by a slip; there is nothing of him yet.

        Unlike a deleted one he leaves no tombstone: the same id may come again, by `keep_person`.

        Returns:
            As he was.

        Raises:
            NotFoundError: If there is no such student.
            RefusedError: If he has a lesson by now; he stays.
        """
        with self._settling(Subject.STUDENT, student_id):
            # Rows go first: killed between the two, the next opening finds the file and a whole
            # student again.
            with self._transaction() as db:
                person = self._person(student_id)
                self._refuse_if_used(person.student)
                db.execute("DELETE FROM students WHERE id = ?", [student_id])
            remove_file(self.places.file(Subject.STUDENT, student_id))
            with self._finishing(Subject.STUDENT, student_id):
                pass
        return person

    def _refuse_if_used(self, student: Student) -> None:
        if self._rows("SELECT id FROM lessons WHERE student_id = ? LIMIT 1", [student.id]):
            raise RefusedError(
                f"{student.name} has lessons by now, so the student stays.",
                try_next="Forget the student with everything instead.",
                subject=student.id,
            )

    def save_student(self, student: Student) -> Student:
        """Replace what is known of a student; new answers about consent join the history.

        Returns:
            The student as kept: of two answers to one question the one of the later day counts.

        Raises:
            NotFoundError: If there is no such student.
            OutputError: If it can't be written; the old stands.
        """
        self._need(Subject.STUDENT, student.id)
        with self._changing(Subject.STUDENT, student.id) as db:
            known = self._person(student.id)
            return self._write_person(db, student, known.history, student.consents)

    def change_student(
        self, student_id: StudentId, change: Callable[[Student], Student]
    ) -> Student:
        """Change a student as he stands now, not as he was read some time ago.

        Args:
            student_id: Who.
            change: Gets what is known and gives what shall be; may refuse by raising, and then the
                old stands.

        Raises:
            NotFoundError: If there is no such student.
            OutputError: If it can't be written; the old stands.
        """
        self._need(Subject.STUDENT, student_id)
        with self._changing(Subject.STUDENT, student_id) as db:
            known = self._person(student_id)
            student = change(known.student)
            if student.id != student_id:
                msg = f"a change of {student_id} may not make it {student.id}"
                raise ValueError(msg)
            if student == known.student:
                return student
            return self._write_person(db, student, known.history, student.consents)

    def set_consent(self, student_id: StudentId, consent: Consent) -> Student:
        """Write down one answer; earlier answers stay in the history.

        Raises:
            NotFoundError: If there is no such student.
            OutputError: If it can't be written; nothing was added.
        """
        self._need(Subject.STUDENT, student_id)
        with self._changing(Subject.STUDENT, student_id) as db:
            known = self._person(student_id)
            return self._write_person(db, known.student, known.history, (consent,))

    def _write_person(
        self,
        db: Database,
        student: Student,
        history: tuple[Consent, ...],
        answers: tuple[Consent, ...],
    ) -> Student:
        # Yes, no and yes again on one day are three answers: an answer is new unless it counts.
        counting = latest(history)
        history += tuple(answer for answer in answers if answer not in counting)
        kept = replace(student, consents=latest(history))
        person = Person(student=kept, history=history)
        put_person(db, person)
        write_document(self.places.file(Subject.STUDENT, student.id), "student", person)
        return kept

    def keep_person(self, person: Person) -> Student:
        """Write a student with every answer ever given, in place of what was there.

        Raises:
            OutputError: If it can't be written; the old stands.
        """
        check_id(person.student.id)
        with self._changing(Subject.STUDENT, person.student.id) as db:
            return self._write_person(db, person.student, person.history, ())

    def person(self, student_id: StudentId) -> Person:
        """The student of that id with every answer ever given.

        Raises:
            NotFoundError: If there is none.
        """
        return self._person(student_id)

    def student(self, student_id: StudentId) -> Student:
        """The student of that id.

        Raises:
            NotFoundError: If there is none.
        """
        return self._person(student_id).student

    def students(self) -> tuple[Student, ...]:
        """All students by name."""
        return tuple(p.student for p in self._persons("ORDER BY name_folded, id"))

    def find_students(self, text: str) -> tuple[Student, ...]:
        """Students of whose name each word of `text` starts a word, by name.

        Case and accents don't matter; an empty text finds all.
        """
        return self.students_of(self.student_ids(text))

    def student_ids(self, text: str) -> tuple[StudentId, ...]:
        """Ids of those that `find_students` finds, in its order; nothing else of them is read."""
        names = self._rows("SELECT id, name_folded FROM students ORDER BY name_folded, id")
        query = fold(text)
        fits = (row for row in names if matches(query, str(row["name_folded"])))
        return tuple(StudentId(str(row["id"])) for row in fits)

    def students_of(self, ids: Iterable[StudentId]) -> tuple[Student, ...]:
        """Those of these students that are there, by name."""
        found = list(ids)
        among = "WHERE id IN (SELECT value FROM json_each(?)) ORDER BY name_folded, id"
        return tuple(p.student for p in self._persons(among, [json.dumps(found)]))

    def find_student(self, text: str) -> Student:
        """The one student meant by an id, the start of one, a name or a part of it.

        Raises:
            NotFoundError: If none or more than one fits; says which come near.
        """
        low, high = prefix_range(text)
        known = self._rows("SELECT id, name, name_folded FROM students ORDER BY name_folded, id")
        query = fold(text)
        exact = [r for r in known if query and query in (r["id"], r["name_folded"])]
        loose = [
            row
            for row in known
            if query and (low <= str(row["id"]) < high or matches(query, str(row["name_folded"])))
        ]
        found = [_candidate(str(r["id"]), str(r["name"])) for r in exact or loose]
        if not found:
            everyone = [_candidate(str(r["id"]), str(r["name"])) for r in known]
            raise nothing(Subject.STUDENT, text, everyone)
        return self.student(StudentId(only_one(Subject.STUDENT, text, found)))

    def _person(self, student_id: StudentId) -> Person:
        found = self._persons("WHERE id = ?", [student_id])
        if not found:
            raise missing(Subject.STUDENT, student_id)
        return found[0]

    def _persons(self, where: str, values: tuple[str, ...] | list[str] = ()) -> list[Person]:
        with self._lock:
            students = self._rows(f"SELECT * FROM students {where}", values)
            ids = json.dumps([row["id"] for row in students])
            among = "student_id IN (SELECT value FROM json_each(?))"
            order = "ORDER BY student_id, place"
            consents = self._rows(f"SELECT * FROM consents WHERE {among} {order}", [ids])
        return persons(students, consents)


def _candidate(key: str, name: str) -> Candidate:
    return Candidate(key, f"{name} ({key[:6]})", name)
