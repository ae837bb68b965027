"""Putting a swing into another lesson or to another student, and back."""

from __future__ import annotations

from dataclasses import dataclass, replace

from capturestation.compare.pairing import is_comparable
from capturestation.errors import BadInputError, RefusedError
from capturestation.library import Library
from capturestation.records import Lesson, Student, Swing, SwingBook
from capturestation.station.people import add_lesson, refuse_without_consent


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A swing that was moved, and what it takes to undo it.

    Args:
        swing: As it is now.
        before: The lesson that it was in.
        lesson: The lesson that it is in now.
        opened: Whether that lesson was opened for it.
        said: What to know, a sentence each.
    """

    swing: Swing
    before: Lesson
    lesson: Lesson
    opened: bool
    said: tuple[str, ...] = ()


def move_to_student(library: Library, swing: Swing, who: str) -> Moved:
    """Give a swing to another student: into his lesson of its day, which is opened if need be.

    Marks, ball and notes go with it. So does a star: it is a best of the new student from then on,
    and none of the old one's.

    Args:
        library: The library.
        swing: Which swing.
        who: Id or name.

    Raises:
        NotFoundError: If there is no such student, or the swing is gone.
        BadInputError: If it is his already.
        ConsentRefusedError: If he may not be filmed: the pictures are said to show him.
        OutputError: If it can't be written; nothing was changed.
    """
    student = library.find_student(who)
    if student.id == swing.book.student_id:
        raise BadInputError(
            f"Swing {swing.id} is {student.name}'s already.",
            try_next="Name another student, or another lesson.",
            subject=swing.id,
        )
    day = swing.facts.struck_at.date()
    refuse_without_consent(student, day)
    found = library.lesson_on(student.id, day)
    lesson = found or add_lesson(library, student.id, on=day)
    try:
        return _move(library, swing, lesson, opened=found is None)
    except BaseException:
        if found is None:
            library.withdraw_lesson(lesson.id)
        raise


def move_to_lesson(library: Library, swing: Swing, lesson: str) -> Moved:
    """Put a swing into another lesson, of the same student or another one.

    Raises:
        NotFoundError: If there is no such lesson, or the swing is gone.
        BadInputError: If it is in that lesson already.
        ConsentRefusedError: If the lesson's student may not be filmed.
        OutputError: If it can't be written; nothing was changed.
    """
    target = library.find_lesson(lesson)
    if target.id == swing.book.lesson_id:
        raise BadInputError(
            f"Swing {swing.id} is in the lesson {target.id} already.",
            try_next="Name another lesson.",
            subject=swing.id,
        )
    if target.student_id != swing.book.student_id:
        student = library.student(target.student_id)
        refuse_without_consent(student, swing.facts.struck_at.date())
    return _move(library, swing, target, opened=False)


def _move(library: Library, swing: Swing, lesson: Lesson, *, opened: bool) -> Moved:
    before = library.lesson(swing.book.lesson_id)
    moved = _changed(library, swing, before, lesson)
    return Moved(
        swing=moved,
        before=before,
        lesson=lesson,
        opened=opened,
        said=_said(library, moved, before, lesson),
    )


def _changed(library: Library, swing: Swing, before: Lesson, lesson: Lesson) -> Swing:
    def change(book: SwingBook) -> SwingBook:
        if book.lesson_id != before.id:
            raise RefusedError(
                f"Swing {book.id} was moved meanwhile.",
                try_next="Look at where it is now, then move it again.",
                subject=book.id,
            )
        return replace(book, student_id=lesson.student_id, lesson_id=lesson.id)

    return library.change_book(swing.id, change)


def undo_move(library: Library, moved: Moved) -> Swing:
    """Put a swing back where it was; a lesson that was opened for it goes if it is empty.

    Raises:
        NotFoundError: If the swing, or the lesson that it was in, is gone.
        RefusedError: If it was moved again since.
        OutputError: If it can't be written; nothing was changed.
    """
    swing = _changed(library, moved.swing, moved.lesson, moved.before)
    if moved.opened:
        library.withdraw_lesson(moved.lesson.id)
    return swing


def _said(library: Library, swing: Swing, before: Lesson, lesson: Lesson) -> tuple[str, ...]:
    said = []
    day = swing.facts.struck_at.date()
    if lesson.on != day:
        said.append(f"It was struck on {day}, and is in the lesson of {lesson.on} now.")
    if before.student_id != lesson.student_id:
        old, new = library.student(before.student_id), library.student(lesson.student_id)
        if swing.book.starred:
            said += _about_star(library, swing, old, new)
        if old.hand is not new.hand:
            said.append(f"{old.name} stands {old.hand}-handed, {new.name} {new.hand}-handed: look.")
    return tuple(said)


def _about_star(library: Library, swing: Swing, old: Student, new: Student) -> list[str]:
    """What became of the star."""
    what = f"{swing.book.kind} swing, {swing.club_group}"
    said = [f"Its star went with it: it is a best of {new.name} now."]
    others = [s for s in library.may_stand_beside(swing) if s.book.starred and s.id != swing.id]
    later = [s for s in others if s.facts.struck_at > swing.facts.struck_at]
    if later:
        said.append(f"{new.name} has a later best ({what}), which others are laid beside.")
    theirs = replace(swing, book=replace(swing.book, student_id=old.id))
    if not any(s.book.starred and is_comparable(theirs, s) for s in library.swings_of(old.id)):
        said.append(f"{old.name} has no best ({what}) any more.")
    return said
