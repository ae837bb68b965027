"""Rows of large words in a panel: each is pressed, and of some rows one is chosen.

Owns how such a row wraps in a narrow panel and tells which word is chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

from PyQt6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from capturestation.ui.keys import key_table
from capturestation.ui.words import button

Choice = TypeVar("Choice")


class Words(QWidget, Generic[Choice]):
    """Words of which one is chosen.

    Args:
        choices: What can be chosen, in order, and its words.
        chosen: What a press does.
        name: What the row is, for a screen reader.
        columns: How many stand beside each other.
    """

    def __init__(
        self,
        choices: Iterable[tuple[Choice, str]],
        chosen: Callable[[Choice], None],
        *,
        name: str,
        columns: int = 2,
    ) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._buttons: list[tuple[Choice, QPushButton]] = []
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        offered = list(choices)
        for place, (choice, text) in enumerate(offered):
            pressed = button(text, self._pressed(choice, chosen), name=f"{name}: {text}")
            pressed.setCheckable(True)
            stretch(pressed)
            grid.setColumnStretch(place % columns, 1)
            # A last word that would stand alone fills its row.
            is_alone = place == len(offered) - 1 and place % columns == 0
            span = columns if is_alone else 1
            grid.addWidget(pressed, place // columns, place % columns, 1, span)
            self._buttons.append((choice, pressed))

    def show_chosen(self, choice: object) -> None:
        """Show which one is chosen; one that isn't here shows none."""
        for own, pressed in self._buttons:
            pressed.setChecked(own == choice)

    def button_of(self, choice: Choice) -> QPushButton:
        """The words of one choice.

        Raises:
            KeyError: If it isn't here.
        """
        for own, pressed in self._buttons:
            if own == choice:
                return pressed
        raise KeyError(choice)

    def _pressed(self, choice: Choice, chosen: Callable[[Choice], None]) -> Callable[[], None]:
        return lambda: chosen(choice)


def stretch(pressed: QPushButton) -> QPushButton:
    """Let a button fill its column."""
    pressed.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    return pressed


def with_key(text: str, action: str) -> str:
    """Words with the key that does the same, as the table of keys has it."""
    keys = next((line.keys for line in key_table() if line.action == action), ())
    return f"{text}  {keys[0]}" if keys else text


def column_of(panel: QWidget) -> QVBoxLayout:
    """A panel's one column, as wide as the drawer that it stands in."""
    column = QVBoxLayout(panel)
    column.setContentsMargins(0, 0, 0, 0)
    return column
