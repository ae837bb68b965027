"""The row of words about the last ball and the next ones.

Owns what is offered where there is little room: keys do the same, so what doesn't fit is not shown.
"""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import QSize, Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from capturestation.records import SwingKind
from capturestation.station.bay.balls import Ball
from capturestation.station.bay.bay import Bay
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, put_words

RATINGS = (1, 2, 3, 4, 5)


class Tools(QWidget):
    """Keep one, star, rate, talk, swings without a strike, club and kind, live or replay.

    Signals:
        asked: An action of the table of keys.
    """

    asked = pyqtSignal(str)

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bay = bay
        self._look = look
        self._is_replaying = False
        self._has_room = True
        self.keep = self._button("keep")
        self.star = self._button("star")
        self.star.setCheckable(True)
        self.rates = tuple(self._rate(rating) for rating in RATINGS)
        self.talk = self._button("talk")
        self.talk.setCheckable(True)
        self.swings = self._button("swings")
        self.swings.setCheckable(True)
        self.kind = self._button("kind", kind="")
        self.club = self._button("club", club="")
        self.picture = self._button("picture")
        self.open = self._button("open")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(2)
        row.addStretch(1)
        for word in self._in_order:
            row.addWidget(word)
            # A press by hand leaves the keyboard with the one large button, which Space presses.
            word.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        bay.changed.tell(self.show_bay)
        bay.balled.tell(self.show_bay)
        look.changed.connect(self._fit)
        self.show_bay()

    def _button(self, name: str, **values: str) -> QPushButton:
        return button(say(f"bay.tool.{name}", **values), partial(self._ask, f"bay.{name}"))

    def _rate(self, rating: int) -> QPushButton:
        name = say("bay.tool.rate", rating=rating)
        made = button(str(rating), partial(self._ask, f"bay.rate_{rating}"), name=name)
        made.setCheckable(True)
        return made

    def _ask(self, action: str) -> None:
        self.asked.emit(action)
        # A press alone turns a word on or off; what the ball says decides.
        self.show_bay()

    @property
    def _in_order(self) -> tuple[QPushButton, ...]:
        """As they stand in the row."""
        first = (self.keep, self.star, *self.rates)
        return (*first, self.open, self.picture, self.club, self.kind, self.swings, self.talk)

    @property
    def _by_need(self) -> tuple[QPushButton, ...]:
        """What is left out first where there is no room stands last."""
        first = (self.keep, self.star, self.picture, self.club)
        return (*first, self.talk, self.kind, self.swings, *self.rates, self.open)

    def give_room(self, has_room: bool) -> None:
        """Where there is none, the keys do it."""
        self._has_room = has_room
        self.show_bay()

    def show_replay(self, is_replaying: bool) -> None:
        """Say which of the two the pictures can be changed to."""
        self._is_replaying = is_replaying
        self.show_bay()

    def show_bay(self) -> None:
        """Say what is known of the last ball, and how the next ones are kept."""
        ball = self._bay.balls.last
        person = self._bay.person
        self.setVisible(person is not None and self._has_room)
        self._show_ball(ball)
        self.keep.setEnabled(self._bay.is_ready)
        self.talk.setChecked(self._bay.keeps_talk)
        put_words(self.talk, say("bay.tool.talk.on" if self._bay.keeps_talk else "bay.tool.talk"))
        self.swings.setChecked(self._bay.keeps_swings)
        swings = "bay.tool.swings.on" if self._bay.keeps_swings else "bay.tool.swings"
        put_words(self.swings, say(swings))
        kind = person.kind if person is not None else SwingKind.FULL
        put_words(self.kind, say("bay.tool.kind", kind=say(f"book.kind.{kind}")))
        club = person.club if person is not None else say("bay.tool.no_club")
        put_words(self.club, say("bay.tool.club", club=club))
        for word in (self.kind, self.club, self.swings, self.talk):
            word.setEnabled(person is not None)
        key = "bay.tool.picture.live" if self._is_replaying else "bay.tool.picture"
        put_words(self.picture, say(key))
        has_look = ball is not None and bool(ball.looks)
        self.picture.setEnabled(self._is_replaying or has_look)
        self._fit()

    def _show_ball(self, ball: Ball | None) -> None:
        self.star.setEnabled(ball is not None)
        self.star.setChecked(ball is not None and ball.starred)
        for rating, word in zip(RATINGS, self.rates, strict=True):
            word.setEnabled(ball is not None)
            word.setChecked(ball is not None and ball.rating == rating)
        self.open.setEnabled(ball is not None and ball.swing_id is not None)

    def _fit(self) -> None:
        """Show as many words as there is room for; the keys do the rest."""
        room = self.width()
        for word in self._by_need:
            room -= word.sizeHint().width() + 4
            word.setVisible(room >= 0)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Show what there is room for."""
        super().resizeEvent(event)
        self._fit()

    def minimumSizeHint(self) -> QSize:
        """As narrow as can be."""
        return QSize(200, self.keep.sizeHint().height())
