"""The line of words about the chosen swing: what it is, what the ball did, what to do with it.

Owns the words; says what was pressed, changes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from capturestation.records import BallResult, Swing
from capturestation.ui.book.wording import CONTACTS, SIDES, ball_words
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

RATINGS = (1, 2, 3, 4, 5)


class SwingBar(QWidget):
    """Words about one swing.

    Signals:
        asked: Which action of the table of keys was pressed, such as book.star.
        ball: The `BallResult` as it shall be.
        noted: The notes as they shall be.
    """

    asked = pyqtSignal(str)
    ball = pyqtSignal(object)
    noted = pyqtSignal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._swing: Swing | None = None
        self.words: dict[str, QPushButton] = {}
        self._first = QHBoxLayout()
        for name in ("open", "star", "club", "kind", "ball", "move", "delete"):
            action = f"book.{name}"
            made = button(
                say(f"book.swing.{name}"),
                partial(self.asked.emit, action),
                role="main" if name == "open" else "",
            )
            self.words[name] = made
            self._first.addWidget(made)
        self._first.addStretch(1)
        self.notes = QLineEdit()
        self.notes.setAccessibleName(say("book.swing.notes"))
        self.notes.setPlaceholderText(say("book.swing.notes"))
        self.notes.editingFinished.connect(self._note)
        self.ball_rows = QWidget()
        self._sides: dict[str, QPushButton] = {}
        self._build_ball()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(self._first)
        column.addWidget(self.ball_rows)
        column.addWidget(self.notes)
        self.ball_rows.hide()
        self.show_swing(None)

    def _build_ball(self) -> None:
        column = QVBoxLayout(self.ball_rows)
        column.setContentsMargins(0, 0, 0, 0)
        rows = (
            ("start", SIDES, "book.ball.start"),
            ("curve", SIDES, "book.ball.curve"),
            ("contact", CONTACTS, "book.ball.contact"),
            ("rating", tuple(str(n) for n in RATINGS), "book.ball.rating"),
        )
        for field, values, key in rows:
            row = QHBoxLayout()
            row.addWidget(label(say(key), soft=True))
            for value in values:
                text = value if field == "rating" else say(f"book.ball.{field}.{value}")
                made = button(
                    text,
                    partial(self.put_ball, field, value),
                    name=f"{say(key)}: {text}",
                )
                made.setCheckable(True)
                self._sides[f"{field} {value}"] = made
                row.addWidget(made)
            row.addStretch(1)
            column.addLayout(row)

    def show_swing(self, swing: Swing | None) -> None:
        """Write about that swing."""
        self._swing = swing
        self.setEnabled(swing is not None)
        if swing is None:
            self.notes.clear()
            self.ball_rows.hide()
            return
        book = swing.book
        put_words(self.words["club"], say("book.swing.club.is", club=book.club))
        put_words(self.words["kind"], say("book.swing.kind.is", kind=book.kind))
        put_words(self.words["star"], say(f"book.swing.star.{'on' if book.starred else 'off'}"))
        said = ball_words(book.ball) or say("book.swing.ball.none")
        put_words(self.words["ball"], say("book.swing.ball.is", ball=said))
        if not self.notes.hasFocus():
            self.notes.setText(book.notes)
        rated = None if book.ball.rating is None else str(book.ball.rating)
        now = {"start": book.ball.start, "curve": book.ball.curve, "contact": book.ball.contact}
        for key, made in self._sides.items():
            field, value = key.split(" ", 1)
            made.setChecked((rated if field == "rating" else now[field]) == value)

    def toggle_ball(self) -> None:
        """Open or close the rows about the ball."""
        self.ball_rows.setVisible(not self.ball_rows.isVisibleTo(self))
        if self.ball_rows.isVisibleTo(self):
            self._sides["start left"].setFocus()

    def put_ball(self, field: str, value: str) -> None:
        """Write one thing down of the ball; what is there already is taken away again."""
        if self._swing is None:
            return
        old = self._swing.book.ball
        if field == "rating":
            rating = None if old.rating == int(value) else int(value)
            changed = replace(old, rating=rating)
        else:
            now = {"start": old.start, "curve": old.curve, "contact": old.contact}
            now[field] = "" if now[field] == value else value
            changed = BallResult(rating=old.rating, **now)
        self.ball.emit(changed)

    def _note(self) -> None:
        if self._swing is not None and self.notes.text() != self._swing.book.notes:
            self.noted.emit(self.notes.text())
