"""The window stands again where it stood, and on a screen that is there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtCore import QRect
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.station.desk import Desk
from capturestation.ui.look import SCALES
from capturestation.ui.standing import first_standing, stand, standing


@pytest.fixture
def window(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    return made


def room() -> QRect:
    """What the screen has."""
    screen = QGuiApplication.primaryScreen()
    assert screen is not None
    return screen.availableGeometry()


def test_it_stands_as_it_was_left(window: QWidget, qtbot: QtBot) -> None:
    desk = Desk(left_px=40, top_px=30, width_px=500, height_px=400)

    stand(window, desk)
    qtbot.waitExposed(window)

    assert window.geometry() == QRect(40, 30, 500, 400)
    assert standing(window, Desk()) == replace(desk, filled="no")


def test_beyond_every_screen_it_comes_back_into_sight(window: QWidget, qtbot: QtBot) -> None:
    stand(window, Desk(left_px=90_000, top_px=-70_000, width_px=600, height_px=300))
    qtbot.waitExposed(window)

    assert room().contains(window.geometry())
    assert (window.width(), window.height()) == (600, 300)


def test_it_is_never_larger_than_the_screen(window: QWidget) -> None:
    stand(window, Desk(left_px=10, top_px=10, width_px=50_000, height_px=300))

    assert window.width() == room().width()


@pytest.mark.parametrize(
    "desk",
    [
        Desk(left_px=10**12),
        Desk(left_px=-(10**12)),
        Desk(top_px=10**12),
        Desk(width_px=10**12),
        Desk(height_px=10**12),
    ],
)
def test_numbers_that_no_window_can_have_bring_it_into_sight(
    window: QWidget, qtbot: QtBot, desk: Desk
) -> None:
    stand(window, desk)
    qtbot.waitExposed(window)

    assert room().intersects(window.geometry())
    assert (window.width(), window.height()) <= (room().width(), room().height())


@pytest.mark.parametrize("filled", ["whole", "window"])
def test_it_fills_the_screen_again_and_remembers_its_own_size(
    window: QWidget, qtbot: QtBot, filled: str
) -> None:
    desk = Desk(left_px=40, top_px=30, width_px=500, height_px=400, filled=filled)

    stand(window, desk)
    qtbot.waitExposed(window)

    assert standing(window, Desk()) == desk


@given(st.integers(min_value=1, max_value=20_000))
def test_at_first_letters_grow_with_the_screen_and_leave_it_its_room(width_px: int) -> None:
    desk = first_standing(width_px)

    assert desk.scale in SCALES
    assert desk.scale == 1.0 or width_px / desk.scale >= 1440
    assert desk.filled == "window"
