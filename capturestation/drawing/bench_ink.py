"""Colours and type sizes of the screen's painters, handed in by whoever knows the theme."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter

from capturestation.drawing import theme
from capturestation.drawing.grid import Side
from capturestation.drawing.rect import Rect


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchInk:
    """What the screen is painted with.

    Args:
        paper: The page.
        shade: A field without a picture, a band.
        ink: Letters.
        soft: Quiet letters.
        edge: Rules between things.
        now: Today's swing.
        then: The earlier one.
        focus: The stroke round what has the keyboard.
        note_px: Letters of quiet words.
        body_px: Letters of captions.
        word_lines: On how many lines a moment's words may stand.
    """

    paper: theme.Colour = theme.PAPER
    shade: theme.Colour = theme.PAPER_SHADE
    ink: theme.Colour = theme.INK
    soft: theme.Colour = theme.INK_SOFT
    edge: theme.Colour = (0xC9, 0xC1, 0xB2)
    now: theme.Colour = theme.BLUE
    then: theme.Colour = theme.VERMILLION
    focus: theme.Colour = theme.INK
    note_px: int = 16
    body_px: int = 19
    word_lines: int = 2

    def side(self, side: Side) -> theme.Colour:
        """The colour of a swing."""
        return self.now if side is Side.NOW else self.then


@cache
def type_of(px: int, *, bold: bool = False) -> QFont:
    """The station's type, looked up once for each size."""
    return theme.font(px, bold=bold)


@cache
def metrics_of(px: int, *, bold: bool = False) -> QFontMetrics:
    """Its measures."""
    return QFontMetrics(type_of(px, bold=bold))


def line_px(px: int) -> int:
    """Height of a line of that type with its air."""
    return round(1.4 * px)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a line is written."""

    px: int
    colour: theme.Colour
    bold: bool = False
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft


def write(painter: QPainter, rect: Rect, words: str, style: Style) -> int:
    """Write one line, cut short where it doesn't fit; returns how wide it is."""
    metrics = metrics_of(style.px, bold=style.bold)
    fitting = metrics.elidedText(words, Qt.TextElideMode.ElideRight, rect.width)
    painter.setFont(type_of(style.px, bold=style.bold))
    painter.setPen(QColor(*style.colour))
    box = QRect(rect.left, rect.top, rect.width, rect.height)
    painter.drawText(box, style.align | Qt.AlignmentFlag.AlignVCenter, fitting)
    return metrics.horizontalAdvance(fitting)
