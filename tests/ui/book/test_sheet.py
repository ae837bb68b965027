"""What has the keyboard on a page that scrolls is seen whole."""

from __future__ import annotations

from functools import partial

import pytest
from PyQt6.QtCore import QPoint, QRect, Qt
from PyQt6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.book.student_form import StudentForm
from capturestation.ui.look import Look
from capturestation.ui.style import style_sheet
from tests.helpers.library_records import a_student


def is_whole(form: StudentForm, widget: QWidget) -> bool:
    port = form._scroll.viewport()
    assert port is not None
    return port.rect().contains(QRect(widget.mapTo(port, QPoint(0, 0)), widget.size()))


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_each_field_is_seen_whole_when_tab_comes_to_it(qtbot: QtBot, scale: float) -> None:
    look = Look(scale=scale)
    form = StudentForm(look)
    form.setStyleSheet(style_sheet(look))
    qtbot.addWidget(form)
    form.resize(1240, 600)
    form.begin(a_student())
    form.show()
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    form.name.setFocus()
    seen: list[QWidget] = []
    for _ in range(60):
        has = QApplication.focusWidget()
        assert has is not None
        if form._inside.isAncestorOf(has):
            qtbot.waitUntil(partial(is_whole, form, has))
        seen.append(has)
        # Within a date Tab goes from day to month.
        qtbot.keyClick(has, Qt.Key.Key_Tab)
        if QApplication.focusWidget() is form.name:
            break

    assert QApplication.focusWidget() is form.name
    assert {form.consents.by, form.consents.on, form.save_word} <= set(seen)
