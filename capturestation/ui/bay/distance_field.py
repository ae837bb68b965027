"""From the ball to a microphone, as a coach measures it with a tape.

Owns reading a number as it is written in either country; what is no distance is not taken.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QWidget

from capturestation.ui.texts import say

FURTHEST_M = 30.0
"""Beyond that it is another bay's ball."""


class DistanceField(QLineEdit):
    """Metres, or nothing where nobody measured.

    Args:
        now_m: What is known.
        whose: Of which microphone, for a screen reader.

    Signals:
        measured: Metres, or None.
    """

    measured = pyqtSignal(object)

    def __init__(self, now_m: float | None, whose: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._now_m = now_m
        self._write()
        self.setPlaceholderText(say("bay.setup.distance"))
        self.setAccessibleName(say("bay.setup.distance.name", whose=whose))
        self.editingFinished.connect(self._read)

    def _write(self) -> None:
        self.setText("" if self._now_m is None else f"{self._now_m:g} m")

    def _read(self) -> None:
        before = self._now_m
        text = self.text().strip().removesuffix("m").replace(",", ".").strip()
        try:
            wanted = float(text) if text else None
        except ValueError:
            wanted = before
        if wanted is not None and not 0 <= wanted <= FURTHEST_M:
            wanted = before
        self._now_m = wanted
        self._write()
        if wanted != before:
            self.measured.emit(wanted)
