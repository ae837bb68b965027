"""The page on which it is written down what the ball did, in large words.

Owns the words and what pressing one means; says what shall be, changes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QPushButton, QWidget

from capturestation.records import BallResult
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.book.wording import CONTACTS, RATINGS, SIDES
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_FIELDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("start", SIDES),
    ("curve", SIDES),
    ("contact", CONTACTS),
    ("rating", tuple(str(n) for n in RATINGS)),
)


class BallPage(Sheet):
    """Start, curve, contact, and how near it was to what was wanted.

    Signals:
        noted: The `BallResult` as it shall be.
        left: Back to the book.
    """

    noted = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent)
        self._ball = BallResult()
        self.words: dict[tuple[str, str], QPushButton] = {}
        column = self.rows
        self.title = label(say("book.ball.title"), letters="title")
        column.addWidget(self.title)
        for name, values in _FIELDS:
            column.addWidget(label(say(f"book.ball.{name}"), soft=True))
            made = [self._word(name, value) for value in values]
            column.addWidget(flowing(look.px("gap"), *made))
        column.addWidget(flowing(look.px("gap"), button(say("book.back"), self.left.emit)))
        column.addStretch(1)

    def _word(self, name: str, value: str) -> QPushButton:
        text = value if name == "rating" else say(f"book.ball.{name}.{value}")
        spoken = f"{say(f'book.ball.{name}')}: {text}"
        made = button(text, partial(self.put, name, value), name=spoken)
        made.setCheckable(True)
        self.words[name, value] = made
        return made

    def show_ball(self, ball: BallResult) -> None:
        """Show what is written down."""
        self._ball = ball
        now = {"start": ball.start, "curve": ball.curve, "contact": ball.contact}
        now["rating"] = "" if ball.rating is None else str(ball.rating)
        for (name, value), made in self.words.items():
            made.setChecked(now[name] == value)

    def give_keyboard(self) -> None:
        """Give the keyboard to the rating that is written down, or to the middle one."""
        rating = RATINGS[len(RATINGS) // 2] if self._ball.rating is None else self._ball.rating
        self.words["rating", str(rating)].setFocus(Qt.FocusReason.OtherFocusReason)

    def put(self, name: str, value: str) -> None:
        """Write one thing down; what is there already is taken away again."""
        old = self._ball
        if name == "rating":
            rating = int(value)
            changed = replace(old, rating=None if old.rating == rating else rating)
        else:
            now = {"start": old.start, "curve": old.curve, "contact": old.contact}
            now[name] = "" if now[name] == value else value
            changed = BallResult(rating=old.rating, **now)
        # Shown before it is written: the next press adds to it.
        self.show_ball(changed)
        self.noted.emit(changed)
