"""What the coach leafs through, and in which order."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from capturestation.library import Library
from capturestation.station import notebook
from tests.helpers.library_records import DAY, STRUCK, a_lesson, a_struck_swing, a_student, keep
from tests.helpers.station_library import with_zero


def test_who_had_a_lesson_last_stands_first(library: Library) -> None:
    early, late, none = (library.add_student(a_student(name)) for name in ("A", "B", "C"))
    library.add_lesson(a_lesson(early, DAY))
    library.add_lesson(a_lesson(late, DAY + timedelta(days=1)))

    lines = notebook.student_lines(library).lines

    assert [line.student.id for line in lines] == [late.id, early.id, none.id]
    assert [line.last for line in lines] == [DAY + timedelta(days=1), DAY, None]


def test_words_find_a_student_by_name_and_lessons_that_are_handed_in(library: Library) -> None:
    named, other = (library.add_student(a_student(name)) for name in ("Turn Er", "Bo"))
    about = library.add_lesson(a_lesson(other))
    library.add_lesson(a_lesson(named))

    lines = notebook.student_lines(library, "tur", [about]).lines

    assert [(line.student.id, line.lesson) for line in lines] == [
        (named.id, None),
        (other.id, about),
    ]


def test_a_swing_can_go_to_the_student_s_other_lessons_and_to_other_students(
    library: Library, tmp_path: Path
) -> None:
    own, other = (library.add_student(a_student(name)) for name in ("Anna", "Bo"))
    held, empty = (library.add_lesson(a_lesson(own, DAY + timedelta(days=n))) for n in (0, 1))
    theirs = library.add_lesson(a_lesson(other))
    swing = keep(library, a_struck_swing(tmp_path, held))

    offered = notebook.goals(library, swing)
    typed = notebook.goals(library, swing, "tur", [held, theirs])

    assert [(goal.student.id, goal.lesson) for goal in offered] == [
        (own.id, empty),
        (other.id, None),
    ]
    assert [(goal.student.id, goal.lesson) for goal in typed] == [(other.id, theirs)]
    assert [goal.student.id for goal in notebook.goals(library, swing, "bo")] == [other.id]


def test_lessons_say_how_many_swings_they_hold(library: Library, tmp_path: Path) -> None:
    student = library.add_student(a_student())
    full, empty = (library.add_lesson(a_lesson(student, DAY + timedelta(days=n))) for n in (1, 0))
    keep(library, a_struck_swing(tmp_path, full))

    lines = notebook.lesson_lines(library, student.id)

    assert [(line.lesson.id, line.swings) for line in lines] == [(full.id, 1), (empty.id, 0)]


def test_the_swing_struck_last_stands_first(library: Library, tmp_path: Path) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    swings = [
        keep(library, a_struck_swing(tmp_path, lesson, struck_at=STRUCK + timedelta(minutes=n)))
        for n in range(3)
    ]

    found = notebook.swings_of_lesson(library, lesson.id)

    assert [swing.id for swing in found] == [swing.id for swing in swings[::-1]]


def test_clubs_to_choose_from_begin_with_those_of_the_lesson(
    library: Library, tmp_path: Path
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    swing = with_zero(library, keep(library, a_struck_swing(tmp_path, lesson)))

    clubs = notebook.clubs_of(library, lesson.student_id, lesson.id)

    assert clubs[0] == swing.book.club
    assert len(clubs) == len(set(clubs))
    assert notebook.clubs_of(library, lesson.student_id, None)[0] == swing.book.club


def test_of_many_students_the_first_are_read_and_the_others_counted(library: Library) -> None:
    for number in range(notebook.MOST_STUDENTS + 3):
        library.add_student(a_student(f"S {number:03}"))

    found = notebook.student_lines(library)

    assert (len(found.lines), found.more) == (notebook.MOST_STUDENTS, 3)
    assert notebook.student_lines(library, "082").more == 0
    assert notebook.student_lines(library, "082").lines[0].student.name == "S 082"
