"""Words on the page and words that are pressed, made the same way everywhere.

Owns how a label or a button of the window is begun: its text from the table, its kind for the
style sheet, its name for a screen reader.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QPushButton, QWidget

Role = Literal["", "word", "main", "quiet"]
LetterSize = Literal["", "note", "head", "title", "huge"]


def label(
    text: str = "", *, letters: LetterSize = "", soft: bool = False, wraps: bool = False
) -> QLabel:
    """Words on the page; plain text only, whatever a name or a file may hold."""
    made = QLabel(text)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setWordWrap(wraps)
    made.setProperty("letters", letters)
    made.setProperty("tone", "soft" if soft else "")
    return made


def button(
    text: str,
    pressed: Callable[[], None],
    *,
    role: Role = "",
    name: str = "",
    letters: LetterSize = "",
) -> QPushButton:
    """Words that are pressed, by finger, mouse or key.

    Args:
        text: What stands on it.
        pressed: What it does.
        role: Its kind for the style sheet.
        name: What a screen reader says, where the text alone doesn't tell.
        letters: Their size.
    """
    made = QPushButton(_plain(text))
    made.setProperty("role", role)
    made.setProperty("letters", letters)
    made.setAccessibleName(name or text)
    take_keys(made)
    made.clicked.connect(lambda: pressed())
    return made


def take_keys(pressed: QPushButton) -> None:
    """Let Enter press it like the space bar, and a mouse or finger leave the keyboard where it is.

    Else the space bar would press again what was pressed last, instead of what the place means.
    """
    pressed.setAutoDefault(True)
    pressed.setFocusPolicy(Qt.FocusPolicy.TabFocus)


def put_words(pressed: QPushButton, text: str, name: str = "") -> None:
    """Change what stands on a button."""
    pressed.setText(_plain(text))
    pressed.setAccessibleName(name or text)


def ground(widget: QWidget, name: str) -> None:
    """Let the style sheet paint the ground of a widget of our own.

    Args:
        widget: The widget.
        name: What the sheet knows it by: page, trouble, caption, header.
    """
    widget.setObjectName(name)
    widget.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)


def restyle(widget: QWidget) -> None:
    """Let the style sheet look again at what a widget says it is."""
    style = widget.style()
    if style is not None:
        style.unpolish(widget)
        style.polish(widget)


def _plain(text: str) -> str:
    # Qt would take an & for the mark of a letter that is pressed with Alt.
    return text.replace("&", "&&")
