"""The page on which it is said whose a swing is, or which lesson's: find as one types, then choose.

Owns the field and the list; says what was chosen, moves nothing.
"""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from capturestation.station.notebook import Goal
from capturestation.ui.book.lines import Words
from capturestation.ui.book.models import Goals
from capturestation.ui.book.panes import ListPane
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_ROWS = 3
_PRESS = QEvent.Type.KeyPress
_DOWN = (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class MovePage(QWidget):
    """Other students, and other lessons of the same one.

    Signals:
        typed: What stands in the field.
        chosen: The `Goal`.
        left: The swing stays where it is.
    """

    typed = pyqtSignal(str)
    chosen = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = label(letters="title", wraps=True)
        self.field = QLineEdit()
        self.field.setPlaceholderText(say("book.move.find"))
        self.field.setAccessibleName(say("book.move.find"))
        self.field.textChanged.connect(self.typed)
        self.field.installEventFilter(self)
        self.model = Goals()
        self.list = ListPane(self.model, say("book.move.goals"), Words(look, _ROWS))
        self.list.entered.connect(self.chosen)
        self.take_word = button(say("book.move.take"), self._take, role="main")
        self.stay_word = button(say("book.move.stay"), self.left.emit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.title)
        column.addWidget(self.field)
        column.addWidget(self.list, 1)
        column.addWidget(flowing(look.px("gap"), self.take_word, self.stay_word))
        look.changed.connect(self.list.scheduleDelayedItemsLayout)

    def begin(self, swing_words: str) -> None:
        """Open the page for a swing."""
        self.title.setText(say("book.move.title", swing=swing_words))
        self.field.clear()
        self.field.setFocus()

    def put(self, goals: tuple[Goal, ...]) -> None:
        """Show where it can go."""
        self.model.put(goals)
        self.list.choose(None)
        self.take_word.setEnabled(bool(goals))

    def _take(self) -> None:
        goal = self.model.at(self.list.currentIndex())
        if goal is not None:
            self.chosen.emit(goal)

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """From the field down into the list."""
        pressed = event.key() if isinstance(event, QKeyEvent) and event.type() == _PRESS else None
        if pressed in _DOWN and self.model.lines:
            self.list.setFocus()
            return True
        return super().eventFilter(watched, event)
