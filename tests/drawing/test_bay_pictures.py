"""The Bay's pictures: as large as they go, upright, captioned."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtCore import QRect
from PyQt6.QtGui import QColor, QImage, QPainter

from capturestation.drawing.bay_pictures import (
    BayInk,
    BayPicture,
    caption_height,
    paint_bay,
    places,
)

INK = BayInk(
    paper=(250, 250, 250), shade=(200, 200, 200), ink=(10, 10, 10), letters_px=16, gap_px=8
)
WIDE, TALL = 16 / 9, 9 / 16


def halves(width: int, height: int) -> QImage:
    """Red above, blue below."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(200, 0, 0))
    painter = QPainter(image)
    painter.fillRect(0, height // 2, width, height, QColor(0, 0, 200))
    painter.end()
    return image


@given(
    st.lists(st.sampled_from([WIDE, TALL, 4 / 3]), min_size=1, max_size=3),
    st.integers(min_value=300, max_value=3000),
    st.integers(min_value=200, max_value=2000),
)
def test_pictures_keep_their_shape_within_the_area_and_apart(
    aspects: list[float], width: int, height: int
) -> None:
    area = QRect(10, 20, width, height)

    found = places(aspects, area, INK)

    for aspect, place in zip(aspects, found, strict=True):
        assert abs(place.width() - aspect * place.height()) <= max(aspect, 1)
        captioned = place.adjusted(0, 0, 0, caption_height(INK))
        assert area.adjusted(-2, -2, 2, 2).contains(captioned)
    for one in found:
        assert not any(one.intersects(other) for other in found if other is not one)


def test_two_wide_pictures_stand_beside_each_other_in_a_wide_area_and_below_in_a_high_one() -> None:
    beside = places([WIDE, WIDE], QRect(0, 0, 1200, 400), INK)
    below = places([WIDE, WIDE], QRect(0, 0, 500, 700), INK)

    assert beside[0].top() == beside[1].top()
    assert below[0].left() == below[1].left()


def test_no_picture_has_no_place() -> None:
    assert places([], QRect(0, 0, 100, 100), INK) == []


@pytest.mark.parametrize(
    ("turn_deg", "red_at"),
    [(0, (0.5, 0.25)), (90, (0.75, 0.5)), (180, (0.5, 0.75)), (270, (0.25, 0.5))],
)
def test_a_picture_is_turned_clockwise(
    qapp: object, turn_deg: int, red_at: tuple[float, float]
) -> None:
    del qapp
    canvas = QImage(400, 300, QImage.Format.Format_RGB32)
    canvas.fill(QColor(*INK.paper))
    painter = QPainter(canvas)
    picture = BayPicture(words="face-on", image=halves(160, 96), turn_deg=turn_deg)

    [place] = paint_bay(painter, [picture], canvas.rect(), INK)
    painter.end()

    x = place.left() + round(red_at[0] * place.width())
    y = place.top() + round(red_at[1] * place.height())
    assert canvas.pixelColor(x, y).red() > 150
    assert (place.width() > place.height()) == (turn_deg % 180 == 0)


def test_where_a_picture_is_missing_words_stand(qapp: object) -> None:
    del qapp
    canvas = QImage(400, 300, QImage.Format.Format_RGB32)
    canvas.fill(QColor(*INK.paper))
    painter = QPainter(canvas)

    [place] = paint_bay(painter, [BayPicture(words="x", missing="Gone")], canvas.rect(), INK)
    painter.end()

    inside = {
        canvas.pixelColor(x, y).red()
        for x in range(place.left(), place.right())
        for y in range(place.top(), place.bottom())
    }
    assert min(inside) < 100
    assert max(inside) == INK.shade[0]
