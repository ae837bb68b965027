"""The pages of the window, one of which is seen; some lie over another for a while.

Owns what lay below and that the keyboard comes back to where it was. Refuses to know what a page
shows.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QStackedWidget, QWidget

from capturestation.ui.focus import give_keyboard


class Pages(QStackedWidget):
    """Shows one page; the keyboard is in it.

    Signals:
        covered: A page lies over another now, or none does any more.
    """

    covered = pyqtSignal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._below: QWidget | None = None

    @property
    def is_covered(self) -> bool:
        """Whether a page lies over another."""
        return self._below is not None

    def show_page(self, page: QWidget) -> None:
        """Show a page; what lay below another is forgotten."""
        self._below = None
        self._show(page)
        self.covered.emit(False)

    def show_over(self, page: QWidget) -> None:
        """Show a page over the one that is seen; one that lies over it already goes."""
        if self._below is None:
            self._below = self.currentWidget()
        self._show(page)
        self.covered.emit(True)

    def leave(self) -> None:
        """Go back to what lay below; what had the keyboard has it again."""
        if self._below is not None:
            self.show_page(self._below)

    def _show(self, page: QWidget) -> None:
        self.setCurrentWidget(page)
        give_keyboard(page)
