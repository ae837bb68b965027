"""What was deleted on either side is never revived, and never deleted on the other unasked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from capturestation.library import (
    Library,
    Outcome,
    Side,
    Subject,
    merge_library,
)
from capturestation.records import Lesson, Quiet, SwingId
from tests.helpers.library_records import Filled, a_lesson, fill
from tests.library.test_merge import words


def test_what_was_deleted_here_stays_deleted(
    library: Library, filled: Filled, laptop: Path, originals: Path
) -> None:
    library.delete_swing(filled.swing.id)

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    assert words(report.items) == [("swing", filled.swing.id, Outcome.GONE_HERE.value)]
    assert library.swings(filled.lesson.id) == ()


def test_who_was_forgotten_here_does_not_come_back_with_a_new_lesson(
    library: Library, filled: Filled, laptop: Path, originals: Path
) -> None:
    with Library.open(laptop) as far:
        new = far.add_lesson(a_lesson(filled.student, date(2026, 11, 2)))
    library.delete_student(filled.student.id, Quiet())

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    assert library.students() == ()
    left = {item.id: item.said for item in report.of(Outcome.LEFT)}
    assert left == {new.id: f"its student {filled.student.id} was deleted here"}
    assert {item.id for item in report.of(Outcome.GONE_HERE)} == {
        filled.student.id,
        filled.lesson.id,
        filled.swing.id,
    }
    files = [p for p in library.folder.rglob("*") if p.is_file()]
    assert not any(b"Anna" in p.read_bytes() for p in files)


@pytest.mark.parametrize("side", Side)
def test_what_was_deleted_there_is_shown_and_goes_here_only_when_chosen(
    library: Library, filled: Filled, laptop: Path, side: Side
) -> None:
    with Library.open(laptop) as far:
        far.delete_student(filled.student.id, Quiet())

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: side)

    outcome = Outcome.OURS if side is Side.OURS else Outcome.THEIRS
    assert [(item.subject, item.outcome) for item in report.conflicts] == [
        (Subject.SWING, outcome),
        (Subject.LESSON, outcome),
        (Subject.STUDENT, outcome),
    ]
    told = [d for item in report.items for d in item.differences]
    assert {d.field for d in told} == {"deleted"}
    assert "Anna Berg, with " in str(told[-1].ours)
    assert [s.id for s in library.students()] == ([filled.student.id] if side is Side.OURS else [])
    assert library.check(Quiet()).sound


def test_a_lesson_that_holds_more_here_is_not_deleted_for_the_other_side(
    library: Library, filled: Filled, laptop: Path, originals: Path
) -> None:
    with Library.open(laptop) as far:
        far.delete_swing(filled.swing.id)
        far.delete_lesson(filled.lesson.id)
    kept = fill_lesson(library, filled.lesson, originals)

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    assert [s.id for s in library.swings(filled.lesson.id)] == [kept]
    assert "still holds 1 swing" in report.of(Outcome.LEFT)[0].said


def fill_lesson(library: Library, lesson: Lesson, originals: Path) -> SwingId:
    """One more swing for a lesson."""
    other = fill(library, originals)
    book = replace(other.swing.book, student_id=lesson.student_id, lesson_id=lesson.id)
    return library.save_book(book).id
