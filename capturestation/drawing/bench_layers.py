"""Pictures laid into a field, one over the other, as pixels that are only copied to the screen.

Owns scaling, turning and mixing of pictures for the screen. Safe on any thread: it paints no text
and knows no widget.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from capturestation.drawing import theme
from capturestation.drawing.app import forget_cv2_qt
from capturestation.drawing.bench_place import Matrix
from capturestation.records import FloatArray, FrameArray

forget_cv2_qt()
HALVE_BELOW = 0.55
"""Below about half the size, four pixels are one: else every other one would be skipped."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """A picture and where it lies.

    Args:
        frame_rgb: (H, W, 3) RGB; may be smaller than its nominal size.
        size_px: Its nominal width and height.
        matrix: Its own coordinates, counted from the edge at nominal size, to the field's.
    """

    frame_rgb: FrameArray
    size_px: tuple[int, int]
    matrix: Matrix


def composed(
    size_px: tuple[int, int],
    base: Layer,
    over: Layer | None = None,
    *,
    opacity: float = 0.5,
    paper: theme.Colour = theme.PAPER,
) -> FrameArray:
    """A field's picture.

    Args:
        size_px: The field's width and height.
        base: What lies below.
        over: What lies over it.
        opacity: Of what lies over, 0..1.
        paper: What shows beside the pictures.

    Returns:
        (H, W, 4) uint8, blue, green, red and 255: what Qt calls RGB32. Contiguous.
    """
    width, height = size_px
    # Four channels throughout: for three, filling and turning take three times as long.
    field = np.empty((height, width, 4), np.uint8)
    field.view(np.uint32)[:] = np.array([*paper[::-1], 255], np.uint8).view(np.uint32)
    _lay(field, base)
    if over is None:
        return field
    above = field.copy()
    _lay(above, over)
    return np.asarray(cv2.addWeighted(above, opacity, field, 1.0 - opacity, 0.0), np.uint8)


def _lay(field: FrameArray, layer: Layer) -> None:
    frame = np.asarray(cv2.cvtColor(layer.frame_rgb, cv2.COLOR_RGB2BGRA), np.uint8)
    matrix = np.array(layer.matrix, np.float64).reshape(3, 3)
    shrinks = np.sqrt(abs(np.linalg.det(matrix[:2, :2]))) * layer.size_px[0] / frame.shape[1]
    if shrinks < HALVE_BELOW:
        frame = halved(frame)
    height, width = frame.shape[:2]
    nominal = np.diag([layer.size_px[0] / width, layer.size_px[1] / height, 1.0])
    counted = by_middles(matrix @ nominal)
    size = (field.shape[1], field.shape[0])
    how, edge = cv2.INTER_LINEAR, cv2.BORDER_TRANSPARENT
    if np.array_equal(counted[2], (0.0, 0.0, 1.0)):
        cv2.warpAffine(frame, counted[:2], size, dst=field, flags=how, borderMode=edge)
    else:
        cv2.warpPerspective(frame, counted, size, dst=field, flags=how, borderMode=edge)


def halved(frame: FrameArray) -> FrameArray:
    """A picture or plane at half its size, four pixels in one."""
    height, width = frame.shape[:2]
    small = cv2.resize(
        frame, (max(width // 2, 1), max(height // 2, 1)), interpolation=cv2.INTER_AREA
    )
    return np.asarray(small, np.uint8)


def by_middles(matrix: FloatArray) -> FloatArray:
    """The same map counted from the middle of the first pixel on both sides."""
    to_edge, from_edge = np.eye(3), np.eye(3)
    to_edge[:2, 2], from_edge[:2, 2] = 0.5, -0.5
    moved: FloatArray = from_edge @ matrix @ to_edge
    return moved
