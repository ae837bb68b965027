"""Marked ends of sticks over a picture, and the piece about one of them, enlarged.

Owns their look. What is enlarged is the picture alone: no mark may hide the end that it marks.
"""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPen, QTransform

from capturestation.drawing.theme import INK, PAPER, Colour, font
from capturestation.records import Point

_DOT: Colour = (0xF0, 0xE4, 0x42)
# Yellow of Okabe & Ito, Color Universal Design, 2008: seen on light and dark.
_RING, _HAIR, _LETTERS = 0.012, 0.0016, 0.026
# Of a picture's width.
_GLASS, _ENLARGED = 0.42, 6.0
# Its side in picture heights, and how much larger than the stored picture it shows.


@dataclass(frozen=True, slots=True, kw_only=True)
class StickMark:
    """One marked end.

    Args:
        at: Where, shares of the picture as shown.
        word: Which end it is.
        is_held: Whether it is the one that can be moved now.
    """

    at: Point
    word: str
    is_held: bool = False


def paint_marks(painter: QPainter, marks: tuple[StickMark, ...], place: QRect) -> None:
    """Rings with a word beside each."""
    wide = place.width()
    hair, ring = max(wide * _HAIR, 1.0), max(wide * _RING, 6.0)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setClipRect(place)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setFont(font(max(round(wide * _LETTERS), 11), bold=True))
    spots = [_in(place, mark.at) for mark in marks]
    middle = sum(spots, QPointF()) / max(len(spots), 1)
    for mark, at in zip(marks, spots, strict=True):
        for share, colour in ((3.0, INK), (1.4, _DOT if mark.is_held else PAPER)):
            painter.setPen(QPen(QColor(*colour), hair * share))
            painter.drawEllipse(at, ring, ring)
        _word(painter, mark.word, (at, at - middle, ring), place)
    painter.restore()


def _word(
    painter: QPainter, word: str, beside: tuple[QPointF, QPointF, float], place: QRect
) -> None:
    """Ink on a piece of paper, on the side where no other end is, inside the picture."""
    at, outwards, ring = beside
    around = QRectF(painter.fontMetrics().boundingRect(word)).adjusted(-4, -2, 4, 2)
    is_beside = abs(outwards.x()) >= abs(outwards.y())
    way = outwards.x() if is_beside else outwards.y()
    half = around.width() / 2 if is_beside else around.height() / 2
    off = (1.4 * ring + half) * (1 if way > 0 else -1)
    around.moveCenter(at + (QPointF(off, 0) if is_beside else QPointF(0, off)))
    around.moveLeft(min(max(around.left(), place.left()), place.right() - around.width()))
    around.moveTop(min(max(around.top(), place.top()), place.bottom() - around.height()))
    if QRectF(at.x() - ring, at.y() - ring, 2 * ring, 2 * ring).intersects(around):
        # The picture ends there: to its left or right, whichever has the room.
        has_room = at.x() + 1.4 * ring + around.width() < place.right()
        left = at.x() + 1.4 * ring if has_room else at.x() - 1.4 * ring - around.width()
        around.moveLeft(left)
    painter.fillRect(around, QColor(*PAPER))
    painter.setPen(QColor(*INK))
    painter.drawText(around, int(Qt.AlignmentFlag.AlignCenter), word)


def glass_place(at: Point, place: QRect) -> QRect:
    """Where the enlarged piece stands: in the upper corner that is further away."""
    side = round(_GLASS * place.height())
    left = place.left() if at.x > 0.5 else place.right() + 1 - side
    return QRect(left, place.top(), side, side)


def paint_glass(painter: QPainter, image: QImage, turn_deg: int, at: Point, place: QRect) -> None:
    """Paint the piece of a picture about a mark, its middle under a cross that leaves it free.

    Args:
        painter: Onto what.
        image: The picture as stored.
        turn_deg: Clockwise, to show it upright.
        at: The middle, shares of the picture as shown.
        place: Where the picture stands.
    """
    glass = glass_place(at, place)
    upright = (image.height(), image.width()) if turn_deg % 180 else (image.width(), image.height())
    wide, high = (_ENLARGED * side for side in upright)
    middle = QRectF(glass).center()
    centre = middle + QPointF((0.5 - at.x) * wide, (0.5 - at.y) * high)
    painter.save()
    painter.setClipRect(glass)
    painter.fillRect(glass, QColor(*INK))
    painter.setTransform(
        QTransform().translate(centre.x(), centre.y()).rotate(turn_deg), combine=True
    )
    stored = (high, wide) if turn_deg % 180 else (wide, high)
    painter.drawImage(QRectF(-stored[0] / 2, -stored[1] / 2, *stored), image)
    painter.restore()
    painter.save()
    free, reach = 0.05 * glass.width(), 0.5 * glass.width()
    for thick, colour in ((3.0, INK), (1.0, _DOT)):
        painter.setPen(QPen(QColor(*colour), thick))
        for way in (QPointF(1, 0), QPointF(-1, 0), QPointF(0, 1), QPointF(0, -1)):
            painter.drawLine(middle + free * way, middle + reach * way)
        painter.drawRect(QRectF(glass).adjusted(1, 1, -1, -1))
    painter.restore()


def _in(place: QRect, at: Point) -> QPointF:
    return QPointF(place.left() + at.x * place.width(), place.top() + at.y * place.height())
