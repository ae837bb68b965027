"""The band in which troubles are told: what happened, what to try; it waits and takes nothing.

Owns the order of troubles that are not yet read. Refuses to take the keyboard or to cover anything.
"""

from __future__ import annotations

from PyQt6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label

MOST = 20
"""Troubles that wait to be read: more come only from one cause again and again."""


class TroubleBar(QWidget):
    """Tells one trouble at a time; hidden where there is none."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "trouble")
        self.setAccessibleName(say("shell.trouble"))
        self._troubles: list[StationError] = []
        self._title = label(letters="head")
        self._what = _told(bold=True)
        self._next = _told()
        self._dismiss = button(say("shell.trouble.dismiss"), self.dismiss)
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self._what)
        words.addWidget(self._next)
        layout = QHBoxLayout(self)
        margin, gap = look.px("margin"), look.px("gap")
        layout.setContentsMargins(margin, gap, margin, gap)
        layout.setSpacing(margin)
        layout.addWidget(self._title)
        layout.addLayout(words, 1)
        layout.addWidget(self._dismiss)
        self.hide()

    @property
    def troubles(self) -> tuple[StationError, ...]:
        """What is not yet read, oldest first."""
        return tuple(self._troubles)

    def tell(self, error: StationError) -> None:
        """Tell a trouble; the same one again is told once."""
        if any(str(known) == str(error) for known in self._troubles):
            return
        self._troubles.append(error)
        del self._troubles[:-MOST]
        self._show()

    def dismiss(self) -> None:
        """The trouble that is shown is read; the next one shows."""
        had_keyboard = self._dismiss.hasFocus()
        del self._troubles[:1]
        self._show()
        if had_keyboard and not self._troubles:
            self.focusNextChild()

    def _show(self) -> None:
        if self._troubles:
            first = self._troubles[0]
            self._title.setText(self._title_words())
            self._what.setText(first.what)
            self._next.setText(first.try_next)
            self._next.setVisible(bool(first.try_next))
            self.setAccessibleDescription(str(first))
        self.setVisible(bool(self._troubles))

    def _title_words(self) -> str:
        count = len(self._troubles)
        if count == 1:
            return say("shell.trouble")
        return say("shell.trouble.count", number=1, count=count)


def _told(*, bold: bool = False) -> QLabel:
    made = label(wraps=True)
    made.setProperty("bold", bold)
    return made
