"""The part of a student's page on which answers about consent are written down.

Owns which answers are new, and that an answer which was given stays in the history. Refuses to
save: it hands over what was answered.
"""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import QDate, QLocale
from PyQt6.QtWidgets import (
    QButtonGroup,
    QDateEdit,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from capturestation.records import Consent, Giver, Purpose
from capturestation.station.people import today
from capturestation.ui.book.wording import answer_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

Question = tuple[Purpose, Giver]
_ANSWERS = ("yes", "no", "open")
_QUESTION_LETTERS = 14
_MOST_BEFORE = 4


class Consents(QWidget):
    """For each purpose, what the student and, where needed, a parent said."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._known: dict[Question, Consent] = {}
        self._groups: dict[Question, QButtonGroup] = {}
        self._said: dict[Question, QLabel] = {}
        self._questions: list[QLabel] = []
        self.on = QDateEdit()
        self.on.setLocale(QLocale(QLocale.Language.English))
        self.on.setDisplayFormat("d MMMM yyyy")
        self.on.setButtonSymbols(QDateEdit.ButtonSymbols.NoButtons)
        self.on.setAccessibleName(say("book.consent.on"))
        self.by = QLineEdit()
        self.by.setAccessibleName(say("book.consent.by"))
        self.by.setPlaceholderText(say("book.consent.by.hint"))
        self.by.setMinimumWidth(9 * look.px("body"))
        self._parent = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(label(say("book.student.consents"), letters="head"))
        column.addWidget(label(say("book.student.cautions"), soft=True, wraps=True))
        for giver in Giver:
            own = self._parent if giver is Giver.PARENT else QWidget()
            self._write_giver(own, giver)
            column.addWidget(own)
        on, by = label(say("book.consent.on")), label(say("book.consent.by"))
        on.setBuddy(self.on)
        by.setBuddy(self.by)
        column.addWidget(flowing(look.px("gap"), on, self.on, by, self.by))
        look.changed.connect(self._fit)
        self._fit()

    def _write_giver(self, own: QWidget, giver: Giver) -> None:
        rows = QVBoxLayout(own)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(label(say(f"book.giver.{giver}.says"), letters="head"))
        for purpose in Purpose:
            rows.addWidget(self._row((purpose, giver)))

    def _row(self, question: Question) -> QWidget:
        purpose, giver = question
        asked = label(say(f"book.purpose.{purpose}"))
        self._questions.append(asked)
        group, words_pressed = QButtonGroup(self), []
        for answer in _ANSWERS:
            words = say(f"book.answer.{answer}")
            whose = say(f"book.giver.{giver}.says")
            made = button(words, _nothing, name=f"{whose} {asked.text()}: {words}")
            made.setCheckable(True)
            made.setProperty("value", answer)
            group.addButton(made)
            words_pressed.append(made)
        said = label(letters="note", soft=True, wraps=True)
        said.setMinimumWidth(18 * self._look.px("note"))
        self._groups[question], self._said[question] = group, said
        return flowing(self._look.px("gap"), asked, *words_pressed, said)

    def _fit(self) -> None:
        for asked in self._questions:
            asked.setFixedSize(_QUESTION_LETTERS * self._look.px("body"), self._look.px("target"))

    def begin(self, known: Sequence[Consent], history: Sequence[Consent], by: str = "") -> None:
        """Show the answers that count, and those that were given before.

        Args:
            known: The answers that count.
            history: Every answer ever given.
            by: Who most likely writes new ones down.
        """
        self.by.setText(by)
        day = today()
        self.on.setMaximumDate(QDate(day.year, day.month, day.day))
        self.on.setDate(QDate(day.year, day.month, day.day))
        self._known = {(one.purpose, one.giver): one for one in known}
        for question, group in self._groups.items():
            counts = self._known.get(question)
            check(group, "open" if counts is None else "yes" if counts.given else "no")
            # What was answered can be answered otherwise, not unasked.
            group.buttons()[-1].setVisible(counts is None)
            asked = [one for one in history if (one.purpose, one.giver) == question]
            before = [answer_words(one) for one in reversed(asked) if one != counts]
            words = [answer_words(counts)] if counts is not None else []
            if before:
                words.append(say("book.answer.before", answers="; ".join(before[:_MOST_BEFORE])))
            self._said[question].setText(". ".join(words))
            self._said[question].setVisible(bool(words))

    def need_parent(self, needed: bool) -> None:
        """Ask a parent too, or not; answers that were given stay to be seen."""
        known = any(giver is Giver.PARENT for _, giver in self._known)
        self._parent.setVisible(needed or known)

    def answer(self, purpose: Purpose, giver: Giver, *, given: bool) -> None:
        """Choose an answer, as pressing its word does."""
        check(self._groups[purpose, giver], "yes" if given else "no")

    def answers(self) -> tuple[Consent, ...]:
        """What is answered otherwise than before."""
        on, by = self.on.date().toPyDate(), self.by.text().strip()
        fresh = []
        for (purpose, giver), group in self._groups.items():
            chosen, known = checked(group), self._known.get((purpose, giver))
            given = chosen == "yes"
            if chosen == "open" or (known is not None and known.given is given):
                continue
            fresh.append(Consent(purpose=purpose, giver=giver, given=given, on=on, by=by))
        return tuple(fresh)


def check(group: QButtonGroup, value: str) -> None:
    """Choose the word of that value."""
    for made in group.buttons():
        if made.property("value") == value:
            made.setChecked(True)


def checked(group: QButtonGroup) -> str:
    """The value of the word that is chosen."""
    chosen = group.checkedButton()
    return str(chosen.property("value")) if isinstance(chosen, QPushButton) else ""


def _nothing() -> None:
    """A word that is chosen does nothing until all is saved."""
