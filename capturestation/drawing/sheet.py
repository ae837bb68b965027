"""Paper to paint on: a Qt picture whose pixels numpy sees, and text that never runs over.

Owns the only places where Qt paints and where pictures are scaled. Used by every painter here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import ceil

import cv2
import numpy as np
from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter

from capturestation.drawing import theme
from capturestation.drawing.app import forget_cv2_qt, has_app
from capturestation.drawing.placing import Placement
from capturestation.drawing.rect import Rect
from capturestation.records import FrameArray

forget_cv2_qt()
_LEAST_SHARE = 0.6
# Text that is too long shrinks to this share of its size before it is cut short.


class Sheet:
    """A piece of paper with its pixels as an RGB array.

    Args:
        width_px: Its width.
        height_px: Its height.
        colour: What it is filled with.

    Raises:
        RuntimeError: If there is no application: Qt would end the process on the first letter.
    """

    def __init__(self, width_px: int, height_px: int, colour: theme.Colour = theme.PAPER) -> None:
        if not has_app():
            msg = "ensure_app() must be called before painting"
            raise RuntimeError(msg)
        self._image = QImage(width_px, height_px, QImage.Format.Format_RGB888)
        self._colour = colour
        self.clear()

    def clear(self) -> None:
        """Make it blank again."""
        self._image.fill(QColor(*self._colour))

    @contextmanager
    def painter(self) -> Iterator[QPainter]:
        """A painter that is ended whatever happens."""
        painter = QPainter(self._image)
        painter.setRenderHints(
            QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing
        )
        try:
            yield painter
        finally:
            painter.end()

    def pixels(self) -> FrameArray:
        """A copy of the pixels, (H, W, 3) RGB."""
        width, height = self._image.width(), self._image.height()
        bits = self._image.constBits()
        rows = np.frombuffer(bits.asstring(self._image.sizeInBytes()), dtype=np.uint8)
        rows = rows.reshape(height, self._image.bytesPerLine())
        return np.array(rows[:, : 3 * width].reshape(height, width, 3))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How a text is written."""

    px: int
    bold: bool = False
    colour: theme.Colour = theme.INK
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft


def text_width(text: str, ink: Ink) -> int:
    """How many pixels a text is wide."""
    return ceil(QFontMetricsF(theme.font(ink.px, bold=ink.bold)).horizontalAdvance(text))


def fill(painter: QPainter, rect: Rect, colour: theme.Colour) -> None:
    """Fill a rectangle."""
    painter.fillRect(rect.left, rect.top, rect.width, rect.height, QColor(*colour))


def write(painter: QPainter, rect: Rect, text: str, ink: Ink) -> None:
    """Write one line in the middle of a rectangle's height; shrink, then cut short, to fit."""
    font, text = _fitted(text, ink, rect.width)
    painter.setFont(font)
    painter.setPen(QColor(*ink.colour))
    box = QRect(rect.left, rect.top, rect.width, rect.height)
    painter.drawText(box, ink.align | Qt.AlignmentFlag.AlignVCenter, text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of words."""

    words: str
    ink: Ink


def lines_on_paper(
    width_px: int, height_px: int, lines: tuple[Line, ...], paper: theme.Colour
) -> FrameArray:
    """A piece of paper with one to a few lines of equal height, as pixels."""
    sheet = Sheet(width_px, height_px, paper)
    each = height_px // len(lines)
    with sheet.painter() as painter:
        for index, line in enumerate(lines):
            rect = Rect(left=0, top=index * each, width=width_px, height=each)
            write(painter, rect, line.words, line.ink)
    return sheet.pixels()


def fitting_px(
    texts: Iterable[str], ink: Ink, width_px: int, *, least_share: float = _LEAST_SHARE
) -> int:
    """The largest size up to the ink's at which all of these fit, but never too small to read."""
    px, least = ink.px, round(least_share * ink.px)
    for text in texts:
        while px > least and text_width(text, replace(ink, px=px)) > width_px:
            px -= 1
    return px


def wrapped(text: str, ink: Ink, width_px: int) -> tuple[str, ...]:
    """A text on as many lines as it needs, broken between words."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, ink) <= width_px:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def _fitted(text: str, ink: Ink, width_px: int) -> tuple[QFont, str]:
    font = theme.font(fitting_px((text,), ink, width_px), bold=ink.bold)
    return font, QFontMetricsF(font).elidedText(text, Qt.TextElideMode.ElideRight, width_px)


def scaled(frame_rgb: FrameArray, placement: Placement) -> FrameArray:
    """Cut and scale a picture as placed; safe on any thread.

    Args:
        frame_rgb: Shape (H, W, 3).
        placement: From `layout.place` for that size.
    """
    source = frame_rgb[placement.source.cut]
    size = (placement.target.width, placement.target.height)
    if (source.shape[1], source.shape[0]) == size:
        return source
    shrinks = size[0] < source.shape[1]
    how = cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(source, size, interpolation=how), dtype=np.uint8)
