"""The schema grows by steps; an older library is copied and brought up, a newer one refused."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlite_utils import Database

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.library.connecting import connect
from capturestation.library.places import Places
from capturestation.library.rows import Person, Row, insert, put_person, put_swing
from capturestation.library.schema import NEWEST, STEPS, Step, schema_number, upgrade
from capturestation.records import Lesson, LessonId, StudentId, Swing
from tests.helpers.library_records import STRUCK, Struck, a_lesson, a_struck_swing, a_student
from tests.helpers.made_swings import made_swing

LATER = {
    "syncs": ("contact_seen_ns", "contact_seen_u_ns", "media_per_swing"),
    "swings": ("drawings", "spots", "moved", "exchanged"),
}
"""Columns that the first version did not have."""


def first_insert(db: Database, table: str, rows: list[Row]) -> None:
    """Insert rows as the first version wrote them."""
    later = LATER.get(table, ())
    insert(db, table, [{k: v for k, v in row.items() if k not in later} for row in rows])


def first_lesson(db: Database, lesson: Lesson) -> None:
    """Insert a lesson as the first version wrote it."""
    row = {"id": lesson.id, "student_id": lesson.student_id, "held_on": lesson.on.isoformat()}
    row |= {"focus": json.dumps(lesson.focus), "notes": lesson.notes}
    db.table("lessons").insert(row)


def first_version(folder: Path, originals: Path) -> Struck:
    """A library as the first step made it, with one swing in its rows."""
    places = Places(folder)
    places.make()
    student = a_student()
    lesson = a_lesson(student)
    struck = a_struck_swing(originals, lesson)
    with closing(connect(places.database)) as db, pytest.MonkeyPatch.context() as patch:
        patch.setattr("capturestation.library.schema.STEPS", STEPS[:1])
        upgrade(db, places.database)
        patch.setattr("capturestation.library.rows.insert", first_insert)
        with db.atomic():
            put_person(db, Person(student=student, history=student.consents))
            first_lesson(db, lesson)
            put_swing(db, Swing(facts=struck.facts, book=struck.book), "swings/2026/10/a")
    return struck


def test_the_steps_are_numbered_from_one_and_each_says_what_it_does() -> None:
    assert [step.number for step in STEPS] == list(range(1, NEWEST + 1))
    assert all(step.sentence.endswith(".") for step in STEPS)


def test_a_library_of_the_first_version_is_brought_up_with_its_rows(
    tmp_path: Path, originals: Path
) -> None:
    struck = first_version(tmp_path / "library", originals)

    with Library.open(tmp_path / "library") as library:
        assert library.swing(struck.facts.id).book == struck.book
        ledger = library._rows("SELECT number, sentence FROM schema_steps ORDER BY number")

    assert [(row["number"], row["sentence"]) for row in ledger] == [
        (step.number, step.sentence) for step in STEPS
    ]


def test_the_rows_before_the_upgrade_are_kept_beside(tmp_path: Path, originals: Path) -> None:
    struck = first_version(tmp_path / "library", originals)

    Library.open(tmp_path / "library").close()

    copy = tmp_path / "library" / "library.sqlite.schema-1"
    with closing(connect(copy)) as db:
        assert schema_number(db, copy) == 1
        assert [row["id"] for row in db.query("SELECT id FROM swings")] == [struck.facts.id]


def test_a_step_that_fails_leaves_the_step_before(
    tmp_path: Path, originals: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_version(tmp_path / "library", originals)

    def half(db: Database) -> None:
        db.execute("CREATE TABLE half (id TEXT)")
        db.execute("CREATE TABLE half (id TEXT)")

    steps = (STEPS[0], Step(2, "Fails.", half))
    monkeypatch.setattr("capturestation.library.schema.STEPS", steps)
    with pytest.raises(LibraryError, match="already exists"):
        Library.open(tmp_path / "library")

    database = tmp_path / "library" / "library.sqlite"
    with closing(connect(database)) as db:
        assert schema_number(db, database) == 1
        assert not db.table("half").exists()


def test_a_newer_library_is_refused_and_not_touched(tmp_path: Path) -> None:
    Library.open(tmp_path / "library").close()
    database = tmp_path / "library" / "library.sqlite"
    with closing(sqlite3.connect(database)) as connection, connection:
        row = (NEWEST + 1, "Later.", datetime.now(UTC).isoformat())
        connection.execute("INSERT INTO schema_steps VALUES (?, ?, ?)", row)
    before = database.read_bytes()

    with pytest.raises(LibraryError, match=f"schema {NEWEST + 1}.*up to {NEWEST}.*newest program"):
        Library.open(tmp_path / "library")

    assert database.read_bytes() == before


def test_beside_an_older_program_nothing_is_upgraded(tmp_path: Path, originals: Path) -> None:
    Library.open(tmp_path / "library").close()
    with Library.open(tmp_path / "library") as older:
        older._db.execute(f"DELETE FROM schema_steps WHERE number = {NEWEST}")

        with pytest.raises(LibraryError, match="older program"):
            Library.open(tmp_path / "library")

        assert schema_number(older._db, older.places.database) == NEWEST - 1


QUESTIONS: dict[str, Callable[[Library], object]] = {
    "recordings_of_camera": lambda library: library.swings_of_camera("a", STRUCK, 9),
    "lessons_newest": lambda library: library.lessons(StudentId("a")),
    "swings_of_lesson": lambda library: library.swings(LessonId("a")),
    "swings_of_student": lambda library: library.swings_of(StudentId("a")),
    "swings_best": lambda library: library.may_stand_beside(made_swing("a")),
    "swings_newest": lambda library: library.latest_swing(),
    "lessons_by_day": lambda library: library.newest_lessons(),
    "recordings_by_hash": lambda library: library.swing_with_hash("a"),
    "students_by_name": lambda library: library.find_students("a"),
    "calibrations_held": lambda library: library.calibration_at("a", STRUCK),
}
"""What is asked often, by the index that answers it."""
SORTED_AFTERWARDS = (
    "recordings_by_hash",
    "recordings_of_camera",
    "swings_best",
    "students_by_name",
)
"""Those that find a handful and put it in order."""


@pytest.mark.parametrize("index", QUESTIONS)
def test_each_frequent_question_goes_by_its_index(library: Library, index: str) -> None:
    asked: list[str] = []
    library._db.conn.set_trace_callback(asked.append)
    QUESTIONS[index](library)
    library._db.conn.set_trace_callback(None)

    questions = [sql for sql in asked if sql.startswith("SELECT")]
    plans = [str(r["detail"]) for q in questions for r in library._rows(f"EXPLAIN QUERY PLAN {q}")]

    assert any(f"INDEX {index}" in plan for plan in plans)
    assert not any(p.startswith("SCAN swings") and "USING INDEX" not in p for p in plans)
    assert any("TEMP B-TREE" in plan for plan in plans) is (index in SORTED_AFTERWARDS)
