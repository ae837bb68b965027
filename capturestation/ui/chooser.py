"""A box from which one of several words is chosen, with an arrow of our own.

Owns the arrow: a style sheet can only take the style's own away.
"""

from __future__ import annotations

from PyQt6.QtCore import QPointF, Qt
from PyQt6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PyQt6.QtWidgets import QComboBox, QWidget

from capturestation.ui.look import Look

_WIDE, _HIGH = 0.34, 0.2
# Of the letters' height: half an arrow's width, and its height.


class Chooser(QComboBox):
    """A combo box of the window.

    Args:
        look: Sizes and colours.
    """

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """The box, and the arrow on it."""
        super().paintEvent(event)
        px = self._look.px("body")
        middle = QPointF(self.width() - self._look.px("target") / 2, self.height() / 2)
        wide, high = _WIDE * px, _HIGH * px
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = self._look.colour("ink" if self.isEnabled() else "soft")
        painter.setPen(QPen(ink, max(px / 10, 1.5), cap=Qt.PenCapStyle.RoundCap))
        painter.drawPolyline(
            QPolygonF(
                [middle + QPointF(x, y) for x, y in ((-wide, -high), (0, high), (wide, -high))]
            )
        )
        painter.end()
