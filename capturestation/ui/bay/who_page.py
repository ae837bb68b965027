"""Who is hitting: a student is found as one types, and today's lesson is opened for her.

Owns the page alone; the Bay decides whether she may be filmed.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.station import notebook
from capturestation.station.notebook import StudentLine
from capturestation.ui.book.panes import IndexPane
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label

_WIDEST_LETTERS = 40


class WhoPage(QWidget):
    """A list of students.

    Signals:
        chosen: A `Student`.
        left: Nobody was chosen.
        failed: A `StationError`.
    """

    chosen = pyqtSignal(object)
    left = pyqtSignal()
    failed = pyqtSignal(object)

    def __init__(self, library: Library, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._library = library
        self._look = look
        self.title = label(say("bay.who.title"), letters="title", wraps=True)
        self.text = label(say("bay.who.text"), soft=True, wraps=True)
        self.index = IndexPane(look)
        self.index.typed.connect(lambda _text: self.show_students())
        self.index.list.entered.connect(self._enter)
        for word in self.index.findChildren(QPushButton):
            word.hide()  # Somebody new needs consents first: that is the Book's.
        self.take = button(say("bay.who.take"), self.take_chosen, role="main")
        self.cancel = button(say("bay.who.cancel"), self.left.emit)
        self.setAccessibleName(say("bay.who.title"))
        self._column = QWidget()
        column = QVBoxLayout(self._column)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.title, self.text):
            column.addWidget(widget)
        column.addWidget(self.index, 1)
        presses = QHBoxLayout()
        presses.addWidget(self.take)
        presses.addWidget(self.cancel)
        presses.addStretch(1)
        column.addLayout(presses)
        row = QHBoxLayout(self)
        row.addStretch(1)
        row.addWidget(self._column)
        row.addStretch(1)
        look.changed.connect(self._fit)
        self._fit()

    def _fit(self) -> None:
        self._column.setMinimumWidth(min(_WIDEST_LETTERS * self._look.px("body"), 880))

    def begin(self) -> None:
        """Ask anew; the newest student stands first, the keyboard is where one types."""
        self.index.field.clear()
        self.show_students()
        self.index.field.setFocus()

    def show_students(self) -> None:
        """Show whom the text finds."""
        try:
            lines = notebook.student_lines(self._library, self.index.field.text())
        except StationError as error:
            self.failed.emit(error)
            return
        self.index.put(lines)
        self.take.setEnabled(bool(lines.lines) and self.index.list.choose(None))

    def take_chosen(self) -> None:
        """It is the one that is chosen."""
        self._enter(self.index.model.at(self.index.list.currentIndex()))

    def _enter(self, line: StudentLine | None) -> None:
        if line is not None:
            self.chosen.emit(line.student)
