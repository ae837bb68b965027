"""Lessons: newest first, one student each, deleted only when empty."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from capturestation.errors import NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.records import LessonId
from tests.helpers.library_records import (
    DAY,
    a_lesson,
    a_struck_swing,
    a_student,
    fill,
    keep,
)

EARLIER = date(2026, 9, 18)


def test_the_newest_lesson_comes_first(library: Library) -> None:
    student = library.add_student(a_student())
    first = library.add_lesson(a_lesson(student, EARLIER))
    second = library.add_lesson(a_lesson(student, DAY))

    assert library.lessons(student.id) == (second, first)
    assert library.newest_lessons(1) == (second,)


def test_a_lesson_is_found_by_student_and_day(library: Library) -> None:
    student = library.add_student(a_student())
    other = library.add_student(a_student("Bo"))
    lesson = library.add_lesson(a_lesson(student))

    assert library.lesson_on(student.id, DAY) == lesson
    assert library.lesson_on(student.id, EARLIER) is None
    assert library.lesson_on(other.id, DAY) is None


def test_a_saved_lesson_replaces_the_old(library: Library) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    changed = replace(lesson, focus=("turn", "ball further back"), notes="", on=EARLIER)

    library.save_lesson(changed)

    assert library.lesson(lesson.id) == changed


def test_a_change_of_a_lesson_keeps_what_another_changed_meanwhile(library: Library) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    library.save_lesson(replace(lesson, notes="from the other window"))

    changed = library.change_lesson(lesson.id, lambda now: replace(now, focus=("turn",)))

    assert (changed.focus, changed.notes) == (("turn",), "from the other window")
    assert library.lesson(lesson.id) == changed


def test_a_change_that_refuses_or_makes_it_another_lesson_changes_nothing(
    library: Library,
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    other = library.add_student(a_student("Bo"))

    with pytest.raises(ValueError, match="another"):
        library.change_lesson(lesson.id, lambda now: replace(now, student_id=other.id))
    with pytest.raises(NotFoundError, match="no lesson"):
        library.change_lesson(LessonId("nothere"), lambda now: now)

    assert library.lesson(lesson.id) == lesson


def test_a_lesson_does_not_change_its_student(library: Library) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    other = library.add_student(a_student("Bo"))

    with pytest.raises(ValueError, match="not"):
        library.save_lesson(replace(lesson, student_id=other.id))

    assert library.lesson(lesson.id) == lesson


def test_a_lesson_of_nobody_is_not_added(library: Library) -> None:
    lesson = a_lesson(a_student())

    with pytest.raises(NotFoundError, match="no student"):
        library.add_lesson(lesson)

    with pytest.raises(NotFoundError, match="no lesson"):
        library.lesson(lesson.id)


def test_a_lesson_is_found_by_the_start_of_its_id(library: Library) -> None:
    student = library.add_student(a_student())
    lesson = library.add_lesson(replace(a_lesson(student), id=LessonId("ab12")))
    library.add_lesson(replace(a_lesson(student), id=LessonId("ab34")))

    assert library.find_lesson("AB1") == lesson
    with pytest.raises(NotFoundError, match=r"more than one lesson: ab12 .*ab34"):
        library.find_lesson("ab")
    with pytest.raises(NotFoundError, match="Did you mean ab12"):
        library.find_lesson("ac12")


def test_a_lesson_with_swings_is_not_deleted(library: Library, originals: Path) -> None:
    filled = fill(library, originals)

    with pytest.raises(RefusedError, match="still holds 1 swings"):
        library.delete_lesson(filled.lesson.id)

    assert library.lesson(filled.lesson.id) == filled.lesson


def test_a_deleted_lesson_is_gone(library: Library) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))

    library.delete_lesson(lesson.id)

    assert library.newest_lessons() == ()
    assert list((library.folder / "lessons").iterdir()) == []
    with pytest.raises(ValueError, match="was in the library"):
        library.add_lesson(lesson)


def test_each_student_s_last_day_is_known(library: Library) -> None:
    anna, bo, none = (library.add_student(a_student(name)) for name in ("A", "B", "C"))
    for student, day in ((anna, 0), (anna, 2), (anna, 1), (bo, 5)):
        library.add_lesson(a_lesson(student, DAY + timedelta(days=day)))

    days = library.last_days()

    assert days == {anna.id: DAY + timedelta(days=2), bo.id: DAY + timedelta(days=5)}
    assert none.id not in days


def test_lessons_come_with_the_clubs_of_their_swings(library: Library, originals: Path) -> None:
    student = library.add_student(a_student())
    full, empty = (library.add_lesson(a_lesson(student, DAY - timedelta(days=n))) for n in (0, 1))
    keep(library, a_struck_swing(originals, full))

    words = library.lesson_words()

    assert [(one.id, one.on, one.name) for one in words] == [
        (full.id, DAY, "anna berg"),
        (empty.id, DAY - timedelta(days=1), "anna berg"),
    ]
    assert [one.text for one in words] == ["turn 7 iron", "turn "]


def test_lessons_are_fetched_by_their_ids_and_missing_ones_are_not_there(library: Library) -> None:
    student = library.add_student(a_student())
    first, second = (library.add_lesson(a_lesson(student, DAY - timedelta(n))) for n in (1, 0))

    assert library.lessons_among([first.id, LessonId("gone"), second.id]) == (second, first)
    assert library.lessons_among([]) == ()


def test_a_change_by_another_window_is_noticed_and_one_s_own_is_not(library: Library) -> None:
    before = library.changes_elsewhere()
    library.add_student(a_student())
    own = library.changes_elsewhere()

    with Library.open(library.folder) as other:
        other.add_student(a_student("Bo"))

    assert own == before
    assert library.changes_elsewhere() != before
