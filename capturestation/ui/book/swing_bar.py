"""The words about the chosen swing: what it is, and what to do with it.

Owns the words; says what was pressed, changes nothing.
"""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from capturestation.records import Swing
from capturestation.ui.book.wording import ball_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, put_words

_WORDS = ("open", "star", "club", "kind", "ball", "move", "delete")


class SwingBar(QWidget):
    """Words about one swing.

    Signals:
        asked: Which action of the table of keys was pressed, such as book.star.
        noted: The notes as they shall be.
    """

    asked = pyqtSignal(str)
    noted = pyqtSignal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._swing: Swing | None = None
        self.words: dict[str, QPushButton] = {
            name: button(
                say(f"book.swing.{name}"),
                partial(self.asked.emit, f"book.{name}"),
                role="main" if name == "open" else "",
            )
            for name in _WORDS
        }
        self.notes = QLineEdit()
        self.notes.setAccessibleName(say("book.swing.notes"))
        self.notes.setPlaceholderText(say("book.swing.notes"))
        self.notes.editingFinished.connect(self._note)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(flowing(look.px("gap"), *self.words.values()))
        column.addWidget(self.notes)
        self.show_swing(None)

    def show_swing(self, swing: Swing | None) -> None:
        """Write about that swing."""
        self._swing = swing
        self.setEnabled(swing is not None)
        if swing is None:
            self.notes.clear()
            return
        book = swing.book
        put_words(self.words["club"], say("book.swing.club.is", club=book.club))
        put_words(self.words["kind"], say("book.swing.kind.is", kind=book.kind))
        put_words(self.words["star"], say(f"book.swing.star.{'on' if book.starred else 'off'}"))
        said = ball_words(book.ball) or say("book.swing.ball.none")
        rating = book.ball.rating
        short = say("book.ball.rated", rating=rating) if rating is not None else said
        put_words(
            self.words["ball"],
            say("book.swing.ball.is", ball=short),
            say("book.swing.ball.is", ball=said),
        )
        if not self.notes.hasFocus():
            self.notes.setText(book.notes)

    def _note(self) -> None:
        if self._swing is not None and self.notes.text() != self._swing.book.notes:
            self.noted.emit(self.notes.text())
