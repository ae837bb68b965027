"""The second screen shows pictures alone, blanks by a key and never takes the keyboard."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QColor
from PyQt6.QtWidgets import QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.tv import GROUND, Tv, TvWindow, other_screen
from tests.helpers.two_places import PATCH, Patch
from tests.ui.conftest import shown


@pytest.fixture
def owner(qtbot: QtBot) -> QWidget:
    made = QLineEdit()
    qtbot.addWidget(made)
    shown(made, qtbot)
    return made


@pytest.fixture
def tv(owner: QWidget) -> Iterator[Tv]:
    made = Tv(owner)
    yield made
    made.close()


def window_of(tv: Tv) -> TvWindow:
    """The window that the pictures are in."""
    return tv._tv


def middle(window: TvWindow) -> QColor:
    """What is seen in its middle."""
    picture = window.grab().toImage()
    return picture.pixelColor(picture.width() // 2, picture.height() // 2)


def test_it_shows_what_it_is_given_on_a_dark_ground(tv: Tv) -> None:
    without = middle(window_of(tv))
    tv.show_from(Patch())
    tv.show()

    assert without == GROUND
    assert middle(window_of(tv)) == PATCH
    assert window_of(tv).grab().toImage().pixelColor(2, 2) == GROUND
    assert window_of(tv).isVisible()


def test_blank_shows_nothing_until_it_is_pressed_again(tv: Tv, qtbot: QtBot) -> None:
    said: list[str] = []
    tv.says.connect(said.append)
    tv.show_from(Patch())
    tv.show()
    tv.toggle_blank()
    blanked = middle(window_of(tv))
    tv.toggle_blank()

    assert blanked == GROUND
    assert middle(window_of(tv)) == PATCH
    assert said[1:] == [
        "The second screen is blank.",
        "The second screen shows the pictures again.",
    ]


def test_blank_does_nothing_where_it_is_off(tv: Tv) -> None:
    tv.toggle_blank()

    assert not tv.is_blank


def test_a_place_without_pictures_leaves_it_dark(tv: Tv) -> None:
    tv.show_from(Patch())
    tv.show()
    tv.show_from(None)

    assert middle(window_of(tv)) == GROUND


def test_on_one_screen_it_is_a_plain_window_that_leaves_the_keyboard_alone(
    tv: Tv, owner: QWidget
) -> None:
    said: list[str] = []
    tv.says.connect(said.append)
    owner.setFocus()

    tv.toggle()

    assert tv.is_on
    assert not tv.fills_a_screen
    assert "There is no second screen" in said[0]
    assert owner.hasFocus()
    assert window_of(tv).windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus


def test_closed_by_hand_it_is_off(tv: Tv, qtbot: QtBot) -> None:
    tv.show()
    with qtbot.waitSignal(tv.changed):
        window_of(tv).close()

    assert not tv.is_on


def test_toggling_twice_puts_it_away(tv: Tv) -> None:
    tv.toggle()
    tv.toggle()

    assert not tv.is_on
    assert not window_of(tv).isVisible()


def test_the_other_screen_is_one_that_the_window_is_not_on() -> None:
    assert other_screen("left", ["left", "right"]) == "right"
    assert other_screen("right", ["left", "right"]) == "left"
    assert other_screen("left", ["left"]) is None
    assert other_screen(None, ["left"]) == "left"
