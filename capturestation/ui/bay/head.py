"""The Bay's own words in the header: morning check, cameras, where they stand, the lesson's end.

Owns that one word leads to them where there is no room for all.
"""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QWidget

from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button

HEAD_WORDS = ("check", "setup", "measure", "end")
_SHARE = 0.5
# Of the window's width; the places' words and the way to the keys need the other half.


class HeadWords(QWidget):
    """All words, or one.

    Signals:
        asked: An action of the table of keys.
        more_wanted: All of them, on a page.
    """

    asked = pyqtSignal(str)
    more_wanted = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = {
            name: button(say(f"bay.head.{name}"), partial(self._ask, name), role="quiet")
            for name in HEAD_WORDS
        }
        self.more = button(say("bay.head.more.word"), self.more_wanted.emit, role="quiet")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px("gap"))
        for word in (*self.words.values(), self.more):
            row.addWidget(word)
        self.fit(0)

    def _ask(self, name: str) -> None:
        self.asked.emit(f"bay.{name}")

    def fit(self, width_px: int) -> None:
        """Show what there is room for in a window of that width."""
        wide = sum(word.sizeHint().width() for word in self.words.values())
        fits = wide <= _SHARE * width_px
        for word in self.words.values():
            word.setVisible(fits)
        self.more.setVisible(not fits)
