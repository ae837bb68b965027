"""Prints boards at their true size: pages of a PDF with dark squares, cut lines and a ruler.

Owns how a millimetre on a page becomes one on paper. What stands where is worked out by whoever
asks. A printer that scales pages is found out by the ruler, so it says how long it must be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PyQt6.QtCore import QBuffer, QIODevice, QLineF, QMarginsF, QPointF, QRectF, QSizeF, Qt
from PyQt6.QtGui import QColor, QPageLayout, QPageSize, QPainter, QPdfWriter, QPen

from capturestation.drawing import theme
from capturestation.records import FloatArray

_DOTS_PER_INCH = 1200
_DOTS_PER_MM = _DOTS_PER_INCH / 25.4
_INK = (0, 0, 0)
# A board is measured, not looked at: as dark as a printer can.
_HAIR_MM = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class PageWord:
    """Words on a page.

    Args:
        text: What.
        at_mm: Where their upper left corner stands.
        high_mm: Height of their line.
    """

    text: str
    at_mm: tuple[float, float]
    high_mm: float = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardPage:
    """One sheet of a board, millimetres from its upper left corner.

    Args:
        size_mm: The paper's width and height.
        dark: What is black: left, top, width, height, shape (n, 4).
        lines: Thin lines from place to place.
        cuts: Where it is cut, dashed.
        words: What is written.
    """

    size_mm: tuple[float, float]
    dark: FloatArray
    lines: tuple[tuple[float, float, float, float], ...] = ()
    cuts: tuple[tuple[float, float, float, float], ...] = ()
    words: tuple[PageWord, ...] = ()


def board_pdf(pages: Sequence[BoardPage], title: str) -> bytes:
    """Pages as a PDF at true size.

    Args:
        pages: One or more, of any sizes.
        title: The document's.
    """
    kept = QBuffer()
    kept.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(kept)
    writer.setResolution(_DOTS_PER_INCH)
    writer.setTitle(title)
    _set_page(writer, pages[0])
    painter = QPainter(writer)
    for number, page in enumerate(pages):
        if number:
            _set_page(writer, page)
            writer.newPage()
        _paint(painter, page)
    painter.end()
    return kept.data().data()


def _set_page(writer: QPdfWriter, page: BoardPage) -> None:
    wide, high = page.size_mm
    size = QPageSize(QSizeF(min(wide, high), max(wide, high)), QPageSize.Unit.Millimeter)
    way = QPageLayout.Orientation.Landscape if wide > high else QPageLayout.Orientation.Portrait
    writer.setPageLayout(QPageLayout(size, way, QMarginsF()))


def _paint(painter: QPainter, page: BoardPage) -> None:
    painter.save()
    painter.scale(_DOTS_PER_MM, _DOTS_PER_MM)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(*_INK))
    for left, top, width, height in page.dark.tolist():
        painter.drawRect(QRectF(left, top, width, height))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    pen = QPen(QColor(*_INK), _HAIR_MM)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    for lines, dashes in ((page.lines, ()), (page.cuts, (8.0, 6.0))):
        if dashes:
            pen.setDashPattern(dashes)
        painter.setPen(pen)
        for line in lines:
            painter.drawLine(QLineF(*line))
    painter.restore()
    painter.setPen(QColor(*_INK))
    for word in page.words:
        painter.setFont(theme.font(round(word.high_mm * _DOTS_PER_MM)))
        left, top = (side * _DOTS_PER_MM for side in word.at_mm)
        painter.drawText(QPointF(left, top + 0.8 * word.high_mm * _DOTS_PER_MM), word.text)
