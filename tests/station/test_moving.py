"""A swing that stands with the wrong student goes to the right one, and back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from capturestation.errors import (
    BadInputError,
    ConsentRefusedError,
    NotFoundError,
    OutputError,
    RefusedError,
)
from capturestation.library import Library
from capturestation.records import Hand, Quiet, Student, Swing
from capturestation.station import people
from capturestation.station.comparing import pick
from capturestation.station.moving import move_to_lesson, move_to_student, undo_move
from tests.helpers.looked_at import Room
from tests.helpers.station_library import NAME, grown_up

BEST = "(full swing, iron)"


@pytest.fixture
def bo(looked_at: Room) -> Student:
    """Another student of age who said yes to coaching."""
    return grown_up(looked_at.library, "Bo Berg")


@pytest.fixture
def starred(looked_at: Room) -> Swing:
    """The best of the library's student."""
    return looked_at.library.swing(looked_at.other_id)


def test_a_moved_swing_is_the_other_students_in_a_lesson_of_its_day(
    looked_at: Room, bo: Student
) -> None:
    library = looked_at.library
    before = library.swing(looked_at.swing_id)

    moved = move_to_student(library, before, "bo")

    assert library.swings_of(bo.id) == (moved.swing,)
    assert moved.swing.facts == before.facts
    assert moved.swing.book == replace(before.book, student_id=bo.id, lesson_id=moved.lesson.id)
    assert (moved.lesson.on, moved.opened) == (before.facts.struck_at.date(), True)
    assert library.check(Quiet()).sound


def test_it_goes_into_the_lesson_that_is_there(looked_at: Room, bo: Student) -> None:
    library = looked_at.library
    swing = library.swing(looked_at.swing_id)
    lesson = people.add_lesson(library, bo.id, on=swing.facts.struck_at.date())

    moved = move_to_student(library, swing, bo.id)

    assert (moved.lesson, moved.opened) == (lesson, False)


def test_undone_it_is_where_it_was_and_no_empty_lesson_stays(looked_at: Room, bo: Student) -> None:
    library = looked_at.library
    before = library.swing(looked_at.swing_id)

    undone = undo_move(library, move_to_student(library, before, bo.id))

    assert undone == before == library.swing(before.id)
    assert library.lessons(bo.id) == ()
    assert library.check(Quiet()).sound


def test_undone_it_keeps_what_was_changed_since(looked_at: Room, bo: Student) -> None:
    library = looked_at.library
    moved = move_to_student(library, library.swing(looked_at.swing_id), bo.id)
    library.change_book(moved.swing.id, lambda book: replace(book, notes="felt easy"))

    assert undo_move(library, moved).book.notes == "felt easy"


def test_what_was_moved_again_is_not_undone(looked_at: Room, bo: Student) -> None:
    library = looked_at.library
    moved = move_to_student(library, library.swing(looked_at.swing_id), bo.id)
    elsewhere = people.add_lesson(library, bo.id, on=date(2026, 11, 2))
    move_to_lesson(library, moved.swing, elsewhere.id)

    with pytest.raises(RefusedError, match="moved meanwhile"):
        undo_move(library, moved)

    assert library.swing(moved.swing.id).book.lesson_id == elsewhere.id


def test_a_star_goes_along_and_is_the_new_students_best(
    looked_at: Room, bo: Student, starred: Swing
) -> None:
    library = looked_at.library

    moved = move_to_student(library, starred, bo.id)

    assert moved.swing.book.starred
    assert f"Its star went with it: it is a best of {bo.name} now." in moved.said
    assert f"{NAME} has no best {BEST} any more." in moved.said
    today = move_to_student(library, library.swing(looked_at.swing_id), bo.id).swing
    assert pick(library, today.id, None)[1].swing.id == starred.id


def test_a_later_best_of_the_new_student_is_told(
    looked_at: Room, bo: Student, starred: Swing
) -> None:
    library = looked_at.library
    later = library.change_book(looked_at.swing_id, lambda book: replace(book, starred=True))
    said = move_to_student(library, later, bo.id).said
    assert not any("no best" in sentence for sentence in said)

    moved = move_to_student(library, starred, bo.id)

    assert any(f"{bo.name} has a later best {BEST}" in sentence for sentence in moved.said)


def test_another_hand_and_another_day_are_told(looked_at: Room, bo: Student) -> None:
    library = looked_at.library
    people.change_student(library, bo.id, {"hand": Hand.LEFT.value})
    other_day = people.add_lesson(library, bo.id, on=date(2026, 11, 2))

    moved = move_to_lesson(library, library.swing(looked_at.swing_id), other_day.id[:6])

    assert moved.said == (
        "It was struck on 2026-10-30, and is in the lesson of 2026-11-02 now.",
        f"{NAME} stands right-handed, {bo.name} left-handed: look.",
    )


def test_it_moves_to_another_lesson_of_the_same_student(looked_at: Room) -> None:
    library = looked_at.library
    swing = library.swing(looked_at.swing_id)
    other = people.add_lesson(library, swing.book.student_id, on=swing.facts.struck_at.date())

    moved = move_to_lesson(library, swing, other.id)

    assert library.swings(other.id) == (moved.swing,)
    assert moved.said == ()
    assert undo_move(library, moved) == swing


def test_a_student_without_consent_gets_no_pictures(looked_at: Room) -> None:
    library = looked_at.library
    kim = people.add_student(library, name="Kim", birth_year=2015)
    swing = library.swing(looked_at.swing_id)
    lesson = people.add_lesson(library, kim.id, on=swing.facts.struck_at.date())

    with pytest.raises(ConsentRefusedError):
        move_to_student(library, swing, "kim")
    with pytest.raises(ConsentRefusedError):
        move_to_lesson(library, swing, lesson.id)

    assert library.swing(swing.id) == swing
    assert library.swings_of(kim.id) == ()


def test_where_it_is_already_and_where_nobody_is_are_refused(looked_at: Room) -> None:
    library = looked_at.library
    swing = library.swing(looked_at.swing_id)

    with pytest.raises(BadInputError, match="already"):
        move_to_student(library, swing, swing.book.student_id)
    with pytest.raises(BadInputError, match="already"):
        move_to_lesson(library, swing, swing.book.lesson_id)
    with pytest.raises(NotFoundError):
        move_to_student(library, swing, "nobody")
    with pytest.raises(NotFoundError):
        move_to_lesson(library, swing, "nowhere")

    assert library.swing(swing.id) == swing


def test_a_move_that_can_not_be_written_leaves_no_lesson(
    looked_at: Room, bo: Student, monkeypatch: pytest.MonkeyPatch
) -> None:
    library = looked_at.library
    swing = library.swing(looked_at.swing_id)

    def refuse(*_: object) -> None:
        raise OutputError("No room.", try_next="")

    monkeypatch.setattr(Library, "change_book", refuse)
    with pytest.raises(OutputError):
        move_to_student(library, swing, bo.id)

    assert library.lessons(bo.id) == ()
    assert library.swing(swing.id) == swing
