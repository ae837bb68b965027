"""How a lens draws, with slopes: pixels from points before the camera, and the way back.

Owns the nine numbers of a lens, `fx, fy, cx, cy, k1, k2, p1, p2, k3`, as one array, and their
derivatives in closed form. Every adjustment and every error in this package goes through here.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from calibration.errors import CalibrationError

FloatArray: TypeAlias = NDArray[np.float64]
LENS_NUMBERS = ("fx", "fy", "cx", "cy", "k1", "k2", "p1", "p2", "k3")
_ROUNDS = 30
_CLOSE_ENOUGH = 1e-13
# Of directions; a thousandth of that is the noise of double numbers.


def draw(lens: FloatArray, local_m: FloatArray) -> FloatArray:
    """Draw points given in the camera's axes (x right, y down, z ahead).

    Args:
        lens: The nine numbers, shape (9,).
        local_m: Shape (..., 3).

    Returns:
        Shape (..., 2), pixels; NaN for points at or behind the lens.
    """
    depth = np.where(local_m[..., 2] > 0.0, local_m[..., 2], np.nan)
    flat = local_m[..., :2] / depth[..., None]
    return bend(lens, flat)


def bend(lens: FloatArray, flat: FloatArray) -> FloatArray:
    """Directions (x/z, y/z), shape (..., 2), to pixels."""
    fx, fy, cx, cy, k1, k2, p1, p2, k3 = lens
    x, y = flat[..., 0], flat[..., 1]
    r2 = x * x + y * y
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    bent_x = x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x)
    bent_y = y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y
    return np.stack([fx * bent_x + cx, fy * bent_y + cy], axis=-1)


def draw_with_slopes(
    lens: FloatArray, local_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Draw, and say how pixels change with the lens and with the point.

    Args:
        lens: Shape (9,).
        local_m: Shape (..., 3), in front of the lens.

    Returns:
        Pixels (..., 2), slopes by the lens (..., 2, 9) and by the point (..., 2, 3).
    """
    depth = np.where(local_m[..., 2] > 0.0, local_m[..., 2], np.nan)
    flat = local_m[..., :2] / depth[..., None]
    pixels, by_lens, by_flat = bend_with_slopes(lens, flat)
    by_point = np.empty((*flat.shape[:-1], 2, 3))
    by_point[..., :2] = by_flat / depth[..., None, None]
    by_point[..., 2] = -np.einsum("...ij,...j->...i", by_flat, flat) / depth[..., None]
    return pixels, by_lens, by_point


def bend_with_slopes(
    lens: FloatArray, flat: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Directions to pixels (..., 2), with slopes by the lens (..., 2, 9) and by (x, y)."""
    fx, fy, _, _, k1, k2, p1, p2, k3 = lens
    x, y = flat[..., 0], flat[..., 1]
    r2 = x * x + y * y
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    by_r2 = k1 + r2 * (2.0 * k2 + 3.0 * k3 * r2)
    side_x, side_y, both = r2 + 2.0 * x * x, r2 + 2.0 * y * y, 2.0 * x * y
    by_lens = np.zeros((*flat.shape[:-1], 2, 9))
    by_lens[..., 0, 0] = x * radial + p1 * both + p2 * side_x
    by_lens[..., 1, 1] = y * radial + p1 * side_y + p2 * both
    by_lens[..., 0, 2] = by_lens[..., 1, 3] = 1.0
    for place, power in ((4, r2), (5, r2 * r2), (8, r2 * r2 * r2)):
        by_lens[..., 0, place], by_lens[..., 1, place] = fx * x * power, fy * y * power
    by_lens[..., 0, 6], by_lens[..., 1, 6] = fx * both, fy * side_y
    by_lens[..., 0, 7], by_lens[..., 1, 7] = fx * side_x, fy * both
    by_flat = np.empty((*flat.shape[:-1], 2, 2))
    cross = 2.0 * x * y * by_r2 + 2.0 * (p1 * x + p2 * y)
    by_flat[..., 0, 0] = fx * (radial + 2.0 * x * x * by_r2 + 2.0 * p1 * y + 6.0 * p2 * x)
    by_flat[..., 1, 1] = fy * (radial + 2.0 * y * y * by_r2 + 6.0 * p1 * y + 2.0 * p2 * x)
    by_flat[..., 0, 1], by_flat[..., 1, 0] = fx * cross, fy * cross
    pixels = np.stack(
        [fx * by_lens[..., 0, 0] + lens[2], fy * by_lens[..., 1, 1] + lens[3]], axis=-1
    )
    return pixels, by_lens, by_flat


def unbend(lens: FloatArray, pixels: FloatArray) -> FloatArray:
    """Pixels to directions (x/z, y/z), shape (..., 2); NaN where the lens has no way back."""
    aimed = np.asarray(pixels, dtype=np.float64)
    flat = (aimed - lens[2:4]) / lens[:2]
    with np.errstate(all="ignore"):
        for _ in range(_ROUNDS):
            drawn, _by_lens, slopes = bend_with_slopes(lens, flat)
            step = _solve_two(slopes, aimed - drawn)
            flat = flat + step
            if not (np.abs(step) > _CLOSE_ENOUGH).any():
                break
        off = np.abs(bend(lens, flat) - aimed).max(axis=-1, keepdims=True)
    return np.where(off < 1e-6, flat, np.nan)


def _solve_two(slopes: FloatArray, wanted: FloatArray) -> FloatArray:
    a, b, c, d = (slopes[..., i, j] for i in (0, 1) for j in (0, 1))
    u, v = wanted[..., 0], wanted[..., 1]
    solved: FloatArray = np.stack([d * u - b * v, a * v - c * u], axis=-1)
    return solved / (a * d - b * c)[..., None]


def check_finite(what: str, values: FloatArray) -> FloatArray:
    """The values as float64, if all are numbers.

    Raises:
        CalibrationError: If one is NaN or without end.
    """
    array = np.asarray(values, dtype=np.float64)
    if not np.isfinite(array).all():
        raise CalibrationError(
            f"{what}: {int((~np.isfinite(array)).sum())} of {array.size} values are not numbers.",
            try_next="Leave that picture out or mark the point again.",
        )
    return array
