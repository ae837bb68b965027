"""Who may be filmed for what: the age decides whose yes is needed."""

from __future__ import annotations

from datetime import date

import pytest

from capturestation.records import (
    Consent,
    Giver,
    Lesson,
    LessonId,
    Purpose,
    Student,
    StudentId,
    new_id,
)

DAY = date(2026, 10, 30)


def student(birth_year: int | None, *yes: Giver) -> Student:
    """A student with a yes to coaching from each giver."""
    consents = tuple(Consent(purpose=Purpose.COACHING, giver=g, given=True, on=DAY) for g in yes)
    return Student(id=StudentId(new_id()), name="A", birth_year=birth_year, consents=consents)


@pytest.mark.parametrize(
    ("birth_year", "minor"),
    [(2007, False), (2008, True), (2015, True), (None, True), (1960, False)],
)
def test_someone_who_may_still_be_17_counts_as_under_18(birth_year: int, minor: bool) -> None:
    assert student(birth_year).may_be_minor(DAY) is minor


def test_under_18_the_parent_and_the_child_must_both_say_yes() -> None:
    assert student(2014, Giver.STUDENT).missing_consents(Purpose.COACHING, DAY) == (Giver.PARENT,)
    assert student(2014, Giver.PARENT).missing_consents(Purpose.COACHING, DAY) == (Giver.STUDENT,)
    both = student(2014, Giver.STUDENT, Giver.PARENT)
    assert both.missing_consents(Purpose.COACHING, DAY) == ()
    assert both.missing_consents(Purpose.SHARING, DAY) == (Giver.STUDENT, Giver.PARENT)


def test_a_no_is_not_a_yes() -> None:
    refused = Student(
        id=StudentId("s"),
        name="A",
        birth_year=1980,
        consents=(Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=False, on=DAY),),
    )

    assert refused.missing_consents(Purpose.SHARING, DAY) == (Giver.STUDENT,)


def test_a_lesson_works_on_one_or_two_things() -> None:
    with pytest.raises(ValueError, match="one or two things"):
        Lesson(id=LessonId("l"), student_id=StudentId("s"), on=DAY, focus=("a", "b", "c"))


def test_ids_carry_no_sign_that_is_misread_aloud() -> None:
    ids = {new_id() for _ in range(500)}

    assert len(ids) == 500
    assert all(len(i) == 12 and not set(i) & set("ilou") for i in ids)
