"""The page that proposes whom to forget: who had no lesson for long, or said no to filming.

Owns the list and its words; says what was pressed for whom, changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PyQt6.QtCore import Qt, pyqtBoundSignal, pyqtSignal
from PyQt6.QtWidgets import QButtonGroup, QVBoxLayout, QWidget

from capturestation.station.forgetting import Holding
from capturestation.station.retention import Proposal
from capturestation.ui.book.lines import Words
from capturestation.ui.book.models import Lines
from capturestation.ui.book.panes import ListPane
from capturestation.ui.book.wording import day_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

MONTHS = (12, 24, 36, 60)
_ROWS = 3
_MB = 1e6


class Proposals(Lines[Proposal]):
    """Who is proposed."""

    def key(self, line: Proposal) -> str:
        """The student's id."""
        return line.student

    def words(self, line: Proposal) -> tuple[str, ...]:
        """Name; why; what is held."""
        reason = say(f"book.away.why.{line.reason}")
        last = say("book.no_lesson_yet")
        if line.last is not None:
            last = say("book.away.last", day=day_words(line.last))
        return line.name, say("book.and").join((reason, last)), held_words(line.held)


def held_words(held: Holding) -> str:
    """What is held of somebody."""
    return say(
        "book.away.held",
        swings=held.swings + held.trashed,
        lessons=held.lessons,
        size=round(held.size_bytes / _MB),
    )


class AwayPage(QWidget):
    """Proposals, and what may be done with each.

    Signals:
        months: It is to be counted from so many months.
        keeps: The `Proposal`: what there is of this student stays.
        gives: The `Proposal`: all of it is wanted as one file.
        forgets: The `Proposal`: it is to go.
        left: Back to the Book.
    """

    months = pyqtSignal(int)
    keeps = pyqtSignal(object)
    gives = pyqtSignal(object)
    forgets = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = label(say("book.away.title"), letters="title", wraps=True)
        self.told = label(soft=True, wraps=True)
        self._spans = QButtonGroup(self)
        self.span_words = {}  # A group doesn't own its buttons.
        for months in MONTHS:
            made = button(say(f"book.away.months.{months}"), partial(self.months.emit, months))
            made.setCheckable(True)
            self._spans.addButton(made)
            self.span_words[months] = made
        self.model = Proposals()
        self.list = ListPane(self.model, say("book.away.title"), Words(look, _ROWS))
        self.keep_word = button(say("book.away.keep"), partial(self._for, self.keeps), role="main")
        self.give_word, self.forget_word = (
            button(say(f"book.away.{word}"), partial(self._for, signal), name=say(f"book.{word}"))
            for word, signal in (("give", self.gives), ("forget", self.forgets))
        )
        self.back_word = button(say("book.back"), self.left.emit, role="quiet")
        self._lay_out(look)
        look.changed.connect(self.list.scheduleDelayedItemsLayout)

    def _lay_out(self, look: Look) -> None:
        gap = look.px("gap")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.title)
        column.addWidget(flowing(gap, *self.span_words.values()))
        column.addWidget(self.told)
        column.addWidget(self.list, 1)
        words = (self.keep_word, self.give_word, self.forget_word, self.back_word)
        column.addWidget(flowing(gap, *words))

    def begin(self, months: int) -> None:
        """Say that it is being looked; nobody stands there yet."""
        for span, word in self.span_words.items():
            word.setChecked(span == months)
        self.put((), say("book.away.looking"))

    def put(self, found: Sequence[Proposal], told: str) -> None:
        """Show these.

        Args:
            found: Who is proposed.
            told: What to know of them.
        """
        row = max(self.list.currentIndex().row(), 0)
        self.model.put(found)
        self.told.setText(told)
        if found:
            self.list.choose(found[min(row, len(found) - 1)].student)
        for word in (self.keep_word, self.give_word, self.forget_word):
            word.setEnabled(bool(found))
        self.give_keyboard()

    def give_keyboard(self) -> None:
        """The list has it, or where nobody stands there the way back."""
        first = self.list if self.model.lines else self.back_word
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _for(self, signal: pyqtBoundSignal) -> None:
        chosen = self.model.at(self.list.currentIndex())
        if chosen is not None:
            signal.emit(chosen)
