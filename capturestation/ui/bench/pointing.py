"""A tool that may take the pointer over the pictures before they are moved or zoomed."""

from __future__ import annotations

from typing import Protocol

from capturestation.drawing.grid import Cell
from capturestation.records import Point


class PointerTool(Protocol):
    """What mouse, finger or pen does in a picture; each answer is whether it was taken."""

    def press(self, cell: Cell, at: Point) -> bool:
        """The pointer goes down in a field."""

    def move(self, cell: Cell, at: Point) -> bool:
        """It moves while it is down; `at` may lie outside the picture."""

    def release(self, cell: Cell, at: Point) -> bool:
        """It goes up."""
