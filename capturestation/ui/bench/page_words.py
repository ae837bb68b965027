"""What is asked of the page to print and the web page that go along with a clip."""

from __future__ import annotations

from PyQt6.QtCore import QLocale
from PyQt6.QtWidgets import QCheckBox, QPlainTextEdit, QVBoxLayout, QWidget

from capturestation.station.boards import Paper
from capturestation.station.sending import Sending
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import label

_LINES = 2


class PageWords(QWidget):
    """A tick for the page, and below it what to practise and what else stands on it.

    Args:
        sending: What is asked for.
        look: Sizes.
    """

    def __init__(self, sending: Sending, look: Look) -> None:
        super().__init__()
        self.sending, self.look = sending, look
        self.wanted = QCheckBox(say("send.page"))
        self.heading = label(say("send.practise"), soft=True, wraps=True)
        self.practise = QPlainTextEdit()
        self.practise.setAccessibleName(say("send.practise"))
        self.practise.setTabChangesFocus(True)
        self.checks = QCheckBox(say("send.checks"))
        self.weeks = QCheckBox(say("send.weeks"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.wanted, self.heading, self.practise, self.checks, self.weeks):
            column.addWidget(widget)
        self.wanted.clicked.connect(lambda on: sending.ask_page(with_page=on))
        self.checks.clicked.connect(lambda on: sending.ask_page(with_checks=on))
        self.weeks.clicked.connect(lambda on: sending.ask_page(with_weeks=on))
        self.practise.textChanged.connect(self._written)
        look.changed.connect(self._look_changed)
        self._look_changed()

    def show_state(self) -> None:
        """Show what is asked for."""
        sending = self.sending
        self.wanted.setChecked(sending.with_page)
        self.checks.setChecked(sending.with_checks)
        self.weeks.setChecked(sending.with_weeks)
        if self.practise.toPlainText() != sending.practise:
            self.practise.setPlainText(sending.practise)
        for widget in (self.heading, self.practise, self.checks, self.weeks):
            widget.setVisible(sending.with_page)

    def _written(self) -> None:
        self.sending.practise = self.practise.toPlainText()

    def _look_changed(self) -> None:
        self.practise.setFixedHeight(round((_LINES + 1) * 1.5 * self.look.px("body")))


def usual_paper() -> Paper:
    """What printers hold where this computer is."""
    inches = QLocale.MeasurementSystem.ImperialUSSystem
    return Paper.LETTER if QLocale.system().measurementSystem() is inches else Paper.A4
