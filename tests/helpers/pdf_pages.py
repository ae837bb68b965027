"""Reads a PDF back with Qt's own reader: its sides as pictures and as words."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QBuffer, QIODevice, QSize
from PyQt6.QtGui import QImage, QPainter
from PyQt6.QtPdf import QPdfDocument

from capturestation.records import FrameArray
from tests.helpers.pixels import pixels

DOTS_PER_MM = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Side:
    """One side of the paper.

    Args:
        size_mm: Its width and height.
        rgb: Its picture, four pixels a millimetre, on white.
        words: What is written.
    """

    size_mm: tuple[float, float]
    rgb: FrameArray
    words: str


def sides_of(pdf: bytes) -> list[Side]:
    """All sides in their order."""
    document, kept = QPdfDocument(None), QBuffer()
    kept.setData(pdf)
    kept.open(QIODevice.OpenModeFlag.ReadOnly)
    document.load(kept)
    found = []
    for number in range(document.pageCount()):
        points = document.pagePointSize(number)
        size_mm = points.width() * 25.4 / 72, points.height() * 25.4 / 72
        size = QSize(*(round(side * DOTS_PER_MM) for side in size_mm))
        paper = QImage(size, QImage.Format.Format_RGB32)
        paper.fill(0xFFFFFFFF)
        painter = QPainter(paper)
        painter.drawImage(0, 0, document.render(number, size))
        painter.end()
        words = document.getAllText(number).text()
        found.append(Side(size_mm=size_mm, rgb=pixels(paper), words=" ".join(words.split())))
    document.close()
    return found
