"""What is changed in the book as steps that can be taken back.

Owns what a step remembers: only the fields it changed. Taking back refuses where another window
changed the same since. The words of each step come from outside, where a language is spoken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from capturestation.errors import BadInputError, RefusedError
from capturestation.library import Library, Trashed
from capturestation.library.rows import Person
from capturestation.records import (
    BallResult,
    Consent,
    Lesson,
    Student,
    StudentId,
    Swing,
    SwingBook,
    SwingId,
    SwingKind,
)
from capturestation.station import deleting, marking, moving, people
from capturestation.station.cache import Cache
from capturestation.station.undo import Step

Tell = Callable[[str], None]
"""Gets what there is to know of what was done, in sentences."""


def star(library: Library, swing: Swing, words: str) -> Step:
    """Star a swing, or take its star away."""
    starred = not swing.book.starred
    return _changed(library, swing, words, lambda book: replace(book, starred=starred))


def club(library: Library, swing: Swing, words: str, name: str) -> Step:
    """Call a swing's club by another name.

    Raises:
        BadInputError: If there is no name, or it can't stand in a line.
    """
    if not name.strip():
        raise BadInputError("A swing needs a club.", try_next="Name it, such as 7 iron.")
    people.refuse_control(name)
    return _changed(library, swing, words, lambda book: replace(book, club=name.strip()))


def kind(library: Library, swing: Swing, words: str, to: SwingKind) -> Step:
    """Say that a swing is of another kind; a zero that a hand set means what the kind says."""
    return _changed(
        library,
        swing,
        words,
        lambda book: replace(book, kind=to, zero=marking.zero_as_kind(book, to)),
    )


def notes(library: Library, swing: Swing, words: str, text: str) -> Step:
    """Write other notes in place of those that were read.

    Doing it raises `RefusedError` where another window wrote other ones since.
    """

    def change(book: SwingBook) -> SwingBook:
        if book.notes not in (swing.book.notes, text):
            raise _changed_since(swing.id)
        return replace(book, notes=text)

    return _changed(library, swing, words, change)


def ball(library: Library, swing: Swing, words: str, to: BallResult) -> Step:
    """Write down what the ball did."""
    return _changed(library, swing, words, lambda book: replace(book, ball=to))


def _changed(
    library: Library, swing: Swing, words: str, change: Callable[[SwingBook], SwingBook]
) -> Step:
    done: list[tuple[SwingBook, SwingBook]] = []

    def do() -> None:
        def changed(before: SwingBook) -> SwingBook:
            after = change(before)
            done[:] = [(before, after)]
            return after

        library.change_book(swing.id, changed)

    def undo() -> None:
        before, after = done[0]
        library.change_book(swing.id, lambda now: _back(now, before, after))

    return Step(words=words, do=do, undo=undo)


_FIELDS = ("starred", "club", "kind", "zero", "notes", "ball")


def _back(now: SwingBook, before: SwingBook, after: SwingBook) -> SwingBook:
    changed = [name for name in _FIELDS if getattr(before, name) != getattr(after, name)]
    if any(getattr(now, name) != getattr(after, name) for name in changed):
        raise _changed_since(now.id)
    return replace(now, **{name: getattr(before, name) for name in changed})


def _changed_since(subject: str) -> RefusedError:
    return RefusedError(
        "This was changed again meanwhile, so it stays as it is now.",
        try_next="Look at it, and change it by hand.",
        subject=subject,
    )


def delete(library: Library, cache: Cache, swing: Swing, words: str, tell: Tell) -> Step:
    """Put a swing into the trash; taken back, it comes from there with all that was known."""
    thrown: list[Trashed] = []

    def undo() -> None:
        said = deleting.bring_back(library, thrown[-1]).said
        thrown.pop()
        if said:
            tell(said)

    return Step(words=words, do=lambda: thrown.append(_thrown(library, cache, swing.id)), undo=undo)


def taken_in(library: Library, cache: Cache, swing: Swing, words: str) -> Step:
    """A swing that is in the library already: taken back, it goes into the trash."""
    thrown: list[Trashed] = []

    def do() -> None:
        if thrown:
            deleting.bring_back(library, thrown[-1])
            thrown.pop()

    return Step(words=words, do=do, undo=lambda: thrown.append(_thrown(library, cache, swing.id)))


def _thrown(library: Library, cache: Cache, swing_id: SwingId) -> Trashed:
    return deleting.throw_away(library, cache, library.swing(swing_id))


def move(library: Library, swing: Swing, words: str, to: StudentId | Lesson, tell: Tell) -> Step:
    """Give a swing to another student, or put it into another lesson.

    Args:
        library: The library.
        swing: Which.
        words: What it is called.
        to: The other student, or the other lesson.
        tell: Gets what there is to know of it.
    """
    done: list[moving.Moved] = []

    def do() -> None:
        now = library.swing(swing.id)
        if isinstance(to, Lesson):
            done.append(moving.move_to_lesson(library, now, to.id))
        else:
            done.append(moving.move_to_student(library, now, to))
        if done[-1].said:
            tell(" ".join(done[-1].said))

    def undo() -> None:
        moving.undo_move(library, done[-1])
        done.pop()

    return Step(words=words, do=do, undo=undo)


def open_lesson(library: Library, lesson: Lesson, words: str) -> Step:
    """Open a lesson; taken back, it goes if it holds no swing by then."""
    return Step(
        words=words,
        do=lambda: _ignore(library.add_lesson(lesson)),
        undo=lambda: _withdraw(library, lesson),
    )


def delete_lesson(library: Library, lesson: Lesson, words: str) -> Step:
    """Take an empty lesson away."""
    return Step(
        words=words,
        do=lambda: _withdraw(library, lesson),
        undo=lambda: _ignore(library.add_lesson(lesson)),
    )


def _withdraw(library: Library, lesson: Lesson) -> None:
    if library.swing_counts([lesson.id])[lesson.id]:
        raise RefusedError(
            "This lesson holds swings, so it stays.",
            try_next="Move its swings to another lesson, or delete them, first.",
            subject=lesson.id,
        )
    library.withdraw_lesson(lesson.id)


def lesson(
    library: Library, old: Lesson, words: str, *, focus: tuple[str, ...], notes: str
) -> Step:
    """Set what a lesson works on, and the coach's notes of it."""
    wanted = replace(old, focus=people.focus_of(focus), notes=notes)

    def put(before: Lesson, after: Lesson) -> None:
        def change(now: Lesson) -> Lesson:
            if (now.focus, now.notes) != (before.focus, before.notes):
                raise _changed_since(old.id)
            return replace(now, focus=after.focus, notes=after.notes)

        library.change_lesson(old.id, change)

    return Step(words=words, do=lambda: put(old, wanted), undo=lambda: put(wanted, old))


def _ignore(_answer: object) -> None:
    """Steps give nothing back."""


def new_student(library: Library, student: Student, words: str) -> Step:
    """Write a new student down; taken back, he goes unless a lesson was opened for him.

    Raises:
        BadInputError: If it isn't said of an answer about consent who wrote it down.
    """
    people.check_answers(student.consents)
    withdrawn: list[Person] = []

    def do() -> None:
        # The same again, since later steps name him by his id.
        if withdrawn:
            library.keep_person(withdrawn[-1])
            withdrawn.pop()
        else:
            library.add_student(student)

    def undo() -> None:
        if any(note.student_id == student.id for note in library.trash()):
            raise RefusedError(
                f"A swing of {student.name} lies in the trash, so the student stays.",
                try_next="Forget the student with everything instead.",
                subject=student.id,
            )
        withdrawn.append(library.withdraw_student(student.id))
        library.clear_after_deletion()

    return Step(words=words, do=do, undo=undo)


_OF_A_STUDENT = ("name", "hand", "birth_year", "limits_today", "notes")


def student(
    library: Library, old: Student, words: str, new: Student, answers: tuple[Consent, ...] = ()
) -> Step:
    """Change what is known of a student, and write answers about consent down.

    Taken back, answers go from the history too: they were a slip.

    Args:
        library: The library.
        old: As the student was read.
        words: What it is called.
        new: As the student shall be.
        answers: New answers.

    Raises:
        BadInputError: If name or year can't be, or it isn't said who wrote an answer down.
    """
    people.check_student(new.name, new.birth_year)
    people.check_answers(answers)

    histories: list[tuple[tuple[Consent, ...], tuple[Consent, ...]]] = []

    def do() -> None:
        _put_student(library, old, new)
        before = library.person(old.id).history
        for answer in answers:
            library.set_consent(old.id, answer)
        histories[:] = [(before, library.person(old.id).history)]

    def undo() -> None:
        before, after = histories[0]
        if library.person(old.id).history != after:
            raise _changed_since(old.id)
        _put_student(library, new, old)
        if before != after:
            library.keep_person(replace(library.person(old.id), history=before))

    return Step(words=words, do=do, undo=undo)


def _put_student(library: Library, before: Student, after: Student) -> None:
    """Change what differs of the two, unless it is something else by now."""
    changed = [n for n in _OF_A_STUDENT if getattr(before, n) != getattr(after, n)]

    def change(now: Student) -> Student:
        if any(getattr(now, name) != getattr(before, name) for name in changed):
            raise _changed_since(now.id)
        return replace(now, **{name: getattr(after, name) for name in changed})

    library.change_student(before.id, change)
