"""What stands above the pictures: what the lesson works on, large, and the words of the panels."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QSizePolicy, QWidget

from capturestation.drawing.bench_ink import metrics_of, type_of
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_DRAWER_SHARE = 17
# Width of an open panel in letters' heights: a short sentence to the line.


class Head(QWidget):
    """The lesson's focus and the words that open panels.

    Signals:
        panel_changed: The name of the panel that is open now, or an empty text.
    """

    panel_changed = pyqtSignal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self.focus = QLabel()
        self.focus.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.focus.setTextFormat(Qt.TextFormat.PlainText)
        self.focus.setAccessibleName(say("bench.focus"))
        self.drawer = QScrollArea()
        self.drawer.setWidgetResizable(True)
        self.drawer.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.drawer.hide()
        self._said = ""
        self._panels: dict[str, QWidget] = {}
        self._words: dict[str, QPushButton] = {}
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addWidget(self.focus, 1)
        look.changed.connect(self._look_changed)
        self._look_changed()

    @property
    def shown_panel(self) -> str | None:
        """The panel that is open."""
        return next((name for name, word in self._words.items() if word.isChecked()), None)

    def set_focus(self, focus: tuple[str, ...]) -> None:
        """Write what the lesson works on."""
        self._said = "   ·   ".join(focus)
        self._fit()

    def add_panel(self, name: str, widget: QWidget) -> None:
        """Take a panel in, closed."""
        word = QPushButton(say(f"bench.panel.{name}"))
        word.setCheckable(True)
        word.setProperty("role", "word")
        word.setAccessibleName(say(f"bench.panel.{name}"))
        word.clicked.connect(lambda on: self.show_panel(name if on else None))
        self._words[name], self._panels[name] = word, widget
        self._row.addWidget(word)
        self._look_changed()

    def show_panel(self, name: str | None) -> None:
        """Open one panel, or none."""
        self.drawer.takeWidget()
        for other, word in self._words.items():
            word.setChecked(other == name)
        if name is not None:
            self.drawer.setWidget(self._panels[name])
            self._panels[name].show()
        self.drawer.setVisible(name is not None)
        self.panel_changed.emit(name or "")

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Write the focus as large as there is room."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Smaller letters before words are cut short."""
        room, px = self.focus.width(), self.look.px("title")
        while px > self.look.px("note"):
            if metrics_of(px, bold=True).horizontalAdvance(self._said) <= room:
                break
            px -= 1
        metrics = metrics_of(px, bold=True)
        self.focus.setFont(type_of(px, bold=True))
        self.focus.setText(metrics.elidedText(self._said, Qt.TextElideMode.ElideRight, room))
        self.focus.setToolTip(self._said if self.focus.text() != self._said else "")
        self.focus.setAccessibleDescription(self._said)

    def _look_changed(self) -> None:
        for word in self._words.values():
            word.setFont(self.look.font("body"))
            word.setMinimumHeight(self.look.px("target"))
        self.drawer.setFixedWidth(_DRAWER_SHARE * self.look.px("body"))
        self._row.setSpacing(self.look.px("gap"))
        self.setFixedHeight(self.look.px("target"))
        self._fit()
