"""Taking back and doing again, seen in the window.

Owns that nothing changes unseen: on the Bench the swing that was changed is shown.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from capturestation.errors import StationError
from capturestation.records import SwingId
from capturestation.ui.place import BENCH
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.window import Window


class Stepping:
    """What the window does with its list of steps.

    Args:
        window: Whose steps, places and sentences.
    """

    def __init__(self, window: Window) -> None:
        self._window = window

    def undo(self) -> None:
        """Take the last step back and say so."""
        steps = self._window.steps
        if steps.undo_words:
            done = say("shell.undone", words=steps.undo_words)
            self._step(steps.undo, done, steps.undo_about)
        else:
            self._window.caption.tell(say("shell.nothing_to_undo"))

    def redo(self) -> None:
        """Do the last one again and say so."""
        steps = self._window.steps
        if steps.redo_words:
            done = say("shell.redone", words=steps.redo_words)
            self._step(steps.redo, done, steps.redo_about)
        else:
            self._window.caption.tell(say("shell.nothing_to_redo"))

    def _step(self, run: Callable[[], None], done: str, about: str) -> None:
        window = self._window
        try:
            run()
        except StationError as error:
            window.tell_trouble(error)
            return
        for place in window.places.values():
            place.refresh()
        window.caption.tell(done)
        self._show(about)

    def _show(self, about: str) -> None:
        place = self._window.place
        if place is None or place.key != BENCH or not about:
            return
        if place.swing not in (None, about):
            place.look_at(SwingId(about))
