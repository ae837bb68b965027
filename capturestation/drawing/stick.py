"""Paints a golfer as sticks over his picture, in one neutral colour.

Owns which joints are joined. Where a joint isn't known its sticks are left out: nothing is guessed.
"""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

from PyQt6.QtCore import QPointF, Qt
from PyQt6.QtGui import QColor, QPainter, QPen

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.theme import INK, Colour
from capturestation.records import FloatArray, Point
from capturestation.swing.tracks import Joint

GREY: Colour = (0xD8, 0xD8, 0xD4)
_CORE, _EDGE = 2.2, 4.0
# Widths where a field is 720 pixels high: a light line with a dark edge is seen on any ground.
_UNIT_PX, _LEAST = 720.0, 0.6

STICKS: tuple[tuple[Joint, Joint], ...] = (
    (Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER),
    (Joint.LEAD_HIP, Joint.TRAIL_HIP),
    *(
        (one, other)
        for side in (
            (Joint.LEAD_SHOULDER, Joint.LEAD_ELBOW, Joint.LEAD_WRIST),
            (Joint.TRAIL_SHOULDER, Joint.TRAIL_ELBOW, Joint.TRAIL_WRIST),
            (Joint.LEAD_SHOULDER, Joint.LEAD_HIP, Joint.LEAD_KNEE, Joint.LEAD_ANKLE),
            (Joint.TRAIL_SHOULDER, Joint.TRAIL_HIP, Joint.TRAIL_KNEE, Joint.TRAIL_ANKLE),
            (Joint.LEAD_ANKLE, Joint.LEAD_HEEL, Joint.LEAD_TOE),
            (Joint.TRAIL_ANKLE, Joint.TRAIL_HEEL, Joint.TRAIL_TOE),
        )
        for one, other in pairwise(side)
    ),
)
"""Which joints are joined."""


def paint_sticks(painter: QPainter, joints_px: FloatArray, at: FieldPlace) -> None:
    """Paint a stick figure over the picture that is there already.

    Args:
        painter: Paints on a widget or on a picture.
        joints_px: (21, 2) pixels of the picture, in the order of `JOINTS`; NaN where unknown.
        at: Where the picture stands.
    """
    places = [_on_screen(joint, at) for joint in joints_px.tolist()]
    scale = max(at.rect.height / _UNIT_PX, _LEAST)
    painter.save()
    painter.setClipRect(at.rect.left, at.rect.top, at.rect.width, at.rect.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for width, colour in ((_EDGE, INK), (_CORE, GREY)):
        pen = QPen(QColor(*colour), width * scale)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        for one, other in STICKS:
            start, end = places[one.place], places[other.place]
            if start is not None and end is not None:
                painter.drawLine(start, end)
    painter.restore()


def _on_screen(joint: list[float], at: FieldPlace) -> QPointF | None:
    x, y = joint
    if not (isfinite(x) and isfinite(y)):
        return None
    # Joints count from the middle of the first pixel, places of a picture from its edge.
    share = Point(x=(x + 0.5) / at.width_px, y=(y + 0.5) / at.height_px)
    return QPointF(*at.to_screen(share))
