"""What a newer program wrote is never written over by this one."""

from __future__ import annotations

import json
import logging
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from capturestation.errors import LibraryError
from capturestation.library import Library, Subject, rebuild
from capturestation.library.schema import NEWEST
from capturestation.records import Quiet
from tests.helpers.library_records import Filled

Change = Callable[[Library, Filled], object]
CHANGES: dict[str, Change] = {
    "student": lambda library, filled: library.save_student(replace(filled.student, notes="x")),
    "answer": lambda library, filled: library.set_consent(
        filled.student.id, replace(filled.student.consents[0], given=False)
    ),
    "lesson": lambda library, filled: library.save_lesson(replace(filled.lesson, notes="x")),
    "book": lambda library, filled: library.change_book(
        filled.swing.id, lambda book: replace(book, starred=not book.starred)
    ),
}


def file_of(library: Library, filled: Filled, what: str) -> Path:
    """The file that a change would replace."""
    if what == "book":
        return library.swing_path(filled.swing.id) / "book.json"
    if what == "lesson":
        return library.places.file(Subject.LESSON, filled.lesson.id)
    return library.places.file(Subject.STUDENT, filled.student.id)


@pytest.mark.parametrize("what", CHANGES)
def test_a_change_of_a_file_of_a_newer_program_is_refused_and_changes_nothing(
    library: Library, filled: Filled, what: str, caplog: pytest.LogCaptureFixture
) -> None:
    path = file_of(library, filled, what)
    body = json.loads(path.read_text(encoding="utf-8"))
    newer = json.dumps(body | {"version": 99, "mood": "good"})
    path.write_text(newer, encoding="utf-8")

    with caplog.at_level(logging.WARNING), pytest.raises(LibraryError, match="version 99"):
        CHANGES[what](library, filled)

    assert path.read_text(encoding="utf-8") == newer
    assert library.student(filled.student.id) == filled.student
    assert library.lesson(filled.lesson.id) == filled.lesson
    assert library.swing(filled.swing.id) == filled.swing
    assert caplog.records == []


def test_a_student_of_a_newer_program_can_be_forgotten(library: Library, filled: Filled) -> None:
    path = file_of(library, filled, "student")
    path.write_text(path.read_text(encoding="utf-8").replace(": 1,", ": 99,", 1), encoding="utf-8")

    library.delete_student(filled.student.id, Quiet())

    assert not path.exists()
    assert library.students() == ()


def test_rows_of_a_newer_program_are_not_rebuilt(library: Library, filled: Filled) -> None:
    folder = library.folder
    library.close()
    database = folder / "library.sqlite"
    with closing(sqlite3.connect(database)) as connection, connection:
        row = (NEWEST + 1, "Later.", datetime.now(UTC).isoformat())
        connection.execute("INSERT INTO schema_steps VALUES (?, ?, ?)", row)
    before = database.read_bytes()

    with pytest.raises(LibraryError, match=f"schema {NEWEST + 1}"):
        rebuild(folder, Quiet())

    assert database.read_bytes() == before
    assert not (folder / "library.sqlite.old").exists()
