"""Troubles are told with their next step, one after the other; nobody loses the keyboard."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from capturestation.errors import NotFoundError, OutputError, StationError
from capturestation.ui.look import Look
from capturestation.ui.troubles import MOST, TroubleBar
from tests.ui.conftest import shown

GONE = NotFoundError("The swing is gone.", try_next="Choose another.")
FULL = OutputError("The disk is full.", try_next="Free some space.")


class Page(QWidget):
    """A field above the bar."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.field, self.bar = QLineEdit(), TroubleBar(look)
        layout = QVBoxLayout(self)
        layout.addWidget(self.field)
        layout.addWidget(self.bar)

    def dismiss(self) -> QPushButton:
        """The word that says that it is read."""
        found = self.bar.findChild(QPushButton)
        assert isinstance(found, QPushButton)
        return found

    def words(self) -> list[str]:
        """What is written on the bar."""
        return [label.text() for label in self.bar.findChildren(QLabel)]


@pytest.fixture
def page(qtbot: QtBot, look: Look) -> Page:
    made = Page(look)
    qtbot.addWidget(made)
    shown(made, qtbot)
    made.field.setFocus()
    return made


def test_a_trouble_is_shown_with_its_next_step_and_the_keyboard_stays(page: Page) -> None:
    hidden_before = page.bar.isHidden()

    page.bar.tell(GONE)

    assert hidden_before
    assert page.bar.isVisible()
    assert page.words() == ["Trouble", "The swing is gone.", "Choose another."]
    assert page.field.hasFocus()
    assert page.bar.accessibleDescription() == "The swing is gone. Choose another."


def test_what_is_read_goes_and_the_next_shows(page: Page, qtbot: QtBot) -> None:
    page.bar.tell(GONE)
    page.bar.tell(FULL)
    title = page.words()[0]

    qtbot.mouseClick(page.dismiss(), Qt.MouseButton.LeftButton)
    second = page.words()
    qtbot.mouseClick(page.dismiss(), Qt.MouseButton.LeftButton)

    assert title == "Trouble 1 of 2"
    assert second == ["Trouble", "The disk is full.", "Free some space."]
    assert page.bar.isHidden()
    assert page.bar.troubles == ()


def test_the_same_trouble_again_is_told_once(page: Page) -> None:
    page.bar.tell(GONE)
    page.bar.tell(NotFoundError("The swing is gone.", try_next="Choose another."))

    assert page.bar.troubles == (GONE,)


def test_a_flood_of_troubles_keeps_the_newest(page: Page) -> None:
    for number in range(MOST + 5):
        page.bar.tell(StationError(f"Trouble {number}.", try_next="Wait."))

    assert len(page.bar.troubles) == MOST
    assert page.bar.troubles[-1].what == f"Trouble {MOST + 4}."


def test_a_name_that_looks_like_code_is_only_text(page: Page) -> None:
    page.bar.tell(StationError("<b>Zoë</b> & co can't be read.", try_next=""))

    assert page.words()[1] == "<b>Zoë</b> & co can't be read."
    assert all(
        label.textFormat() is Qt.TextFormat.PlainText for label in page.bar.findChildren(QLabel)
    )


def test_by_keyboard_alone_it_is_read_and_the_keyboard_goes_back(page: Page, qtbot: QtBot) -> None:
    page.bar.tell(GONE)

    qtbot.keyClick(page.field, Qt.Key.Key_Tab)
    reached = page.dismiss().hasFocus()
    qtbot.keyClick(page.dismiss(), Qt.Key.Key_Space)

    assert reached
    assert page.bar.isHidden()
    assert page.field.hasFocus()
