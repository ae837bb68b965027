"""The second question before a student is forgotten: the name has to be written.

Owns when the answer counts; forgets nothing.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QWidget

from capturestation.library.rows import fold
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words


class ForgetPage(Sheet):
    """Write the whole name, then press.

    Signals:
        sure: The name was written, and it is to be done.
        left: Everything is kept.
    """

    sure = pyqtSignal()
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent)
        self._name = ""
        self.title = label(letters="title", wraps=True)
        self.field = QLineEdit()
        self.field.setAccessibleName(say("book.forget.write"))
        self.field.textChanged.connect(self._look_at_it)
        self.field.returnPressed.connect(self._press)
        self.do_word = button("", self._press)
        self.stay_word = button(say("book.forget.stay"), self.left.emit, role="main")
        column = self.rows
        column.addWidget(self.title)
        column.addWidget(label(say("book.forget.write"), wraps=True))
        column.addWidget(self.field)
        column.addWidget(flowing(look.px("gap"), self.stay_word, self.do_word))
        column.addStretch(1)

    def begin(self, name: str) -> None:
        """Ask for that name."""
        self._name = name
        self.title.setText(say("book.forget.again", name=name))
        put_words(self.do_word, say("book.forget.do", name=name))
        self.field.clear()
        self._look_at_it()
        self.field.setFocus()

    def _look_at_it(self) -> None:
        # Not every keyboard has every accent.
        self.do_word.setEnabled(bool(self._name) and fold(self.field.text()) == fold(self._name))

    def _press(self) -> None:
        if self.do_word.isEnabled():
            self.sure.emit()
