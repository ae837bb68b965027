"""Where a coach's drawing lies on what is painted: pure geometry in canvas pixels.

Owns the way from points of a picture to lines on a canvas, the degrees of an angle, how far a
place is from a line, and how a free line is thinned out. The painter and the hand that draws both
ask here, so what is grabbed is what is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np

from capturestation.drawing.rect import Rect
from capturestation.records import Drawing, FloatArray, Point, Shape

ToCanvas: TypeAlias = Callable[[Point], tuple[float, float]]
"""From a place in a picture, in shares of it, to canvas pixels; keeps angles, may mirror."""

_ROUND = 72
# Sides of a painted ellipse: at a radius of 500 px it is half a pixel off at most.


@dataclass(frozen=True, slots=True, kw_only=True)
class SketchField:
    """Where a picture stands on a canvas.

    Args:
        to_canvas: From its shares to canvas pixels, with zoom, turn and flip.
        bounds: What of the canvas shows it; nothing is painted outside.
        scale: How large strokes and letters are; 1 suits a canvas 720 pixels high.
    """

    to_canvas: ToCanvas
    bounds: Rect
    scale: float = 1.0


def on_canvas(points: Sequence[Point], field: SketchField) -> FloatArray:
    """Points on the canvas, (n, 2), pixels."""
    return np.array([field.to_canvas(point) for point in points], dtype=np.float64)


def stroke(drawing: Drawing, field: SketchField) -> FloatArray:
    """The line that a drawing is painted as, corner by corner.

    A plumb line is upright on the canvas, however the picture is turned.

    Returns:
        (n, 2), canvas pixels; a text has its one place.
    """
    if drawing.shape is Shape.ELLIPSE:
        return on_canvas(_around(*drawing.points), field)
    points = on_canvas(drawing.points, field)
    if drawing.shape is Shape.PLUMB:
        x = points[0, 0]
        return np.array([[x, field.bounds.top], [x, field.bounds.bottom]], dtype=np.float64)
    return points


def _around(first: Point, opposite: Point) -> list[Point]:
    """The ellipse that fills a rectangle, from its rightmost place once round."""
    x, y = (first.x + opposite.x) / 2, (first.y + opposite.y) / 2
    half_x, half_y = (opposite.x - first.x) / 2, (opposite.y - first.y) / 2
    turns = np.linspace(0.0, 2 * np.pi, _ROUND + 1)
    return [
        Point(x=x + half_x * float(np.cos(turn)), y=y + half_y * float(np.sin(turn)))
        for turn in turns
    ]


def angle_deg(three: FloatArray) -> float:
    """The angle in the corner of end, corner, end.

    It is an angle in the picture: what the camera sees of the one in the bay.

    Args:
        three: Shape (3, 2), pixels of one size across and down.

    Returns:
        0..180; 0 where an end lies in the corner.

    Example:
        >>> angle_deg(np.array([[0.0, 10.0], [0.0, 0.0], [10.0, 0.0]]))
        90.0
    """
    one, other = (complex(*(end - three[1])) for end in (three[0], three[2]))
    if not one or not other:
        return 0.0
    return float(abs(np.degrees(np.angle(other / one))))


def away_px(line: FloatArray, at_px: tuple[float, float]) -> float:
    """How far a place is from a line of straight pieces.

    Args:
        line: Shape (n, 2), one point or more.
        at_px: The place.
    """
    place = np.array(at_px)
    starts = line[:-1] if len(line) > 1 else line
    along = np.diff(line, axis=0) if len(line) > 1 else np.zeros_like(line)
    length_2 = (along**2).sum(axis=1)
    share = ((place - starts) * along).sum(axis=1) / np.where(length_2 > 0, length_2, 1.0)
    nearest = starts + np.clip(share, 0.0, 1.0)[:, np.newaxis] * along
    return float(np.linalg.norm(nearest - place, axis=1).min())


def thinned(points: Sequence[Point], field: SketchField, off_px: float) -> tuple[Point, ...]:
    """A free line with as few points as keep it within `off_px` of how it was drawn.

    Source: Ramer 1972, Douglas & Peucker 1973, as OpenCV has it.
    """
    line = on_canvas(points, field).astype(np.float32)
    kept = cv2.approxPolyDP(line[:, np.newaxis], off_px, closed=False)[:, 0]
    found: list[Point] = []
    place = 0
    for corner in kept:
        while not np.array_equal(line[place], corner):
            place += 1
        found.append(points[place])
    # Two places that are one to half precision can't be told apart above: the ends are known.
    return (points[0], *found[1:-1], points[-1])


def moved(drawing: Drawing, by: tuple[float, float]) -> tuple[Point, ...]:
    """Its points, shifted by shares of the picture."""
    return tuple(Point(x=point.x + by[0], y=point.y + by[1]) for point in drawing.points)


def handles(drawing: Drawing, field: SketchField) -> FloatArray:
    """The places by which a drawing is altered, (n, 2), canvas pixels; a free line has none."""
    if drawing.shape is Shape.FREE:
        return np.empty((0, 2))
    return on_canvas(drawing.points, field)
