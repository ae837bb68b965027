"""What the lesson works on, large above the pictures; panels, and the words that open them.

The words stand in the header of the window, the panels at the right of the pictures.
"""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QSizePolicy, QWidget

from capturestation.drawing.bench_ink import metrics_of, type_of
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import take_keys

_DRAWER_SHARE = 17
# Width of an open panel in letters' heights: a short sentence to the line.
_MOST_OF_PAGE, _SCROLLED_PX = 0.45, 30
_LINE_SHARE = 1.4
_VALUE_SHARE = 0.6


class Head(QWidget):
    """The lesson's focus, and which panel is open.

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
        self.words = QWidget()
        self.words.hide()
        self.value = QLabel()
        self.value.setTextFormat(Qt.TextFormat.PlainText)
        self.value.setAccessibleName(say("measures.focus.value"))
        self.value.hide()
        self._shown: str | None = None
        self._said = self._value = self._short = ""
        self._panels: dict[str, QWidget] = {}
        self._words: dict[str, QPushButton] = {}
        self._row = QHBoxLayout(self.words)
        self._row.setContentsMargins(0, 0, 0, 0)
        own = QHBoxLayout(self)
        own.setContentsMargins(0, 0, 0, 0)
        own.addWidget(self.focus, 1)
        own.addWidget(self.value)
        look.changed.connect(self._look_changed)
        self._look_changed()

    @property
    def shown_panel(self) -> str | None:
        """The panel that is open."""
        return self._shown

    @property
    def said(self) -> str:
        """What the lesson works on, and how it is now, in one line."""
        return "   ·   ".join(words for words in (self._said, self._value) if words)

    def set_focus(self, focus: tuple[str, ...]) -> None:
        """Write what the lesson works on."""
        self._said = "   ·   ".join(focus)
        self._fit()

    def set_value(self, words: str, short: str = "") -> bool:
        """Write how that is at the moment shown.

        Args:
            words: With what it was before.
            short: Without, where there is no room for both.

        Returns:
            Whether that is another than before.
        """
        if words == self._value:
            return False
        self._value, self._short = words, short or words
        self.value.setVisible(bool(words))
        self._fit()
        return True

    def add_panel(self, name: str, widget: QWidget, *, by_key: bool = False) -> None:
        """Take a panel in, closed; one that only a key opens has no word."""
        self._panels[name] = widget
        if by_key:
            return
        word = QPushButton(say(f"bench.panel.{name}"))
        word.setCheckable(True)
        word.setProperty("role", "word")
        word.setAccessibleName(say(f"bench.panel.{name}"))
        take_keys(word)
        word.clicked.connect(lambda on: self.show_panel(name if on else None))
        self._words[name] = word
        self._row.addWidget(word)
        self._look_changed()

    def show_panel(self, name: str | None) -> None:
        """Open one panel, or none."""
        self.drawer.takeWidget()
        self._shown = name
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

    def fit_drawer(self, page_px: int) -> None:
        """Give an open panel its width; on a narrow page the pictures keep more than half."""
        wanted = _DRAWER_SHARE * self.look.px("body")
        panel = None if self._shown is None else self._panels[self._shown]
        least = 0 if panel is None else panel.minimumSizeHint().width() + _SCROLLED_PX
        self.drawer.setFixedWidth(max(min(wanted, round(_MOST_OF_PAGE * page_px)), least))

    def _fit(self) -> None:
        """Smaller letters before words are cut short."""
        taken = self._fit_value()
        room, px = self.width() - taken, self.look.px("title")
        while px > self.look.px("note"):
            if metrics_of(px, bold=True).horizontalAdvance(self._said) <= room:
                break
            px -= 1
        metrics = metrics_of(px, bold=True)
        self.focus.setFont(type_of(px, bold=True))
        self.focus.setText(metrics.elidedText(self._said, Qt.TextElideMode.ElideRight, room))
        self.focus.setToolTip(self._said if self.focus.text() != self._said else "")
        self.focus.setAccessibleDescription(self._said)

    def _fit_value(self) -> int:
        """Give the value its room, at most most of it; says how much that is."""
        px, most = self.look.px("body"), max(round(_VALUE_SHARE * self.width()), 1)
        metrics = metrics_of(px, bold=True)
        fits = metrics.horizontalAdvance(self._value) <= most
        words = self._value if fits else self._short
        self.value.setFont(type_of(px, bold=True))
        self.value.setText(metrics.elidedText(words, Qt.TextElideMode.ElideRight, most))
        self.value.setToolTip("" if fits else self._value)
        return self.value.sizeHint().width() + self.look.px("margin") if self._value else 0

    def _look_changed(self) -> None:
        for word in self._words.values():
            word.setMinimumHeight(self.look.px("target"))
        self._row.setSpacing(self.look.px("gap"))
        self.setFixedHeight(round(_LINE_SHARE * self.look.px("title")))
        self._fit()
