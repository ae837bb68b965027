"""Looking a library over finds what is wrong, names it, and changes nothing."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, NotFoundError
from capturestation.library import Library, Problem
from capturestation.library.places import Subject
from capturestation.library.settle import drop
from capturestation.records import Quiet, StopAfter
from tests.helpers.library_records import Filled, a_student, files_below, fill


@pytest.fixture
def filled(library: Library, originals: Path) -> Filled:
    """One student, lesson and swing, kept."""
    return fill(library, originals)


def test_a_sound_library_has_no_finding(library: Library, filled: Filled) -> None:
    report = library.check(Quiet())

    assert report.sound
    assert (report.swings, report.files) == (1, len(filled.swing.facts.recordings))


def flip_a_byte(path: Path) -> None:
    """Change one byte and not the length."""
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def cut(path: Path) -> None:
    """Lose the last byte."""
    path.write_bytes(path.read_bytes()[:-1])


def halve(path: Path) -> None:
    """Lose the second half."""
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


@pytest.mark.parametrize(
    ("name", "harm", "problem"),
    [
        ("face-on.mp4", Path.unlink, Problem.MISSING),
        ("face-on.mp4", flip_a_byte, Problem.CHANGED),
        ("down-the-line.mp4", cut, Problem.CHANGED),
        ("swing.json", Path.unlink, Problem.MISSING),
        ("book.json", halve, Problem.UNREADABLE),
    ],
)
def test_a_harmed_file_of_a_swing_is_named(
    library: Library, filled: Filled, name: str, harm: Callable[[Path], None], problem: Problem
) -> None:
    path = library.swing_path(filled.swing.id) / name
    harm(path)
    before = files_below(library.folder)

    report = library.check(Quiet())

    assert report.of(problem) == (path,)
    assert len(report.findings) == 1
    assert files_below(library.folder) == before


def test_a_book_edited_by_other_hands_differs(library: Library, filled: Filled) -> None:
    path = library.swing_path(filled.swing.id) / "book.json"
    path.write_text(path.read_text(encoding="utf-8").replace("7 iron", "8 iron"), encoding="utf-8")

    assert library.check(Quiet()).of(Problem.DIFFERS) == (path,)


def test_rows_without_folder_and_folders_without_rows_are_named(
    library: Library, filled: Filled, originals: Path
) -> None:
    other = fill(library, originals)
    lost, orphan = library.swing_path(filled.swing.id), library.swing_path(other.swing.id)
    shutil.rmtree(lost)
    drop(library._db, Subject.SWING, other.swing.id)
    half = orphan.with_name("half.partial")
    half.mkdir()

    report = library.check(Quiet())

    assert report.of(Problem.NO_FOLDER) == (lost,)
    assert report.of(Problem.ORPHANED) == (orphan,)
    assert report.of(Problem.PARTIAL) == (half,)
    assert len(report.findings) == 3


def test_files_of_students_and_lessons_are_looked_over_too(
    library: Library, filled: Filled
) -> None:
    person = library.places.file(Subject.STUDENT, filled.student.id)
    lesson = library.places.file(Subject.LESSON, filled.lesson.id)
    stray = lesson.with_name("stray.json")
    stray.write_bytes(lesson.read_bytes())
    lesson.unlink()
    cut_short = person.with_name(f".{person.name}.00.partial")
    cut_short.write_bytes(b"{")
    flip = person.read_text(encoding="utf-8").replace("Anna", "Anne")
    person.write_text(flip, encoding="utf-8")

    report = library.check(Quiet())

    assert report.of(Problem.MISSING) == (lesson,)
    assert report.of(Problem.ORPHANED) == (stray,)
    assert report.of(Problem.PARTIAL) == (cut_short,)
    assert report.of(Problem.DIFFERS) == (person,)


def test_looking_over_can_be_stopped(library: Library, filled: Filled) -> None:
    with pytest.raises(CancelledError):
        library.check(StopAfter(0.4))

    assert library.swing(filled.swing.id) == filled.swing


def test_no_byte_of_a_forgotten_students_name_and_notes_is_left(
    library: Library, filled: Filled
) -> None:
    secret = b"Quendolina"
    library.save_student(replace(filled.student, name="Quendolina", notes="Quendolina " * 900))
    assert any(secret in path.read_bytes() for path in library.folder.glob("library.*"))

    library.delete_student(filled.student.id, Quiet())

    files = [path for path in library.folder.rglob("*") if path.is_file()]
    assert [path for path in files if secret in path.read_bytes()] == []


def test_a_forgotten_student_is_gone_everywhere(
    library: Library, filled: Filled, originals: Path
) -> None:
    stays = fill(library, originals)
    old_rows = library.folder / "library.sqlite.old"
    old_rows.write_bytes(b"Anna Berg")

    library.delete_student(filled.student.id, Quiet())

    assert library.students() == (stays.student,)
    assert not old_rows.exists()
    left = {k: v for k, v in files_below(library.folder).items() if not k.startswith("gone/")}
    assert not any(filled.student.id in text for text in left)
    assert not any(filled.student.id.encode() in data for data in left.values())
    assert library.check(Quiet()).sound
    with pytest.raises(NotFoundError):
        library.delete_student(a_student().id, Quiet())
