"""A page that is shown has the keyboard somewhere one can see it."""

from __future__ import annotations

from PyQt6.QtWidgets import QLabel, QLineEdit, QPushButton, QStackedWidget, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.focus import give_keyboard
from tests.ui.conftest import shown


def page_of(*widgets: QWidget) -> QWidget:
    """A page with these below each other."""
    page = QWidget()
    layout = QVBoxLayout(page)
    for widget in widgets:
        layout.addWidget(widget)
    return page


def test_the_first_that_takes_keys_has_it_and_later_what_had_it_last(qtbot: QtBot) -> None:
    hidden, disabled, first, second = QLineEdit(), QPushButton("no"), QLineEdit(), QLineEdit()
    page = page_of(QLabel("words"), hidden, disabled, first, second)
    other = page_of(QPushButton("other"))
    pages = QStackedWidget()
    for made in (page, other):
        pages.addWidget(made)
    qtbot.addWidget(pages)
    hidden.hide()
    disabled.setEnabled(False)
    shown(pages, qtbot)

    give_keyboard(page)
    at_first = first.hasFocus()
    second.setFocus()
    pages.setCurrentWidget(other)
    give_keyboard(other)
    pages.setCurrentWidget(page)
    give_keyboard(page)

    assert at_first
    assert second.hasFocus()


def test_a_page_with_nothing_to_press_is_left_alone(qtbot: QtBot) -> None:
    page = page_of(QLabel("words"))
    qtbot.addWidget(page)
    shown(page, qtbot)

    give_keyboard(page)

    assert not page.hasFocus()
