"""Spots are painted at their places, with their words."""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtGui import QColor, QImage, QPainter

from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.spot_marks import paint_spots
from capturestation.records import FrameArray, Point, Spot
from tests.helpers.sketches import at, whole_field

pytestmark = pytest.mark.usefixtures("qapp")


def painted(spots: dict[Spot, Point], field: SketchField) -> FrameArray:
    image = QImage(320, 180, QImage.Format.Format_RGB888)
    image.fill(QColor(120, 120, 120))
    painter = QPainter(image)
    paint_spots(painter, spots, field)
    painter.end()
    bits = image.constBits().asstring(image.sizeInBytes())
    return np.array(np.frombuffer(bits, np.uint8).reshape(180, -1)[:, :960].reshape(180, 320, 3))


@pytest.mark.parametrize("x", [0.2, 0.95])
def test_a_ring_is_about_the_spot_and_its_word_beside_it_where_there_is_room(x: float) -> None:
    changed = np.any(painted({Spot.BALL: at(x, 0.5)}, whole_field(320, 180, 0.5)) != 120, axis=2)

    rows, columns = np.nonzero(changed)
    assert abs(rows.mean() - 90) < 3
    assert columns.max() < 320
    assert columns.min() >= 0
    assert not changed[88:93, round(320 * x) - 2 : round(320 * x) + 3].any()
    assert (columns.mean() > 320 * x) == (x < 0.5)


def test_nothing_is_painted_outside_the_picture() -> None:
    bounds = Rect(left=0, top=0, width=100, height=180)
    field = SketchField(to_canvas=whole_field(320, 180).to_canvas, bounds=bounds, scale=0.5)

    changed = np.any(painted({Spot.BALL: at(0.3, 0.5)}, field) != 120, axis=2)

    assert changed.any()
    assert not changed[:, 100:].any()
