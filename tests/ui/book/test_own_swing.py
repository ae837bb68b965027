"""What is written on a page or a line is the swing's or the student's that it was opened for."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError, NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.records import (
    Consent,
    Giver,
    Purpose,
    Student,
    Swing,
    SwingBook,
    SwingKind,
    View,
    Watch,
)
from capturestation.station import people
from capturestation.station.intake import IntakeRequest
from capturestation.station.people import today
from capturestation.ui.book.files_page import Told
from tests.helpers.bay_files import Pair
from tests.ui.book.conftest import Opened

LEFT = Qt.MouseButton.LeftButton


def of(book: Opened, swing: Swing) -> SwingBook:
    """What the library holds of that swing now."""
    return book.library.swing(swing.id).book


def other_student(book: Opened) -> Student:
    """Another one who may be filmed."""
    made = people.add_student(book.library, name="Bo Falk", birth_year=1980)
    yes = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=True, on=today(), by="coach")
    book.library.set_consent(made.id, yes)
    book.place.refresh()
    return made


class Intake:
    """Takes in what it is asked to when it is let go on.

    Args:
        swing: What every swing becomes.
    """

    def __init__(self, swing: Swing) -> None:
        self.asked: list[IntakeRequest] = []
        self.go_on = threading.Event()
        self._swing = swing

    def add(self, _library: Library, request: IntakeRequest, _watch: Watch) -> Swing:
        """Keep what was asked."""
        self.asked.append(request)
        assert self.go_on.wait(10)
        return self._swing


def test_a_swing_is_of_the_student_that_its_page_names(
    book: Opened, qtbot: QtBot, third_swing: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    bo, zoe = other_student(book), book.filled.today.book.student_id
    intake = Intake(book.filled.today)
    monkeypatch.setattr("capturestation.ui.book.taking.add_swing", intake.add)
    told = Told(by_view={View.FACE_ON: third_swing.face_on}, club="driver", kind=SwingKind.FULL)
    place = book.place
    place.taking.offer([third_swing.face_on])
    place.taking.take(told)
    place.show_student(bo.id)
    place.taking.offer([third_swing.down_the_line])
    intake.go_on.set()
    qtbot.waitUntil(lambda: not place.workers.jobs, timeout=30_000)

    assert book.over is place.files
    assert "Bo Falk" in place.files.title.text()
    place.show_student(zoe)
    place.taking.take(told)
    qtbot.waitUntil(lambda: not place.workers.jobs, timeout=30_000)

    assert [request.student for request in intake.asked] == [zoe, bo.id]


def test_a_swing_that_came_is_shown_where_nothing_is_written(
    book: Opened, qtbot: QtBot, third_swing: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    intake = Intake(book.filled.best)
    intake.go_on.set()
    monkeypatch.setattr("capturestation.ui.book.taking.add_swing", intake.add)
    told = Told(by_view={View.FACE_ON: third_swing.face_on}, club="driver", kind=SwingKind.FULL)
    book.place.taking.offer([third_swing.face_on])
    book.place.taking.take(told)
    qtbot.waitUntil(lambda: not book.at_once.workers.jobs, timeout=30_000)
    shown = book.chosen.id
    book.do("previous_swing")
    book.do("notes")
    book.place.taking.take(told)
    qtbot.waitUntil(lambda: not book.at_once.workers.jobs, timeout=30_000)

    assert shown == book.filled.best.id
    assert book.place.page.bar.is_noting
    assert book.chosen.id == book.filled.today.id


def test_a_page_moves_the_swing_that_it_was_opened_for(book: Opened, qtbot: QtBot) -> None:
    bo = other_student(book)
    book.do("move")
    book.place.look_at(book.filled.best.id)

    qtbot.keyClicks(book.place.move_page.field, "bo")
    qtbot.mouseClick(book.place.move_page.take_word, LEFT)

    assert of(book, book.filled.today).student_id == bo.id
    assert of(book, book.filled.best) == book.filled.best.book
    assert book.chosen.id == book.filled.best.id


def test_a_page_of_words_is_of_the_swing_that_it_was_opened_for(book: Opened, qtbot: QtBot) -> None:
    book.do("club")
    book.place.look_at(book.filled.best.id)
    qtbot.mouseClick(book.place.word_page.words["driver"], LEFT)

    assert of(book, book.filled.today).club == "driver"
    assert of(book, book.filled.best) == book.filled.best.book


def test_the_ball_is_of_the_swing_that_its_page_was_opened_for(book: Opened, qtbot: QtBot) -> None:
    book.do("ball")
    book.place.look_at(book.filled.best.id)
    qtbot.mouseClick(book.place.ball_page.words["contact", "thin"], LEFT)
    book.do("rate_4")

    ball = of(book, book.filled.today).ball
    assert (ball.contact, ball.rating) == ("thin", 4)
    assert of(book, book.filled.best) == book.filled.best.book
    assert book.place.ball_page.words["contact", "thin"].isChecked()


def test_notes_stay_with_the_swing_that_they_were_typed_for(book: Opened, qtbot: QtBot) -> None:
    book.do("notes")
    qtbot.keyClicks(book.place.page.bar.notes, "typed for today")
    book.do("next_swing")
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Escape)

    assert of(book, book.filled.today).notes == "typed for today"
    assert of(book, book.filled.best).notes == ""
    assert book.chosen.id == book.filled.best.id


def test_notes_of_another_window_are_not_written_over_and_ours_stay_in_the_line(
    book: Opened, qtbot: QtBot
) -> None:
    book.do("notes")
    qtbot.keyClicks(book.place.page.bar.notes, "ours")
    with Library.open(book.filled.folder) as other:
        other.change_book(book.filled.today.id, lambda now: replace(now, notes="theirs"))
    book.place.look_again()
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)

    assert [type(error) for error in book.troubles] == [RefusedError]
    assert of(book, book.filled.today).notes == "theirs"
    assert book.place.page.bar.notes.text() == "theirs · ours"
    assert book.place.page.bar.is_noting
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)
    assert of(book, book.filled.today).notes == "theirs · ours"


def test_notes_of_a_swing_that_is_gone_are_told(book: Opened, qtbot: QtBot) -> None:
    book.do("notes")
    qtbot.keyClicks(book.place.page.bar.notes, "too late")
    with Library.open(book.filled.folder) as other:
        other.delete_swing(book.filled.today.id)
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)

    assert [type(error) for error in book.troubles] == [NotFoundError]
    assert book.prints == [book.filled.best.id]
    assert book.place.unkept == ""


@pytest.fixture
def locked(book: Opened) -> Iterator[sqlite3.Connection]:
    """Another program has the right to write, and nobody waits for it."""
    book.library._db.execute("PRAGMA busy_timeout = 0")
    with closing(sqlite3.connect(book.library.places.database, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield other


def test_what_another_program_hinders_is_told_and_nothing_typed_is_lost(
    book: Opened, locked: sqlite3.Connection, qtbot: QtBot
) -> None:
    book.do("star")
    book.do("notes")
    qtbot.keyClicks(book.place.page.bar.notes, "tall")
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)

    assert {type(error) for error in book.troubles} == {LibraryError}
    assert "in use by another program" in book.troubles[0].what
    kept, line = book.chosen.book, book.place.page.bar
    assert (kept.starred, kept.notes, line.notes.text(), line.is_unkept) == (
        False,
        "",
        "tall",
        True,
    )
    assert book.place.steps.undo_words == ""
    locked.execute("ROLLBACK")
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)
    assert of(book, book.filled.today).notes == "tall"
    assert book.place.page.bar.unwritten == {}


def test_a_form_stays_open_where_it_could_not_be_written(
    book: Opened, locked: sqlite3.Connection, qtbot: QtBot
) -> None:
    book.do("focus")
    form = book.place.lesson_form
    qtbot.keyClicks(form.things[0], "turn")
    qtbot.mouseClick(form.save_word, LEFT)
    stood, typed = book.over, form.things[0].text()

    locked.execute("ROLLBACK")
    qtbot.mouseClick(form.save_word, LEFT)

    assert (stood, typed, book.over) == (form, "turn", None)
    assert book.library.lesson(book.filled.today.book.lesson_id).focus == ("turn",)


def test_the_book_is_leafed_in_while_a_change_waits_for_another_program(
    book: Opened, locked: sqlite3.Connection
) -> None:
    book.library._db.execute("PRAGMA busy_timeout = 4000")
    book.do("star")
    book.do("next_swing")
    place = book.at_once
    seen, was_writing = place.swing, place.is_writing
    locked.execute("ROLLBACK")

    assert was_writing
    assert seen == book.filled.best.id
    assert of(book, book.filled.today).starred
    assert book.chosen.id == book.filled.best.id


def test_what_is_typed_while_a_page_is_written_stays_on_it(
    book: Opened, locked: sqlite3.Connection, qtbot: QtBot
) -> None:
    book.library._db.execute("PRAGMA busy_timeout = 4000")
    book.do("change")
    form = book.place.student_form
    form.year.setText("1979")
    form.save_word.click()
    form.save_word.click()
    qtbot.keyClicks(form.name, "x")
    locked.execute("ROLLBACK")

    student = book.filled.today.book.student_id
    assert book.library.student(student).birth_year == 1979
    stood = book.over
    form.save_word.click()
    assert (stood, book.over) == (form, None)
    assert book.library.student(student).name.endswith("x")
