"""Pictures laid into a field and mixed as they are coded: the quick way to what a field shows.

Owns scaling, turning and mixing of planes. Where nothing is turned, a picture is only scaled: that
takes a third of the time, and it stands within a third of a pixel of its place. Refuses what would
leave paper in the field, and pictures that are coded differently: `bench_layers` shows those. Safe
on any thread.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from capturestation.drawing.app import forget_cv2_qt
from capturestation.drawing.bench_layers import HALVE_BELOW, by_middles, halved
from capturestation.drawing.bench_place import Matrix
from capturestation.records import FloatArray, FrameArray, Planes

forget_cv2_qt()
_MOST_OFF_PX = 0.34
# Of its place: less than is seen at a line, and than a step of the club in a hundredth of a frame.
_SEARCHED_PX = 24
# Columns or rows that are scaled in vain so that the first one falls upon whole pixels.
_EDGE_PX = 0.5
# By so much a picture may end before its field: what a field's whole pixels can't follow.

_LEFT_PX = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneLayer:
    """A picture and where it lies.

    Args:
        planes: Its planes; may be smaller than its nominal size.
        size_px: Its nominal width and height.
        matrix: Its own coordinates, counted from the edge at nominal size, to the field's.
    """

    planes: Planes
    size_px: tuple[int, int]
    matrix: Matrix

    @property
    def array(self) -> FloatArray:
        """The map, (3, 3)."""
        return np.array(self.matrix, np.float64).reshape(3, 3)


def can_mix(size_px: tuple[int, int], base: PlaneLayer, over: PlaneLayer | None = None) -> bool:
    """Whether a field can be made so: no paper shows, and both layers are coded alike.

    Args:
        size_px: The field's width and height.
        base: What lies below.
        over: What lies over it.
    """
    if over is not None and over.planes.coding != base.planes.coding:
        return False
    return _covers(base, size_px)


def mixed(
    size_px: tuple[int, int],
    base: PlaneLayer,
    over: PlaneLayer | None = None,
    *,
    opacity: float = 0.5,
) -> Planes:
    """A field's picture, of the next even size: whoever shows it leaves the last ones out.

    Args:
        size_px: The field's width and height.
        base: What lies below; it covers the field.
        over: What lies over it.
        opacity: Of what lies over, 0..1.
    """
    width, height = (side + side % 2 for side in size_px)
    parts = []
    for name, step in (("luma", 1), ("blue", 2), ("red", 2)):
        field = np.empty((height // step, width // step), np.uint8)
        _lay(field, base, name, step, edge=cv2.BORDER_REPLICATE)
        if over is not None:
            above = field.copy()
            _lay(above, over, name, step, edge=cv2.BORDER_TRANSPARENT)
            cv2.addWeighted(above, opacity, field, 1.0 - opacity, 0.0, dst=field)
        parts.append(field)
    luma, blue, red = parts
    return replace(base.planes, luma=luma, blue=blue, red=red)


def _covers(layer: PlaneLayer, size_px: tuple[int, int]) -> bool:
    """Whether a layer leaves no place of a field free."""
    if not np.array_equal(layer.array[2], (0.0, 0.0, 1.0)):
        return False
    width, height = size_px
    corners = np.array([[0, width, 0, width], [0, 0, height, height], [1, 1, 1, 1]], np.float64)
    x, y, _ = np.linalg.inv(layer.array) @ corners
    over = _EDGE_PX / _scale_of(layer.array)
    return bool(
        min(x.min(), y.min()) >= -over
        and x.max() <= layer.size_px[0] + over
        and y.max() <= layer.size_px[1] + over
    )


def _scale_of(matrix: FloatArray) -> float:
    return float(np.sqrt(abs(np.linalg.det(matrix[:2, :2]))))


def _lay(field: FrameArray, layer: PlaneLayer, name: str, step: int, *, edge: int) -> None:
    """Lay one plane of a layer into that of a field, which counts every `step` pixels as one."""
    plane: FrameArray = getattr(layer.planes, name)
    to_field = np.diag([1 / step, 1 / step, 1.0]) @ layer.array
    if _scale_of(to_field) * layer.size_px[0] / plane.shape[1] < HALVE_BELOW:
        plane = halved(plane)
    nominal = np.diag([layer.size_px[0] / plane.shape[1], layer.size_px[1] / plane.shape[0], 1.0])
    matrix = to_field @ nominal
    if _scaled_into(field, plane, matrix):
        return
    size = (field.shape[1], field.shape[0])
    counted, how = by_middles(matrix), cv2.INTER_LINEAR
    if np.array_equal(counted[2], (0.0, 0.0, 1.0)):
        cv2.warpAffine(plane, counted[:2], size, dst=field, flags=how, borderMode=edge)
    else:
        cv2.warpPerspective(plane, counted, size, dst=field, flags=how, borderMode=edge)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """What of a plane's columns, or rows, is scaled, and where in the field it begins."""

    first: int
    stop: int
    at: int


def _scaled_into(field: FrameArray, plane: FrameArray, matrix: FloatArray) -> bool:
    """Only scale, where that is all and comes out exactly enough; says whether it was done."""
    across, down = float(matrix[0, 0]), float(matrix[1, 1])
    only = np.array([[across, 0, matrix[0, 2]], [0, down, matrix[1, 2]], [0, 0, 1]])
    if min(across, down) <= 0 or not np.array_equal(matrix, only):
        return False
    columns = _run(plane.shape[1], field.shape[1], across, float(matrix[0, 2]))
    rows = _run(plane.shape[0], field.shape[0], down, float(matrix[1, 2]))
    if columns is None or rows is None:
        return False
    piece = plane[rows.first : rows.stop, columns.first : columns.stop]
    scaled = cv2.resize(piece, None, fx=across, fy=down, interpolation=cv2.INTER_LINEAR)
    left, top = max(columns.at, 0), max(rows.at, 0)
    seen = scaled[top - rows.at :, left - columns.at :][: field.shape[0] - top]
    seen = seen[:, : field.shape[1] - left]
    bottom, right = top + seen.shape[0], left + seen.shape[1]
    field[top:bottom, left:right] = seen
    # Whole pixels, and the field's even size, may leave one or two at its end.
    if 0 < field.shape[1] - right <= _LEFT_PX:
        field[top:bottom, right:] = field[top:bottom, right - 1 : right]
    if 0 < field.shape[0] - bottom <= _LEFT_PX:
        field[bottom:, left:] = field[bottom - 1, left:]
    return True


def _run(there: int, wanted: int, scale: float, shift: float) -> _Run | None:
    """The columns of a plane that a field needs, begun where they fall upon whole pixels.

    Args:
        there: How many the plane has.
        wanted: How many the field has.
        scale: Pixels of the field for one of the plane.
        shift: Where the plane's edge lies in the field.

    Returns:
        None where none is needed, or where they would stand too far off their place.
    """
    last_begin = min(max(int(np.floor(-shift / scale)) - 1, 0), there - 1)
    begins = np.arange(max(last_begin - _SEARCHED_PX, 0), last_begin + 1)
    places = begins * scale + shift
    best = int(np.argmin(np.abs(places - np.rint(places))))
    stop = min(int(np.ceil((wanted - shift) / scale)) + 2, there)
    first, at = int(begins[best]), round(float(places[best]))
    if abs(float(places[best]) - at) > _MOST_OFF_PX or stop <= first or at >= wanted:
        return None
    return _Run(first=first, stop=stop, at=at)
