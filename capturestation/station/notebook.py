"""What the coach leafs through: students, their lessons by day, a lesson's swings; and finding.

Owns what stands on each line, and in which order. Nothing here is kept: every question is asked of
the library anew, so what another window changed is seen.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from capturestation.library import Library
from capturestation.records import (
    Lesson,
    LessonId,
    Student,
    StudentId,
    Swing,
    View,
)

MOST_LESSONS = 6
"""Of the same student, offered for a swing that went into the wrong one."""
CLUBS = ("driver", "3 wood", "hybrid", "5 iron", "7 iron", "9 iron", "pitching wedge", "sand wedge")
"""What a lesson is usually given with; common practice, no source."""
MOST_STUDENTS = 80
"""More lines than anyone reads; typing finds the others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudentLine:
    """A student as a line in the book.

    Args:
        student: Who.
        last: Day of the newest lesson; None before the first.
        lesson: A lesson that the words that were looked for are about; None where the name fits.
    """

    student: Student
    last: date | None
    lesson: Lesson | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonLine:
    """A lesson as a paragraph of a student's page."""

    lesson: Lesson
    swings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """Where a swing can be moved to.

    Args:
        student: To whom.
        last: Day of his newest lesson; None before the first.
        lesson: Into which of his lessons; None is the lesson of the swing's own day.
    """

    student: Student
    last: date | None = None
    lesson: Lesson | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StudentLines:
    """Students that were found.

    Args:
        lines: The first of them, those whose last lesson was latest before the others.
        more: How many more there are; a few letters of the name find them.
    """

    lines: tuple[StudentLine, ...]
    more: int = 0


def student_lines(library: Library, text: str = "", about: Iterable[Lesson] = ()) -> StudentLines:
    """Students whose name fits, then lessons that are about it.

    Args:
        library: The library.
        text: What was typed so far; nothing finds all.
        about: Lessons that fit the text by more than the name, newest first.
    """
    last = library.last_days()
    ids = sorted(library.student_ids(text), key=lambda one: last.get(one, date.min), reverse=True)
    lessons = list(about)
    wanted = [*ids[:MOST_STUDENTS], *(lesson.student_id for lesson in lessons)]
    known = {one.id: one for one in library.students_of(wanted)}
    lines = [
        StudentLine(student=known[one], last=last.get(one))
        for one in ids[:MOST_STUDENTS]
        if one in known
    ]
    lines += [
        StudentLine(student=known[one.student_id], last=last.get(one.student_id), lesson=one)
        for one in lessons
        if one.student_id in known
    ]
    return StudentLines(lines=tuple(lines), more=max(len(ids) - MOST_STUDENTS, 0))


def goals(
    library: Library, swing: Swing, text: str = "", about: Iterable[Lesson] = ()
) -> tuple[Goal, ...]:
    """Where a swing can be moved to: other lessons of its student, then other students.

    Args:
        library: The library.
        swing: Which swing.
        text: What was typed so far; nothing offers the newest of both.
        about: Lessons that fit the text, newest first.
    """
    own, held = swing.book.student_id, swing.book.lesson_id
    lessons = [one for one in about if one.id != held]
    if not text.strip():
        lessons = [one for one in library.lessons(own) if one.id != held][:MOST_LESSONS]
    names = {one.id: one for one in library.students_of({one.student_id for one in lessons})}
    into = [Goal(student=names[one.student_id], lesson=one) for one in lessons]
    others = [line for line in student_lines(library, text).lines if line.student.id != own]
    return (*into, *(Goal(student=line.student, last=line.last) for line in others))


def lesson_lines(library: Library, student_id: StudentId) -> tuple[LessonLine, ...]:
    """A student's lessons, newest first, and how many swings each holds."""
    lessons = library.lessons(student_id)
    counts = library.swing_counts(lesson.id for lesson in lessons)
    return tuple(LessonLine(lesson=one, swings=counts[one.id]) for one in lessons)


def swings_of_lesson(library: Library, lesson_id: LessonId) -> tuple[Swing, ...]:
    """A lesson's swings, newest first: the last ball is the one that is talked about."""
    return library.swings(lesson_id)[::-1]


def picture_view(swing: Swing) -> View | None:
    """By which angle's picture a swing is known: face-on where it has one that is placed."""
    return next((view for view in View if swing.recording(view) and swing.sync(view)), None)


def clubs_of(library: Library, student_id: StudentId, lesson_id: LessonId | None) -> list[str]:
    """Clubs to choose from by one key: those of this lesson first, then the usual ones."""
    held = [swing.book.club for swing in library.swings(lesson_id)][::-1] if lesson_id else []
    if not held:
        newest = library.lessons(student_id)[:1]
        held = [s.book.club for lesson in newest for s in library.swings(lesson.id)][::-1]
    return list(dict.fromkeys([*held, *CLUBS]))
