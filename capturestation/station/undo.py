"""What can be taken back, and done again.

Owns the order of steps. A step that fails leaves the list as it was, unless it never can succeed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from capturestation.errors import NotFoundError, RefusedError

MOST = 200
"""Steps that are remembered: more than anyone takes back, and each is small."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Something that was done and how it is taken back.

    Args:
        words: What it is, as it stands after "Undo: ".
        do: Does it; also does it again.
        undo: Takes it back.
        about: The swing that it changes, so that it can be seen there; empty where it is none.
    """

    words: str
    do: Callable[[], None]
    undo: Callable[[], None]
    about: str = ""


class UndoList:
    """Steps in the order in which they were done.

    Example:
        >>> said, steps = [], UndoList()
        >>> steps.run(Step(words="star", do=lambda: said.append("*"), undo=said.clear))
        >>> steps.undo_words, steps.redo_words
        ('star', '')
        >>> (steps.undo(), said)[1]
        []
        >>> (steps.redo(), said)[1]
        ['*']
    """

    def __init__(self) -> None:
        self._done: list[Step] = []
        self._undone: list[Step] = []

    @property
    def undo_words(self) -> str:
        """What would be taken back next; empty where nothing can be."""
        return self._done[-1].words if self._done else ""

    @property
    def redo_words(self) -> str:
        """What would be done again next."""
        return self._undone[-1].words if self._undone else ""

    def run(self, step: Step) -> None:
        """Do a step and remember it; what was taken back before can't be done again then."""
        step.do()
        self._done.append(step)
        del self._done[:-MOST]
        self._undone.clear()

    @property
    def undo_about(self) -> str:
        """The swing that would be changed by taking a step back; empty where it is none."""
        return self._done[-1].about if self._done else ""

    @property
    def redo_about(self) -> str:
        """The swing that would be changed by doing a step again."""
        return self._undone[-1].about if self._undone else ""

    def undo(self) -> None:
        """Take the last step back; nothing where there is none.

        Raises:
            StationError: If it can't be taken back now. One that never can be any more, since what
                it is about is gone or was changed again, is forgotten: the one before it can.
        """
        if self._done:
            _try(self._done, self._done[-1].undo)
            self._undone.append(self._done.pop())

    def redo(self) -> None:
        """Do again what was taken back last; nothing where there is none.

        Raises:
            StationError: As `undo`.
        """
        if self._undone:
            _try(self._undone, self._undone[-1].do)
            self._done.append(self._undone.pop())

    def drop(self, step: Step) -> None:
        """Forget one step: it could not be written after all."""
        for row in (self._done, self._undone):
            row[:] = [one for one in row if one is not step]

    def forget(self) -> None:
        """Forget all steps: what they are about is gone."""
        self._done.clear()
        self._undone.clear()


def _try(row: list[Step], run: Callable[[], None]) -> None:
    try:
        run()
    except (NotFoundError, RefusedError):
        row.pop()
        raise
