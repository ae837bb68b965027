"""The morning check: half a minute, a line for each thing, and what to do about it.

Owns the half minute and taking the live pictures' grey for the check. What counts as well is
decided in the station.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from PyQt6.QtCore import QTimer, pyqtSignal
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from capturestation.records import FrameArray
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.check import LASTS_S, MorningCheck, not_measured
from capturestation.station.bay.moved import LiveMoved
from capturestation.station.bay.standing import Level, Sign
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.bay.wording import sign_words, what_to_do
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label, put_words

_LOOK_MS = 500


class CheckPage(QWidget):
    """What is looked at, line by line.

    Signals:
        done: The `MorningCheck` that was made.
        left: Back to the lesson.
    """

    done = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(
        self,
        bay: Bay,
        look: Look,
        parent: QWidget | None = None,
        *,
        moved: Callable[[], LiveMoved] | None = None,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._bay = bay
        self._look = look
        self._clock_s = clock_s
        self._make_moved = moved
        self._moved: LiveMoved | None = None
        self.check = MorningCheck()
        self._began_s = 0.0
        self._is_over = True
        self.title = label(say("bay.check.title"), letters="title", wraps=True)
        self.text = label(say("bay.check.text"), soft=True, wraps=True)
        self.pictures = BayPictures(bay, None, look)
        self.lines: list[tuple[QLabel, QLabel]] = []
        self._rows = QVBoxLayout()
        self._rows.setSpacing(0)
        self.again = button(say("bay.check.again"), self.begin)
        self.back = button(say("bay.check.back"), self.left.emit, role="main")
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look_now)
        self._lay_out(look)

    def _lay_out(self, look: Look) -> None:
        inside = QWidget()
        ground(inside, "page")
        held = QVBoxLayout(inside)
        held.setContentsMargins(0, 0, look.px("gap"), 0)
        held.addLayout(self._rows)
        held.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(inside)
        middle = QHBoxLayout()
        middle.addWidget(self.pictures, 1)
        middle.addWidget(scroll, 1)
        column = QVBoxLayout(self)
        margin = look.px("margin")
        column.setContentsMargins(margin, look.px("gap"), margin, look.px("gap"))
        column.addWidget(self.title)
        column.addWidget(self.text)
        column.addLayout(middle, 1)
        presses = QHBoxLayout()
        presses.addWidget(self.back)
        presses.addWidget(self.again)
        presses.addStretch(1)
        column.addLayout(presses)

    def begin(self) -> None:
        """Begin the half minute."""
        self._close_moved()
        if self._make_moved is not None:
            self._moved = self._make_moved()
        seam = self._moved or not_measured
        self.check = MorningCheck(before=self._bay.setting.checked, moved=seam)
        self._began_s = self._clock_s()
        self._is_over = False
        self._timer.start()
        self.again.hide()
        self.look_now()

    def end(self) -> None:
        """Look no longer; what was measured counts only if the half minute was over."""
        self._timer.stop()
        self._close_moved()

    def _close_moved(self) -> None:
        if self._moved is not None:
            self._moved.close()
            self._moved = None

    def look_now(self) -> None:
        """Take up the live pictures and the sound's level."""
        for view in self.pictures.views:
            image = self.pictures.live_image(view)
            if image is not None and not image.isNull():
                self.check.see(view, grey_of(image))
        health = self._bay.standing.health
        if health is not None and health.sound is not None:
            self.check.hear(health.sound.peak)
        left_s = LASTS_S - (self._clock_s() - self._began_s)
        if left_s <= 0 and not self._is_over:
            self._is_over = True
            self._timer.stop()
            self.again.show()
            self.done.emit(self.check)
        self._write(max(left_s, 0.0))

    def _add_line(self) -> None:
        what, do = label(wraps=True), label(letters="note", soft=True, wraps=True)
        do.setIndent(self._look.px("margin"))
        self.lines.append((what, do))
        self._rows.addWidget(what)
        self._rows.addWidget(do)

    def _write(self, left_s: float) -> None:
        signs = self.check.signs(self._bay.standing)
        while len(self.lines) < len(signs):
            self._add_line()
        for number, (what, do) in enumerate(self.lines):
            sign = signs[number] if number < len(signs) else None
            what.setText(sign_words(sign) if sign else "")
            do.setText(what_to_do(sign) if sign else "")
            what.setVisible(bool(what.text()))
            do.setVisible(bool(do.text()))
        if self._is_over:
            self.text.setText(_verdict(signs))
        else:
            self.text.setText(say("bay.check.left", seconds=round(left_s)))
        put_words(self.back, say("bay.check.back" if self._is_over else "bay.check.stop"))


def _verdict(signs: tuple[Sign, ...]) -> str:
    levels = {sign.level for sign in signs}
    if Level.BAD in levels:
        return say("bay.check.bad")
    return say("bay.check.look" if Level.LOOK in levels else "bay.check.well")


def grey_of(image: QImage) -> FrameArray:
    """A picture's grey, (H, W) uint8."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    bits = grey.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asstring(grey.sizeInBytes()), np.uint8)
    found: FrameArray = rows.reshape(grey.height(), grey.bytesPerLine())[:, : grey.width()]
    return found
