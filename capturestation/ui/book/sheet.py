"""A page over the Book that scrolls where the letters are larger than the room.

Owns its width, since a line that is too long is not read back to its beginning; and that what has
the keyboard is seen whole.
"""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, QPoint, Qt, QTimer
from PyQt6.QtWidgets import QApplication, QScrollArea, QVBoxLayout, QWidget

from capturestation.ui.look import Look
from capturestation.ui.words import ground

_WIDEST_LETTERS = 50


class Sheet(QWidget):
    """Rows of words and fields below each other; what is made of it adds its own.

    Args:
        look: Sizes.
        parent: The widget above.
        is_wide: Whether it takes all the width: it shows pictures.
    """

    def __init__(self, look: Look, parent: QWidget | None = None, *, is_wide: bool = False) -> None:
        super().__init__(parent)
        self._is_wide = is_wide
        self.look = look
        self._inside = QWidget()
        ground(self._inside, "page")
        self.rows = QVBoxLayout(self._inside)
        self.rows.setContentsMargins(0, 0, look.px("gap"), 0)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setWidget(self._inside)
        self.outside = QVBoxLayout(self)
        self.outside.setContentsMargins(0, 0, 0, 0)
        self.outside.addWidget(self._scroll)
        self._inside.installEventFilter(self)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._follow)
        look.changed.connect(self._fit_width)
        self._fit_width()

    def _fit_width(self) -> None:
        if not self._is_wide:
            self._inside.setMaximumWidth(_WIDEST_LETTERS * self.look.px("body"))

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """What comes later, such as pictures, pushes nothing out of sight that has the keyboard."""
        if event is not None and event.type() == QEvent.Type.Resize:
            QTimer.singleShot(0, self._keep_whole)
        return super().eventFilter(watched, event)

    def _follow(self, _old: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self._inside.isAncestorOf(now):
            # What was only now shown is laid out first.
            QTimer.singleShot(0, self._keep_whole)

    def _keep_whole(self) -> None:
        """What has the keyboard is seen whole, with the words above it.

        Qt itself is content with the cursor.
        """
        now, bar, port = QApplication.focusWidget(), self._scroll.verticalScrollBar(), self._scroll
        if now is None or bar is None or not self._inside.isAncestorOf(now):
            return
        first = now.mapTo(self._inside, QPoint(0, 0)).y()
        top, bottom = first - self.look.px("target"), first + now.height() + self.look.px("gap")
        room = port.maximumViewportSize().height()
        bar.setValue(min(max(bar.value(), bottom - room), top))

    def to_top(self) -> None:
        """Show its beginning."""
        bar = self._scroll.verticalScrollBar()
        if bar is not None:
            bar.setValue(0)
