"""Letters, paper and the second screen, chosen by words."""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QLayout, QWidget

from capturestation.ui.look import SCALES, Look, Theme
from capturestation.ui.texts import say
from capturestation.ui.tv import Tv
from capturestation.ui.words import button, label, put_words


class LookPanel(QWidget):
    """Shows how the window looks and changes it at once."""

    def __init__(self, look: Look, tv: Tv, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._tv = tv
        self._percent = label()
        self._percent.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.smaller = button(say("shell.sheet.smaller"), look.smaller)
        self.larger = button(say("shell.sheet.larger"), look.larger)
        self.themes = {
            theme: button(say(f"shell.sheet.{theme}"), partial(self._choose, theme))
            for theme in Theme
        }
        for choice in self.themes.values():
            choice.setCheckable(True)
        self.tv_button = button("", tv.toggle)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        rows: tuple[tuple[str, tuple[QWidget, ...]], ...] = (
            ("shell.sheet.letters", (self.smaller, self._percent, self.larger)),
            ("shell.sheet.paper", tuple(self.themes.values())),
            ("shell.sheet.tv", (self.tv_button,)),
        )
        for number, (key, widgets) in enumerate(rows):
            grid.addWidget(label(say(key)), number, 0)
            grid.addLayout(_in_a_row(widgets), number, 1)
        look.changed.connect(self._show)
        tv.changed.connect(self._show)
        self._show()

    def _choose(self, theme: Theme) -> None:
        self._look.choose(theme)
        self._show()

    def _show(self) -> None:
        scale = self._look.scale
        self._percent.setText(say("shell.percent", percent=round(100 * scale)))
        self.smaller.setEnabled(scale > SCALES[0])
        self.larger.setEnabled(scale < SCALES[-1])
        for theme, choice in self.themes.items():
            choice.setChecked(theme is self._look.theme)
        put_words(
            self.tv_button,
            say("shell.sheet.tv_hide" if self._tv.is_on else "shell.sheet.tv_show"),
        )


def _in_a_row(widgets: tuple[QWidget, ...]) -> QLayout:
    row = QHBoxLayout()
    for widget in widgets:
        row.addWidget(widget)
    row.addStretch(1)
    return row
