"""Where a picture stands in its field on the screen, with zoom, turn and flip: pure geometry.

Owns the way from a place in the picture to a pixel of the screen and back. A picture's own
coordinates count from its upper left edge here, so the first pixel's middle is (0.5, 0.5).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from capturestation.drawing.placing import MOST_ENLARGED, Picture
from capturestation.drawing.rect import Rect
from capturestation.records import FloatArray, Point

MOST_ZOOM, LEAST_ZOOM = 12.0, 0.5
"""Twelve times shows a ball as large as a hand; half shows a turned picture whole."""
_MOST_OFF = 0.75
# How far the picture's middle may be moved from the field's: it can't get lost.

Matrix: TypeAlias = tuple[float, ...]
"""A plane map's nine numbers, row by row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Framing:
    """What of a picture is looked at.

    Args:
        zoom: How many times larger than it fits.
        x: Which place of the picture stands in the field's middle, share of its width.
        y: Likewise of its height.
        is_flipped: Whether left and right are changed.
        turn_deg: Turned clockwise.
    """

    zoom: float = 1.0
    x: float = 0.5
    y: float = 0.5
    is_flipped: bool = False
    turn_deg: float = 0.0

    def zoomed(self, times: float, about: Point) -> Framing:
        """So many times larger; what stands at `about` stays there."""
        zoom = min(max(self.zoom * times, LEAST_ZOOM), MOST_ZOOM)
        rest = self.zoom / zoom
        return self.at(
            about.x - (about.x - self.x) * rest, about.y - (about.y - self.y) * rest, zoom
        )

    def at(self, x: float, y: float, zoom: float | None = None) -> Framing:
        """Another place in the middle."""
        low, high = 0.5 - _MOST_OFF, 0.5 + _MOST_OFF
        return replace(
            self,
            x=min(max(x, low), high),
            y=min(max(y, low), high),
            zoom=self.zoom if zoom is None else zoom,
        )

    def turned(self, by_deg: float) -> Framing:
        """Turned further, kept within a full turn."""
        return replace(self, turn_deg=(self.turn_deg + by_deg + 180.0) % 360.0 - 180.0)

    @property
    def is_sideways(self) -> bool:
        """Whether the turned picture's width stands upright."""
        return round(self.turn_deg / 90.0) % 2 == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldPlace:
    """How a picture stands in a field.

    Args:
        rect: The field, in the pixels that are painted.
        width_px: The picture's nominal width: its copy may be smaller.
        height_px: Its height.
        fit: Pixels of the field for one of the picture while it isn't zoomed.
        framing: What of it is looked at.
    """

    rect: Rect
    width_px: int
    height_px: int
    fit: float
    framing: Framing = Framing()
    matrix: Matrix = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        framing, scale = self.framing, self.fit * self.framing.zoom
        turn = math.radians(framing.turn_deg)
        across = -scale if framing.is_flipped else scale
        a, b = across * math.cos(turn), -scale * math.sin(turn)
        c, d = across * math.sin(turn), scale * math.cos(turn)
        x, y = framing.x * self.width_px, framing.y * self.height_px
        left = self.rect.width / 2 - a * x - b * y
        top = self.rect.height / 2 - c * x - d * y
        object.__setattr__(self, "matrix", (a, b, left, c, d, top, 0.0, 0.0, 1.0))

    @property
    def array(self) -> FloatArray:
        """The picture's own coordinates to the field's, (3, 3)."""
        return np.array(self.matrix, np.float64).reshape(3, 3)

    def to_screen(self, point: Point) -> tuple[float, float]:
        """Where a place of the picture stands on what is painted, pixels."""
        a, b, left, c, d, top = self.matrix[:6]
        x, y = point.x * self.width_px, point.y * self.height_px
        return self.rect.left + a * x + b * y + left, self.rect.top + c * x + d * y + top

    def to_picture(self, x: float, y: float) -> Point:
        """Which place of the picture stands there; it may lie outside the picture."""
        a, b, left, c, d, top = self.matrix[:6]
        across, down = x - self.rect.left - left, y - self.rect.top - top
        whole = a * d - b * c
        return Point(
            x=(d * across - b * down) / whole / self.width_px,
            y=(a * down - c * across) / whole / self.height_px,
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether a pixel lies in the field."""
        rect = self.rect
        return rect.left <= x < rect.right and rect.top <= y < rect.bottom


def fit_of(picture: Picture, rect: Rect) -> float:
    """Pixels of a field for one of a picture: what has to be seen as large as fits."""
    box_width, box_height = picture.box_px
    whole = min(rect.width / picture.width_px, rect.height / picture.height_px)
    scale = min(rect.width / box_width, rect.height / box_height)
    return max(min(scale, max(MOST_ENLARGED, whole)), 1e-6)
