"""A student's page: lessons and swings, newest first, read as far as somebody looks."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Lesson, LessonId, Student
from capturestation.station.leaf import READ_AT_ONCE, Leaf, Print, key_of, neighbour
from tests.helpers.library_records import DAY, STRUCK, a_lesson, a_struck_swing, a_student, keep


@pytest.fixture
def student(library: Library) -> Student:
    return library.add_student(a_student())


def lesson_with(library: Library, student: Student, folder: Path, day: int, swings: int) -> Lesson:
    """A lesson so many days after the first, with so many swings a minute apart."""
    lesson = library.add_lesson(a_lesson(student, DAY + timedelta(days=day)))
    for minute in range(swings):
        struck_at = STRUCK + timedelta(days=day, minutes=minute)
        keep(library, a_struck_swing(folder, lesson, struck_at=struck_at, size=100))
    return lesson


def test_lessons_and_below_each_its_swings_stand_newest_first(
    library: Library, student: Student, tmp_path: Path
) -> None:
    early = lesson_with(library, student, tmp_path, 0, 2)
    late = lesson_with(library, student, tmp_path, 1, 1)

    leaf = Leaf(library, student.id)

    swings = [s.id for s in library.swings(early.id)]
    last = library.swings(late.id)[0].id
    assert [key_of(line) for line in leaf.lines] == [late.id, last, early.id, *swings[::-1]]
    assert not leaf.has_more
    assert leaf.read_more() == ()


def test_a_long_page_is_read_as_far_as_somebody_looks(library: Library, student: Student) -> None:
    days = [library.add_lesson(a_lesson(student, DAY - timedelta(days=n))) for n in range(100)]

    leaf = Leaf(library, student.id)
    assert len(leaf.lines) == READ_AT_ONCE
    assert leaf.has_more

    fresh = leaf.read_to(days[60].id)
    assert key_of(fresh[-1]) == days[60].id
    assert [key_of(line) for line in leaf.lines] == [day.id for day in days[:61]]
    assert leaf.read_to(days[3].id) == ()
    assert leaf.read_to(LessonId("gone")) == ()
    assert len(leaf.lines) == 61


def test_reading_again_sees_what_changed_and_reaches_as_far_as_before(
    library: Library, student: Student, tmp_path: Path
) -> None:
    lesson = lesson_with(library, student, tmp_path, 0, 1)
    older = [library.add_lesson(a_lesson(student, DAY - timedelta(days=n + 1))) for n in range(60)]
    leaf = Leaf(library, student.id)
    leaf.read_to(older[50].id)

    swing = library.swings(lesson.id)[0]
    library.change_book(swing.id, lambda book: replace(book, starred=True))
    newest = library.add_lesson(a_lesson(student, DAY + timedelta(days=1)))
    leaf.read_again()

    assert key_of(leaf.lines[0]) == newest.id
    assert isinstance(leaf.lines[2], Print)
    assert leaf.lines[2].swing.book.starred
    assert key_of(leaf.lines[-1]) == older[50].id


def test_one_swing_is_read_again_in_its_place(
    library: Library, student: Student, tmp_path: Path
) -> None:
    lesson = lesson_with(library, student, tmp_path, 0, 3)
    leaf = Leaf(library, student.id)
    swing = library.swings(lesson.id)[1]
    library.change_book(swing.id, lambda book: replace(book, club="driver"))

    leaf.read_swing(swing.id)

    prints = [line for line in leaf.lines if isinstance(line, Print)]
    assert [one.swing.book.club for one in prints] == ["7 iron", "driver", "7 iron"]


def test_a_neighbour_is_found_over_lessons_and_up_to_the_ends(
    library: Library, student: Student, tmp_path: Path
) -> None:
    early = lesson_with(library, student, tmp_path, 0, 1)
    late = lesson_with(library, student, tmp_path, 1, 1)
    lines = Leaf(library, student.id).lines
    old, new = (library.swings(one.id)[0] for one in (early, late))

    assert neighbour(lines, new.id, 1) == Print(swing=old, lesson=early)
    assert neighbour(lines, old.id, -1) == Print(swing=new, lesson=late)
    assert neighbour(lines, old.id, 1) is None
    assert neighbour(lines, None, 1) == Print(swing=new, lesson=late)
    assert neighbour((), None, 1) is None
