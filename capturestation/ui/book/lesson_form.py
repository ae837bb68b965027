"""The page on which a lesson's one or two things to work on are written.

Owns the fields; hands over what was written.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget

from capturestation.records import Lesson
from capturestation.ui.book.wording import day_words
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_NOTE_ROWS = 4


class LessonForm(QWidget):
    """One or two things, and the coach's own notes.

    Signals:
        saved: The things, a tuple of texts, and the notes.
        left: Nothing is to be kept.
    """

    saved = pyqtSignal(object, str)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = label(letters="title")
        self.things = (QLineEdit(), QLineEdit())
        self.notes = QPlainTextEdit()
        self.notes.setTabChangesFocus(True)
        self.notes.setFixedHeight(round(1.5 * _NOTE_ROWS * look.px("body")))
        column = QVBoxLayout(self)
        column.addWidget(self.title)
        column.addWidget(label(say("book.lesson.hint"), soft=True, wraps=True))
        keys = ("book.lesson.first", "book.lesson.second", "book.lesson.notes")
        for key, field in zip(keys, (*self.things, self.notes), strict=True):
            words = label(say(key))
            words.setBuddy(field)
            field.setAccessibleName(say(key))
            column.addWidget(words)
            column.addWidget(field)
        for thing in self.things:
            thing.returnPressed.connect(self._save)
        ends = QHBoxLayout()
        ends.addStretch(1)
        ends.addWidget(button(say("book.cancel"), self.left.emit))
        ends.addWidget(button(say("book.save"), self._save, role="main"))
        column.addStretch(1)
        column.addLayout(ends)

    def begin(self, lesson: Lesson) -> None:
        """Open the page for a lesson."""
        self.title.setText(say("book.lesson.title", day=day_words(lesson.on)))
        texts = [*lesson.focus, "", ""]
        for field, text in zip(self.things, texts, strict=False):
            field.setText(text)
        self.notes.setPlainText(lesson.notes)
        self.things[0].setFocus()

    def _save(self) -> None:
        things = tuple(field.text().strip() for field in self.things if field.text().strip())
        self.saved.emit(things, self.notes.toPlainText())
