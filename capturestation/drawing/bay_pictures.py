"""The Bay's pictures: beside or below each other, as large as they go, captioned like prints.

Owns where each stands and how it is turned upright. Used by the window and by the second screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPen, QTransform

from capturestation.drawing.stick_marks import StickMark, paint_glass, paint_marks
from capturestation.drawing.theme import INK, PAPER, Colour, font
from capturestation.records import Box, Point

USUAL_ASPECT = 16 / 9
_UPRIGHT_ASPECT = 9 / 16
_CAPTION_LINES = 1.5
_INSET, _SIZE, _HAIR = 0.012, 0.004, 0.0016
# Of a picture's width.
_DOT: Colour = (0xF0, 0xE4, 0x42)
# Yellow of Okabe & Ito, Color Universal Design, 2008: seen on a board's dark and light.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BayPicture:
    """One angle.

    Args:
        words: Its caption.
        image: As stored; None while there is none.
        turn_deg: Clockwise, to show it upright.
        missing: What stands in its place while there is none.
        is_upright: Whether a picture that isn't there yet will stand on its short side.
        dots: What was found in it, shares of the picture as shown.
        fields: What is still wanted of it, likewise.
        marks: Ends of sticks that were marked in it.
        enlarged: The place about which a piece of it is shown large.
    """

    words: str
    image: QImage | None = None
    turn_deg: int = 0
    missing: str = ""
    is_upright: bool = False
    dots: tuple[Point, ...] = ()
    fields: tuple[Box, ...] = ()
    marks: tuple[StickMark, ...] = ()
    enlarged: Point | None = None

    @property
    def aspect(self) -> float:
        """Width per height as shown."""
        if self.image is None or self.image.isNull():
            return _UPRIGHT_ASPECT if self.is_upright else USUAL_ASPECT
        wide, high = self.image.width(), self.image.height()
        return high / wide if self.turn_deg % 180 else wide / high


@dataclass(frozen=True, slots=True, kw_only=True)
class BayInk:
    """What captions are written with.

    Args:
        paper: The ground.
        shade: Where a picture is missing.
        ink: Letters.
        letters_px: Their size; 0 writes none.
        gap_px: Between pictures.
    """

    paper: Colour
    shade: Colour
    ink: Colour
    letters_px: int
    gap_px: int


def places(aspects: Sequence[float], area: QRect, ink: BayInk) -> list[QRect]:
    """Where each picture stands: in a row, or in a column where they are larger so.

    Args:
        aspects: Width per height of each.
        area: The room, captions included.
        ink: Sizes.
    """
    if not aspects:
        return []
    ways = (_in_row(aspects, area, ink), _in_column(aspects, area, ink))
    return max(ways, key=lambda way: min(place.width() * place.height() for place in way))


def _in_row(aspects: Sequence[float], area: QRect, ink: BayInk) -> list[QRect]:
    """All equally high."""
    caption_px, count = caption_height(ink), len(aspects)
    room_px = area.width() - ink.gap_px * (count - 1)
    high = max(min(area.height() - caption_px, int(room_px / sum(aspects))), 1)
    wides = [max(round(aspect * high), 1) for aspect in aspects]
    left = area.left() + (area.width() - sum(wides) - ink.gap_px * (count - 1)) // 2
    top = area.top() + (area.height() - high - caption_px) // 2
    found = []
    for wide in wides:
        found.append(QRect(left, top, wide, high))
        left += wide + ink.gap_px
    return found


def _in_column(aspects: Sequence[float], area: QRect, ink: BayInk) -> list[QRect]:
    """All equally wide."""
    caption_px, count = caption_height(ink), len(aspects)
    room_px = area.height() - caption_px * count - ink.gap_px * (count - 1)
    wide = max(min(area.width(), int(room_px / sum(1 / aspect for aspect in aspects))), 1)
    highs = [max(round(wide / aspect), 1) for aspect in aspects]
    left = area.left() + (area.width() - wide) // 2
    taken = sum(highs) + caption_px * count + ink.gap_px * (count - 1)
    top = area.top() + (area.height() - taken) // 2
    found = []
    for high in highs:
        found.append(QRect(left, top, wide, high))
        top += high + caption_px + ink.gap_px
    return found


def caption_height(ink: BayInk) -> int:
    """What a caption takes below its picture."""
    return round(_CAPTION_LINES * ink.letters_px)


def paint_bay(
    painter: QPainter, pictures: Sequence[BayPicture], area: QRect, ink: BayInk
) -> list[QRect]:
    """Paint them into an area; gives where each picture stands."""
    found = places([picture.aspect for picture in pictures], area, ink)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    for picture, place in zip(pictures, found, strict=True):
        if picture.image is None or picture.image.isNull():
            _paint_missing(painter, picture, place, ink)
        else:
            _paint_turned(painter, picture.image, picture.turn_deg, place)
            _paint_found(painter, picture, place)
            paint_marks(painter, picture.marks, place)
            if picture.enlarged is not None:
                paint_glass(painter, picture.image, picture.turn_deg, picture.enlarged, place)
        if ink.letters_px:
            below = QRect(place.left(), place.bottom() + 1, place.width(), caption_height(ink))
            _write(painter, picture.words, below, ink, Qt.AlignmentFlag.AlignLeft)
    return found


def _paint_missing(painter: QPainter, picture: BayPicture, place: QRect, ink: BayInk) -> None:
    painter.fillRect(place, QColor(*ink.shade))
    if ink.letters_px:
        inside = place.adjusted(ink.gap_px, ink.gap_px, -ink.gap_px, -ink.gap_px)
        painter.setPen(QColor(*ink.ink))
        painter.setFont(font(ink.letters_px))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(inside, int(flags), picture.missing)


def _paint_turned(painter: QPainter, image: QImage, turn_deg: int, place: QRect) -> None:
    painter.save()
    middle = QPointF(place.center()) + QPointF(0.5, 0.5)
    turned = QTransform().translate(middle.x(), middle.y()).rotate(turn_deg)
    painter.setTransform(turned, combine=True)
    wide, high = float(place.width()), float(place.height())
    if turn_deg % 180:
        wide, high = high, wide
    painter.drawImage(QRectF(-wide / 2, -high / 2, wide, high), image)
    painter.restore()


def _paint_found(painter: QPainter, picture: BayPicture, place: QRect) -> None:
    """Fields as thin frames, dots inside a line of ink: both seen on light and dark."""
    wide, high = place.width(), place.height()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    inset = max(wide * _INSET, 2.0)
    size = max(wide * _SIZE, 2.0)
    for share, colour in ((2.2, INK), (1.0, PAPER)):
        painter.setPen(QPen(QColor(*colour), max(wide * _HAIR, 1.0) * share))
        for box in picture.fields:
            frame = QRectF(
                place.left() + box.left * wide,
                place.top() + box.top * high,
                box.width * wide,
                box.height * high,
            )
            painter.drawRect(frame.adjusted(inset, inset, -inset, -inset))
    painter.setPen(QPen(QColor(*INK), max(wide * _HAIR, 1.0)))
    painter.setBrush(QColor(*_DOT))
    for dot in picture.dots:
        at = QPointF(place.left() + dot.x * wide, place.top() + dot.y * high)
        painter.drawEllipse(at, size, size)
    painter.restore()


def _write(
    painter: QPainter, words: str, where: QRect, ink: BayInk, side: Qt.AlignmentFlag
) -> None:
    painter.setPen(QColor(*ink.ink))
    painter.setFont(font(ink.letters_px))
    short = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, where.width())
    painter.drawText(where, int(side | Qt.AlignmentFlag.AlignVCenter), short)
