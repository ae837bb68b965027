"""The Bench with its tools: what the window takes in as one place."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path

from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QWidget

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell
from capturestation.library import Library
from capturestation.station.cache import Cache
from capturestation.station.undo import UndoList
from capturestation.ui.bench.commands import bench_commands
from capturestation.ui.bench.golfer import GolferTool
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.seeing import Seeing
from capturestation.ui.bench.tools import BenchTools
from capturestation.ui.look import Look
from capturestation.ui.steps import Steps
from capturestation.ui.work import Workers

_log = logging.getLogger(__name__)


class Bench(BenchPlace):
    """Looking, comparing, drawing and sending.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence that passes by itself.
        opens: Never sent: the Bench opens swings itself.
        pictured: What the second screen should show has changed.
    """

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
        *,
        cache: Cache | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent, cache=cache)
        self.tools = BenchTools(self)
        self.seeing = Seeing(self)
        self.golfer = GolferTool(self.tools, self.seeing)
        self.canvas.after_pictures = self._paint_over
        if isinstance(steps, Steps):
            steps.told.changed.connect(self.tools.sketch.show_steps)

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys."""
        others = {**bench_commands(self), **self.tools.commands(), **self.seeing.commands()}
        return self.golfer.commands(others)

    @property
    def is_writing(self) -> bool:
        """Whether something that was done, drawn or pointed out is not written yet."""
        return super().is_writing or self.tools.keeper.is_busy

    def _paint_over(self, painter: QPainter, cell: Cell, at: FieldPlace) -> None:
        """What is drawn over one picture: sticks below what a hand drew."""
        self.seeing.paint(painter, cell, at)
        self.tools.paint(painter, cell, at)
        self.golfer.paint(painter, cell, at)

    def leave(self) -> bool:
        """Give up what a tool began, then close what lies over the pictures."""
        return self.golfer.leave() or self.tools.leave() or super().leave()

    def kept(self) -> dict[str, str]:
        """What the Bench keeps, and the folder that clips go to."""
        folder = self.tools.sending.folder
        return super().kept() | ({} if folder is None else {"folder": str(folder)})

    def restore(self, kept: dict[str, str]) -> None:
        """Take up what `kept` gave."""
        super().restore(kept)
        if "folder" in kept:
            self.tools.sending.folder = Path(kept["folder"])

    def let_go(self) -> None:
        """Write what waits, end all threads, close all files."""
        self.seeing.close_seeing()
        for error in self.tools.close_tools():
            _log.warning("not written at the end: %s", type(error).__name__)
        super().let_go()
