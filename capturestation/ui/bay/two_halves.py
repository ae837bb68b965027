"""How the Bay's pages stand: a title with its way out, then pictures beside words that scroll.

Used by setting up, measuring and the line's check, so that they stand alike.
"""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from capturestation.ui.bench.room import Room, room_of
from capturestation.ui.look import Look


def scrolled(inside: QWidget) -> QScrollArea:
    """Words in a column that scrolls where there is no room, never sideways."""
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setWidget(inside)
    return scroll


def give_way(page: QWidget, look: Look, order: tuple[QVBoxLayout, QWidget, QWidget]) -> None:
    """Where there is little room, let a page's explanation stand below what is asked now.

    Args:
        page: The page.
        look: Its letters.
        order: The column, its first widget, and the one below which that stands then.
    """
    column, text, last = order
    is_tight = room_of(page.height(), look.px("body")) in (Room.TIGHT, Room.BARE)
    place = column.indexOf(last) if is_tight else 0
    if column.indexOf(text) != place:
        column.removeWidget(text)
        column.insertWidget(place, text)


def two_halves(
    page: QWidget,
    look: Look,
    top: tuple[QLabel, QPushButton],
    halves: tuple[QWidget | QLayout, QWidget],
    below_title: QWidget | None = None,
) -> None:
    """Lay a page out.

    Args:
        page: The page.
        look: Letters and gaps.
        top: Its title, and the word that leads out of it.
        halves: Pictures, then words.
        below_title: What stands between the two.
    """
    left, right = halves
    middle = QHBoxLayout()
    middle.setSpacing(look.px("margin"))
    if isinstance(left, QLayout):
        middle.addLayout(left, 1)
    else:
        middle.addWidget(left, 1)
    middle.addWidget(right, 1)
    column = QVBoxLayout(page)
    margin = look.px("margin")
    column.setContentsMargins(margin, look.px("gap"), margin, look.px("gap"))
    line = QHBoxLayout()
    line.addWidget(top[0], 1)
    line.addWidget(top[1])
    column.addLayout(line)
    if below_title is not None:
        column.addWidget(below_title)
    column.addLayout(middle, 1)
