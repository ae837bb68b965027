"""A question on a page of its own, answered by large words; calm, and never a box in front.

Owns how a choice is put. Refuses to know what is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from capturestation.ui.look import Look
from capturestation.ui.words import button, label

_WIDEST_LETTERS = 34
# Widths of a page's text in letters' heights: about seventy letters, the longest line that is
# read without losing the next.


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer.

    Args:
        words: What stands on it.
        chosen: What it does.
    """

    words: str
    chosen: Callable[[], None]


class AskPage(QWidget):
    """A heading, a few sentences, and answers below each other, the likeliest first."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._look = look
        self.title = label(size="title", wraps=True)
        self.text = label(wraps=True)
        self.note = label(size="note", soft=True, wraps=True)
        self.note.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._answers = QVBoxLayout()
        self._buttons: list[QPushButton] = []
        self._column = QWidget()
        column = QVBoxLayout(self._column)
        for widget in (self.title, self.text):
            column.addWidget(widget)
        column.addSpacing(look.px("margin"))
        column.addLayout(self._answers)
        column.addSpacing(look.px("margin"))
        column.addWidget(self.note)
        outer = QVBoxLayout(self)
        outer.addStretch(2)
        outer.addWidget(self._column, 0, Qt.AlignmentFlag.AlignHCenter)
        outer.addStretch(3)
        look.changed.connect(self._fit)
        self._fit()

    def ask(self, title: str, text: str, choices: Sequence[Choice], note: str = "") -> None:
        """Put a question in the place of what stood here; the first answer has the keyboard."""
        self.title.setText(title)
        self.text.setText(text)
        self.note.setText(note)
        self.setAccessibleName(title)
        self.setAccessibleDescription(text)
        for old in self._buttons:
            self._answers.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._buttons = [
            button(choice.words, choice.chosen, role="" if number else "main")
            for number, choice in enumerate(choices)
        ]
        for made in self._buttons:
            self._answers.addWidget(made)
        if self._buttons:
            self._buttons[0].setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def answers(self) -> tuple[QPushButton, ...]:
        """The words that can be pressed, in their order."""
        return tuple(self._buttons)

    def _fit(self) -> None:
        self._column.setFixedWidth(_WIDEST_LETTERS * self._look.px("body"))
