"""One or two things to work on, and earlier ones as words to press."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from capturestation.ui.book.lesson_form import LessonForm
from capturestation.ui.look import Look
from tests.helpers.library_records import a_lesson, a_student


@pytest.fixture
def form(qtbot: QtBot) -> LessonForm:
    made = LessonForm(Look())
    qtbot.addWidget(made)
    return made


def test_a_lesson_stands_on_the_page_and_is_handed_over(form: LessonForm, qtbot: QtBot) -> None:
    form.begin(a_lesson(a_student()))
    assert form.title.text() == "Lesson: Friday 30 October 2026"
    was_changed = form.is_changed
    form.things[1].setText(" balance ")

    with qtbot.waitSignal(form.saved) as heard:
        qtbot.keyClick(form.things[1], Qt.Key.Key_Return)

    assert heard.args == [("turn", "balance"), "n"]
    assert (was_changed, form.is_changed) == (False, True)


def test_an_earlier_thing_goes_into_the_first_free_line(form: LessonForm, qtbot: QtBot) -> None:
    form.begin(a_lesson(a_student()), ["turn", "weight", "balance"])
    offered = {w.text(): w for w in form.findChildren(QPushButton)}
    assert "turn" not in offered

    for thing in ("weight", "balance"):
        qtbot.mouseClick(offered[thing], Qt.MouseButton.LeftButton)

    assert form.written[0] == ("turn", "balance")


def test_another_lesson_takes_the_place_of_the_first(form: LessonForm) -> None:
    lesson = a_lesson(a_student())
    form.begin(lesson, ["weight"])
    form.show()

    form.begin(replace(lesson, focus=()), [])

    assert form.written == ((), "n")
    assert "weight" not in [w.text() for w in form.findChildren(QPushButton) if w.isVisible()]
