"""Paints what lies on the mat over a picture: target line, mat grid, toes line, the club's plane.

Owns their look: seen on any ground, and told apart by stroke and word, never by colour alone.
Where they lie was worked out before; here they are lines on a picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from capturestation.drawing import theme
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.theme import Colour, Size
from capturestation.records import Point

_UNIT_PX = 720
_FILL_ALPHA = 56
# Of a plane's area: the golfer behind it is still seen.
_LEAST_SEEN_PX = 24.0


class Ground(StrEnum):
    """What can be drawn on the mat."""

    TARGET_LINE = "target line"
    GRID = "mat grid"
    TOES = "toes line"
    PLANE = "club's plane"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundLine:
    """One line of it in a picture.

    Args:
        ground: What it belongs to.
        points: Along it, shares of the picture; they may lie outside.
        word: Said at its end; empty for nothing.
        is_area: Whether it goes round an area that is tinted.
    """

    ground: Ground
    points: tuple[Point, ...]
    word: str = ""
    is_area: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stroke:
    core: float
    colour: Colour
    edge: float
    dashes: tuple[float, ...] = ()


_STROKES = {
    Ground.GRID: _Stroke(core=1.4, colour=theme.PAPER, edge=3.0),
    Ground.TARGET_LINE: _Stroke(core=2.8, colour=(0xF0, 0xE4, 0x42), edge=5.0),
    Ground.TOES: _Stroke(core=2.8, colour=(0x56, 0xB4, 0xE9), edge=5.0, dashes=(4.0, 2.4)),
    Ground.PLANE: _Stroke(core=2.2, colour=(0xE6, 0x9F, 0x00), edge=4.2, dashes=(7.0, 2.0)),
}
"""Widths at a scale of 1. Yellow, sky blue, orange: Okabe & Ito, Color Universal Design, 2008."""


def paint_ground(painter: QPainter, lines: Iterable[GroundLine], field: SketchField) -> None:
    """Paint lines over the picture that is there already, the grid below all others.

    Args:
        painter: Paints on a widget or on a picture.
        lines: Of that view.
        field: Where the picture stands.
    """
    bounds = field.bounds
    order = list(_STROKES)
    drawn = sorted(lines, key=lambda line: order.index(line.ground))
    painter.save()
    painter.setClipRect(bounds.left, bounds.top, bounds.width, bounds.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for line in drawn:
        _paint(painter, line, field)
    taken: list[QRectF] = []
    for line in drawn:
        slip = _slip(line, field, taken) if line.word else None
        if slip is not None:
            taken.append(slip)
            _paint_word(painter, line.word, slip, field)
    painter.restore()


def _paint(painter: QPainter, line: GroundLine, field: SketchField) -> None:
    stroke = _STROKES[line.ground]
    shape = QPolygonF([QPointF(*field.to_canvas(point)) for point in line.points])
    path = QPainterPath()
    path.addPolygon(shape)
    if line.is_area:
        path.closeSubpath()
        tint = QColor(*stroke.colour)
        tint.setAlpha(_FILL_ALPHA)
        painter.fillPath(path, tint)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour, dashes in (
        (stroke.edge, theme.INK, ()),
        (stroke.core, stroke.colour, stroke.dashes),
    ):
        pen = QPen(QColor(*colour), width * field.scale)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if dashes:
            pen.setDashPattern(dashes)
        painter.strokePath(path, pen)


def _slip(line: GroundLine, field: SketchField, taken: list[QRectF]) -> QRectF | None:
    """Where its word stands: by the last place that is well inside, an area's by its highest.

    Above whatever stands there already; None where there is no room.
    """
    px = _word_px(field)
    wide = QFontMetricsF(theme.font(px, bold=True)).horizontalAdvance(line.word) + 0.8 * px
    high = 1.4 * px
    bounds, edge = field.bounds, _LEAST_SEEN_PX * field.scale
    room = QRectF(bounds.left, bounds.top, bounds.width, bounds.height)
    inside = room.adjusted(edge, edge, -edge, -edge)
    seen = [at for at in (QPointF(*field.to_canvas(p)) for p in line.points) if inside.contains(at)]
    if not seen or wide > room.width():
        return None
    at = min(seen, key=QPointF.y) if line.is_area else seen[-1]
    left = min(max(at.x() + 0.5 * px, room.left()), room.right() - wide)
    top = min(max(at.y() - 0.5 * high, room.top()), room.bottom() - high)
    slip = QRectF(left, top, wide, high)
    while any(slip.intersects(one) for one in taken):
        slip.translate(0.0, -1.1 * high)
    return slip if slip.top() >= room.top() else None


def _word_px(field: SketchField) -> int:
    return theme.type_px(Size.WORD, round(_UNIT_PX * field.scale))


def _paint_word(painter: QPainter, word: str, slip: QRectF, field: SketchField) -> None:
    painter.fillRect(slip.adjusted(-1, -1, 1, 1), QColor(*theme.INK))
    painter.fillRect(slip, QColor(*theme.PAPER))
    painter.setFont(theme.font(_word_px(field), bold=True))
    painter.setPen(QColor(*theme.INK))
    painter.drawText(slip, Qt.AlignmentFlag.AlignCenter, word)
