"""What a coach draws on a picture and points out in it, in shares of the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from capturestation.records.times import MarkSource
from capturestation.records.views import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A place in an upright picture; may lie a little outside it.

    Args:
        x: Share of the width, 0 at the left edge.
        y: Share of the height, 0 at the top.
    """

    x: float
    y: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.x) and math.isfinite(self.y)):
            msg = f"a place needs two finite shares, got {self.x}, {self.y}"
            raise ValueError(msg)


class Shape(StrEnum):
    """What can be drawn, and by how many points it is kept."""

    LINE = "line"
    ANGLE = "angle"
    ELLIPSE = "ellipse"
    FREE = "free line"
    TEXT = "text"
    PLUMB = "plumb line"

    @property
    def points(self) -> int | None:
        """Points of a finished one; None for a free line, which has two or more."""
        return _POINTS[self]


_POINTS: dict[Shape, int | None] = {
    Shape.LINE: 2,
    Shape.ANGLE: 3,
    Shape.ELLIPSE: 2,
    Shape.FREE: None,
    Shape.TEXT: 1,
    Shape.PLUMB: 1,
}


class Pen(StrEnum):
    """The four pens by name; which colour each has is the painter's business."""

    FIRST = "first"
    SECOND = "second"
    THIRD = "third"
    FOURTH = "fourth"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One thing drawn on one view.

    Args:
        view: On whose pictures.
        shape: What it is.
        points: A line's two ends; an angle's end, corner, end; two opposite corners of the
            rectangle around an ellipse; the points of a free line; where a text begins; the one
            place that a plumb line goes through.
        pen: With which pen.
        words: The text; empty for other shapes.
    """

    view: View
    shape: Shape
    points: tuple[Point, ...]
    pen: Pen = Pen.FIRST
    words: str = ""

    def __post_init__(self) -> None:
        need = self.shape.points
        if (need is None and len(self.points) < 2) or need not in (None, len(self.points)):
            msg = f"a {self.shape} has {need or 'two or more'} points, got {len(self.points)}"
            raise ValueError(msg)
        if (self.shape is Shape.TEXT) != bool(self.words.strip()):
            msg = f"a text has words and nothing else has, got a {self.shape} with {self.words!r}"
            raise ValueError(msg)


class Spot(StrEnum):
    """What can be pointed out in a picture: places on the mat, and how the golfer stands."""

    BALL = "ball"
    MAT_CORNER = "mat corner"
    OTHER_CORNER = "other mat corner"
    LEAD_FOOT = "lead foot"
    TRAIL_FOOT = "trail foot"
    GRIP = "grip"
    GOLFER = "golfer's corner"
    GOLFER_ACROSS = "golfer's other corner"


PLACE_SPOTS = (Spot.BALL, Spot.MAT_CORNER, Spot.OTHER_CORNER)
"""What stands still from lesson to lesson. Laid by the feet, another stance could not be seen."""
STANCE_SPOTS = (Spot.LEAD_FOOT, Spot.TRAIL_FOOT, Spot.GRIP)
"""At set: tips of the shoes, and where the hands hold the club."""
GOLFER_SPOTS = (Spot.GOLFER, Spot.GOLFER_ACROSS)
"""Two corners of a box round the golfer, where others are about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotMark:
    """Where a spot is in the pictures of one view.

    Args:
        view: In whose pictures.
        spot: What.
        at: Where.
        source: Hand or found; a hand's always wins.
    """

    view: View
    spot: Spot
    at: Point
    source: MarkSource = MarkSource.HAND
