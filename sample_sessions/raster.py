"""Draws faces into a picture with their depth: nearer ones hide others, light runs smoothly over.

Owns the way from corners in metres to finely sampled pixels. Refuses to know what it draws.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from capturestation.records import BoolArray, FloatArray, IntArray
from sample_sessions.cameras import Camera
from sample_sessions.curves import cross3
from sample_sessions.rings import Faces

FINE = 2
# Drawn at twice the size and brought down, so that edges are smooth.
_NEAR_M, _FAR_M = 0.05, 60.0
_EDGE_ON = 0.2
# Sine of how far a face may look away and still be drawn: faces of four corners aren't quite flat.
_SETTINGS = cv2.TriangleRasterizeSettings()
_SETTINGS.setShadingType(cv2.RASTERIZE_SHADING_SHADED)
_SETTINGS.setCullingMode(cv2.RASTERIZE_CULLING_NONE)


@dataclass(frozen=True, slots=True)
class Box:
    """A part of the picture: left and top belong to it, right and bottom don't."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def size(self) -> tuple[int, int]:
        """Width and height."""
        return self.right - self.left, self.bottom - self.top

    @property
    def cut(self) -> tuple[slice, slice]:
        """Rows and columns."""
        return slice(self.top, self.bottom), slice(self.left, self.right)

    def rows(self, top: int, bottom: int) -> Box:
        """What of it lies in these rows; of no height where nothing does."""
        top = min(max(self.top, top), self.bottom)
        return Box(self.left, top, self.right, max(min(self.bottom, bottom), top))


@dataclass(frozen=True, slots=True)
class Lit:
    """Faces as one camera sees them, lit: corners ready to draw.

    Args:
        spots: Pixels, shape (v, 2).
        depth_m: How far ahead, shape (v,).
        triangles: Corner numbers, shape (t, 3).
        colours: 0..1, shape (v, 3).
    """

    spots: FloatArray
    depth_m: FloatArray
    triangles: IntArray
    colours: FloatArray


class Canvas:
    """One part of a picture, twice as fine, with the depth of each point.

    Args:
        ground: What stands behind, (height, width, 3), 0..255.
        box: Which part of the picture it is.
    """

    def __init__(self, ground: FloatArray, box: Box) -> None:
        width, height = box.size
        self.box = box
        fine = (width * FINE, height * FINE)
        self.colour = cv2.resize(ground, fine, interpolation=cv2.INTER_NEAREST) / np.float32(255.0)
        self.depth = np.full((height * FINE, width * FINE), _FAR_M, np.float32)

    def part(self, box: Box) -> Canvas:
        """A copy of a smaller part, to draw on without spoiling this."""
        copy = Canvas.__new__(Canvas)
        top, left = (box.top - self.box.top) * FINE, (box.left - self.box.left) * FINE
        width, height = box.size
        cut = slice(top, top + height * FINE), slice(left, left + width * FINE)
        copy.box = box
        copy.colour, copy.depth = self.colour[cut].copy(), self.depth[cut].copy()
        return copy

    def draw(self, lit: Lit) -> None:
        """Put faces in, where nothing nearer is."""
        height, width = self.depth.shape
        if not (height and width and len(lit.triangles)):
            return
        triangles = lit.triangles
        low, high = self.box.top - 1.0, self.box.bottom + 1.0
        if lit.spots[:, 1].min() < low or lit.spots[:, 1].max() > high:
            # In a band of few rows most faces lie elsewhere.
            y = lit.spots[triangles, 1]
            triangles = triangles[(y.max(axis=1) >= low) & (y.min(axis=1) <= high)]
        at = (lit.spots - (self.box.left, self.box.top) + 0.5) * FINE
        # The drawer works through all that it is given, so it is given no more than it needs.
        left, top = (int(v) for v in np.clip(at.min(axis=0) - 2.0, 0, (width, height)))
        right, bottom = (int(v) for v in np.clip(at.max(axis=0) + 3.0, 0, (width, height)))
        if left >= right or top >= bottom:
            return
        cut = slice(top, bottom), slice(left, right)
        width, height, at = right - left, bottom - top, at - (left, top)
        # Corners are placed so that the drawer's own plain lens sends them where ours did.
        half = 0.5 * height
        x = (at[:, 0] - 0.5 * width) / half * lit.depth_m
        y = (half - at[:, 1]) / half * lit.depth_m
        corners = np.stack([x, y, -lit.depth_m], axis=1).astype(np.float32)
        cv2.triangleRasterize(
            corners,
            triangles.astype(np.int32),
            lit.colours.astype(np.float32),
            self.colour[cut],
            self.depth[cut],
            np.eye(4, dtype=np.float32),
            float(np.pi / 2.0),
            _NEAR_M,
            _FAR_M,
            _SETTINGS,
        )

    def picture(self) -> FloatArray:
        """Brought down to the picture's size, (height, width, 3) float32, 0..255."""
        down = cv2.resize(self.colour, self.box.size, interpolation=cv2.INTER_AREA)
        return np.asarray(down * np.float32(255.0), dtype=np.float32)


def box_around(camera: Camera, spots: FloatArray) -> Box:
    """The part of the picture that holds these pixels, with a little room; shape (n, 2)."""
    lens = camera.lens
    ends = (lens.width_px, lens.height_px)
    low = np.clip(np.floor(spots.min(axis=0)) - 2, 0, ends).astype(int)
    high = np.clip(np.ceil(spots.max(axis=0)) + 3, low, ends).astype(int)
    return Box(int(low[0]), int(low[1]), int(high[0]), int(high[1]))


@dataclass(frozen=True, slots=True)
class Outsides:
    """Which way faces look: middles and outward directions (as long as they are large), (f, 3).

    `is_plain` is False where that is hardly told, (f,): at steps and folds of a loft.
    """

    middles: FloatArray
    normals: FloatArray
    is_plain: BoolArray


def outsides(faces: Faces) -> Outsides:
    """Which way each face looks."""
    p, q, r, s = (faces.corners[faces.quads[:, corner]] for corner in range(4))
    normal = cross3(r - p, s - q)
    middle = (p + q + r + s) / 4.0
    out = middle - faces.inner
    outwards = _dot(normal, out)
    normal[outwards < 0.0] *= -1.0
    plain = np.abs(outwards) > _EDGE_ON * np.sqrt(_dot(normal, normal) * _dot(out, out))
    return Outsides(middle, normal, plain)


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Row by row; (n, 3) to (n,). A sum over an axis of three takes numpy far longer."""
    return np.asarray(a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1] + a[:, 2] * b[:, 2])


def facing(camera: Camera, faces: Faces, outside: Outsides) -> Faces:
    """Without those that surely look away: bodies are closed, so nearer faces hide them all."""
    way = outside.middles - np.asarray(camera.at_m)
    size = _dot(outside.normals, outside.normals) * _dot(way, way)
    seen = ~outside.is_plain | (_dot(outside.normals, way) < _EDGE_ON * np.sqrt(size))
    return replace(
        faces, quads=faces.quads[seen], colours=faces.colours[seen], inner=faces.inner[seen]
    )


def outward(faces: Faces, outside: Outsides) -> FloatArray:
    """Outward direction at each corner, averaged by size over its faces; shape (v, 3)."""
    normal = outside.normals
    each, count = faces.quads.ravel(), len(faces.corners)
    total = np.zeros((count, 3))
    for axis in range(3):
        total[:, axis] = np.bincount(each, np.repeat(normal[:, axis], 4), minlength=count)
    size = np.sqrt(_dot(total, total))[:, None]
    return np.asarray(total / np.maximum(size, 1e-15), dtype=np.float64)


def seen_by(camera: Camera, faces: Faces, shade: FloatArray) -> Lit:
    """Faces as a camera sees them.

    Each face keeps its own colour up to its edge, while light runs on over it.

    Args:
        camera: Whose view; what lies behind it is left out.
        faces: What to see.
        shade: Light at each corner, shape (v,).
    """
    seen = camera.seen(faces.corners)
    ahead = np.maximum(seen[:, 2], _NEAR_M)
    spots = camera.pixels(np.column_stack([seen[:, :2], ahead]))
    quads, colours = faces.quads, faces.colours
    if seen[:, 2].min() <= 2.0 * _NEAR_M:
        whole = (seen[quads, 2] > 2.0 * _NEAR_M).all(axis=1)
        quads, colours = quads[whole], colours[whole]
    each = quads.ravel()
    lit = np.clip(np.repeat(colours, 4, axis=0) * shade[each, None] / 255.0, 0.0, 1.0)
    first = 4 * np.arange(len(quads))[:, None]
    triangles = np.concatenate([first + np.array([0, 1, 2]), first + np.array([0, 2, 3])])
    return Lit(spots[each], seen[each, 2], triangles, lit)
