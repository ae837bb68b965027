"""The slips of paper on a drawing: a coach's words, and the degrees of an angle.

Owns what is written on them and where they lie; they stay inside their picture.
"""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass

import numpy as np
from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter

from capturestation.drawing import theme
from capturestation.drawing.sketch_lines import SketchField, angle_deg, stroke
from capturestation.drawing.theme import Colour, Size
from capturestation.records import Drawing, FloatArray, Shape

_UNIT_PX = 720
# Type sizes are shares of a canvas; a field's scale of 1 is for one so high.
_MOST_SIGNS = 24
# Of a line of words: more would cover the golfer.
_ARC, _ARC_OF_LEG = 28.0, 0.45
# An angle's arc: its radius at a scale of 1, and the most of its shorter leg.
_ROOM, _RULE = 0.42, 0.2
# Around the letters, and the rule in the pen's colour at their left, in letters' heights.
_EDGE = 1.5
# Of ink around the paper, pixels.
IN_THE_PICTURE = "in the picture"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """Words on a piece of paper.

    Args:
        lines: What is written; the first large, the others as large unless `quiet`.
        rect: Where it lies, canvas pixels.
        px: Height of the large letters.
        quiet: Whether all lines but the first are small and soft.
    """

    lines: tuple[str, ...]
    rect: QRectF
    px: int
    quiet: bool = False


def slip_of(drawing: Drawing, field: SketchField) -> Slip | None:
    """What a drawing says in words; None for plain lines."""
    px = theme.type_px(Size.CAPTION, round(_UNIT_PX * field.scale))
    if drawing.shape is Shape.TEXT:
        lines = tuple(textwrap.wrap(drawing.words, _MOST_SIGNS)) or (drawing.words,)
        left, top = field.to_canvas(drawing.points[0])
        return _slip(lines, (left, top), px, field)
    if drawing.shape is Shape.ANGLE:
        three = stroke(drawing, field)
        lines = (f"{angle_deg(three):.0f}°", IN_THE_PICTURE)
        draft = _slip(lines, (0.0, 0.0), px, field, quiet=True)
        x, y = _beyond_arc(three, draft.rect, field)
        return _slip(lines, (x, y), px, field, quiet=True)
    return None


def arc_px(three: FloatArray, field: SketchField) -> float:
    """The radius of an angle's arc."""
    legs = np.linalg.norm(three[[0, 2]] - three[1], axis=1)
    return float(min(_ARC * field.scale, _ARC_OF_LEG * legs.min()))


def _beyond_arc(three: FloatArray, paper: QRectF, field: SketchField) -> tuple[float, float]:
    """Where the slip's corner goes: past the arc, on the line that halves the angle."""
    legs = [complex(*(end - three[1])) for end in (three[0], three[2])]
    units = [leg / abs(leg) if leg else 0j for leg in legs]
    half = sum(units)
    if abs(half) < 1e-3:
        half = 1j * units[0] if units[0] else 1 + 0j
    half /= abs(half)
    # As far as the paper reaches in that direction, so that it never covers the corner.
    reach = (abs(half.real) * paper.width() + abs(half.imag) * paper.height()) / 2
    away = arc_px(three, field) + reach + 6 * field.scale
    return (
        float(three[1, 0]) + away * half.real - paper.width() / 2,
        float(three[1, 1]) + away * half.imag - paper.height() / 2,
    )


def _slip(
    lines: tuple[str, ...],
    corner: tuple[float, float],
    px: int,
    field: SketchField,
    *,
    quiet: bool = False,
) -> Slip:
    widths = []
    for place, line in enumerate(lines):
        font = theme.font(_line_px(px, place, quiet=quiet), bold=place == 0 or not quiet)
        widths.append(QFontMetricsF(font).horizontalAdvance(line))
    width = math.ceil(max(widths) + (2 * _ROOM + 2 * _RULE) * px)
    heights = [_line_px(px, place, quiet=quiet) for place in range(len(lines))]
    height = math.ceil(1.2 * sum(heights) + _ROOM * px)
    bounds = field.bounds
    left = _inside(corner[0], width, bounds.left + _EDGE, bounds.right - _EDGE)
    top = _inside(corner[1], height, bounds.top + _EDGE, bounds.bottom - _EDGE)
    return Slip(lines=lines, rect=QRectF(left, top, width, height), px=px, quiet=quiet)


def _inside(start: float, long: float, low: float, high: float) -> float:
    """Moved in at an end; where there is no room for all of it, its beginning is shown."""
    return max(min(start, high - long), low)


def _line_px(px: int, place: int, *, quiet: bool) -> int:
    return round(0.62 * px) if quiet and place else px


def paint_slip(painter: QPainter, slip: Slip, colour: Colour) -> None:
    """Paint the paper, its rule in the pen's colour and the words."""
    rect = slip.rect
    painter.fillRect(rect.adjusted(-_EDGE, -_EDGE, _EDGE, _EDGE), QColor(*theme.INK))
    painter.fillRect(rect, QColor(*theme.PAPER))
    rule = QRectF(rect.left(), rect.top(), _RULE * slip.px, rect.height())
    painter.fillRect(rule, QColor(*colour))
    painter.fillRect(QRectF(rule.right(), rect.top(), 1.5, rect.height()), QColor(*theme.INK))
    left = rule.right() + _ROOM * slip.px
    top = rect.top() + _ROOM * slip.px / 2
    for place, line in enumerate(slip.lines):
        px = _line_px(slip.px, place, quiet=slip.quiet)
        is_soft = slip.quiet and place > 0
        painter.setFont(theme.font(px, bold=not is_soft))
        painter.setPen(QColor(*(theme.INK_SOFT if is_soft else theme.INK)))
        box = QRectF(left, top, rect.right() - left, 1.2 * px)
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, line)
        top += 1.2 * px
