"""The station's own sign: what two cameras see, at a right angle, meets at a ball.

Owns its shape. It holds no letters, so it needs no application to be painted.
"""

from __future__ import annotations

from PyQt6.QtCore import QBuffer, QIODevice, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from capturestation.drawing.theme import INK, INK_SOFT, PAPER, PAPER_SHADE

_BALL = QPointF(0.66, 0.36)
_BALL_R, _RING, _CORNER = 0.15, 0.05, 0.2
_SEEN = (
    (QPointF(0.1, 0.36), QPointF(0.66, 0.2), QPointF(0.66, 0.52)),
    (QPointF(0.66, 0.92), QPointF(0.5, 0.36), QPointF(0.82, 0.36)),
)
# Down the line from the left, face-on from below: as on a plan of the bay.


def icon_image(px: int) -> QImage:
    """Paint it on a square of so many pixels; the corners outside are clear."""
    image = QImage(px, px, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(px, px)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(*INK))
    painter.drawRoundedRect(QRectF(0, 0, 1, 1), _CORNER, _CORNER)
    for seen, colour in zip(_SEEN, (PAPER_SHADE, INK_SOFT), strict=True):
        painter.setBrush(QColor(*colour))
        painter.drawPolygon(QPolygonF(seen))
    painter.setPen(QPen(QColor(*INK), _RING))
    painter.setBrush(QColor(*PAPER))
    painter.drawEllipse(_BALL, _BALL_R, _BALL_R)
    painter.end()
    return image


def icon_png(px: int) -> bytes:
    """The same as a PNG file."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if not icon_image(px).save(buffer, "PNG"):
        msg = f"Qt can't write a PNG of {px} pixels"
        raise RuntimeError(msg)
    return buffer.data().data()
