"""Each change in the book is done, taken back and done again, and keeps what others changed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.records import (
    BallResult,
    Consent,
    Giver,
    Hand,
    Lesson,
    Purpose,
    Student,
    Swing,
    SwingKind,
    Zero,
)
from capturestation.station import book_steps, people
from capturestation.station.cache import Cache
from capturestation.station.undo import Step
from tests.helpers.library_records import DAY, a_lesson, a_struck_swing, a_student, keep

WORDS = "what was done"
MakeStep = Callable[[Library, Swing], Step]


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Library]:
    # No power cut is tried here.
    monkeypatch.setattr(os, "fsync", lambda _: None)
    with Library.open(tmp_path / "library") as opened:
        opened._db.execute("PRAGMA synchronous = OFF")
        yield opened


@pytest.fixture
def swing(library: Library, tmp_path: Path) -> Swing:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    return keep(library, a_struck_swing(tmp_path, lesson))


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


CHANGES: dict[str, MakeStep] = {
    "star": lambda library, swing: book_steps.star(library, swing, WORDS),
    "club": lambda library, swing: book_steps.club(library, swing, WORDS, " driver "),
    "kind": lambda library, swing: book_steps.kind(library, swing, WORDS, SwingKind.REHEARSAL),
    "notes": lambda library, swing: book_steps.notes(library, swing, WORDS, "tall"),
    "ball": lambda library, swing: book_steps.ball(library, swing, WORDS, BallResult(rating=2)),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_done_taken_back_and_done_again(
    library: Library, swing: Swing, name: str
) -> None:
    step = CHANGES[name](library, swing)

    step.do()
    changed = library.swing(swing.id)
    step.undo()
    back = library.swing(swing.id)
    step.do()

    assert step.words == WORDS
    assert changed != swing
    assert back == swing
    assert library.swing(swing.id) == changed


@pytest.mark.parametrize("name", CHANGES)
def test_taking_back_keeps_what_another_window_changed_beside_it(
    library: Library, swing: Swing, name: str
) -> None:
    step = CHANGES[name](library, swing)
    step.do()
    library.change_book(swing.id, lambda book: replace(book, drawings=(), marks=()))

    step.undo()

    assert library.swing(swing.id).book == replace(swing.book, drawings=(), marks=())


def test_taking_back_refuses_where_the_same_was_changed_since(
    library: Library, swing: Swing
) -> None:
    step = book_steps.club(library, swing, WORDS, "driver")
    step.do()
    library.change_book(swing.id, lambda book: replace(book, club="8 iron"))

    with pytest.raises(RefusedError):
        step.undo()
    assert library.swing(swing.id).book.club == "8 iron"


def test_a_rehearsal_has_its_zero_elsewhere_where_a_hand_set_it(
    library: Library, swing: Swing
) -> None:
    library.change_book(swing.id, lambda book: replace(book, syncs=()))

    book_steps.kind(library, swing, WORDS, SwingKind.REHEARSAL).do()

    assert library.swing(swing.id).book.zero is Zero.ARC_BOTTOM


@pytest.mark.parametrize("name", ["", "  ", "7\niron"])
def test_a_club_without_a_name_is_refused(library: Library, swing: Swing, name: str) -> None:
    with pytest.raises(BadInputError):
        book_steps.club(library, swing, WORDS, name)
    assert library.swing(swing.id) == swing


def test_a_deleted_swing_comes_back_and_goes_again(
    library: Library, swing: Swing, cache: Cache
) -> None:
    said: list[str] = []
    step = book_steps.delete(library, cache, swing, WORDS, said.append)

    step.do()
    assert library.swings(swing.book.lesson_id) == ()
    step.undo()
    assert library.swing(swing.id) == swing
    step.do()

    assert [note.id for note in library.trash()] == [swing.id]
    assert said == []


def test_a_swing_taken_in_goes_to_the_trash_and_comes_again(
    library: Library, swing: Swing, cache: Cache
) -> None:
    step = book_steps.taken_in(library, cache, swing, WORDS)

    step.do()
    assert library.swing(swing.id) == swing
    step.undo()
    assert [note.id for note in library.trash()] == [swing.id]
    step.do()

    assert library.swing(swing.id) == swing


def test_a_swing_is_moved_to_a_student_and_to_a_lesson_and_back(
    library: Library, swing: Swing
) -> None:
    said: list[str] = []
    other = library.add_student(replace(a_student("Bo"), hand=Hand.LEFT))
    mine = library.add_lesson(a_lesson(library.student(swing.book.student_id), DAY))
    to_student = book_steps.move(library, swing, WORDS, other.id, said.append)
    to_lesson = book_steps.move(library, swing, WORDS, mine, said.append)

    to_student.do()
    assert library.swing(swing.id).book.student_id == other.id
    assert "left-handed" in said[0]
    to_student.undo()
    assert library.lessons(other.id) == ()
    to_lesson.do()
    assert library.swing(swing.id).book.lesson_id == mine.id
    to_lesson.undo()

    assert library.swing(swing.id) == swing


def test_a_lesson_is_opened_and_taken_back_unless_it_holds_a_swing(
    library: Library, tmp_path: Path
) -> None:
    lesson = a_lesson(library.add_student(a_student()))
    step = book_steps.open_lesson(library, lesson, WORDS)

    step.do()
    step.undo()
    assert library.lessons(lesson.student_id) == ()
    step.do()
    keep(library, a_struck_swing(tmp_path, lesson))
    with pytest.raises(RefusedError):
        step.undo()

    assert library.lesson(lesson.id) == lesson


def test_an_empty_lesson_goes_and_comes_again_and_a_full_one_stays(
    library: Library, swing: Swing
) -> None:
    full = library.lesson(swing.book.lesson_id)
    empty = library.add_lesson(replace(a_lesson(library.student(full.student_id)), on=DAY))
    step = book_steps.delete_lesson(library, empty, WORDS)

    step.do()
    assert library.lessons(full.student_id) == (full,)
    step.undo()
    assert library.lesson(empty.id) == empty
    with pytest.raises(RefusedError):
        book_steps.delete_lesson(library, full, WORDS).do()
    assert library.lesson(full.id) == full


def test_a_lesson_s_focus_and_notes_change_together(library: Library, swing: Swing) -> None:
    old = library.lesson(swing.book.lesson_id)
    step = book_steps.lesson(library, old, WORDS, focus=(" hips ", ""), notes="rest")

    step.do()
    new = library.lesson(old.id)
    step.undo()
    assert library.lesson(old.id) == old
    library.save_lesson(replace(old, notes="elsewhere"))
    with pytest.raises(RefusedError):
        step.do()

    assert (new.focus, new.notes) == (("hips",), "rest")
    assert library.lesson(old.id).notes == "elsewhere"
    with pytest.raises(BadInputError):
        book_steps.lesson(library, old, WORDS, focus=("a", "b", "c"), notes="")


def yes(purpose: Purpose, giver: Giver = Giver.STUDENT) -> Consent:
    return Consent(purpose=purpose, giver=giver, given=True, on=DAY, by="coach")


def test_a_new_student_goes_again_unless_a_lesson_was_opened(library: Library) -> None:
    made = replace(a_student("Bo"), consents=(yes(Purpose.SHARING),))
    step = book_steps.new_student(library, made, WORDS)

    step.do()
    step.undo()
    assert library.students() == ()
    step.do()
    kept = library.students()[0]
    lesson = people.add_lesson(library, kept.id)
    with pytest.raises(RefusedError):
        step.undo()

    assert kept.consents == made.consents
    assert library.students() == (kept,)
    assert library.lessons(kept.id) == (lesson,)


def test_notes_that_another_wrote_since_are_not_written_over(
    library: Library, swing: Swing
) -> None:
    step = book_steps.notes(library, swing, WORDS, "mine")
    library.change_book(swing.id, lambda book: replace(book, notes="theirs"))

    with pytest.raises(RefusedError, match="changed again meanwhile"):
        step.do()

    assert library.swing(swing.id).book.notes == "theirs"


def test_answers_of_which_nobody_says_who_wrote_them_down_are_refused(library: Library) -> None:
    old = library.add_student(a_student())
    nameless = replace(yes(Purpose.PUBLICITY), by=" ")

    with pytest.raises(BadInputError):
        book_steps.new_student(library, replace(a_student("Bo"), consents=(nameless,)), WORDS)
    with pytest.raises(BadInputError):
        book_steps.student(library, old, WORDS, replace(old, name="Anna Lind"), (nameless,))

    assert library.students() == (old,)


def test_a_student_and_answers_change_and_come_back_with_the_history(library: Library) -> None:
    old = library.add_student(a_student())
    answers = (yes(Purpose.PUBLICITY), replace(yes(Purpose.COACHING), given=False))
    new = replace(old, name="Anna Lind", limits_today="back")
    step = book_steps.student(library, old, WORDS, new, answers)

    step.do()
    changed = library.person(old.id)
    step.undo()

    assert (changed.student.name, changed.student.limits_today) == ("Anna Lind", "back")
    assert changed.history == (*old.consents, *answers)
    assert library.person(old.id).student == old
    assert library.person(old.id).history == old.consents


def test_an_answer_that_came_since_is_not_taken_back_with_it(library: Library) -> None:
    old = library.add_student(a_student())
    step = book_steps.student(library, old, WORDS, old, (yes(Purpose.SHARING),))
    step.do()
    later = replace(yes(Purpose.SHARING), given=False, on=DAY + timedelta(days=1))
    library.set_consent(old.id, later)

    with pytest.raises(RefusedError):
        step.undo()
    assert library.person(old.id).history[-1] == later


@pytest.mark.parametrize(("name", "year"), [("", 1980), ("Anna", 1066)])
def test_what_no_student_can_be_called_is_refused(library: Library, name: str, year: int) -> None:
    old: Student = library.add_student(a_student())
    new = replace(old, birth_year=year)
    object.__setattr__(new, "name", name)

    with pytest.raises(BadInputError):
        book_steps.student(library, old, WORDS, new)
    assert library.student(old.id) == old


def test_changing_a_swing_that_is_gone_says_so(library: Library, swing: Swing) -> None:
    lesson: Lesson = library.lesson(swing.book.lesson_id)
    library.delete_swing(swing.id)

    with pytest.raises(NotFoundError):
        book_steps.star(library, swing, WORDS).do()
    assert library.swings(lesson.id) == ()
