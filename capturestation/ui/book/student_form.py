"""The page on which a student is written down: name, hand, consents, what is private.

Owns the fields and which answers are new. Refuses to save: it hands over what was written.
"""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from capturestation.drawing.theme import date_words
from capturestation.records import Consent, Giver, Hand, Purpose, Student
from capturestation.station.people import today
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_NOTE_ROWS = 3
Answer = tuple[Purpose, Giver]


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
        by: Who writes them down.
    """

    name: str
    hand: Hand
    birth_year: str
    limits_today: str
    notes: str
    answers: tuple[Consent, ...] = ()


class StudentForm(QWidget):
    """A student's page to write on.

    Signals:
        saved: What was `Written`.
        left: Nothing is to be kept.
    """

    saved = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._known: dict[Answer, Consent] = {}
        self._groups: dict[Answer, QButtonGroup] = {}
        self.title = label(letters="title")
        self.name = _field("book.student.name")
        self.year = _field("book.student.year")
        self.by = _field("book.student.by")
        self.limits = _paper("book.student.limits", look)
        self.notes = _paper("book.student.notes", look)
        self._hands = self._choice([(str(hand), say(f"book.hand.{hand}")) for hand in Hand])
        page = QWidget()
        self._column = QVBoxLayout(page)
        self._fill()
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(page)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        outer = QVBoxLayout(self)
        outer.addWidget(scroll)
        outer.addLayout(self._ends())

    def _fill(self) -> None:
        column = self._column
        column.addWidget(self.title)
        for key, field in (("name", self.name), ("year", self.year)):
            self._row(key, field)
        column.addWidget(label(say("book.student.hand")))
        column.addWidget(flowing(self._look.px("gap"), *self._hands.buttons()))
        column.addWidget(label(say("book.student.consents"), letters="head"))
        column.addWidget(label(say("book.student.cautions"), letters="note", soft=True, wraps=True))
        self._table = QVBoxLayout()
        column.addLayout(self._table)
        self._row("by", self.by)
        for key, paper in (("limits", self.limits), ("notes", self.notes)):
            self._row(key, paper)
        column.addStretch(1)

    def _row(self, key: str, field: QWidget) -> None:
        words = label(say(f"book.student.{key}"), wraps=True)
        words.setBuddy(field)
        self._column.addWidget(words)
        self._column.addWidget(field)

    def _ends(self) -> QHBoxLayout:
        ends = QHBoxLayout()
        self.save_word = button(say("book.save"), self._save, role="main")
        ends.addStretch(1)
        ends.addWidget(button(say("book.cancel"), self.left.emit))
        ends.addWidget(self.save_word)
        return ends

    def _choice(self, options: list[tuple[str, str]]) -> QButtonGroup:
        group = QButtonGroup(self)
        for value, words in options:
            made = button(words, _nothing)
            # A group doesn't own its words: without a parent they would be gone before they stand.
            made.setParent(self)
            made.setCheckable(True)
            made.setProperty("value", value)
            group.addButton(made)
        return group

    def begin(self, student: Student | None) -> None:
        """Open the page for a student, or for a new one."""
        self.title.setText(student.name if student else say("book.student.new"))
        self.name.setText(student.name if student else "")
        year = student.birth_year if student else None
        self.year.setText("" if year is None else str(year))
        self.by.setText("")
        self.limits.setPlainText(student.limits_today if student else "")
        self.notes.setPlainText(student.notes if student else "")
        _check(self._hands, str(student.hand if student else Hand.RIGHT))
        self._known = {(c.purpose, c.giver): c for c in (student.consents if student else ())}
        self._write_table()
        self.name.setFocus()

    def _write_table(self) -> None:
        while self._table.count():
            item = self._table.takeAt(0)
            widget = item.widget() if item else None
            if widget is not None:
                widget.deleteLater()
        self._groups.clear()
        for giver in Giver:
            self._table.addWidget(label(say(f"book.giver.{giver}"), wraps=True))
            for purpose in Purpose:
                self._write_answer((purpose, giver))

    def _write_answer(self, answer: Answer) -> None:
        purpose, giver = answer
        words = say(f"book.purpose.{purpose}")
        group = self._choice([(key, say(f"book.answer.{key}")) for key in ("yes", "no", "open")])
        for made in group.buttons():
            made.setAccessibleName(f"{say(f'book.giver.{giver}')} {words}: {made.text()}")
        known = self._known.get(answer)
        _check(group, "open" if known is None else "yes" if known.given else "no")
        said = ""
        if known is not None:
            # An answer that was given stays in the history; it can be changed, not unasked.
            group.buttons()[-1].setEnabled(False)
            said = ", ".join(filter(None, (date_words(known.on), known.by)))
        self._table.addWidget(label(words, soft=True))
        row = flowing(
            self._look.px("gap"), *group.buttons(), label(said, letters="note", soft=True)
        )
        self._table.addWidget(row)
        self._groups[answer] = group

    def _answers(self) -> tuple[Consent, ...]:
        fresh = []
        for (purpose, giver), group in self._groups.items():
            chosen, known = _checked(group), self._known.get((purpose, giver))
            given = chosen == "yes"
            if chosen == "open" or (known is not None and known.given is given):
                continue
            by = self.by.text().strip()
            fresh.append(Consent(purpose=purpose, giver=giver, given=given, on=today(), by=by))
        return tuple(fresh)

    def answer(self, purpose: Purpose, giver: Giver, given: bool) -> None:
        """Choose an answer, as pressing its word does."""
        _check(self._groups[purpose, giver], "yes" if given else "no")

    def _save(self) -> None:
        self.saved.emit(
            Written(
                name=self.name.text(),
                hand=Hand(_checked(self._hands)),
                birth_year=self.year.text().strip(),
                limits_today=self.limits.toPlainText(),
                notes=self.notes.toPlainText(),
                answers=self._answers(),
            )
        )


def _field(key: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(say(key))
    return field


def _paper(key: str, look: Look) -> QPlainTextEdit:
    paper = QPlainTextEdit()
    paper.setAccessibleName(say(key))
    paper.setTabChangesFocus(True)
    paper.setFixedHeight(round(1.5 * _NOTE_ROWS * look.px("body")))
    return paper


def _check(group: QButtonGroup, value: str) -> None:
    for made in group.buttons():
        if made.property("value") == value:
            made.setChecked(True)


def _checked(group: QButtonGroup) -> str:
    chosen = group.checkedButton()
    return str(chosen.property("value")) if isinstance(chosen, QPushButton) else ""


def _nothing() -> None:
    """A word that is chosen does nothing until all is saved."""
