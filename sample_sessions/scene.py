"""The empty bay as a camera sees it: walls, net, floor, mats, stick and soft shadows.

Owns everything that doesn't move. Each picture point's ray is followed once per camera to the
surface it meets; the result is kept, and only shadows change from frame to frame. Nothing in it
is a copy of a real place.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from capturestation.records import FloatArray, IntArray
from sample_sessions.cameras import Camera
from sample_sessions.golfer import NET_X_M

WALL_Y_M = 2.6
BACK_X_M = -4.6
CEILING_M = 3.1
SHADOW_MIN_M = (-2.0, -1.6)
SHADOW_SIZE_M = (4.0, 3.6)
SHADOW_PX_PER_M = 80
_AT_ONCE = 8192
# Picture points; more at once don't fit into the processor's own memory.
BALL_STICK_Y_M, TOE_STICK_Y_M = -0.161, 0.42
# One lies outside the ball; the other, if any, before the toes.
_FLOOR, _SIDE_WALL, _NET, _CEILING, _BACK = range(5)


@dataclass(frozen=True, slots=True)
class EmptyBay:
    """One camera's view of the bay without golfer and ball.

    Args:
        picture: (height, width, 3) RGB float32, 0..255, without noise.
        shadow_at: Where each picture point reads the shadow map, (height, width, 2) float32.
        ground: 1 where the floor is seen, (height, width) float32.
        shaded: Rows and columns outside of which no shadow can fall.
    """

    picture: FloatArray
    shadow_at: FloatArray
    ground: FloatArray
    shaded: tuple[slice, slice]


def empty_bay(camera: Camera, *, mirror: bool = False, second_stick: bool = False) -> EmptyBay:
    """Follow the rays of every picture point, four to a point, to what they meet.

    Args:
        camera: Whose view.
        mirror: True for a left-handed golfer's bay, mirrored across the target line.
        second_stick: Whether one also lies along the toes.
    """
    lens = camera.lens
    x, y = np.meshgrid(np.arange(lens.width_px), np.arange(lens.height_px))
    pixels = np.stack([x.ravel(), y.ravel()], axis=1).astype(np.float64)
    flip = np.array([1.0, -1.0 if mirror else 1.0, 1.0])
    origin = np.asarray(camera.at_m) * flip
    right, down = camera.rotation[0] / lens.focal_px, camera.rotation[1] / lens.focal_px
    picture, shadow_at = np.empty((len(pixels), 3)), np.empty((len(pixels), 2))
    ground = np.empty(len(pixels))
    for first in range(0, len(pixels), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        rays = camera.rays(pixels[part])
        total = np.zeros((len(rays), 3))
        for dx, dy in ((-0.25, -0.25), (0.25, -0.25), (-0.25, 0.25), (0.25, 0.25)):
            hits = _hits(origin, (rays + dx * right + dy * down) * flip)
            total += _shade(hits, second_stick=second_stick)
        middle = _hits(origin, rays * flip)
        picture[part] = total / 4.0
        shadow_at[part] = (middle.points[:, :2] - np.array(SHADOW_MIN_M)) * SHADOW_PX_PER_M
        ground[part] = middle.kind == _FLOOR
    shape = (lens.height_px, lens.width_px)
    return EmptyBay(
        picture.reshape(*shape, 3).astype(np.float32),
        shadow_at.reshape(*shape, 2).astype(np.float32),
        ground.reshape(shape).astype(np.float32),
        _reached(shadow_at.reshape(*shape, 2), ground.reshape(shape)),
    )


def _reached(shadow_at: FloatArray, ground: FloatArray) -> tuple[slice, slice]:
    """The rows and columns that read the map of shadows; none where none do."""
    size = np.array(SHADOW_SIZE_M) * SHADOW_PX_PER_M
    reads = (ground > 0.0) & ((shadow_at > -1.0) & (shadow_at < size)).all(axis=-1)
    spans = []
    for axis in (1, 0):
        there = np.flatnonzero(reads.any(axis=axis))
        spans.append(slice(int(there[0]), int(there[-1]) + 1) if len(there) else slice(0, 0))
    return spans[0], spans[1]


@dataclass(frozen=True, slots=True)
class _Hits:
    """Where rays end: points (n, 3), and the kind of surface (n,)."""

    points: FloatArray
    kind: IntArray


def _hits(origin: FloatArray, rays: FloatArray) -> _Hits:
    walls = ((2, 0.0), (1, WALL_Y_M), (0, NET_X_M), (2, CEILING_M), (0, BACK_X_M), (1, -5.0))
    with np.errstate(divide="ignore"):
        reach = np.stack([(at - origin[axis]) / rays[:, axis] for axis, at in walls])
    reach[reach <= 1e-6] = np.inf
    kind = np.argmin(reach, axis=0)
    far = reach[kind, np.arange(len(kind))]
    return _Hits(origin + far[:, None] * rays, np.minimum(kind, _BACK))


def _shade(hits: _Hits, *, second_stick: bool) -> FloatArray:
    colour = np.zeros((len(hits.kind), 3))
    for kind, paint in (
        (_FLOOR, _floor),
        (_SIDE_WALL, _side_wall),
        (_NET, _net),
        (_CEILING, _ceiling),
        (_BACK, _side_wall),
    ):
        chosen = hits.kind == kind
        colour[chosen] = paint(hits.points[chosen])
    if second_stick:
        chosen = hits.kind == _FLOOR
        colour[chosen] = _stick(hits.points[chosen], colour[chosen], TOE_STICK_Y_M)
    return colour


def _grain(a: FloatArray, b: FloatArray, step_m: float) -> FloatArray:
    """Repeatable speckle −1..1 by place, without any random state."""
    cell = np.floor(a / step_m) * 12.9898 + np.floor(b / step_m) * 78.233
    value = np.sin(cell) * 43758.5453
    return np.asarray(2.0 * (value - np.floor(value)) - 1.0, dtype=np.float64)


def _edge(distance_m: FloatArray, soft_m: float = 0.004) -> FloatArray:
    """1 inside (negative distance), 0 outside, soft between; as a column."""
    return np.asarray(np.clip(0.5 - distance_m / soft_m, 0.0, 1.0), dtype=np.float64)[:, None]


def _box(x: FloatArray, y: FloatArray, box: tuple[float, float, float, float]) -> FloatArray:
    """Signed distance to a box x0, x1, y0, y1; negative inside."""
    x0, x1, y0, y1 = box
    return np.maximum(np.maximum(x0 - x, x - x1), np.maximum(y0 - y, y - y1))


def _mix(under: FloatArray, over: tuple[int, int, int], share: FloatArray) -> FloatArray:
    return np.asarray(under + share * (np.array(over, dtype=np.float64) - under), dtype=np.float64)


def _floor(points: FloatArray) -> FloatArray:
    """Rubber floor, a stance mat, a hitting mat, and the stick that lies along the toes' line."""
    x, y = points[:, 0], points[:, 1]
    colour = np.full((len(x), 3), (98.0, 100.0, 104.0)) + 3.0 * _grain(x, y, 0.02)[:, None]
    seams = np.minimum(np.abs(((x + 0.5) % 1.0) - 0.5), np.abs(((y + 0.25) % 1.0) - 0.5))
    colour = _mix(colour, (80, 82, 86), 0.6 * _edge(seams - 0.004))
    stance = _box(x, y, (-0.85, 0.75, 0.30, 1.75))
    colour = _mix(colour, (58, 66, 60), 0.55 * _edge(stance - 0.02, 0.05))
    turf = np.array((92.0, 108.0, 94.0)) + 5.0 * _grain(x, y, 0.012)[:, None]
    colour += _edge(stance) * (turf - colour)
    strike = _box(x, y, (-0.75, 0.65, -0.28, 0.27))
    colour = _mix(colour, (40, 44, 42), 0.5 * _edge(strike - 0.02, 0.05))
    grass = np.array((92.0, 128.0, 88.0)) + 8.0 * _grain(x, y, 0.008)[:, None]
    colour += _edge(strike) * (grass - colour)
    border = np.abs(_box(x, y, (-0.73, 0.63, -0.26, 0.25))) - 0.006
    colour = _mix(colour, (214, 220, 214), 0.75 * _edge(border))
    colour = _stick(points, colour, BALL_STICK_Y_M)
    pool = np.exp(-((x - 0.1) ** 2 + (y - 0.3) ** 2) / 7.0)
    return np.asarray(colour * (0.62 + 0.48 * pool)[:, None], dtype=np.float64)


def _stick(points: FloatArray, under: FloatArray, y_m: float) -> FloatArray:
    """A stick of 1.22 m along the target line, with the shadow below it."""
    stick = _box(points[:, 0], points[:, 1], (-0.72, 0.50, y_m - 0.004, y_m + 0.004))
    shaded = _mix(under, (44, 70, 42), 0.5 * _edge(stick - 0.004, 0.02))
    return _mix(shaded, (236, 120, 40), _edge(stick))


def _side_wall(points: FloatArray) -> FloatArray:
    """Plain panels over a darker foot, brighter where the lamps are."""
    x, z = points[:, 0], points[:, 2]
    colour = np.full((len(x), 3), (176.0, 181.0, 186.0)) + 1.5 * _grain(x, z, 0.03)[:, None]
    colour = _mix(colour, (96, 108, 120), _edge(z - 0.62, 0.01))
    colour = _mix(colour, (206, 209, 210), _edge(np.abs(z - 0.63) - 0.012, 0.006))
    joints = np.abs(((x + 0.75) % 1.5) - 0.75)
    colour = _mix(colour, (140, 146, 152), 0.5 * _edge(joints - 0.004) * (z > 0.64)[:, None])
    colour = _mix(colour, (64, 68, 74), _edge(z - 0.09, 0.006))
    glow = 0.72 + 0.34 * np.exp(-(((x - 0.1) / 2.6) ** 2) - ((z - 2.1) / 1.9) ** 2)
    return np.asarray(colour * glow[:, None], dtype=np.float64)


def _net(points: FloatArray) -> FloatArray:
    """A hanging net before a dark cloth, with a pale square to aim at."""
    y, z = points[:, 1], points[:, 2]
    folds = 0.5 + 0.5 * np.sin(y * 9.0 + 0.6 * np.sin(y * 2.3))
    colour = np.full((len(y), 3), (48.0, 56.0, 64.0)) * (0.88 + 0.24 * folds)[:, None]
    square = np.maximum(np.abs(y - 0.0) - 0.55, np.abs(z - 1.25) - 0.55)
    colour = _mix(colour, (120, 128, 132), 0.8 * _edge(np.abs(square) - 0.012))
    colour = _mix(colour, (92, 100, 106), 0.25 * _edge(square))
    mesh = np.minimum(np.abs(((y + z) % 0.14) - 0.07), np.abs(((y - z) % 0.14) - 0.07))
    colour = _mix(colour, (132, 138, 142), 0.13 * _edge(mesh - 0.0026, 0.008))
    light = 0.75 + 0.35 * np.exp(-((y / 2.0) ** 2) - ((z - 1.8) / 1.6) ** 2)
    return np.asarray(colour * light[:, None], dtype=np.float64)


def _ceiling(points: FloatArray) -> FloatArray:
    """Dark, with two long lamps."""
    x, y = points[:, 0], points[:, 1]
    colour = np.full((len(x), 3), (72.0, 75.0, 80.0))
    for lamp_y in (-0.6, 1.4):
        lamp = _box(x, y, (-1.6, 1.8, lamp_y - 0.12, lamp_y + 0.12))
        colour = _mix(colour, (244, 246, 248), _edge(lamp, 0.02))
    return colour


def shadowed(bay: EmptyBay, limbs_m: FloatArray, widths_m: FloatArray) -> FloatArray:
    """The bay with the soft shadow of limbs under wide lamps.

    Args:
        bay: Of the camera.
        limbs_m: Ends of each limb, shape (n, 2, 3).
        widths_m: Its thickness, shape (n,).

    Returns:
        (height, width, 3) float32, 0..255.
    """
    map_px = (int(SHADOW_SIZE_M[1] * SHADOW_PX_PER_M), int(SHADOW_SIZE_M[0] * SHADOW_PX_PER_M))
    near: FloatArray = np.zeros(map_px, np.float32)
    wide: FloatArray = np.zeros(map_px, np.float32)
    for (a, b), width in zip(limbs_m, widths_m, strict=True):
        ends = [
            tuple(int(v) for v in np.round((p[:2] - SHADOW_MIN_M) * SHADOW_PX_PER_M * 16.0))
            for p in (a, b)
        ]
        thick = max(round(width * SHADOW_PX_PER_M), 1)
        low = float(min(a[2], b[2]))
        target, depth = (near, 0.50) if low < 0.25 else (wide, 0.42)
        cv2.line(target, ends[0], ends[1], depth, thick, cv2.LINE_AA, 4)
    dark = np.maximum(_softened(near, 4.0), _softened(wide, 13.0))
    shaded = bay.picture.copy()
    if 0 not in shaded[bay.shaded].shape:
        at = bay.shadow_at[bay.shaded]
        cast = cv2.remap(dark, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderValue=0.0)
        shaded[bay.shaded] *= (1.0 - cast * bay.ground[bay.shaded])[..., None]
    return shaded


def _softened(shade: FloatArray, sigma_px: float) -> FloatArray:
    """Blurred; only about where there is anything."""
    soft, reach = np.zeros_like(shade), int(4.0 * sigma_px) + 2
    there = [np.flatnonzero(shade.any(axis=axis)) for axis in (1, 0)]
    if len(there[0]):
        rows, columns = (slice(max(at[0] - reach, 0), at[-1] + reach + 1) for at in there)
        soft[rows, columns] = cv2.GaussianBlur(shade[rows, columns], (0, 0), sigma_px)
    return soft
