"""Pictures laid into a field and mixed as they are coded: the quick way to what a field shows.

Owns scaling, turning and mixing of planes. Where nothing is turned, a picture is only scaled: that
takes a third of the time, and it stands within a third of a pixel of its place. Refuses what would
leave paper in the field, and pictures that are coded differently: `bench_layers` shows those. Safe
on any thread.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np

from capturestation.drawing.app import forget_cv2_qt
from capturestation.drawing.bench_layers import HALVE_BELOW, by_middles, halved
from capturestation.drawing.bench_place import Matrix
from capturestation.records import FrameArray, Planes

forget_cv2_qt()
_MOST_OFF_PX = 0.34
# Of its place: less than is seen at a line, and than a step of the club in a hundredth of a frame.
_SEARCHED_PX = 24
# Columns or rows that are scaled in vain so that the first one falls upon whole pixels.
_EDGE_PX = 0.5
# By so much a picture may end before its field: what a field's whole pixels can't follow.

_ALIKE = 256
# Ways to lay a picture that are remembered: while frames go by they stay the same.


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


def can_mix(size_px: tuple[int, int], base: PlaneLayer, over: PlaneLayer | None = None) -> bool:
    """Whether a field can be made so: no paper shows, and both layers are coded alike.

    Args:
        size_px: The field's width and height.
        base: What lies below.
        over: What lies over it.
    """
    if over is not None and over.planes.coding != base.planes.coding:
        return False
    return _covers(base.matrix, base.size_px, size_px)


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
        room = (height // step, width // step)
        part = _laid(base, name, step, room)
        if over is not None:
            _mix_in(part, over, name, step, opacity)
        parts.append(part)
    luma, blue, red = parts
    return replace(base.planes, luma=luma, blue=blue, red=red)


def _laid(layer: PlaneLayer, name: str, step: int, room: tuple[int, int]) -> FrameArray:
    """One plane of what covers a field, as large as the field."""
    plane, matrix = _plane(layer, name, step)
    way = _way(matrix, plane.shape[:2], room)
    if way is None:
        field = np.empty(room, np.uint8)
        _bend(field, plane, matrix, cv2.BORDER_REPLICATE)
        return field
    seen = way.scaled(plane)
    if seen.shape == room:
        return seen
    return np.asarray(
        cv2.copyMakeBorder(
            seen,
            way.top,
            room[0] - way.top - seen.shape[0],
            way.left,
            room[1] - way.left - seen.shape[1],
            cv2.BORDER_REPLICATE,
        ),
        np.uint8,
    )


def _mix_in(field: FrameArray, layer: PlaneLayer, name: str, step: int, opacity: float) -> None:
    """Lay one plane half-transparently over that of a field, as far as it reaches."""
    plane, matrix = _plane(layer, name, step)
    way = _way(matrix, plane.shape[:2], (field.shape[0], field.shape[1]))
    if way is None:
        above = field.copy()
        _bend(above, plane, matrix, cv2.BORDER_TRANSPARENT)
        under = field
    else:
        above = way.scaled(plane)
        under = field[way.top :, way.left :][: above.shape[0], : above.shape[1]]
    cv2.addWeighted(above, opacity, under, 1.0 - opacity, 0.0, dst=under)


def _plane(layer: PlaneLayer, name: str, step: int) -> tuple[FrameArray, Matrix]:
    """A plane, and the way from its pixels to a field that counts every `step` as one."""
    plane: FrameArray = getattr(layer.planes, name)
    matrix, scale = _to_field(layer.matrix, layer.size_px, plane.shape[:2], step)
    if scale < HALVE_BELOW:
        plane = halved(plane)
        matrix, _ = _to_field(layer.matrix, layer.size_px, plane.shape[:2], step)
    return plane, matrix


def _bend(field: FrameArray, plane: FrameArray, matrix: Matrix, edge: int) -> None:
    """Turn, or see from elsewhere: slower, anything goes."""
    counted = by_middles(np.array(matrix, np.float64).reshape(3, 3))
    size, how = (field.shape[1], field.shape[0]), cv2.INTER_LINEAR
    if _is_affine(matrix):
        cv2.warpAffine(plane, counted[:2], size, dst=field, flags=how, borderMode=edge)
    else:
        cv2.warpPerspective(plane, counted, size, dst=field, flags=how, borderMode=edge)


def _is_affine(matrix: Matrix) -> bool:
    return matrix[6:] == (0.0, 0.0, 1.0)


@lru_cache(_ALIKE)
def _to_field(
    matrix: Matrix, size_px: tuple[int, int], shape: tuple[int, ...], step: int
) -> tuple[Matrix, float]:
    """From a plane's own pixels to those of a field's plane, and how much larger they become."""
    nominal = np.diag([size_px[0] / shape[1], size_px[1] / shape[0], 1.0])
    whole = np.diag([1 / step, 1 / step, 1.0]) @ np.array(matrix).reshape(3, 3) @ nominal
    return tuple(whole.ravel().tolist()), float(np.sqrt(abs(np.linalg.det(whole[:2, :2]))))


@lru_cache(_ALIKE)
def _covers(matrix: Matrix, size_px: tuple[int, int], field_px: tuple[int, int]) -> bool:
    """Whether a picture leaves no place of a field free."""
    if not _is_affine(matrix):
        return False
    array = np.array(matrix, np.float64).reshape(3, 3)
    width, height = field_px
    corners = np.array([[0, width, 0, width], [0, 0, height, height], [1, 1, 1, 1]], np.float64)
    x, y, _ = np.linalg.inv(array) @ corners
    free = _EDGE_PX / float(np.sqrt(abs(np.linalg.det(array[:2, :2]))))
    return bool(
        min(x.min(), y.min()) >= -free
        and x.max() <= size_px[0] + free
        and y.max() <= size_px[1] + free
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """What of a plane's columns, or rows, is scaled, and what of that is seen.

    Args:
        first: The first one that is scaled.
        stop: One past the last.
        scale: Pixels of the field for one of the plane.
        skipped: How many of the scaled ones lie before the field.
        at: Where in the field the first seen one stands.
        seen: How many are seen.
    """

    first: int
    stop: int
    scale: float
    skipped: int
    at: int
    seen: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """How a plane is laid into a field by scaling alone."""

    rows: _Run
    columns: _Run

    @property
    def top(self) -> int:
        """The first row of the field that it reaches."""
        return self.rows.at

    @property
    def left(self) -> int:
        """The first column of the field that it reaches."""
        return self.columns.at

    def scaled(self, plane: FrameArray) -> FrameArray:
        """What is seen of the plane."""
        rows, columns = self.rows, self.columns
        piece = plane[rows.first : rows.stop, columns.first : columns.stop]
        whole = cv2.resize(
            piece, None, fx=columns.scale, fy=rows.scale, interpolation=cv2.INTER_LINEAR
        )
        seen = whole[rows.skipped :, columns.skipped :][: rows.seen, : columns.seen]
        return np.asarray(seen, np.uint8)


@lru_cache(_ALIKE)
def _way(matrix: Matrix, shape: tuple[int, ...], room: tuple[int, int]) -> _Way | None:
    """How to lay a plane by scaling alone; None where it is turned, or would stand too far off."""
    across, skew, left, lean, down, top = matrix[:6]
    if not _is_affine(matrix) or skew or lean or min(across, down) <= 0:
        return None
    columns = _run(shape[1], room[1], across, left)
    rows = _run(shape[0], room[0], down, top)
    return None if columns is None or rows is None else _Way(rows=rows, columns=columns)


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
    first, begin = int(begins[best]), round(float(places[best]))
    stop = min(int(np.ceil((wanted - shift) / scale)) + 2, there)
    if abs(float(places[best]) - begin) > _MOST_OFF_PX or stop <= first:
        return None
    skipped, at = max(-begin, 0), max(begin, 0)
    seen = min(round((stop - first) * scale) - skipped, wanted - at)
    if seen < 1:
        return None
    return _Run(first=first, stop=stop, scale=scale, skipped=skipped, at=at, seen=seen)
