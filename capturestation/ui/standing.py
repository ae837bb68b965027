"""Where the window stands on the screen, and standing there again."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtCore import QPoint, QRect
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtWidgets import QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import SwingId
from capturestation.station.desk import Desk
from capturestation.ui.look import SCALES

_FULL_WIDTH_PX = 1440
# At this width both angles and their words have their room at scale 1.
_FAR_PX = 1_000_000
# Beyond every screen; what a damaged file says may be more than a window can be told.
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


def is_there(library: Library | None, swing: SwingId) -> bool:
    """Whether the swing that lay on the Bench is still in the library."""
    if library is None:
        return False
    try:
        library.swing(swing)
    except StationError:
        # It is gone, or its row is damaged: nothing to look at either way.
        return False
    return True


def first_standing(width_px: int) -> Desk:
    """How the window stands where it was never open: as large as the screen, and letters with it.

    A large screen in a bay hangs far away: what fits is shown larger, not more of it.

    Args:
        width_px: Of the screen.

    Example:
        >>> [first_standing(width_px).scale for width_px in (1280, 1920, 2560, 3840)]
        [1.0, 1.3, 1.75, 2.0]
    """
    wanted = width_px / _FULL_WIDTH_PX
    scale = max((step for step in SCALES if step <= wanted), default=SCALES[0])
    return Desk(scale=scale, filled=_WINDOW)


def stand(window: QWidget, desk: Desk) -> None:
    """Show the window where it stood; on another screen where that one is gone."""
    left, top = (min(max(at_px, -_FAR_PX), _FAR_PX) for at_px in (desk.left_px, desk.top_px))
    width, height = (min(long_px, _FAR_PX) for long_px in (desk.width_px, desk.height_px))
    wanted = QRect(left, top, width, height)
    screen = QGuiApplication.screenAt(wanted.center()) or QGuiApplication.primaryScreen()
    if screen is not None:
        window.setGeometry(_inside(wanted, screen.availableGeometry()))
    if desk.filled == _WHOLE:
        window.showFullScreen()
    elif desk.filled == _WINDOW:
        window.showMaximized()
    else:
        window.show()
    window.activateWindow()


def _inside(wanted: QRect, room: QRect) -> QRect:
    """The same where it is in sight as a whole, else in the middle and no larger than the room."""
    if room.contains(wanted):
        return wanted
    fitting = QRect(QPoint(0, 0), wanted.size().boundedTo(room.size()))
    fitting.moveCenter(room.center())
    return fitting
