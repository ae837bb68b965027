"""Taking back and doing again, seen in the window.

Owns that nothing changes unseen: on the Bench the swing that was changed is shown. What only
writes is done beside the window, in its turn.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from capturestation.errors import NotFoundError, RefusedError, StationError
from capturestation.records import SwingId
from capturestation.ui.place import BENCH
from capturestation.ui.texts import say
from capturestation.ui.writing import Begin, Beside, Noted, Write

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
        self._in_turn(self._undo)

    def redo(self) -> None:
        """Do the last one again and say so."""
        self._in_turn(self._redo)

    def _in_turn(self, begin: Begin) -> None:
        self._window.workers.writer.add(begin)

    def _undo(self) -> Write | None:
        steps = self._window.steps
        step = steps.next_undo
        if step is None:
            self._window.caption.tell(say("shell.nothing_to_undo"))
            return None
        done = say("shell.undone", words=step.words)
        if isinstance(step, Beside):
            return self._write(step, step.undoing, self._took_back, done)
        self._step(steps.undo, done, step.about)
        return None

    def _redo(self) -> Write | None:
        steps = self._window.steps
        step = steps.next_redo
        if step is None:
            self._window.caption.tell(say("shell.nothing_to_redo"))
            return None
        done = say("shell.redone", words=step.words)
        if isinstance(step, Beside):
            return self._write(step, step.doing, self._did_again, done)
        self._step(steps.redo, done, step.about)
        return None

    def _write(
        self, step: Beside, noted: Noted, note: Callable[[Beside], None], said: str
    ) -> Write | None:
        window = self._window
        if any(place.holds_steps for place in window.places.values()):
            window.caption.tell(say("shell.steps_held"))
            return None

        def done() -> None:
            noted.take_note()
            self._step(lambda: note(step), said, step.about)

        def failed(error: StationError) -> None:
            if isinstance(error, (NotFoundError, RefusedError)):
                window.steps.drop(step)
            window.tell_trouble(error)
            self._refresh()

        return Write(op=noted.run, done=done, failed=failed)

    def _took_back(self, step: Beside) -> None:
        steps = self._window.steps
        if steps.next_undo is step:
            steps.undo()
        else:
            # Something was done at another place meanwhile.
            steps.drop(step)

    def _did_again(self, step: Beside) -> None:
        steps = self._window.steps
        if steps.next_redo is step:
            steps.redo()
        else:
            steps.run(step)

    def _step(self, run: Callable[[], None], done: str, about: str) -> None:
        try:
            run()
        except StationError as error:
            self._window.tell_trouble(error)
            return
        self._refresh()
        self._window.caption.tell(done)
        self._show(about)

    def _refresh(self) -> None:
        for place in self._window.places.values():
            try:
                place.refresh()
            except StationError as error:
                self._window.tell_trouble(error)

    def _show(self, about: str) -> None:
        place = self._window.place
        if place is None or place.key != BENCH or not about:
            return
        if place.swing not in (None, about):
            place.look_at(SwingId(about))
