"""The words about what is chosen on the page: a swing, or a lesson's heading.

Owns the words; says what was pressed, changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from capturestation.records import Swing, SwingId
from capturestation.station.leaf import LeafLine, Print
from capturestation.station.notebook import LessonLine
from capturestation.ui.book.wording import ball_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, cut, put_words

_SWING = ("open", "star", "club", "kind", "ball", "notes", "views", "move", "delete")
_LESSON = ("focus", "notes", "delete_lesson")
_MOST_CLUB = 24
_WORDS = (
    "open",
    "star",
    "club",
    "kind",
    "ball",
    "focus",
    "notes",
    "views",
    "move",
    "delete",
    "delete_lesson",
)


class SwingBar(QWidget):
    """Words about one swing or one lesson, and a line for a swing's notes while they are written.

    Signals:
        asked: Which action of the table of keys was pressed, such as book.star.
        noted: The `Swing` as it was when its notes were begun, and the notes as they shall be.
    """

    asked = pyqtSignal(str)
    noted = pyqtSignal(object, str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._swing: Swing | None = None
        self._noting: Swing | None = None
        self.unwritten: dict[SwingId, str] = {}
        """Notes that could not be written: they stand in the line when it is opened again."""
        self._back: Callable[[], None] | None = None
        self.words: dict[str, QPushButton] = {
            name: button(
                say(f"book.swing.{name}"),
                partial(self.asked.emit, f"book.{name}"),
                role="main" if name == "open" else "",
            )
            for name in _WORDS
        }
        self.notes = QLineEdit()
        self.notes.setAccessibleName(say("book.swing.notes.line"))
        self.notes.setPlaceholderText(say("book.swing.notes.line"))
        self.notes.editingFinished.connect(self.end_notes)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._flow = flowing(look.px("gap"), *self.words.values())
        column.addWidget(self._flow)
        column.addWidget(self.notes)
        self.notes.hide()
        self.show_line(None)

    def show_line(self, line: LeafLine | None) -> None:
        """Write about that line of the page; notes of another one are written down first."""
        swing = line.swing if isinstance(line, Print) else None
        if self._noting is not None and (swing is None or swing.id != self._noting.id):
            self.end_notes()
        self._swing = swing
        for name, word in self.words.items():
            in_swing = isinstance(line, Print) and name in _SWING
            word.setVisible(in_swing or (isinstance(line, LessonLine) and name in _LESSON))
        if isinstance(line, LessonLine):
            self.words["delete_lesson"].setVisible(line.swings == 0)
            self._write_notes(line.lesson.notes)
        if self._swing is not None:
            self._write(self._swing)

    def _write(self, swing: Swing) -> None:
        book = swing.book
        club = say("book.swing.club.is", club=cut(book.club, _MOST_CLUB))
        put_words(self.words["club"], club, say("book.swing.club.is", club=book.club))
        self._say("kind", "book.swing.kind.is", kind=say(f"book.kind.{book.kind}"))
        put_words(self.words["star"], say(f"book.swing.star.{'on' if book.starred else 'off'}"))
        said = ball_words(book.ball) or say("book.swing.ball.none")
        rating = book.ball.rating
        short = said if rating is None else say("book.ball.rated", rating=rating)
        whole = say("book.swing.ball.is", ball=said)
        put_words(self.words["ball"], say("book.swing.ball.is", ball=short), whole)
        self._write_notes(book.notes)

    def _write_notes(self, notes: str) -> None:
        # Whoever stands beside, or hears a screen reader, hears only that there are some.
        key = "book.notes.written" if notes.strip() else "book.swing.notes"
        put_words(self.words["notes"], say(key))

    def _say(self, word: str, key: str, **values: str) -> None:
        put_words(self.words[word], say(key, **values))

    def first_word(self) -> QPushButton:
        """The first word that can be pressed."""
        return self.words["open" if self._swing is not None else "focus"]

    @property
    def is_noting(self) -> bool:
        """Whether notes are being written."""
        return self.notes.isVisibleTo(self)

    @property
    def is_unkept(self) -> bool:
        """Whether other notes stand in the open line than are kept."""
        return self._noting is not None and self.notes.text() != self._noting.book.notes

    def begin_notes(self, back: Callable[[], None]) -> None:
        """Open the line for notes of a swing.

        Args:
            back: Gives the keyboard back when they are written.
        """
        if self._swing is not None:
            self._back, self._noting = back, self._swing
            self.notes.setText(self.unwritten.pop(self._swing.id, self._swing.book.notes))
            self.notes.show()
            self.notes.setFocus()

    def end_notes(self) -> None:
        """Close the line and tell what was written; nothing where it wasn't open."""
        if not self.is_noting:
            return
        noting, self._noting = self._noting, None
        had_keyboard = self.notes.hasFocus()
        self.notes.hide()
        if had_keyboard and self._back is not None:
            self._back()
        if noting is not None and self.notes.text() != noting.book.notes:
            self.noted.emit(noting, self.notes.text())
