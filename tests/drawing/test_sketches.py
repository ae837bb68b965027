"""Drawings are seen on any ground, stay inside their picture, and are grabbed where they are."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import pytest
from PyQt6.QtGui import QColor, QImage, QPainter

from capturestation.drawing import theme
from capturestation.drawing.placing import Placement
from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.sketches import (
    PENS,
    away_from,
    field_of,
    nearest,
    paint_sketches,
    sketch_layer,
)
from capturestation.drawing.theme import Colour
from capturestation.records import Drawing, FrameArray, Pen, Shape
from tests.helpers.sketches import LINE, ONE_OF_EACH, at, drawing, whole_field

pytestmark = pytest.mark.usefixtures("qapp")
SMALL = whole_field(320, 180, scale=0.5)


def painted(
    drawings: Sequence[Drawing],
    field: SketchField = SMALL,
    ground: int = 120,
    chosen: Drawing | None = None,
) -> FrameArray:
    image = QImage(320, 180, QImage.Format.Format_RGB888)
    image.fill(QColor(ground, ground, ground))
    painter = QPainter(image)
    paint_sketches(painter, drawings, field, chosen=chosen)
    painter.end()
    bits = image.constBits().asstring(image.sizeInBytes())
    rows = np.frombuffer(bits, np.uint8).reshape(180, image.bytesPerLine())
    return np.array(rows[:, :960].reshape(180, 320, 3))


def light(colour: Colour) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = np.array(colour) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


def contrast(one: Colour, other: Colour) -> float:
    low, high = sorted((light(one), light(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ground", range(0, 256, 15))
def test_ink_or_paper_stands_out_on_any_grey(ground: int) -> None:
    grey = (ground,) * 3

    assert max(contrast(theme.INK, grey), contrast(theme.PAPER, grey)) >= 3.0


@pytest.mark.parametrize("pen", Pen)
def test_a_pen_s_colour_stands_out_in_its_ink(pen: Pen) -> None:
    assert contrast(PENS[pen].colour, theme.INK) >= 3.0


def test_no_two_pens_have_one_stroke_or_a_side_s_colour() -> None:
    for one, other in combinations(PENS.values(), 2):
        assert one.dashes != other.dashes
        assert one.colour != other.colour
    assert {look.colour for look in PENS.values()}.isdisjoint({theme.BLUE, theme.VERMILLION})


@pytest.mark.parametrize("made", ONE_OF_EACH, ids=lambda made: str(made.shape))
@pytest.mark.parametrize("ground", [12, 120, 240])
def test_each_shape_is_seen_on_dark_and_bright_ground(made: Drawing, ground: int) -> None:
    changed = np.abs(painted([made], ground=ground).astype(int) - ground).max(axis=2) > 60

    assert changed.sum() > 100


@pytest.mark.parametrize("made", ONE_OF_EACH, ids=lambda made: str(made.shape))
def test_what_is_seen_is_within_reach(made: Drawing) -> None:
    rows, columns = np.nonzero(np.abs(painted([made]).astype(int) - 120).max(axis=2) > 60)
    some = slice(None, None, 7)

    off = [
        away_from(made, SMALL, (x + 0.5, y + 0.5))
        for x, y in zip(columns[some], rows[some], strict=True)
    ]

    limit = 16 if made.shape is Shape.ANGLE else 6
    assert max(off) <= limit


def test_nothing_is_painted_outside_the_picture_s_own_place() -> None:
    bounds = Rect(left=100, top=40, width=80, height=60)
    field = SketchField(to_canvas=SMALL.to_canvas, bounds=bounds, scale=0.5)
    ground = painted([], field)

    outside = painted(ONE_OF_EACH, field, chosen=LINE)

    outside[bounds.cut] = 120
    assert np.array_equal(outside, ground)


def test_words_lie_over_lines() -> None:
    text = drawing(Shape.TEXT, (0.3, 0.4), words="hold")
    across = drawing(Shape.LINE, (0.2, 0.47), (0.9, 0.47), pen=Pen.SECOND)

    together = painted([text, across])

    alone = painted([text])
    slip = np.all(alone == theme.PAPER, axis=2)
    assert slip.sum() > 200
    assert np.array_equal(together[slip], alone[slip])


def test_the_chosen_one_shows_its_handles() -> None:
    changed = np.any(painted([LINE], chosen=LINE) != painted([LINE]), axis=2)

    rows, columns = np.nonzero(changed)
    ends = np.array([SMALL.to_canvas(point) for point in LINE.points])
    off = [np.linalg.norm(ends - (x, y), axis=1).min() for x, y in zip(columns, rows, strict=True)]
    assert changed.sum() > 40
    assert max(off) <= 8


def test_the_upper_of_two_is_meant_and_nothing_beyond_reach() -> None:
    twin = drawing(Shape.LINE, (0.1, 0.1), (0.4, 0.1), pen=Pen.THIRD)

    assert nearest([LINE, twin], SMALL, (80.0, 20.0), 10) is twin
    assert nearest([LINE, twin], SMALL, (80.0, 40.0), 10) is None


def test_a_cut_and_scaled_picture_has_its_drawings_where_they_were_drawn() -> None:
    placement = Placement(
        source=Rect(left=320, top=0, width=640, height=720),
        target=Rect(left=50, top=10, width=160, height=180),
        width_share=0.5,
        height_share=1.0,
    )

    field = field_of(placement, (1280, 720), 0.5)

    assert field.to_canvas(at(0.5, 0.5)) == pytest.approx((80, 90))
    assert field.to_canvas(at(0.25, 0.0)) == pytest.approx((0, 0))
    assert field.bounds == Rect(left=0, top=0, width=160, height=180)


def test_a_layer_over_a_ground_is_what_is_painted_on_it() -> None:
    layer = sketch_layer(ONE_OF_EACH, SMALL).astype(float)

    over = layer[:, :, :3] + 120 * (1 - layer[:, :, 3:] / 255)

    assert np.abs(over - painted(ONE_OF_EACH)).max() <= 3
    assert (layer[:, :, 3] == 0).mean() > 0.5


_ON = {
    Shape.LINE: (0.2, 0.1),
    Shape.ANGLE: (0.5, 0.3),
    Shape.ELLIPSE: (0.2, 0.3),
    Shape.FREE: (0.825, 0.15),
    Shape.TEXT: (0.12, 0.77),
    Shape.PLUMB: (0.9, 0.1),
}


@pytest.mark.parametrize("made", ONE_OF_EACH, ids=lambda made: str(made.shape))
def test_each_shape_is_meant_where_it_is_seen(made: Drawing) -> None:
    field = whole_field()

    assert nearest(ONE_OF_EACH, field, field.to_canvas(at(*_ON[made.shape])), 22) is made
