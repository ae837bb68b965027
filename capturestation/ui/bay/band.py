"""The band below the pictures: the one word that is read from three metres, and the large button.

Owns how large the word is: it fills its band at every size of window and of letters. Ready stands
as light letters on a dark ground, Paused as dark letters in a frame: without any colour the two are
told apart by whoever has the club in the hands.
"""

from __future__ import annotations

from PyQt6.QtCore import QRect, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PyQt6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from capturestation.station.bay.bay import Bay, Mode
from capturestation.ui.bay.wording import (
    ball_words,
    big_word,
    button_words,
    count_words,
    line_below,
)
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

_SHARE, _LEAST_PX, _MOST_PX = 0.2, 96, 300
# Of the place's height: on 27 inches at 720 lines letters of 30 mm, read by anyone at three metres.
_LETTERS = 0.74
_FRAME_PX = 4
_WIDEST = 0.46
_BUTTON_SHARE = 0.6
# Of the band's height: hit with a club's grip, or a thumb.


class BigWord(QWidget):
    """One word, as large as its place."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._words = (say("bay.word.ready"), say("bay.word.paused"))
        self.word = ""
        self.is_strong = False
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        look.changed.connect(self.update)

    def put(self, word: str, *, is_strong: bool) -> None:
        """Show this word; a strong one stands light on dark."""
        if (word, is_strong) != (self.word, self.is_strong):
            self.word, self.is_strong = word, is_strong
            self.setAccessibleName(word)
            self.update()

    def fit(self, high_px: int, most_px: int) -> None:
        """Take that height, and as much width as the longer of the words needs."""
        wide = max(self._metrics(high_px).horizontalAdvance(word) for word in self._words) + round(
            0.3 * high_px
        )
        self.setFixedSize(min(wide, most_px), high_px)

    def _metrics(self, high_px: int) -> QFontMetrics:
        made = self._look.font("huge", bold=True)
        made.setPixelSize(max(round(_LETTERS * high_px), 8))
        return QFontMetrics(made)

    def paintEvent(self, _event: QPaintEvent | None) -> None:
        """Paint the word."""
        painter = QPainter(self)
        ground, letters = ("ink", "paper") if self.is_strong else ("paper", "ink")
        inside = self.rect().adjusted(0, 0, -1, -1)
        painter.fillRect(self.rect(), self._look.colour("ink" if ground == "ink" else "paper"))
        pen = QPen(self._look.colour("ink"))
        pen.setWidth(_FRAME_PX)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.drawRect(inside.adjusted(2, 2, -2, -2))
        made = self._look.font("huge", bold=True)
        made.setPixelSize(self._letters_px(inside))
        painter.setFont(made)
        painter.setPen(self._look.colour("paper" if letters == "paper" else "ink"))
        painter.drawText(inside, int(Qt.AlignmentFlag.AlignCenter), self.word)
        painter.end()

    def _letters_px(self, inside: QRect) -> int:
        """As high as the place, smaller where the word would be too wide."""
        whole = round(_LETTERS * inside.height())
        wide = max(self._metrics(inside.height()).horizontalAdvance(w) for w in self._words)
        room = inside.width() - round(0.2 * inside.height())
        return max(whole if wide <= room else int(whole * room / wide), 8)


class Band(QWidget):
    """Word, who is hitting, and the button.

    Signals:
        pressed: The one large button.
        other_wanted: Somebody else is hitting.
    """

    pressed = pyqtSignal()
    other_wanted = pyqtSignal()

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bay = bay
        self._look = look
        self.word = BigWord(look)
        self.line = label(letters="head", wraps=True)
        self.count = label(soft=True, wraps=True)
        self.button = button("", self.pressed.emit, role="main", letters="title")
        self.other = button(say("bay.other"), self.other_wanted.emit)
        middle = QVBoxLayout()
        middle.setSpacing(2)
        middle.addStretch(1)
        middle.addWidget(self.line)
        middle.addWidget(self.count)
        middle.addStretch(1)
        presses = QVBoxLayout()
        presses.addStretch(1)
        presses.addWidget(self.button)
        presses.addWidget(self.other)
        presses.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px("margin"))
        row.addWidget(self.word)
        row.addLayout(middle, 1)
        row.addLayout(presses)
        bay.changed.tell(self.show_bay)
        bay.balled.tell(self.show_bay)
        self.show_bay()

    def show_bay(self) -> None:
        """Say how the Bay stands."""
        mode = self._bay.mode
        self.word.put(big_word(self._bay), is_strong=mode is Mode.READY)
        self.line.setText(line_below(self._bay))
        has_person = self._bay.person is not None
        said = [count_words(self._bay)]
        if self._bay.balls.last is not None:
            said.append(f"{ball_words(self._bay.balls.last)}.")
        self.count.setText(" ".join(said))
        self.count.setVisible(has_person)
        put_words(self.button, button_words(self._bay))
        self.button.setEnabled(not self._bay.is_ending)
        self.other.setVisible(mode is Mode.ASKS)

    def fit(self, height_px: int, width_px: int) -> None:
        """Take a share of that height."""
        high = min(max(round(_SHARE * height_px), _LEAST_PX), _MOST_PX)
        self.word.fit(high, round(_WIDEST * width_px))
        self.button.setMinimumHeight(round(_BUTTON_SHARE * high))

    def sizeHint(self) -> QSize:
        """As high as the word at least."""
        return super().sizeHint().expandedTo(self.word.size())
