"""A page of large words of which one is chosen: the club, the kind of swing.

Owns the words and the field for another one; says what was chosen, changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from capturestation.ui.book.sheet import Sheet
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label


class WordPage(Sheet):
    """Words to choose from.

    Signals:
        chosen: The word, as it was given to `ask`, or as it was written.
        left: It stays as it is.
    """

    chosen = pyqtSignal(str)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent)
        self.asks = ""
        self._now = ""
        self.words: dict[str, QPushButton] = {}
        self.title = label(letters="title", wraps=True)
        self._room = QVBoxLayout()
        self._other = QWidget()
        other = QVBoxLayout(self._other)
        other.setContentsMargins(0, 0, 0, 0)
        words = label(say("book.word.other"), soft=True)
        self.field = QLineEdit()
        self.field.setAccessibleName(say("book.word.other"))
        self.field.returnPressed.connect(self._written)
        words.setBuddy(self.field)
        other.addWidget(words)
        other.addWidget(self.field)
        column = self.rows
        column.addWidget(self.title)
        column.addLayout(self._room)
        column.addWidget(self._other)
        column.addWidget(flowing(look.px("gap"), button(say("book.cancel"), self.left.emit)))
        column.addStretch(1)

    def ask(
        self, asks: str, title: str, words: Sequence[tuple[str, str]], now: str, *, is_open: bool
    ) -> None:
        """Put these words on the page; the one that holds now has the keyboard.

        Args:
            asks: What is asked, for whoever gets the answer.
            title: What is asked, in words.
            words: What is chosen and what stands on it.
            now: What holds now.
            is_open: Whether another word may be written.
        """
        self.asks = asks
        self.title.setText(title)
        self.setAccessibleName(title)
        while self._room.count():
            item = self._room.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        self.words = {}
        for value, text in words:
            made = button(text, partial(self.chosen.emit, value), letters="title")
            made.setCheckable(True)
            made.setChecked(value == now)
            self.words[value] = made
        self._room.addWidget(flowing(self.look.px("gap"), *self.words.values()))
        self._other.setVisible(is_open)
        self.field.clear()
        self._now = now

    def give_keyboard(self) -> None:
        """Give the keyboard to what holds now; to be called once the page is seen."""
        first = next(iter(self.words.values()))
        self.words.get(self._now, first).setFocus(Qt.FocusReason.OtherFocusReason)

    def next_word(self) -> None:
        """The keyboard goes on to the next word, and after the last to the first."""
        words = list(self.words.values())
        has = [n for n, word in enumerate(words) if word.hasFocus()]
        following = words[(has[0] + 1) % len(words)] if has else words[0]
        following.setFocus(Qt.FocusReason.TabFocusReason)

    def _written(self) -> None:
        if self.field.text().strip():
            self.chosen.emit(self.field.text().strip())
