"""Whatever a crash left half done is settled from the folders at the next opening."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import LibraryError, OutputError
from capturestation.folders import read_document, write_book, write_document
from capturestation.library import Library
from capturestation.library.places import Subject
from capturestation.library.rows import Person
from capturestation.library.settle import drop, note
from capturestation.records import CalibrationRow
from tests.helpers.library_records import STRUCK, Filled, a_student, fill


@pytest.fixture
def filled(library: Library, originals: Path) -> Filled:
    """One student, lesson and swing, kept."""
    return fill(library, originals)


def crashed(library: Library, subject: Subject, key: str, folder: str = "") -> None:
    """Leave the note that a killed process leaves, and leave the library."""
    note(library._db, subject, key, folder)
    library.close()


def place(library: Library, filled: Filled) -> str:
    """The swing's folder, relative."""
    return library.swing_path(filled.swing.id).relative_to(library.folder).as_posix()


def test_a_folder_that_got_its_name_but_no_rows_is_taken_up(
    library: Library, filled: Filled
) -> None:
    folder = place(library, filled)
    drop(library._db, Subject.SWING, filled.swing.id)
    crashed(library, Subject.SWING, filled.swing.id, folder)

    with Library.open(library.folder) as again:
        assert again.swing(filled.swing.id) == filled.swing
        assert again._rows("SELECT * FROM unsettled") == []


def test_a_book_that_was_written_before_its_rows_wins(library: Library, filled: Filled) -> None:
    starred = replace(filled.swing.book, starred=True)
    folder = place(library, filled)
    write_book(library.folder / folder, starred)
    crashed(library, Subject.SWING, filled.swing.id, folder)

    with Library.open(library.folder) as again:
        assert again.swing(filled.swing.id).book == starred


def test_a_partial_folder_is_cleared_away(library: Library, filled: Filled) -> None:
    partial = library.folder / "swings" / "2026" / "10" / "abc.partial"
    partial.mkdir()
    (partial / "face-on.mp4").write_bytes(b"half")
    beside = library.swing_path(filled.swing.id) / ".book.json.00.partial"
    beside.write_bytes(b"{")
    note(library._db, Subject.SWING, filled.swing.id, place(library, filled))
    crashed(library, Subject.SWING, "abc", "swings/2026/10/abc")

    with Library.open(library.folder) as again:
        assert not partial.exists()
        assert not beside.exists()
        assert again.swings(filled.lesson.id) == (filled.swing,)


def test_a_deletion_that_got_its_stone_is_finished(library: Library, filled: Filled) -> None:
    folder = place(library, filled)
    library.places.bury(Subject.SWING, filled.swing.id)
    crashed(library, Subject.SWING, filled.swing.id, folder)

    with Library.open(library.folder) as again:
        assert again.swings(filled.lesson.id) == ()
        assert not (again.folder / folder).exists()


def test_people_lessons_and_calibrations_are_settled_too(library: Library, filled: Filled) -> None:
    renamed = replace(filled.student, name="Anna Holm")
    moved = replace(filled.lesson, notes="moved")
    row = CalibrationRow(id="c", camera="left", valid_from=STRUCK, document="{}")
    places = library.places
    person = Person(student=renamed, history=renamed.consents)
    write_document(places.file(Subject.STUDENT, renamed.id), "student", person)
    write_document(places.file(Subject.LESSON, moved.id), "lesson", moved)
    write_document(places.file(Subject.CALIBRATION, row.id), "calibration", row)
    for subject, key in (("lesson", moved.id), ("student", renamed.id), ("calibration", "c")):
        note(library._db, Subject(subject), key)
    library.close()

    with Library.open(library.folder) as again:
        assert again.student(renamed.id) == renamed
        assert again.lesson(moved.id) == moved
        assert again.calibrations("left") == (row,)


def test_a_student_whose_file_was_never_written_is_not_there(library: Library) -> None:
    student = a_student()
    partial = library.folder / "people" / f".{student.id}.json.00.partial"
    partial.write_bytes(b"{")
    crashed(library, Subject.STUDENT, student.id)

    with Library.open(library.folder) as again:
        assert again.students() == ()
    assert not partial.exists()


def test_a_damaged_file_leaves_the_rows_and_is_said(
    library: Library, filled: Filled, caplog: pytest.LogCaptureFixture
) -> None:
    folder = place(library, filled)
    (library.folder / folder / "book.json").write_bytes(b"{")
    crashed(library, Subject.SWING, filled.swing.id, folder)

    with Library.open(library.folder) as again:
        assert again.swing(filled.swing.id) == filled.swing

    assert "not taken up after a crash" in caplog.text


def test_whoever_comes_second_settles_nothing(library: Library, filled: Filled) -> None:
    folder = place(library, filled)
    note(library._db, Subject.SWING, filled.swing.id, folder)
    write_book(library.folder / folder, replace(filled.swing.book, starred=True))

    with Library.open(library.folder) as second:
        assert second.swing(filled.swing.id) == filled.swing


def test_when_even_settling_fails_the_first_cause_is_said_and_the_next_opening_settles(
    library: Library,
    filled: Filled,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def refuse(*_: object) -> None:
        raise OutputError("No room for the book.", try_next="")

    def refuse_too(*_: object) -> None:
        raise LibraryError("Locked.", try_next="")

    monkeypatch.setattr("capturestation.library.swings.write_book", refuse)
    monkeypatch.setattr("capturestation.library.store.settle", refuse_too)
    with pytest.raises(OutputError, match="No room for the book"):
        library.save_book(replace(filled.swing.book, starred=True))

    assert "is settled at the next opening: LibraryError" in caplog.text
    library.close()
    with Library.open(library.folder) as again:
        assert again.swing(filled.swing.id) == filled.swing
        assert again._rows("SELECT * FROM unsettled") == []


def test_each_change_is_in_its_file(library: Library, filled: Filled) -> None:
    file = library.places.file(Subject.STUDENT, filled.student.id)

    person = read_document(file, "student", Person)

    assert person == Person(student=filled.student, history=filled.student.consents)
