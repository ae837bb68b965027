"""Paints where ball, corners and stance were pointed out: a ring with its word on a slip.

Owns their look. Shown only while spots are pointed out.
"""

from __future__ import annotations

from collections.abc import Mapping

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from capturestation.drawing import theme
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.theme import Size
from capturestation.records import GOLFER_SPOTS, Box, Point, Spot

_UNIT_PX = 720
_RING, _CROSS = 11.0, 4.0


def paint_spots(painter: QPainter, spots: Mapping[Spot, Point], field: SketchField) -> None:
    """Paint the spots of one picture.

    Args:
        painter: Paints on a widget or a picture.
        spots: Where they are, shares of the picture.
        field: Where the picture stands.
    """
    bounds = field.bounds
    painter.save()
    painter.setClipRect(bounds.left, bounds.top, bounds.width, bounds.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for spot, place in spots.items():
        if spot in GOLFER_SPOTS:
            continue
        at = QPointF(*field.to_canvas(place))
        _ring(painter, at, field.scale)
        _word(painter, str(spot), at, field)
    painter.restore()


def paint_box(painter: QPainter, box: Box, word: str, field: SketchField) -> None:
    """Paint the box round the golfer, its word at its first corner.

    Args:
        painter: Paints on a widget or a picture.
        box: Where, shares of the picture.
        word: What it is called.
        field: Where the picture stands.
    """
    across, down = (box.left, box.right), (box.top, box.bottom)
    ends = [Point(x=across[k in (1, 2)], y=down[k > 1]) for k in range(4)]
    sides = QPolygonF([QPointF(*field.to_canvas(end)) for end in ends])
    bounds = field.bounds
    painter.save()
    painter.setClipRect(bounds.left, bounds.top, bounds.width, bounds.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour in ((5.0, theme.PAPER), (2.4, theme.INK)):
        painter.setPen(QPen(QColor(*colour), width * field.scale))
        painter.drawPolygon(sides)
    _word(painter, word, sides.first(), field)
    painter.restore()


def _ring(painter: QPainter, at: QPointF, scale: float) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour in ((5.0, theme.PAPER), (2.4, theme.INK)):
        painter.setPen(QPen(QColor(*colour), width * scale))
        painter.drawEllipse(at, _RING * scale, _RING * scale)
        for across, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            way = QPointF(across, down)
            painter.drawLine(at + way * (_RING * scale), at + way * ((_RING + _CROSS) * scale))


def _word(painter: QPainter, word: str, at: QPointF, field: SketchField) -> None:
    """The word to the right of its ring, or to the left where there is no room."""
    px = theme.type_px(Size.WORD, round(_UNIT_PX * field.scale))
    font = theme.font(px, bold=True)
    width = QFontMetricsF(font).horizontalAdvance(word) + 0.8 * px
    off = (_RING + _CROSS + 4) * field.scale
    left = at.x() + off
    if left + width > field.bounds.right:
        left = at.x() - off - width
    paper = QRectF(left, at.y() - 0.7 * px, width, 1.4 * px)
    painter.fillRect(paper.adjusted(-1, -1, 1, 1), QColor(*theme.INK))
    painter.fillRect(paper, QColor(*theme.PAPER))
    painter.setFont(font)
    painter.setPen(QColor(*theme.INK))
    painter.drawText(paper, Qt.AlignmentFlag.AlignCenter, word)
