"""Words on the page and words that are pressed, made the same way everywhere.

Owns how a label or a button of the window is begun: its text from the table, its kind for the
style sheet, its name for a screen reader.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from itertools import pairwise
from typing import Literal

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QPushButton, QWidget

Role = Literal["", "word", "main", "quiet"]
LetterSize = Literal["", "note", "head", "title", "huge"]


_SPACES = re.compile("([ \N{NO-BREAK SPACE}])")
MOST_PRESSED = 60
"""Signs on what is pressed: longer words are cut, and whole where they are pointed at or heard."""
_LONG_WORD, _PIECE = 20, 10
# Signs of a word that may be broken anywhere, and of its pieces.
_BREAK = "\N{ZERO WIDTH SPACE}"
_JOINER = "\N{ZERO WIDTH JOINER}"


class Label(QLabel):
    """Words that never ask for more room than a line has, whatever was typed.

    A long name without a space is broken where the line ends.
    """

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self._whole = ""
        self.setText(text)

    def setText(self, text: str | None) -> None:
        """Show this text."""
        self._whole = text or ""
        super().setText("".join(map(_broken, _SPACES.split(self._whole))))

    def text(self) -> str:
        """The text as it was given."""
        return self._whole


def cut(text: str, most: int) -> str:
    """At most so many signs of a text, with an ellipsis where some are left out.

    Example:
        >>> cut("Maximilian-Alexander", 10), cut("Zoë", 10)
        ('Maximilia…', 'Zoë')
    """
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def _broken(word: str) -> str:
    if len(word) <= _LONG_WORD:
        return word
    pieces, size = [word[0]], 1
    for before, sign in pairwise(word):
        is_part = unicodedata.category(sign)[0] in "MC" or sign in _TONES or before == _JOINER
        if size >= _PIECE and not is_part:
            pieces.append(_BREAK)
            size = 0
        pieces.append(sign)
        size += 1
    return "".join(pieces)


_TONES = {chr(code) for code in range(0x1F3FB, 0x1F400)}
# Of skin; they belong to the sign before them.


def label(
    text: str = "", *, letters: LetterSize = "", soft: bool = False, wraps: bool = False
) -> QLabel:
    """Words on the page; plain text only, whatever a name or a file may hold."""
    made = Label(text)
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
    made = QPushButton()
    made.setProperty("role", role)
    made.setProperty("letters", letters)
    put_words(made, text, name)
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
    short = cut(text, MOST_PRESSED)
    pressed.setText(_plain(short))
    pressed.setToolTip("" if short == text else text)
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
