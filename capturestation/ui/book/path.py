"""Where one is in the Book, as words that lead back: shown where there is no room for all of it.

Owns which part is seen. A part that is chosen from leads on to the next.
"""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QButtonGroup, QPushButton, QVBoxLayout, QWidget

from capturestation.ui.book.panes import Part
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, cut, put_words

WIDE_LETTERS = 54
"""Widths in letters' heights from which index and page stand side by side."""
HIGH_LETTERS = 18
"""Heights from which prints have room above the words about them."""
_MOST_SIGNS = 30
# Of a name among the words that lead back.


class PathWords(QWidget):
    """Students, the student, the prints, the swing.

    Signals:
        wanted: The `Part` to be seen.
    """

    wanted = pyqtSignal(object)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = QButtonGroup(self)
        self.words: dict[Part, QPushButton] = {}
        for part in Part:
            made = button(say(f"book.path.{part}"), partial(self.wanted.emit, part), role="word")
            made.setCheckable(True)
            self._group.addButton(made)
            self.words[part] = made
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(flowing(look.px("gap"), *self.words.values()))

    def write(self, student: str, chosen: str) -> None:
        """Write whose page it is and what is chosen there."""
        for part, words in ((Part.STUDENT, student), (Part.SWING, chosen)):
            whole = words or say(f"book.path.{part}")
            put_words(self.words[part], cut(whole, _MOST_SIGNS), whole)
            self.words[part].setEnabled(bool(words))
        self.words[Part.LEAF].setEnabled(bool(student))

    def mark(self, part: Part) -> None:
        """Show where one is."""
        self.words[part].setChecked(True)
