"""How the window looks: paper by day, warm paper by lamp light, letters as large as wanted.

Owns every size and colour that a widget uses, by name; widgets ask for them again when `changed`
says so. Refuses to know any widget. The words on a clip have their own sizes in `drawing.theme`.

    names of sizes     note body head title huge   letters, growing with the scale
                       target                      the least height of what is pressed, growing too
                       gap margin line focus       distances and strokes, which stay
    names of colours   paper shade field           what is written on: page, quiet band, entry
                       ink soft edge               letters, quiet letters, rules between things
                       chosen chosen_ink           what is picked, and letters on it
                       now then                    today's swing and the earlier one, everywhere
                       calm trouble                bands of a calm sentence and of a trouble
                       focus                       the stroke round what has the keyboard
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal, TypeAlias

from PyQt6.QtCore import QObject, pyqtSignal
from PyQt6.QtGui import QColor, QFont, QPalette

from capturestation.drawing.theme import (
    BLUE,
    INK,
    PAPER,
    PAPER_SHADE,
    VERMILLION,
    Colour,
    font,
)

SizeName: TypeAlias = Literal[
    "note", "body", "head", "title", "huge", "target", "gap", "margin", "line", "focus"
]
ColourName: TypeAlias = Literal[
    "paper",
    "shade",
    "field",
    "ink",
    "soft",
    "edge",
    "chosen",
    "chosen_ink",
    "now",
    "then",
    "calm",
    "trouble",
    "focus",
]

SCALES = (1.0, 1.15, 1.3, 1.5, 1.75, 2.0)
"""Steps of the letters' size; 1 to 2, each a step that is seen."""

_GROWING: dict[SizeName, int] = {
    "note": 16,
    "body": 19,
    "head": 25,
    "title": 30,
    "huge": 52,
    "target": 46,
}
# Pixels at scale 1. A capital of 19 px stands 4 mm high on a 27 inch screen, about what a reader
# with full sight makes out from three metres; notes are read from the chair.
_FIXED: dict[SizeName, int] = {"gap": 8, "margin": 20, "line": 1, "focus": 3}
# Distances don't grow: at scale 2 the room is needed for the letters.


class Theme(StrEnum):
    """By day and by lamp light."""

    LIGHT = "light"
    DARK = "dark"


_LIGHT: dict[ColourName, Colour] = {
    "paper": PAPER,
    "shade": PAPER_SHADE,
    "field": (0xFE, 0xFC, 0xF8),
    "ink": INK,
    "soft": (0x53, 0x5D, 0x63),
    "edge": (0xC9, 0xC1, 0xB2),
    "chosen": (0xCF, 0xDE, 0xE6),
    "chosen_ink": INK,
    "now": BLUE,
    "then": VERMILLION,
    "calm": PAPER_SHADE,
    "trouble": (0xF6, 0xE3, 0xB8),
    "focus": INK,
}
_DARK: dict[ColourName, Colour] = {
    "paper": (0x27, 0x22, 0x1D),
    "shade": (0x35, 0x2F, 0x28),
    "field": (0x1F, 0x1B, 0x17),
    "ink": (0xF0, 0xE9, 0xDC),
    "soft": (0xBF, 0xB5, 0xA5),
    "edge": (0x5A, 0x51, 0x46),
    "chosen": (0x2F, 0x48, 0x56),
    "chosen_ink": (0xF6, 0xF0, 0xE4),
    "now": (0x56, 0xB4, 0xE9),
    "then": (0xE6, 0x9F, 0x00),
    "calm": (0x35, 0x2F, 0x28),
    "trouble": (0x54, 0x40, 0x14),
    "focus": (0xF0, 0xE9, 0xDC),
}
# On dark paper blue and vermillion would sink; sky blue and orange are of the same set.
_COLOURS = {Theme.LIGHT: _LIGHT, Theme.DARK: _DARK}


class Look(QObject):
    """The look of the whole window, one object for all widgets.

    Signals:
        changed: Theme or scale are others now; sizes and colours have to be asked for again.
    """

    changed = pyqtSignal()

    def __init__(
        self, theme: Theme = Theme.LIGHT, scale: float = 1.0, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self._scale = _within(scale)

    @property
    def theme(self) -> Theme:
        """Light or dark."""
        return self._theme

    @property
    def scale(self) -> float:
        """How large letters are, 1 to 2."""
        return self._scale

    def px(self, name: SizeName) -> int:
        """A size in pixels of the widget."""
        fixed = _FIXED.get(name)
        return round(_GROWING[name] * self._scale) if fixed is None else fixed

    def colour(self, name: ColourName) -> QColor:
        """A colour of the theme."""
        return QColor(*_COLOURS[self._theme][name])

    def font(self, name: SizeName = "body", *, bold: bool = False) -> QFont:
        """The station's type in one of the growing sizes."""
        return font(self.px(name), bold=bold)

    def palette(self) -> QPalette:
        """The colours for what no style sheet reaches."""
        made = QPalette()
        roles: tuple[tuple[QPalette.ColorRole, ColourName], ...] = (
            (QPalette.ColorRole.Window, "paper"),
            (QPalette.ColorRole.WindowText, "ink"),
            (QPalette.ColorRole.Base, "field"),
            (QPalette.ColorRole.AlternateBase, "shade"),
            (QPalette.ColorRole.Text, "ink"),
            (QPalette.ColorRole.PlaceholderText, "soft"),
            (QPalette.ColorRole.Button, "paper"),
            (QPalette.ColorRole.ButtonText, "ink"),
            (QPalette.ColorRole.Highlight, "chosen"),
            (QPalette.ColorRole.HighlightedText, "chosen_ink"),
            (QPalette.ColorRole.ToolTipBase, "shade"),
            (QPalette.ColorRole.ToolTipText, "ink"),
            (QPalette.ColorRole.Link, "now"),
        )
        for role, name in roles:
            made.setColor(role, self.colour(name))
        made.setColor(
            QPalette.ColorGroup.Disabled, QPalette.ColorRole.ButtonText, self.colour("soft")
        )
        return made

    def choose(self, theme: Theme) -> None:
        """Take another theme."""
        if theme is not self._theme:
            self._theme = theme
            self.changed.emit()

    def enlarge(self, scale: float) -> None:
        """Take another size of letters; beyond 1 to 2 the nearer end."""
        wanted = _within(scale)
        if wanted != self._scale:
            self._scale = wanted
            self.changed.emit()

    def larger(self) -> None:
        """One step up; nothing at the largest."""
        self.enlarge(next((step for step in SCALES if step > self._scale), SCALES[-1]))

    def smaller(self) -> None:
        """One step down; nothing at the smallest."""
        self.enlarge(next((step for step in SCALES[::-1] if step < self._scale), SCALES[0]))


def _within(scale: float) -> float:
    return min(max(scale, SCALES[0]), SCALES[-1])
