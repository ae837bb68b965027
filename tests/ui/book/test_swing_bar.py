"""The words about what is chosen on the page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from capturestation.records import BallResult, Swing, SwingId
from capturestation.station.leaf import Print
from capturestation.station.notebook import LessonLine
from capturestation.ui.book.swing_bar import SwingBar
from capturestation.ui.look import Look
from tests.helpers.library_records import a_lesson, a_student
from tests.helpers.made_swings import made_swing


@pytest.fixture
def bar(qtbot: QtBot) -> SwingBar:
    made = SwingBar(Look())
    qtbot.addWidget(made)
    made.show()
    return made


def a_print(swing: Swing) -> Print:
    return Print(swing=swing, lesson=a_lesson(a_student()))


def seen(bar: SwingBar) -> set[str]:
    return {name for name, word in bar.words.items() if not word.isHidden()}


def test_a_swing_has_its_words_and_a_lesson_has_others(bar: SwingBar) -> None:
    assert seen(bar) == set()

    bar.show_line(a_print(made_swing("a")))
    assert seen(bar) == {"open", "star", "club", "kind", "ball", "notes", "views", "move", "delete"}
    bar.show_line(LessonLine(lesson=a_lesson(a_student()), swings=2))
    assert seen(bar) == {"focus", "notes"}
    bar.show_line(LessonLine(lesson=a_lesson(a_student()), swings=0))
    assert seen(bar) == {"focus", "notes", "delete_lesson"}


def test_the_words_say_what_holds_and_a_screen_reader_says_all(bar: SwingBar) -> None:
    swing = made_swing("a")
    ball = BallResult(start="left", contact="thin", rating=4)
    noted = replace(swing.book, ball=ball, starred=True)

    bar.show_line(a_print(replace(swing, book=noted)))

    assert bar.words["star"].text() == "★ Own best"
    assert bar.words["ball"].text() == "Ball: 4 of 5"
    assert bar.words["ball"].accessibleName() == "Ball: 4 of 5, starts left, thin"


@pytest.mark.parametrize(("notes", "words"), [("", "Notes"), ("hips first", "Notes written")])
def test_of_notes_only_is_said_that_there_are_some(bar: SwingBar, notes: str, words: str) -> None:
    swing, lesson = made_swing("a"), replace(a_lesson(a_student()), notes=notes)
    noted = replace(swing, book=replace(swing.book, notes=notes))

    for line in (a_print(noted), LessonLine(lesson=lesson, swings=1)):
        bar.show_line(line)

        assert bar.words["notes"].text() == words
        assert bar.words["notes"].accessibleName() == words


def test_a_pressed_word_says_what_is_asked(bar: SwingBar, qtbot: QtBot) -> None:
    bar.show_line(a_print(made_swing("a")))

    with qtbot.waitSignal(bar.asked) as heard:
        qtbot.mouseClick(bar.words["move"], Qt.MouseButton.LeftButton)

    assert heard.args == ["book.move"]


def test_notes_that_did_not_change_are_not_told(bar: SwingBar, qtbot: QtBot) -> None:
    back = QLineEdit()
    qtbot.addWidget(back)
    told: list[tuple[SwingId, str]] = []
    bar.noted.connect(lambda swing, text: told.append((swing.id, text)))
    bar.show_line(a_print(made_swing("a")))
    bar.begin_notes(back.setFocus)
    assert bar.is_noting
    bar.end_notes()
    bar.end_notes()
    assert told == []

    bar.begin_notes(back.setFocus)
    bar.notes.setText("new")
    bar.end_notes()
    assert told == [("a", "new")]


def test_notes_are_of_the_swing_that_they_were_begun_for(bar: SwingBar, qtbot: QtBot) -> None:
    told: list[tuple[SwingId, str]] = []
    bar.noted.connect(lambda swing, text: told.append((swing.id, text)))
    bar.show_line(a_print(made_swing("a")))
    bar.begin_notes(lambda: None)
    qtbot.keyClicks(bar.notes, "typed for a")

    bar.show_line(a_print(made_swing("b")))

    assert told == [("a", "typed for a")]
    assert not bar.is_noting


def test_the_line_stays_open_where_its_swing_is_shown_anew(bar: SwingBar, qtbot: QtBot) -> None:
    swing = made_swing("a")
    told: list[Swing] = []
    bar.noted.connect(lambda begun, _text: told.append(begun))
    bar.show_line(a_print(swing))
    bar.begin_notes(lambda: None)
    qtbot.keyClicks(bar.notes, "mine")

    bar.show_line(a_print(replace(swing, book=replace(swing.book, notes="theirs"))))
    stood = bar.notes.text()
    bar.end_notes()

    assert stood == "mine"
    assert told == [swing]


def test_what_could_not_be_written_stands_in_the_line_again(bar: SwingBar) -> None:
    swing = made_swing("a")
    bar.unwritten[swing.id] = "still mine"
    bar.show_line(a_print(swing))

    bar.begin_notes(lambda: None)

    assert bar.notes.text() == "still mine"
    assert bar.is_unkept
    assert bar.unwritten == {}


def test_a_lesson_has_no_notes_line(bar: SwingBar) -> None:
    bar.show_line(LessonLine(lesson=a_lesson(a_student()), swings=1))

    bar.begin_notes(bar.setFocus)

    assert not bar.is_noting
