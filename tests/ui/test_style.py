"""The style sheet holds the look: sizes by the scale, colours by the theme, the keyboard seen."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPalette
from PyQt6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from capturestation.ui.look import SCALES, Look, Theme
from capturestation.ui.style import dress, style_sheet
from capturestation.ui.words import button
from tests.ui.conftest import shown

ROLES = ("", "word", "main", "quiet")


def page_of(*widgets: QWidget, look: Look) -> QWidget:
    """A page with these below each other."""
    page = QWidget()
    page.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    layout = QVBoxLayout(page)
    for widget in widgets:
        layout.addWidget(widget)
    page.setStyleSheet(style_sheet(look))
    return page


@pytest.mark.parametrize("scale", SCALES)
def test_everything_that_is_pressed_is_large_enough(scale: float, qtbot: QtBot) -> None:
    pressed: list[QWidget] = [QLineEdit(), QComboBox(), QCheckBox("yes")]
    for role in ROLES:
        made = QPushButton("K")
        made.setProperty("role", role)
        pressed.append(made)
    page = page_of(*pressed, look=Look(scale=scale))
    qtbot.addWidget(page)
    page.show()

    assert all(widget.height() >= 44 for widget in pressed)
    assert all(widget.width() >= 44 for widget in pressed)


@pytest.mark.parametrize("theme", Theme)
@pytest.mark.parametrize("role", ROLES)
def test_what_has_the_keyboard_looks_different(theme: Theme, role: str, qtbot: QtBot) -> None:
    made = QPushButton("Play")
    made.setProperty("role", role)
    page = page_of(made, look=Look(theme))
    qtbot.addWidget(page)
    shown(page, qtbot)
    page.setFocus()
    without = made.grab().toImage()

    made.setFocus()

    assert made.grab().toImage() != without


@pytest.mark.parametrize("role", ["", "word"])
def test_the_chosen_word_looks_different_and_is_no_wider(role: str, qtbot: QtBot) -> None:
    made = button("Bench", lambda: None)
    made.setProperty("role", role)
    made.setCheckable(True)
    page = page_of(made, look=Look())
    qtbot.addWidget(page)
    page.show()
    before, width_px = made.grab().toImage(), made.sizeHint().width()

    made.setChecked(True)

    assert made.grab().toImage() != before
    assert made.sizeHint().width() == width_px


def test_the_whole_program_follows_the_look(undressed: QApplication) -> None:
    look = Look()
    dress(undressed, look)
    before = undressed.font().pixelSize()

    look.choose(Theme.DARK)
    look.enlarge(2.0)

    assert undressed.palette().color(QPalette.ColorRole.Window) == look.colour("paper")
    assert undressed.font().pixelSize() == 2 * before
    assert undressed.styleSheet() == style_sheet(look)
