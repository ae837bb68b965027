"""Where the window stands on the screen, and standing there again."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtCore import QPoint, QRect
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtWidgets import QWidget

from capturestation.station.desk import Desk

_NO, _WINDOW, _WHOLE = "no", "window", "whole"


def standing(window: QWidget, desk: Desk) -> Desk:
    """The desk with the place and size that the window has now."""
    normal = window.normalGeometry()
    filled = _WHOLE if window.isFullScreen() else _WINDOW if window.isMaximized() else _NO
    if not normal.isValid():
        normal = window.geometry()
    return replace(
        desk,
        left_px=normal.x(),
        top_px=normal.y(),
        width_px=max(normal.width(), 1),
        height_px=max(normal.height(), 1),
        filled=filled,
    )


def stand(window: QWidget, desk: Desk) -> None:
    """Show the window where it stood; on another screen where that one is gone."""
    wanted = QRect(desk.left_px, desk.top_px, desk.width_px, desk.height_px)
    screen = QGuiApplication.screenAt(wanted.center()) or QGuiApplication.primaryScreen()
    if screen is not None:
        window.setGeometry(_inside(wanted, screen.availableGeometry()))
    if desk.filled == _WHOLE:
        window.showFullScreen()
    elif desk.filled == _WINDOW:
        window.showMaximized()
    else:
        window.show()


def _inside(wanted: QRect, room: QRect) -> QRect:
    """The same where it is in sight as a whole, else in the middle and no larger than the room."""
    if room.contains(wanted):
        return wanted
    fitting = QRect(QPoint(0, 0), wanted.size().boundedTo(room.size()))
    fitting.moveCenter(room.center())
    return fitting
