"""Paints what a coach drew on a picture: lines that are seen on any ground, and words on paper.

Owns the four pens. Each is a colour of the Okabe–Ito set inside a line of ink with an edge of
paper, and each has a stroke of its own, so that none is told by its colour alone. Blue and
vermillion stay out: they say now and then. Used by the screen and by the clip alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PyQt6.QtCore import QBuffer, QIODevice, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPolygonF

from capturestation.drawing import theme
from capturestation.drawing.app import has_app
from capturestation.drawing.placing import Placement
from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField, away_px, handles, stroke
from capturestation.drawing.sketch_slips import arc_px, paint_slip, slip_of
from capturestation.drawing.theme import Colour
from capturestation.records import Drawing, FloatArray, FrameArray, Pen, Point, Shape

_CORE, _INK, _PAPER = 3.4, 5.4, 7.4
# Widths of the colour, of the ink under it and of the paper under that, at a scale of 1.
_HANDLE = 7.0
_BOB = 9.0
# A handle's and a plumb bob's size at a scale of 1.


@dataclass(frozen=True, slots=True, kw_only=True)
class PenLook:
    """How a pen writes.

    Args:
        colour: Red, green, blue.
        dashes: Lengths drawn and left out in turn, in widths of the colour; empty is unbroken.
    """

    colour: Colour
    dashes: tuple[float, ...] = ()


PENS = {
    Pen.FIRST: PenLook(colour=(0xF0, 0xE4, 0x42)),
    Pen.SECOND: PenLook(colour=(0x56, 0xB4, 0xE9), dashes=(4.5, 3.0)),
    Pen.THIRD: PenLook(colour=(0xCC, 0x79, 0xA7), dashes=(0.01, 1.9)),
    Pen.FOURTH: PenLook(colour=(0x00, 0x9E, 0x73), dashes=(6.0, 2.2, 0.01, 2.2)),
}
"""Yellow, sky blue, reddish purple, bluish green: Okabe & Ito, Color Universal Design, 2008."""


def paint_sketches(
    painter: QPainter,
    drawings: Iterable[Drawing],
    field: SketchField,
    *,
    chosen: Drawing | None = None,
) -> None:
    """Paint drawings over the picture that is there already.

    Args:
        painter: Paints on a widget or on a picture.
        drawings: Of that view, the lowest first.
        field: Where the picture stands.
        chosen: The one whose handles are shown.
    """
    bounds = field.bounds
    painter.save()
    painter.setClipRect(bounds.left, bounds.top, bounds.width, bounds.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    drawn = tuple(drawings)
    for drawing in drawn:
        _paint(painter, drawing, field)
    # Words lie on top of all lines, else none could be read.
    for drawing in drawn:
        slip = slip_of(drawing, field)
        if slip is not None:
            paint_slip(painter, slip, PENS[drawing.pen].colour)
    if chosen is not None:
        _paint_handles(painter, handles(chosen, field), field.scale)
    painter.restore()


def _paint(painter: QPainter, drawing: Drawing, field: SketchField) -> None:
    if drawing.shape is Shape.TEXT:
        return
    look, line = PENS[drawing.pen], stroke(drawing, field)
    _paint_path(painter, _path(line), look, field.scale)
    if drawing.shape is Shape.ANGLE:
        arc = PenLook(colour=look.colour)
        _paint_path(painter, _arc(line, field), arc, 0.7 * field.scale)
    if drawing.shape is Shape.PLUMB:
        at = field.to_canvas(drawing.points[0])
        _paint_bob(painter, QPointF(*at), look.colour, field.scale)


def _path(line: FloatArray) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in line.tolist()]))
    return path


def _paint_path(painter: QPainter, path: QPainterPath, look: PenLook, scale: float) -> None:
    """Paper, ink and colour one over the other; only the colour is broken."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour, dashes in (
        (_PAPER, theme.PAPER, ()),
        (_INK, theme.INK, ()),
        (_CORE, look.colour, look.dashes),
    ):
        pen = QPen(QColor(*colour), width * scale)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if dashes:
            pen.setDashPattern(dashes)
        painter.strokePath(path, pen)


def _arc(three: FloatArray, field: SketchField) -> QPainterPath:
    """From one leg to the other, the short way."""
    radius = arc_px(three, field)
    one, other = (complex(*(end - three[1])) for end in (three[0], three[2]))
    path = QPainterPath()
    if one and other:
        x, y = three[1].tolist()
        box = QRectF(x - radius, y - radius, 2 * radius, 2 * radius)
        # Qt counts degrees against the clock, rows count down.
        start = -float(np.degrees(np.angle(one)))
        path.arcMoveTo(box, start)
        path.arcTo(box, start, -float(np.degrees(np.angle(other / one))))
    return path


def _paint_bob(painter: QPainter, at: QPointF, colour: Colour, scale: float) -> None:
    """A plumb bob at the place that the line goes through: it says what the line is."""
    size = _BOB * scale
    shape = QPolygonF(
        [
            at + QPointF(-0.62 * size, -0.8 * size),
            at + QPointF(0.62 * size, -0.8 * size),
            at + QPointF(0.0, size),
        ]
    )
    for width, ink in ((3.2, theme.PAPER), (1.6, theme.INK)):
        pen = QPen(QColor(*ink), width * scale)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.setBrush(QColor(*colour))
        painter.drawPolygon(shape)


def _paint_handles(painter: QPainter, places: FloatArray, scale: float) -> None:
    for x, y in places.tolist():
        for size, colour in ((_HANDLE + 2.0, theme.INK), (_HANDLE, theme.PAPER)):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(*colour))
            painter.drawEllipse(QPointF(x, y), size * scale, size * scale)


def away_from(drawing: Drawing, field: SketchField, at_px: tuple[float, float]) -> float:
    """How far a place on the canvas is from a drawing as it is painted, pixels."""
    slip = slip_of(drawing, field)
    on_line = away_px(stroke(drawing, field), at_px)
    return on_line if slip is None else min(on_line, _away_from_paper(slip.rect, at_px))


def _away_from_paper(rect: QRectF, at_px: tuple[float, float]) -> float:
    x, y = at_px
    across = max(rect.left() - x, x - rect.right(), 0.0)
    down = max(rect.top() - y, y - rect.bottom(), 0.0)
    return math.hypot(across, down)


def nearest(
    drawings: Sequence[Drawing], field: SketchField, at_px: tuple[float, float], reach_px: float
) -> Drawing | None:
    """The drawing that is meant by a place: the nearest, the upper one of two; None if none is."""
    found, best_px = None, reach_px
    for drawing in drawings:
        off_px = away_from(drawing, field, at_px)
        if off_px <= best_px:
            found, best_px = drawing, off_px
    return found


def field_of(placement: Placement, size_px: tuple[int, int], scale: float) -> SketchField:
    """A field for the shown piece of a picture alone, its upper left corner at 0, 0.

    Args:
        placement: What is shown of the picture, and how large.
        size_px: The whole picture's width and height.
        scale: Of strokes and letters.
    """
    source, target = placement.source, placement.target
    across, down = target.width / source.width, target.height / source.height

    def to_canvas(point: Point) -> tuple[float, float]:
        x, y = point.x * size_px[0] - source.left, point.y * size_px[1] - source.top
        return x * across, y * down

    bounds = replace(target, left=0, top=0)
    return SketchField(to_canvas=to_canvas, bounds=bounds, scale=scale)


def sketch_png(drawings: Iterable[Drawing], field: SketchField) -> bytes:
    """Drawings alone on a clear ground, as a PNG that another program lays over its pictures.

    Raises:
        RuntimeError: As `sketch_layer`.
    """
    kept = QBuffer()
    kept.open(QIODevice.OpenModeFlag.WriteOnly)
    _on_clear(drawings, field).save(kept, "PNG")
    return kept.data().data()


def sketch_layer(drawings: Iterable[Drawing], field: SketchField) -> FrameArray:
    """Drawings alone on a clear ground, to be laid over many pictures.

    Returns:
        (H, W, 4): red, green, blue, each already times the cover, and the cover itself.

    Raises:
        RuntimeError: If there is no application: Qt would end the process on the first letter.
    """
    bounds: Rect = field.bounds
    image = _on_clear(drawings, field)
    bits = image.constBits().asstring(image.sizeInBytes())
    rows = np.frombuffer(bits, dtype=np.uint8).reshape(bounds.height, image.bytesPerLine())
    return np.array(rows[:, : 4 * bounds.width].reshape(bounds.height, bounds.width, 4))


def _on_clear(drawings: Iterable[Drawing], field: SketchField) -> QImage:
    if not has_app():
        msg = "ensure_app() must be called before painting"
        raise RuntimeError(msg)
    bounds: Rect = field.bounds
    image = QImage(bounds.width, bounds.height, QImage.Format.Format_RGBA8888_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    try:
        paint_sketches(painter, drawings, field)
    finally:
        painter.end()
    return image
