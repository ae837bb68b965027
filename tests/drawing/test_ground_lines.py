"""Lines on the mat are painted where they lie, seen on any ground, with their words inside."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PyQt6.QtGui import QImage, QPainter
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.ground_lines import Ground, GroundLine, paint_ground
from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField
from capturestation.records import FrameArray, Point
from tests.helpers.pixels import pixels

WIDE, HIGH = 640, 360


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def painted(*lines: GroundLine, level: int = 120) -> FrameArray:
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(0xFF000000 | (level * 0x010101))
    field = SketchField(
        to_canvas=lambda at: (at.x * WIDE, at.y * HIGH),
        bounds=Rect(left=0, top=0, width=WIDE, height=HIGH),
        scale=1.0,
    )
    painter = QPainter(image)
    paint_ground(painter, lines, field)
    painter.end()
    return pixels(image)


def line(
    ground: Ground, *at: tuple[float, float], word: str = "", area: bool = False
) -> GroundLine:
    points = tuple(Point(x=x, y=y) for x, y in at)
    return GroundLine(ground=ground, points=points, word=word, is_area=area)


@pytest.mark.parametrize("level", [0, 120, 255])
@pytest.mark.parametrize("ground", Ground)
def test_each_is_seen_on_any_ground_where_it_lies(ground: Ground, level: int) -> None:
    picture = painted(line(ground, (0.1, 0.5), (0.9, 0.5)), level=level)

    changed = np.abs(picture.astype(int) - level).max(axis=2) > 40
    rows, columns = np.nonzero(changed)
    assert np.abs(rows - HIGH / 2).max() <= 4
    assert columns.min() == pytest.approx(0.1 * WIDE, abs=2)
    assert columns.max() == pytest.approx(0.9 * WIDE, abs=8)


def test_no_two_kinds_have_one_stroke_in_grey() -> None:
    rows = []
    for ground in Ground:
        picture = painted(line(ground, (0.1, 0.5), (0.9, 0.5))).mean(axis=2)
        rows.append(picture[HIGH // 2 - 3 : HIGH // 2 + 3, 70:560])

    apart = [np.abs(a - b).mean() for n, a in enumerate(rows) for b in rows[n + 1 :]]
    assert min(apart) > 5


def test_an_area_is_tinted_and_a_line_is_not() -> None:
    corners = ((0.2, 0.2), (0.8, 0.2), (0.8, 0.8), (0.2, 0.8))
    area = painted(line(Ground.PLANE, *corners, area=True))
    bare = painted(line(Ground.PLANE, *corners))

    assert tuple(bare[HIGH // 2, WIDE // 2]) == (120, 120, 120)
    assert tuple(area[HIGH // 2, WIDE // 2]) != (120, 120, 120)


def test_a_word_stands_inside_beside_the_last_place_that_is_seen() -> None:
    beyond = line(Ground.TARGET_LINE, (0.3, 0.4), (0.9, 0.4), (1.8, 0.4), word="target line")
    bare = line(Ground.TARGET_LINE, (0.3, 0.4), (0.9, 0.4), (1.8, 0.4))

    slip = np.any(painted(beyond) != painted(bare), axis=2)

    rows, columns = np.nonzero(slip)
    assert 0 < rows.min() <= 0.4 * HIGH <= rows.max()
    assert columns.max() < WIDE
    assert columns.min() > 0.5 * WIDE


def test_a_word_whose_line_is_out_of_sight_is_left_out() -> None:
    away = line(Ground.TOES, (1.2, 0.4), (1.8, 0.4), word="toes square")

    assert np.all(painted(away) == 120)


def test_words_of_two_lines_that_end_at_one_place_stand_one_above_the_other() -> None:
    first = line(Ground.TARGET_LINE, (0.3, 0.6), (0.5, 0.6), word="target line")
    second = line(Ground.TOES, (0.3, 0.6), (0.5, 0.6), word="toes square")
    bare = painted(replace(first, word=""), replace(second, word=""))

    alone = np.any(painted(first, replace(second, word="")) != bare, axis=2)
    both = np.any(painted(first, second) != bare, axis=2)

    above = np.nonzero((both & ~alone).any(axis=1))[0]
    assert above.max() < np.nonzero(alone.any(axis=1))[0].min() + 2
    assert len(above) > 15
