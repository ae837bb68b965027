"""The top of the page: places as words, what can be taken back, the way to keys and look.

Owns how a place is chosen by hand. Refuses to know what a place is.
"""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from capturestation.station.undo import UndoList
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, put_words

_UNDO_SHARE = 0.34
# Of the header's width: the longest "Take back" that leaves the places their room.


class Header(QWidget):
    """Words that lead to the places.

    Signals:
        chosen: Key of the place that is wanted.
        undoes: The last step is to be taken back.
        sheet_wanted: Keys and look are to be shown.
    """

    chosen = pyqtSignal(str)
    undoes = pyqtSignal()
    sheet_wanted = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "header")
        self._look = look
        self._words: dict[str, QPushButton] = {}
        self._marked = ""
        self._places = QHBoxLayout()
        self._undo_words = ""
        self._undo = button("", self.undoes.emit, role="quiet")
        self._undo.hide()
        self._sheet = button(say("shell.sheet"), self.sheet_wanted.emit, role="quiet")
        layout = QHBoxLayout(self)
        layout.addLayout(self._places)
        layout.addStretch(1)
        layout.addWidget(self._undo)
        layout.addWidget(self._sheet)
        look.changed.connect(self._fit)
        self._fit()

    @property
    def places(self) -> tuple[str, ...]:
        """Keys of the places, in their order."""
        return tuple(self._words)

    def put_places(self, keys: Sequence[str]) -> None:
        """Show the words of these places and no others."""
        for word in self._words.values():
            self._places.removeWidget(word)
            word.deleteLater()
        self._words = {key: self._word(key) for key in keys}

    def _word(self, key: str) -> QPushButton:
        word = button(
            say(f"shell.place.{key}"),
            lambda: self._choose(key),
            role="word",
            name=say(f"shell.place.{key}.hint"),
            letters="title",
        )
        word.setCheckable(True)
        self._places.addWidget(word)
        return word

    def _choose(self, key: str) -> None:
        self.chosen.emit(key)
        self.mark(self._marked)  # A press alone turns a word on or off; where one is decides.

    def mark(self, key: str) -> None:
        """Show which place one is in."""
        self._marked = key
        for name, word in self._words.items():
            word.setChecked(name == key)

    def show_steps(self, steps: UndoList) -> None:
        """Say what can be taken back."""
        self._undo_words = steps.undo_words
        self._undo.setVisible(bool(self._undo_words))
        self._write_undo()

    def _write_undo(self) -> None:
        if self._undo_words:
            whole = say("shell.undo", words=self._undo_words)
            room_px = round(self.width() * _UNDO_SHARE)
            metrics = self._undo.fontMetrics()
            short = metrics.elidedText(whole, Qt.TextElideMode.ElideRight, room_px)
            put_words(self._undo, short, whole)

    def _fit(self) -> None:
        margin, gap = self._look.px("margin"), self._look.px("gap")
        layout = self.layout()
        assert layout is not None
        layout.setContentsMargins(margin, gap, margin, 0)
        self._places.setSpacing(margin)
        self._write_undo()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Fit what can be taken back into the room."""
        super().resizeEvent(event)
        self._write_undo()
