"""A row of words that goes on below where the room ends, as text does.

Owns where each widget of the row stands. Used wherever words must stay whole at every size.
"""

from __future__ import annotations

from PyQt6.QtCore import QPoint, QRect, QSize, Qt
from PyQt6.QtWidgets import QLayout, QLayoutItem, QWidget


class Flow(QLayout):
    """Lays widgets from left to right, then on the next line.

    Args:
        gap_px: Between widgets and between lines.
        parent: The widget that it lays out.
    """

    def __init__(self, gap_px: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._gap_px = gap_px
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem | None) -> None:
        """Take one more; the last on the line."""
        if item is not None:
            self._items.append(item)

    def count(self) -> int:
        """How many it lays out."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """The one at that place, None beyond the ends."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Let go of the one at that place."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        """It takes no more room than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """The narrower, the more lines."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Height of all lines at that width."""
        return self._lay(QRect(0, 0, width, 0), moves=False)

    def setGeometry(self, rect: QRect) -> None:
        """Put every widget in its place."""
        super().setGeometry(rect)
        self._lay(rect, moves=True)

    def sizeHint(self) -> QSize:
        """All on one line."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        width = sum(hint.width() for hint in shown) + self._gap_px * max(len(shown) - 1, 0)
        return QSize(width, max((hint.height() for hint in shown), default=0))

    def minimumSize(self) -> QSize:
        """As wide as the widest word."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        return QSize(
            max((hint.width() for hint in shown), default=0),
            max((hint.height() for hint in shown), default=0),
        )

    def _lay(self, rect: QRect, *, moves: bool) -> int:
        top = rect.top()
        for line in self._lines(rect.width()):
            line_px = max(item.sizeHint().height() for item in line)
            left = rect.left()
            for item in line if moves else ():
                hint = item.sizeHint()
                width = min(hint.width(), rect.width())
                middle = top + (line_px - hint.height()) // 2
                item.setGeometry(QRect(QPoint(left, middle), QSize(width, hint.height())))
                left += hint.width() + self._gap_px
            top += line_px + self._gap_px
        return max(top - self._gap_px - rect.top(), 0)

    def _lines(self, width: int) -> list[list[QLayoutItem]]:
        """The items of each line."""
        lines: list[list[QLayoutItem]] = []
        left = width + 1
        for item in self._items:
            if item.isEmpty():
                continue
            item_px = item.sizeHint().width()
            if left and left + item_px > width:
                lines.append([])
                left = 0
            lines[-1].append(item)
            left += item_px + self._gap_px
        return lines


def flowing(gap_px: int, *widgets: QWidget) -> QWidget:
    """A widget whose words flow."""
    made = QWidget()
    flow = Flow(gap_px, made)
    for widget in widgets:
        flow.addWidget(widget)
    return made
