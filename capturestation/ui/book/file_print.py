"""The first picture of a dropped file as a large print with the file's name below it.

Owns its size; shows the whole picture, never a part.
"""

from __future__ import annotations

from PyQt6.QtCore import QRect, QSize, Qt
from PyQt6.QtGui import QImage, QPainter, QPaintEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from capturestation.ui.book.lines import row_px
from capturestation.ui.book.prints import fitted
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_LEAST_LETTERS = (8, 5)
_WHITE_PX = 5


class FilePrint(QWidget):
    """A picture, or empty paper while it comes, and its caption.

    Args:
        look: Sizes and colours.
        name: The file's name.
    """

    def __init__(self, look: Look, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._name = name
        self._image = QImage()
        self.setAccessibleName(say("book.files.coming", file=name))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def has_picture(self) -> bool:
        """Whether the picture is there."""
        return not self._image.isNull()

    def put(self, image: QImage) -> None:
        """Show the picture."""
        self._image = image
        self.setAccessibleName(say("book.files.first", file=self._name))
        self.update()

    def minimumSizeHint(self) -> QSize:
        """So much that a golfer is told from a wall."""
        body = self._look.px("body")
        return QSize(_LEAST_LETTERS[0] * body, _LEAST_LETTERS[1] * body)

    def sizeHint(self) -> QSize:
        """As much as there is."""
        return 2 * self.minimumSizeHint()

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: ARG002 - painted whole
        """Paint the print and the name."""
        look, painter = self._look, QPainter(self)
        caption = row_px(look, "note")
        room = QRect(0, 0, self.width(), self.height() - caption)
        words = self._name
        if self._image.isNull():
            painter.fillRect(room, look.colour("shade"))
            words = say("book.files.coming", file=self._name)
        else:
            spot = fitted(self._image.size(), room)
            painter.fillRect(spot, look.colour("field"))
            painter.setPen(look.colour("edge"))
            painter.drawRect(spot.adjusted(0, 0, -1, -1))
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            white = _WHITE_PX
            painter.drawImage(spot.adjusted(white, white, -white, -white), self._image)
        painter.setFont(look.font("note"))
        painter.setPen(look.colour("soft"))
        metrics = painter.fontMetrics()
        short = metrics.elidedText(words, Qt.TextElideMode.ElideMiddle, self.width())
        line = QRect(0, self.height() - caption, self.width(), caption)
        painter.drawText(line, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, short)
        painter.end()
