"""Whatever is pressed or written on in the Book has a name to be read out and room for a finger."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from capturestation.ui.style import style_sheet
from tests.ui.book.conftest import Opened

CONTROLS = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
)
FINGER_PX = 44


def controls(page: QWidget) -> list[QWidget]:
    """What can be worked on a page, without the parts that Qt makes inside of a control."""
    found = []
    for kind in CONTROLS:
        for control in page.findChildren(kind):
            inside = isinstance(control.parent(), CONTROLS)
            if control.isVisible() and not inside:
                found.append(control)
    return found


@pytest.mark.parametrize("page", ["", "change", "focus", "ball", "club", "kind", "views", "move"])
def test_each_control_has_a_name_and_room_for_a_finger(
    book: Opened, qtbot: QtBot, page: str
) -> None:
    book.place.setStyleSheet(style_sheet(book.place.look))
    if page:
        book.do(page)
    shown = book.over or book.place
    book.place.grab()

    found = controls(shown)

    assert found
    assert [type(one).__name__ for one in found if not one.accessibleName()] == []
    low = {one.accessibleName(): one.height() for one in found if one.height() < FINGER_PX}
    assert low == {}


def test_letters_twice_as_large_fit_a_small_screen(book: Opened) -> None:
    book.place.setStyleSheet(style_sheet(book.place.look))
    book.place.look.enlarge(2.0)
    book.place.setStyleSheet(style_sheet(book.place.look))

    book.place.resize(1280, 500)
    book.place.grab()

    assert not book.place.is_wide
    assert (book.place.width(), book.place.height()) == (1280, 500)
