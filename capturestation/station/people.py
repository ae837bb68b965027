"""What a coach does with students and lessons: write them down, change them, keep consents."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from capturestation.errors import BadInputError, ConsentRefusedError
from capturestation.library import Library
from capturestation.records import (
    Consent,
    Giver,
    Hand,
    Lesson,
    LessonId,
    Plain,
    Purpose,
    Student,
    StudentId,
    from_plain,
    new_id,
    to_plain,
)
from capturestation.records.people import FOCUS_LIMIT

OLDEST_YEARS = 120


def today() -> date:
    """The day where the coach is."""
    return datetime.now().astimezone().date()


def new_student(
    *, name: str, hand: Hand = Hand.RIGHT, birth_year: int | None = None, notes: str = ""
) -> Student:
    """A student, checked before a library is opened or begun for him.

    Raises:
        BadInputError: If there is no name, or the year can't be one of birth.
    """
    check_student(name, birth_year)
    return Student(
        id=StudentId(new_id()), name=name.strip(), hand=hand, birth_year=birth_year, notes=notes
    )


def add_student(
    library: Library,
    *,
    name: str,
    hand: Hand = Hand.RIGHT,
    birth_year: int | None = None,
    notes: str = "",
) -> Student:
    """Write down a new student; `new_student` says what is refused."""
    return library.add_student(
        new_student(name=name, hand=hand, birth_year=birth_year, notes=notes)
    )


def change_student(library: Library, who: str, changes: Mapping[str, str | int]) -> Student:
    """Change the named fields of a student; what is not named stays.

    Args:
        library: The library.
        who: Id or name.
        changes: Some of name, hand, birth_year, limits_today, notes.
    """

    def changed(old: Student) -> Student:
        try:
            new = from_plain(Student, {**_plain(old), **changes})
        except ValueError as error:
            raise BadInputError(
                f"{old.name} can't be changed so: {error}.", try_next="Give another value."
            ) from error
        check_student(new.name, new.birth_year)
        return new

    return library.change_student(library.find_student(who).id, changed)


def _plain(student: Student) -> dict[str, Plain]:
    plain = to_plain(student)
    assert isinstance(plain, dict)
    return plain


def check_student(name: str, birth_year: int | None) -> None:
    """Refuse what can't be a name or a year of birth.

    Raises:
        BadInputError: Says which and what would do.
    """
    if not name.strip():
        raise BadInputError("A student needs a name.", try_next="Give the name as you write it.")
    refuse_control(name)
    this_year = today().year
    if birth_year is not None and not this_year - OLDEST_YEARS <= birth_year <= this_year:
        raise BadInputError(
            f"{birth_year} can't be a year of birth.",
            try_next=f"Give a year from {this_year - OLDEST_YEARS} to {this_year}.",
            subject=str(birth_year),
        )


def refuse_control(name: str) -> None:
    """Refuse a name that would break the line it stands in, or steer a terminal.

    Raises:
        BadInputError: If it holds a control character.
    """
    if any(unicodedata.category(sign) in ("Cc", "Zl", "Zp") for sign in name):
        raise BadInputError(
            f"{name!r} holds a line break or another control character.",
            try_next="Give the name in one line of plain text.",
            subject=repr(name),
        )


def check_answers(answers: Sequence[Consent]) -> None:
    """Refuse new answers about consent of which it isn't said who wrote them down.

    Answers that are kept already stand as they are: older libraries hold some without it.

    Raises:
        BadInputError: If so.
    """
    for answer in answers:
        if not answer.by.strip():
            raise BadInputError(
                "It isn't said who wrote this answer about consent down.",
                try_next="Write your name beside it, and keep it again.",
            )
        refuse_control(answer.by)


def answer_consent(library: Library, who: str, answer: Consent) -> Student:
    """Write down one new answer; the latest for a purpose and giver counts.

    Raises:
        BadInputError: If it isn't said who wrote it down; nothing was written.
    """
    check_answers([answer])
    return library.set_consent(library.find_student(who).id, answer)


def refused_by(student: Student, purpose: Purpose) -> tuple[Giver, ...]:
    """Who said no to a purpose."""
    noes = [c.giver for c in student.consents if c.purpose is purpose and not c.given]
    return tuple(giver for giver in Giver if giver in noes)


def consent_words(student: Student, purpose: Purpose = Purpose.COACHING) -> str:
    """Whether the consent for a purpose is there, in words."""
    noes = refused_by(student, purpose)
    if noes:
        return f"consent to {purpose} is refused by: {', '.join(noes)}"
    missing = student.missing_consents(purpose, today())
    if not missing:
        return f"consent to {purpose} is recorded"
    return f"consent to {purpose} is missing from: {', '.join(missing)}"


def refuse_without_consent(student: Student, on: date) -> None:
    """Refuse to keep pictures against a no, and of someone under 18 without both consents.

    Raises:
        ConsentRefusedError: Names who said no, or whose yes is missing.
    """
    noes = refused_by(student, Purpose.COACHING)
    if noes:
        raise ConsentRefusedError(
            f"{student.name} must not be filmed: no to coaching was recorded from "
            f"{', '.join(noes)}.",
            try_next="Ask again, and record a new answer only if it is a yes.",
            subject=student.id,
        )
    missing = student.missing_consents(Purpose.COACHING, on)
    if not student.may_be_minor(on) or not missing:
        return
    why = "is" if student.birth_year is not None else "may be"
    raise ConsentRefusedError(
        f"{student.name} {why} under 18 and the consent to coaching is missing from: "
        f"{', '.join(missing)}.",
        try_next="Get it in writing first, then record the consent, or give the year of birth.",
        subject=student.id,
    )


def add_lesson(
    library: Library,
    who: str,
    *,
    on: date | None = None,
    focus: Sequence[str] = (),
    notes: str = "",
) -> Lesson:
    """Open a lesson for a student."""
    student = library.find_student(who)
    return library.add_lesson(
        Lesson(
            id=LessonId(new_id()),
            student_id=student.id,
            on=on or today(),
            focus=focus_of(focus),
            notes=notes,
        )
    )


def set_focus(library: Library, lesson: str, things: Sequence[str]) -> Lesson:
    """Set the one or two things that a lesson works on."""
    focus = focus_of(things)
    found = library.find_lesson(lesson)
    return library.change_lesson(found.id, lambda now: replace(now, focus=focus))


def focus_of(things: Sequence[str]) -> tuple[str, ...]:
    """The one or two things that a lesson works on, from what was written.

    Raises:
        BadInputError: If there are more.
    """
    if len(things) > FOCUS_LIMIT:
        raise BadInputError(
            f"A lesson works on one or two things, not {len(things)}.",
            try_next="Choose the two that matter most today.",
        )
    for thing in things:
        refuse_control(thing)
    return tuple(thing.strip() for thing in things if thing.strip())
