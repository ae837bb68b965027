"""A student's page hands over what was written and knows whether something was."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import Giver, Hand, Purpose
from capturestation.station.people import today
from capturestation.ui.book.student_form import StudentForm, Written
from capturestation.ui.look import Look
from tests.helpers.library_records import a_student


@pytest.fixture
def form(qtbot: QtBot) -> StudentForm:
    made = StudentForm(Look())
    qtbot.addWidget(made)
    return made


def test_a_student_stands_on_the_page_and_is_handed_over(form: StudentForm, qtbot: QtBot) -> None:
    form.begin(a_student())
    was_changed = form.is_changed
    form.limits.paper.setPlainText("knee")

    with qtbot.waitSignal(form.saved) as heard:
        qtbot.mouseClick(form.save_word, Qt.MouseButton.LeftButton)

    assert (was_changed, form.is_changed) == (False, True)
    assert heard.args == [
        Written(name="Anna Berg", hand=Hand.RIGHT, birth_year="1980", limits_today="knee", notes="")
    ]


def test_a_new_student_begins_empty_and_can_t_be_forgotten(form: StudentForm) -> None:
    form.begin(a_student())
    form.begin(None, name="Bo")

    assert form.written == Written(
        name="Bo", hand=Hand.RIGHT, birth_year="", limits_today="", notes=""
    )
    assert form.forget_word.isHidden()


@pytest.mark.parametrize(
    ("year", "asked"),
    [("", True), ("x", True), (str(today().year - 18), True), (str(today().year - 19), False)],
)
def test_a_parent_is_asked_as_the_year_is_written(
    form: StudentForm, year: str, asked: bool
) -> None:
    form.begin(None)

    form.year.setText(year)

    assert form.consents._parent.isHidden() is not asked


def test_an_answer_is_a_change(form: StudentForm) -> None:
    form.begin(a_student())

    form.consents.answer(Purpose.SHARING, Giver.STUDENT, given=True)

    was_changed = form.is_changed
    form.begin_again()
    assert (was_changed, form.is_changed) == (True, False)
