"""What is written on a page and isn't kept when the window is to close: asked about, once.

Owns the question. What is kept without being asked, such as notes in their line, is kept first.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PyQt6.QtCore import QEvent

from capturestation.ui.asking import Choice
from capturestation.ui.place import Place
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.window import Window


class Unkept:
    """Asks before something that was written is lost.

    Args:
        window: Whose places.
    """

    def __init__(self, window: Window) -> None:
        self._window = window
        self._is_lost = False
        window.closing.stays.connect(self._ask_again)

    def stops(self, closing: QEvent) -> bool:
        """Whether something would be lost: then it doesn't close, and that is asked."""
        places = self._window.places.values()
        for place in places:
            place.keep_typed()
        unkept = next((place for place in places if place.unkept), None)
        if unkept is None or self._is_lost:
            return False
        closing.ignore()
        self._ask(unkept)
        return True

    def _ask(self, place: Place) -> None:
        window = self._window
        window.show_over(window.question)
        window.question.ask(
            say("shell.unkept.title"),
            say("shell.unkept.text", what=place.unkept),
            (
                Choice(words=say("shell.unkept.stay"), chosen=partial(window.go_to, place.key)),
                Choice(words=say("shell.unkept.lose"), chosen=self._lose),
            ),
        )

    def _lose(self) -> None:
        self._is_lost = True
        self._window.close()

    def _ask_again(self) -> None:
        self._is_lost = False
