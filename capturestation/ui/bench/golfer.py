"""The coach says who the golfer is: a box drawn over today's pictures, by pointer or by keys.

Owns when the pointer draws it and what keys move it meanwhile. Everything else goes to the tools as
before.
"""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QObject
from PyQt6.QtGui import QPainter

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.spot_marks import paint_box
from capturestation.records import Point, View
from capturestation.station.golfer_box import GolferBoxes
from capturestation.ui.bench.seeing import MEASURES, Seeing
from capturestation.ui.bench.tools import BenchTools
from capturestation.ui.texts import say

_NUDGES = {
    "sketch.nudge_left": (-1, 0, 0), "sketch.nudge_right": (1, 0, 0),
    "sketch.nudge_up": (0, -1, 0), "sketch.nudge_down": (0, 1, 0),
    "bench.zoom_in": (0, 0, 1), "bench.zoom_out": (0, 0, -1),
}  # fmt: skip
# What these keys do while a box is drawn: across, down, larger.


class GolferTool(QObject):
    """Draws the box round the golfer.

    Args:
        tools: Get what this doesn't take; they keep the box.
        seeing: Its panel has the words for it.
    """

    def __init__(self, tools: BenchTools, seeing: Seeing) -> None:
        super().__init__(tools.place)
        self.place, self.tools, self.panel = tools.place, tools, seeing.panel
        self.boxes = GolferBoxes(tools.spots)
        self._kept: tuple[View, ...] = ()
        self.place.canvas.tool = self
        self.panel.wants_golfer.connect(self.toggle)
        self.panel.wants_nobody.connect(self.boxes.forget)
        self.boxes.changed.tell(self._changed)
        tools.spots.changed.tell(self._changed)
        self.place.head.panel_changed.connect(self._panel_changed)
        self.place.state.opened.tell(self._opened)

    def commands(self, others: dict[str, Callable[[], None]]) -> dict[str, Callable[[], None]]:
        """What it does for the table of keys; keys of `others` move the box while it is drawn."""
        borrowed = {
            action: lambda way=way, other=others[action]: self._nudge_or(way, other)
            for action, way in _NUDGES.items()
            if action in others
        }
        return {**others, **borrowed, "measures.golfer": self.toggle}

    def toggle(self) -> None:
        """Begin to draw the box, or end it; the panel that says so opens."""
        if self.place.head.shown_panel != MEASURES:
            self.place.show_panel(MEASURES)
        self.boxes.draw(is_on=not self.boxes.is_on)
        if self.boxes.is_on:
            self.place.says.emit(say("measures.golfer.how"))

    def leave(self) -> bool:
        """Give up drawing; whether anything was under way."""
        return self.boxes.leave()

    def press(self, cell: Cell, at: Point) -> bool:
        """The pointer goes down in a field."""
        return self.boxes.press(cell, at) or self.tools.press(cell, at)

    def move(self, cell: Cell, at: Point) -> bool:
        """It moves."""
        return self.boxes.move(cell, at) or self.tools.move(cell, at)

    def release(self, cell: Cell, at: Point) -> bool:
        """It goes up."""
        return self.boxes.release(cell, at) or self.tools.release(cell, at)

    def paint(self, painter: QPainter, cell: Cell, at: FieldPlace) -> None:
        """Paint the box over one of today's pictures, while it is drawn."""
        box = self.boxes.of(cell[1]) if cell[0] is Side.NOW and self.boxes.is_on else None
        if box is not None:
            paint_box(painter, box, say("measures.golfer.word"), self.tools.field_of(at))

    def _nudge_or(self, way: tuple[int, int, int], other: Callable[[], None]) -> None:
        shown = [field.cell[1] for field in self.place.canvas.fields if field.cell[0] is Side.NOW]
        if self.boxes.is_on and shown:
            # The first picture in sight: with one angle alone, that one.
            self.boxes.nudge(shown[0], *way)
        else:
            other()

    def _changed(self) -> None:
        views, was = self.boxes.views, self._kept
        self._kept = views
        self.panel.show_golfer(is_drawn=self.boxes.is_on, is_said=bool(views))
        if self.boxes.is_on and set(views) - set(was):
            self.place.says.emit(say("measures.golfer.kept"))
        self.place.canvas.update()

    def _opened(self) -> None:
        """Another swing lies there: what was begun on the last one is given up."""
        self.boxes.leave()

    def _panel_changed(self, name: str) -> None:
        if name != MEASURES:
            self.boxes.leave()
