"""A question on a page of its own, answered by large words; calm, and never a box in front.

Owns how a choice is put. Refuses to know what is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from capturestation.ui.look import Look
from capturestation.ui.words import button, ground, label

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
        ground(self, "page")
        self._look = look
        self.title = label(letters="title", wraps=True)
        self.text = label(wraps=True)
        self.note = label(letters="note", soft=True, wraps=True)
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
        inside = QWidget()
        ground(inside, "page")
        across = QHBoxLayout()
        across.addStretch(1)
        across.addWidget(self._column)
        across.addStretch(1)
        middle = QVBoxLayout(inside)
        middle.addStretch(2)
        middle.addLayout(across)
        middle.addStretch(3)
        self._scroll = scroll = QScrollArea()
        scroll.setWidget(inside)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)
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
            made.show()  # At once: what is not shown yet can't have the keyboard.
        if self._buttons:
            self._buttons[0].setFocus(Qt.FocusReason.OtherFocusReason)
        self._to_top()

    def _to_top(self) -> None:
        bar = self._scroll.verticalScrollBar()
        if bar is not None:
            bar.setValue(0)

    @property
    def answers(self) -> tuple[QPushButton, ...]:
        """The words that can be pressed, in their order."""
        return tuple(self._buttons)

    def _fit(self) -> None:
        room_px = self.width() - 4 * self._look.px("margin")
        self._column.setFixedWidth(min(_WIDEST_LETTERS * self._look.px("body"), room_px))

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Keep the text within the page."""
        super().resizeEvent(event)
        self._fit()
        self._to_top()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Begin at the heading."""
        super().showEvent(event)
        self._to_top()
