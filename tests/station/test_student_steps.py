"""A new student taken back and done again is the same one, with what came after."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import RefusedError
from capturestation.library import Library
from capturestation.station import book_steps
from capturestation.station.cache import Cache
from tests.helpers.library_records import a_lesson, a_struck_swing, a_student, keep

WORDS = "what was done"


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Library]:
    # No power cut is tried here.
    monkeypatch.setattr(os, "fsync", lambda _: None)
    with Library.open(tmp_path / "library") as opened:
        yield opened


def test_a_student_done_again_is_the_same_for_the_steps_after(library: Library) -> None:
    made = a_student("Bo")
    opened = a_lesson(made)
    steps = [
        book_steps.new_student(library, made, WORDS),
        book_steps.student(library, made, WORDS, replace(made, name="Bo Falk")),
        book_steps.open_lesson(library, opened, WORDS),
    ]
    for step in steps:
        step.do()

    for step in reversed(steps):
        step.undo()
    gone = library.students()
    for step in steps:
        step.do()

    assert gone == ()
    assert [(one.id, one.name) for one in library.students()] == [(made.id, "Bo Falk")]
    assert library.lessons(made.id) == (opened,)


def test_a_new_student_with_a_swing_in_the_trash_stays(library: Library, tmp_path: Path) -> None:
    student = library.add_student(a_student())
    swing = keep(library, a_struck_swing(tmp_path, library.add_lesson(a_lesson(student))))
    step = book_steps.new_student(library, student, WORDS)
    book_steps.delete(library, Cache(tmp_path / "cache"), swing, WORDS, print).do()
    library.withdraw_lesson(swing.book.lesson_id)

    with pytest.raises(RefusedError, match="in the trash"):
        step.undo()

    assert library.students() == (student,)
