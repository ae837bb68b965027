"""The Book in its window: taking back beside it, pages that hold steps, closing and dropping."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.station.desk import Desk
from capturestation.ui.book.place import BookPlace
from capturestation.ui.look import Look
from capturestation.ui.window import Window
from tests.helpers.bay_files import Pair
from tests.helpers.station_library import NAME, Filled


@pytest.fixture
def window(qtbot: QtBot, filled: Filled, tmp_path: Path) -> Iterator[Window]:
    """A window that has the Book alone."""
    made = Window(Desk(), tmp_path / "state" / "window.json", Look(), (BookPlace,))
    made.show()
    qtbot.waitExposed(made)
    made.open(filled.folder)
    qtbot.waitUntil(lambda: bool(made.places) and not made.workers.jobs)
    yield made
    book_of(made).close_over()
    settle(made, qtbot)
    made.workers.stop_all()
    qtbot.waitUntil(lambda: not made.workers.jobs)
    made.close()
    made.deleteLater()


def book_of(window: Window) -> BookPlace:
    """Its Book."""
    place = window.places.get("book")
    assert isinstance(place, BookPlace)
    return place


def settle(window: Window, qtbot: QtBot) -> None:
    """Wait until all is written."""
    qtbot.waitUntil(lambda: not any(place.is_writing for place in window.places.values()))


def told(window: Window) -> list[str]:
    """What stands in the band of troubles."""
    return [error.what for error in window.troubles.troubles]


def test_steps_are_taken_back_and_done_again_beside_the_window_in_their_order(
    window: Window, qtbot: QtBot
) -> None:
    book = book_of(window)
    book.changing.star()
    book.changing.rate(4)
    window.stepping.undo()
    window.stepping.undo()
    window.stepping.redo()
    was_busy = book.is_writing
    settle(window, qtbot)

    assert was_busy
    assert book.chosen is not None
    kept = book.library.swing(book.chosen.id).book
    assert (kept.starred, kept.ball.rating) == (True, None)
    assert book.page.bar.words["star"].text() == "★ Own best"
    assert window.steps.redo_words.startswith("ball")
    assert window.caption.sentence.startswith("Done again: own best")


def test_a_new_student_with_page_and_lesson_goes_and_comes_again(
    window: Window, qtbot: QtBot
) -> None:
    book = book_of(window)
    book.keeping.new_student()
    book.student_form.name.setText("Bo Falk")
    book.student_form.save_word.click()
    settle(window, qtbot)
    book.keeping.change_student()
    book.student_form.year.setText("1980")
    book.student_form.save_word.click()
    settle(window, qtbot)
    book.changing.new_lesson()
    settle(window, qtbot)
    book.leave()
    for _ in range(3):
        window.stepping.undo()
    settle(window, qtbot)
    gone = [one.name for one in book.library.students()]
    for _ in range(3):
        window.stepping.redo()
    settle(window, qtbot)

    bo = book.library.find_student("Bo Falk")
    assert gone == [NAME]
    assert (bo.birth_year, len(book.library.lessons(bo.id))) == (1980, 1)
    assert told(window) == []


def test_nothing_is_taken_back_under_a_page_that_is_being_written(
    window: Window, qtbot: QtBot
) -> None:
    book = book_of(window)
    book.changing.new_lesson()
    settle(window, qtbot)
    form = book.lesson_form
    form.things[0].setText("turn")

    window.stepping.undo()
    said = window.caption.sentence
    form.save_word.click()
    settle(window, qtbot)

    assert said.startswith("First close the page")
    assert book.lesson is not None
    assert book.library.lesson(book.lesson.id).focus == ("turn",)
    assert told(window) == []


def test_a_page_that_is_not_kept_is_asked_about_before_it_closes(window: Window) -> None:
    book = book_of(window)
    book.keeping.change_student()
    book.student_form.name.setText("Zoe")

    window.close()

    assert window.pages.currentWidget() is window.question
    assert NAME in window.question.text.text()
    window.question.answers[0].click()
    assert book.pages.currentWidget() is book.student_form
    assert book.student_form.name.text() == "Zoe"


def test_notes_that_stand_in_their_line_are_kept_when_it_closes(
    window: Window, qtbot: QtBot, filled: Filled
) -> None:
    book = book_of(window)
    book.commands()["book.notes"]()
    book.page.bar.notes.setText("tall")

    window.close()
    qtbot.waitUntil(lambda: not window.isVisible())

    with Library.open(filled.folder) as library:
        assert library.swing(filled.today.id).book.notes == "tall"


def test_files_that_are_dropped_leave_a_page_that_is_not_kept(
    window: Window, third_swing: Pair
) -> None:
    book = book_of(window)
    book.keeping.new_student()
    book.student_form.name.setText("Half Written")

    window.take_files([third_swing.face_on])

    assert book.pages.currentWidget() is book.student_form
    assert book.student_form.name.text() == "Half Written"
    assert window.caption.sentence.startswith("First keep what is written here")


def test_a_damaged_row_is_a_sentence_and_no_fault(window: Window, qtbot: QtBot) -> None:
    book = book_of(window)
    book.changing.star()
    settle(window, qtbot)
    with closing(sqlite3.connect(book.library.places.database)) as rows, rows:
        rows.execute("UPDATE students SET hand = 'third'")

    book.look_again()
    book.hide()
    book.show()
    window.stepping.undo()
    book.changing.star()
    settle(window, qtbot)

    assert {type(error) for error in window.troubles.troubles} == {LibraryError}
    assert window.pages.currentWidget() is book
