"""The page on which a student is written down: name, hand, consents, what is private.

Owns the fields, and that nothing written is lost by a slip. Refuses to save: it hands over what
was written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QButtonGroup, QLineEdit, QWidget

from capturestation.records import Consent, Hand, Student
from capturestation.records.people import GROWN_UP_AT
from capturestation.station.people import today
from capturestation.ui.book.consents import Consents, check, checked
from capturestation.ui.book.private import Private
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_NOTE_ROWS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What was written on the page.

    Args:
        name: As written.
        hand: Right or left.
        birth_year: As written; empty where it isn't known.
        limits_today: Private.
        notes: Private.
        answers: Answers about consent that weren't there before.
    """

    name: str
    hand: Hand
    birth_year: str
    limits_today: str
    notes: str
    answers: tuple[Consent, ...] = ()


class StudentForm(Sheet):
    """A student's page to write on.

    Signals:
        saved: What was `Written`.
        left: Nothing is to be kept.
        forgets: The student is to be forgotten with everything.
        gives: Everything of the student is wanted as one file.
    """

    saved = pyqtSignal(object)
    left = pyqtSignal()
    forgets = pyqtSignal()
    gives = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent)
        self._begun: Written | None = None
        self.title = label(letters="title", wraps=True)
        self.name = _field("book.student.name")
        self.year = _field("book.student.year")
        self.year.textChanged.connect(self._ask_parent)
        self.limits = Private(look, "book.student.limits", _NOTE_ROWS)
        self.notes = Private(look, "book.student.notes", _NOTE_ROWS)
        self.consents = Consents(look)
        self._hands = QButtonGroup(self)
        self._hand_words = []  # A group doesn't own its buttons.
        for hand in Hand:
            made = button(say(f"book.hand.{hand}"), _nothing)
            made.setCheckable(True)
            made.setProperty("value", str(hand))
            self._hands.addButton(made)
            self._hand_words.append(made)
        self.save_word = button(say("book.save"), self._save, role="main")
        self.forget_word = button(say("book.forget"), self.forgets.emit, role="quiet")
        self.give_word = button(say("book.give"), self.gives.emit, role="quiet")
        self._lay_out()

    def _lay_out(self) -> None:
        self.rows.addWidget(self.title)
        for key, field in (("name", self.name), ("year", self.year)):
            self._row(key, field)
        self.rows.addWidget(label(say("book.student.hand")))
        gap = self.look.px("gap")
        self.rows.addWidget(flowing(gap, *self._hand_words))
        self.rows.addWidget(self.limits)
        self.rows.addWidget(self.notes)
        self.rows.addSpacing(self.look.px("margin"))
        self.rows.addWidget(self.consents)
        self.rows.addSpacing(self.look.px("margin"))
        self.rows.addWidget(flowing(gap, self.give_word, self.forget_word))
        self.rows.addStretch(1)
        self.outside.addWidget(
            flowing(gap, self.save_word, button(say("book.cancel"), self.left.emit))
        )

    def _row(self, key: str, field: QWidget) -> None:
        words = label(say(f"book.student.{key}"), wraps=True)
        words.setBuddy(field)
        self.rows.addWidget(words)
        self.rows.addWidget(field)

    def begin(
        self,
        student: Student | None,
        *,
        history: Sequence[Consent] = (),
        name: str = "",
        by: str = "",
    ) -> None:
        """Open the page for a student, or for a new one.

        Args:
            student: Who; None for a new one.
            history: Every answer about consent ever given.
            name: What a new one is called, as far as it is known.
            by: Who wrote answers down last, and may do so again.
        """
        self.title.setText(student.name if student else say("book.student.new"))
        self.name.setText(student.name if student else name)
        year = student.birth_year if student else None
        self.limits.begin(student.limits_today if student else "")
        self.notes.begin(student.notes if student else "")
        check(self._hands, str(student.hand if student else Hand.RIGHT))
        self.consents.begin(student.consents if student else (), history, by)
        self.year.setText("" if year is None else str(year))
        self._ask_parent()
        for word in (self.give_word, self.forget_word):
            word.setVisible(student is not None)
        self._begun = self.written
        self.to_top()
        self.name.setFocus()

    def _ask_parent(self) -> None:
        text = self.year.text().strip()
        year = int(text) if text.isdecimal() else None
        # As the records say it: only the year is known, so 18 this year still counts.
        self.consents.need_parent(year is None or today().year - year <= GROWN_UP_AT)

    @property
    def written(self) -> Written:
        """What stands on the page now."""
        return Written(
            name=self.name.text(),
            hand=Hand(checked(self._hands)),
            birth_year=self.year.text().strip(),
            limits_today=self.limits.text,
            notes=self.notes.text,
            answers=self.consents.answers(),
        )

    @property
    def is_changed(self) -> bool:
        """Whether something was written that isn't kept."""
        return self._begun is not None and self.written != self._begun

    def keep(self, written: Written) -> bool:
        """It is kept as it was written; whether nothing else was written since."""
        self._begun = written
        return not self.is_changed

    def begin_again(self) -> None:
        """What stands there now is kept, or is to be lost."""
        self._begun = self.written

    def _save(self) -> None:
        self.saved.emit(self.written)


def _field(key: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(say(key))
    return field


def _nothing() -> None:
    """A word that is chosen does nothing until all is saved."""
