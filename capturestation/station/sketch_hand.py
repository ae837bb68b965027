"""A hand that draws: presses, moves and releases become one finished drawing.

Owns how each shape is drawn, by dragging or by clicks, by mouse, finger or pen alike. Refuses to
keep anything: what is finished is handed back.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import dist

from capturestation.drawing.sketch_lines import SketchField, handles, moved, thinned
from capturestation.records import Drawing, Pen, Point, Shape, View

CLICK_PX = 6.0
"""A hand that moves less than this between press and release has clicked; at a scale of 1."""
_STEP_PX, _OFF_PX = 2.0, 1.2
# A free line is taken down every so many pixels, and kept within so many of what was drawn.
_PREVIEW_WORDS = "…"


@dataclass(slots=True, kw_only=True)
class Draft:
    """A drawing under way.

    Args:
        view: On whose pictures.
        shape: What it becomes.
        pen: With which pen.
        points: What is fixed of it.
        tip: Where the hand is.
    """

    view: View
    shape: Shape
    pen: Pen
    points: list[Point] = field(default_factory=list)
    tip: Point

    def press(self, at: Point) -> None:
        """The hand comes down."""
        self.tip = at
        if not self.points and self.shape not in (Shape.PLUMB, Shape.TEXT):
            self.points.append(at)

    def move(self, at: Point, where: SketchField) -> None:
        """The hand moves, down or not."""
        self.tip = at
        if self.shape is Shape.FREE and _apart(self.points[-1], at, where) >= _STEP_PX:
            self.points.append(at)

    def release(self, at: Point, where: SketchField) -> tuple[Point, ...] | None:
        """The hand goes up.

        Returns:
            The points of the finished drawing; None while it needs more.
        """
        self.tip = at
        if self.shape in (Shape.PLUMB, Shape.TEXT):
            return (at,)
        if self.shape is Shape.FREE:
            line = (*self.points, at) if at != self.points[-1] else tuple(self.points)
            long_enough = len(line) > 1 and _apart(line[0], line[-1], where) + len(line) > CLICK_PX
            return thinned(line, where, _OFF_PX * where.scale) if long_enough else ()
        if _apart(self.points[-1], at, where) < CLICK_PX * where.scale:
            return None
        self.points.append(at)
        return tuple(self.points) if len(self.points) == self.shape.points else None

    @property
    def preview(self) -> Drawing | None:
        """How it looks by now."""
        points = tuple(self.points)
        if not points or self.tip != points[-1]:
            points = (*points, self.tip)
        shape, words = self.shape, ""
        if shape is Shape.TEXT:
            words = _PREVIEW_WORDS
        elif shape is Shape.ANGLE and len(points) == 2:
            shape = Shape.LINE
        if shape.points not in (None, len(points)) or (shape is Shape.FREE and len(points) < 2):
            return None
        return Drawing(view=self.view, shape=shape, points=points, pen=self.pen, words=words)


@dataclass(slots=True, kw_only=True)
class Grip:
    """A finished drawing in the hand.

    Args:
        drawing: As it was.
        handle: Which of its points is held; None holds all of it.
        start: Where it was taken.
        now: As it is by now.
    """

    drawing: Drawing
    handle: int | None
    start: Point
    now: Drawing

    def move(self, at: Point) -> None:
        """The hand moves."""
        by = (at.x - self.start.x, at.y - self.start.y)
        points = list(moved(self.drawing, by))
        if self.handle is not None:
            points = list(self.drawing.points)
            held = points[self.handle]
            points[self.handle] = Point(x=held.x + by[0], y=held.y + by[1])
        self.now = replace(self.drawing, points=tuple(points))


def is_click(grip: Grip, at: Point, where: SketchField | None) -> bool:
    """Whether a hand let go where it took hold."""
    return where is not None and _apart(grip.start, at, where) < CLICK_PX * where.scale


def handle_at(drawing: Drawing, where: SketchField, at: Point, reach_px: float) -> int | None:
    """Which of a drawing's handles is meant by a place; None where none is."""
    here = where.to_canvas(at)
    off = [(dist(here, place), index) for index, place in enumerate(handles(drawing, where))]
    near = [pair for pair in off if pair[0] <= reach_px]
    return min(near)[1] if near else None


def _apart(one: Point, other: Point, where: SketchField) -> float:
    return dist(where.to_canvas(one), where.to_canvas(other))
