"""A paper for words that are nobody else's: a student may stand beside while a page is open.

Owns that what is written lies closed until it is asked for. Nothing written is never closed: there
is nothing to be read, and one writes at once.
"""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QPlainTextEdit, QVBoxLayout, QWidget

from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_ROW = 1.5


class Private(QWidget):
    """Its words, and below them the paper, or a word that opens it.

    Args:
        look: Sizes.
        key: The text that says what is written there.
        rows: Rows of letters that have room.
    """

    def __init__(self, look: Look, key: str, rows: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._rows = rows
        self.paper = QPlainTextEdit()
        self.paper.setAccessibleName(say(key))
        self.paper.setTabChangesFocus(True)
        written = say("book.private.written")
        self.open_word = button(written, self.open, name=f"{say(key)}. {written}")
        words = label(say(key), wraps=True)
        words.setBuddy(self.paper)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(words)
        column.addWidget(self.open_word, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.paper)
        look.changed.connect(self._fit)
        self._fit()
        self.begin("")

    def _fit(self) -> None:
        self.paper.setFixedHeight(round(_ROW * self._rows * self._look.px("body")))

    def begin(self, text: str) -> None:
        """Begin with what is written already, closed."""
        self.paper.setPlainText(text)
        self._show(is_open=not text.strip())

    def open(self) -> None:
        """Show what is written, to write on."""
        self._show(is_open=True)
        self.paper.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show(self, *, is_open: bool) -> None:
        self.paper.setVisible(is_open)
        self.open_word.setVisible(not is_open)

    @property
    def is_open(self) -> bool:
        """Whether it can be read."""
        return not self.paper.isHidden()

    @property
    def text(self) -> str:
        """What is written, closed or not."""
        return self.paper.toPlainText()
