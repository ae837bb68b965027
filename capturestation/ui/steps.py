"""The list of steps, told to the window whenever it changes."""

from __future__ import annotations

from PyQt6.QtCore import QObject, pyqtSignal

from capturestation.station.undo import Step, UndoList


class StepsTold(QObject):
    """Tells that there is something else to take back or to do again.

    Signals:
        changed: The list of steps is another now.
    """

    changed = pyqtSignal()


class Steps(UndoList):
    """An `UndoList` that the window can follow."""

    def __init__(self) -> None:
        super().__init__()
        self.told = StepsTold()

    @property
    def next_undo(self) -> Step | None:
        """The step that would be taken back."""
        return self._done[-1] if self._done else None

    @property
    def next_redo(self) -> Step | None:
        """The step that would be done again."""
        return self._undone[-1] if self._undone else None

    def run(self, step: Step) -> None:
        """Do a step and remember it."""
        super().run(step)
        self.told.changed.emit()

    def undo(self) -> None:
        """Take the last step back."""
        try:
            super().undo()
        finally:
            self.told.changed.emit()

    def redo(self) -> None:
        """Do the last one again."""
        try:
            super().redo()
        finally:
            self.told.changed.emit()

    def drop(self, step: Step) -> None:
        """Forget one step."""
        super().drop(step)
        self.told.changed.emit()

    def forget(self) -> None:
        """Forget all steps."""
        super().forget()
        self.told.changed.emit()
