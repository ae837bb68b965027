"""Where the ends of sticks are in the live pictures, as a hand marks them.

Owns which end is next in each picture, and which one a press takes up again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum

import numpy as np

from capturestation.records import FloatArray, Point, View
from capturestation.station.bench.notice import Notice

PICK_SHARE = 0.02
"""Of a picture's width: so near to a mark, a press takes it up instead of setting the next."""
_USUAL_ASPECT = 16 / 9


class End(StrEnum):
    """An end of a stick, looking at the target."""

    REAR = "rear"
    FRONT = "front"
    LEFT = "left"
    RIGHT = "right"


CROSSED = (End.REAR, End.FRONT, End.LEFT, End.RIGHT)
"""Of the stick on the line, then of the one across."""
ALONG = (End.REAR, End.FRONT)
"""Of one stick along the line."""


class Marks:
    """Ends that are marked.

    Args:
        ends: Which are asked for in each picture, in their order.

    Attributes:
        changed: A mark was set, moved or taken away.
        held: The mark that was touched last: it can be moved.
    """

    def __init__(self, ends: tuple[End, ...]) -> None:
        self.changed = Notice()
        self.ends = ends
        self.held: tuple[View, End] | None = None
        self._at: dict[tuple[View, End], Point] = {}

    @property
    def count(self) -> int:
        """How many are marked."""
        return len(self._at)

    def of(self, view: View) -> dict[End, Point]:
        """Those of one picture, shares of it as shown."""
        return {end: self._at[view, end] for end in self.ends if (view, end) in self._at}

    def next_end(self, view: View) -> End | None:
        """The end that a press in this picture marks; None when all are."""
        return next((end for end in self.ends if (view, end) not in self._at), None)

    def first_lacking(self, views: Iterable[View]) -> tuple[View, End] | None:
        """What is still to be marked first."""
        lacking = ((view, self.next_end(view)) for view in views)
        return next(((view, end) for view, end in lacking if end is not None), None)

    def whole(self, views: Iterable[View]) -> tuple[View, ...]:
        """The pictures in which all ends are marked."""
        return tuple(view for view in views if self.next_end(view) is None)

    def begun(self, views: Iterable[View]) -> tuple[View, ...]:
        """The pictures in which some are marked and others aren't."""
        return tuple(v for v in views if self.of(v) and self.next_end(v) is not None)

    def press(self, view: View, at: Point) -> bool:
        """Take up the mark that is there, or set the next one.

        Returns:
            Whether there was one to take up or to set.
        """
        near = min(self.of(view).items(), key=lambda one: _apart(one[1], at), default=None)
        if near is not None and _apart(near[1], at) < PICK_SHARE:
            self.held = (view, near[0])
        else:
            end = self.next_end(view)
            if end is None:
                return False
            self.held = (view, end)
            self._at[self.held] = _inside(at)
        self.changed()
        return True

    def move(self, at: Point) -> None:
        """Move the mark that is held there."""
        if self.held is not None:
            self._at[self.held] = _inside(at)
            self.changed()

    def nudge(self, across: float, down: float) -> None:
        """Move the mark that is held by shares of the picture."""
        if self.held is not None:
            now = self._at[self.held]
            self.move(Point(x=now.x + across, y=now.y + down))

    def take_back(self) -> bool:
        """Take away the mark that was set last.

        Returns:
            Whether there was one.
        """
        if not self._at:
            return False
        self._at.popitem()
        self.held = next(reversed(self._at), None)
        self.changed()
        return True

    def clear(self) -> None:
        """Take away all."""
        self._at.clear()
        self.held = None
        self.changed()

    def pixels(self, view: View, size_px: tuple[int, int]) -> FloatArray:
        """A picture's marks in pixels of its recordings, (ends, 2); missing ones are NaN."""
        nowhere = (math.nan, math.nan)
        at = self.of(view)
        shares = [(at[end].x, at[end].y) if end in at else nowhere for end in self.ends]
        found: FloatArray = np.array(shares) * np.array(size_px) - 0.5
        return found


def _apart(one: Point, other: Point) -> float:
    return math.hypot(one.x - other.x, (one.y - other.y) / _USUAL_ASPECT)


def _inside(at: Point) -> Point:
    return Point(x=min(max(at.x, 0.0), 1.0), y=min(max(at.y, 0.0), 1.0))
