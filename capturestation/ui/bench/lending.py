"""Lending the clip to a phone nearby: a square to point its camera at, and how long it stands open.

Owns the door while it is open and that it shuts with the panel. Off until it is pressed.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from PyQt6.QtCore import Qt, QTimer
from PyQt6.QtGui import QImage, QPixmap
from PyQt6.QtWidgets import QLabel, QVBoxLayout, QWidget

from capturestation.drawing.code_square import code_square
from capturestation.errors import StationError
from capturestation.station.nearby import Nearby
from capturestation.ui.bench.wordings import stretch
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

_LOOK_MS = 400
_SQUARE_LETTERS = 16
# Of the letters' height: large enough for a camera at arm's length.


class Lending(QWidget):
    """A button that opens the door, the square while it is open, and what became of it."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look
        self.door: Nearby | None = None
        self._file: Path | None = None
        self._host: str | None = None
        self.press = button(say("send.nearby"), self.turn)
        self.square = QLabel()
        self.square.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.told = label(wraps=True, soft=True)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look_at_door)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (stretch(self.press), self.square, self.told):
            column.addWidget(widget)
        self._show("")

    def offer(self, file: Path | None) -> None:
        """Say which file would be lent; a door that stands open for another one is shut."""
        if file != self._file:
            self.shut()
            self._file = file
            self._show("")

    def turn(self) -> None:
        """Open the door, or shut it."""
        if self.door is not None:
            self.shut()
            self._show(say("send.nearby.shut"))
        elif self._file is not None:
            try:
                self.door = Nearby(self._file, host=self._host)
            except StationError as error:
                self._show(str(error))
                return
            self._timer.start()
            self._draw(self.door)
            self.look_at_door()

    def look_at_door(self) -> None:
        """Say how long it stands open still, or what became of it."""
        door = self.door
        if door is None:
            return
        if door.is_open:
            minutes = math.ceil(door.left_s / 60)
            self._show(say("send.nearby.open", minutes=minutes, address=door.address))
        else:
            words = say("send.nearby.taken" if door.is_taken else "send.nearby.over")
            self.shut()
            self._show(words)

    def shut(self) -> None:
        """Shut the door, if it is open."""
        self._timer.stop()
        if self.door is not None:
            self.door.close()
            self.door = None

    def _draw(self, door: Nearby) -> None:
        rgb = np.ascontiguousarray(
            code_square(door.address, _SQUARE_LETTERS * self.look.px("body"))
        )
        side = rgb.shape[0]
        image = QImage(rgb.tobytes(), side, side, 3 * side, QImage.Format.Format_RGB888)
        self.square.setPixmap(QPixmap.fromImage(image))
        # Its white edge belongs to it: no narrow panel may cut it.
        self.square.setMinimumSize(side, side)
        self.square.setAccessibleName(say("send.nearby.square"))

    def _show(self, words: str) -> None:
        is_open = self.door is not None
        put_words(self.press, say("send.nearby.stop") if is_open else say("send.nearby"))
        self.square.setVisible(is_open)
        self.told.setText(words)
        self.told.setVisible(bool(words))
