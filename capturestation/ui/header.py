"""The top of the page: places as words, what can be taken back, the way to keys and look.

Owns how a place is chosen by hand. Refuses to know what a place is.
"""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import QSize, Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from capturestation.station.undo import UndoList
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import LetterSize, button, ground, put_words, restyle

_UNDO_SHARE = 0.34
# Of the header's width: the longest "Take back" that leaves the places their room.
_LETTERS: tuple[LetterSize, ...] = ("title", "head", "")
# Of the places' words, the largest that there is room for.


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
        self._tools: QWidget | None = None
        self._undo_words = ""
        self._undo = button("", self.undoes.emit, role="quiet")
        self._undo.hide()
        self._sheet = button(say("shell.sheet"), self.sheet_wanted.emit, role="quiet")
        self._row = QHBoxLayout(self)
        self._row.addLayout(self._places)
        self._row.addStretch(1)
        self._row.addWidget(self._undo)
        self._row.addWidget(self._sheet)
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

    def put_tools(self, tools: QWidget | None) -> None:
        """Show these words of a place at the right, and no other place's."""
        if self._tools is not None and self._tools is not tools:
            self._tools.hide()
        self._tools = tools
        if tools is not None:
            if self._row.indexOf(tools) < 0:
                self._row.insertWidget(self._row.indexOf(self._sheet), tools)
            tools.show()
        self._fit()

    def cover(self, is_covered: bool) -> None:
        """Show no place's words while something lies over the place."""
        if self._tools is not None:
            self._tools.setVisible(not is_covered)

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
        self._write_undo()

    def _write_undo(self) -> None:
        """As much as there is room for; where there is none the key still does it."""
        others = self._others_px()
        room_px = min(round(self.width() * _UNDO_SHARE), self.width() - others)
        metrics = self._undo.fontMetrics()
        least_px = metrics.horizontalAdvance(say("shell.undo", words="…"))
        self._undo.setVisible(bool(self._undo_words) and room_px > least_px)
        if self._undo_words:
            whole = say("shell.undo", words=self._undo_words)
            short = metrics.elidedText(whole, Qt.TextElideMode.ElideRight, room_px)
            put_words(self._undo, short, whole)

    def _fit(self) -> None:
        margin, gap = self._look.px("margin"), self._look.px("gap")
        self._row.setContentsMargins(margin, gap, margin, 0)
        self._row.setSpacing(gap)
        self._places.setSpacing(margin)
        for letters in _LETTERS:
            for word in self._words.values():
                word.setProperty("letters", letters)
                restyle(word)
            if self._others_px() <= self.width():
                break
        self._fit_tools()
        self._write_undo()

    def _fit_tools(self) -> None:
        """Where even small words of places leave too little, all are written smaller."""
        tools = [] if self._tools is None else self._tools.findChildren(QPushButton)
        for word in (self._sheet, *tools):
            self._write_as(word, "")
        if self._others_px() > self.width():
            for word in (self._sheet, *tools, *self._words.values()):
                self._write_as(word, "note")

    def _write_as(self, word: QPushButton, letters: str) -> None:
        if word.property("letters") != letters:
            word.setProperty("letters", letters)
            restyle(word)
            word.updateGeometry()

    def _others_px(self) -> int:
        """What all takes but what can be taken back."""
        margin, gap = self._look.px("margin"), self._look.px("gap")
        words: list[QWidget] = [*self._words.values(), self._sheet]
        words += [] if self._tools is None else [self._tools]
        wide = sum(word.sizeHint().width() for word in words)
        return wide + 2 * margin + margin * len(self._words) + 4 * gap

    def minimumSizeHint(self) -> QSize:
        """As narrow as can be: where there is no room, words are written smaller."""
        return QSize(320, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Fit the words into the room."""
        super().resizeEvent(event)
        self._fit()
