"""Marked ends of sticks: ringed and called, and the piece about one shown large."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import QRect
from PyQt6.QtGui import QColor, QImage, QPainter

from capturestation.drawing.stick_marks import StickMark, glass_place, paint_glass, paint_marks
from capturestation.records import Point

PLACE = QRect(20, 10, 640, 360)
GROUND, TIP = QColor(40, 60, 40), QColor(250, 40, 40)


def canvas() -> QImage:
    image = QImage(700, 400, QImage.Format.Format_RGB32)
    image.fill(GROUND)
    return image


def differing(image: QImage, inside: QRect) -> int:
    """How many pixels of an area are not the ground's."""
    return sum(
        image.pixelColor(x, y) != GROUND
        for x in range(inside.left(), inside.right() + 1)
        for y in range(inside.top(), inside.bottom() + 1)
    )


def marked(*marks: StickMark) -> QImage:
    image = canvas()
    painter = QPainter(image)
    paint_marks(painter, marks, PLACE)
    painter.end()
    return image


@pytest.mark.usefixtures("qapp")
def test_a_ring_leaves_the_end_itself_free() -> None:
    image = marked(StickMark(at=Point(x=0.5, y=0.5), word=""))

    middle = QRect(PLACE.center().x() - 2, PLACE.center().y() - 2, 5, 5)
    assert differing(image, middle) == 0
    assert differing(image, middle.adjusted(-12, -12, 12, 12)) > 40


@pytest.mark.usefixtures("qapp")
def test_words_stand_on_the_side_where_no_other_end_is() -> None:
    left, right = Point(x=0.45, y=0.5), Point(x=0.55, y=0.5)
    image = marked(StickMark(at=left, word="left"), StickMark(at=right, word="right"))

    between = QRect(PLACE.left() + 305, PLACE.top() + 150, 30, 60)
    assert differing(image, between) == 0
    assert differing(image, QRect(PLACE.left() + 230, PLACE.top() + 165, 40, 30)) > 100
    assert differing(image, QRect(PLACE.left() + 370, PLACE.top() + 165, 40, 30)) > 100


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(("x", "y"), [(0.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
def test_nothing_of_a_mark_lies_outside_its_picture(x: float, y: float) -> None:
    mark = StickMark(at=Point(x=x, y=y), word="far")
    image = marked(mark, StickMark(at=Point(x=0.5, y=0.5), word=""))

    everywhere = differing(image, image.rect())
    assert everywhere == differing(image, PLACE) > 0


@pytest.mark.usefixtures("qapp")
def test_a_word_at_the_picture_s_edge_stands_beside_its_end_not_over_it() -> None:
    low = StickMark(at=Point(x=0.5, y=0.97), word="near")
    image = marked(low, StickMark(at=Point(x=0.5, y=0.5), word=""))

    spot = QRect(PLACE.left() + 320 - 2, PLACE.top() + 349 - 2, 5, 5)
    assert differing(image, spot) == 0


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_what_is_under_the_mark_stands_large_in_the_other_corner(turn_deg: int) -> None:
    stored = QImage(320, 180, QImage.Format.Format_RGB32)
    stored.fill(GROUND)
    painter = QPainter(stored)
    painter.fillRect(80, 45, 10, 10, TIP)
    painter.end()
    # Its middle, (85, 50), as it is shown after a turn clockwise.
    x, y = 85 / 320, 50 / 180
    shown = {0: (x, y), 90: (1 - y, x), 180: (1 - x, 1 - y), 270: (y, 1 - x)}[turn_deg]
    at = Point(x=shown[0], y=shown[1])
    image = canvas()
    painter = QPainter(image)
    paint_glass(painter, stored, turn_deg, at, PLACE)
    painter.end()

    glass = glass_place(at, PLACE)
    assert (glass.left() == PLACE.left()) == (at.x > 0.5)
    assert image.pixelColor(glass.center()) == TIP
    beside = glass.center()
    assert image.pixelColor(beside.x() + 20, beside.y() + 20) == TIP
    assert image.pixelColor(beside.x() + 40, beside.y() + 40) == GROUND
