"""Smooth curves through key values and the little vector arithmetic that the golfer needs.

Owns interpolation in time and operations on rows of vectors. Refuses to know what a golfer is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from scipy.interpolate import CubicHermiteSpline

from capturestation.records import FloatArray

Key: TypeAlias = tuple[float, float] | tuple[float, float, float]
"""Time in s, value, and where it matters the slope in value per s."""


class Curve:
    """Passes smoothly through its keys without overshooting between them.

    Cubic pieces with the slopes of Fritsch and Carlson where none is given; flat outside.

    Args:
        keys: At least two, rising in time.

    Raises:
        ValueError: If the keys don't rise in time.

    Example:
        >>> Curve([(0.0, 0.0), (1.0, 4.0)])(np.array([-1.0, 0.5, 3.0])).tolist()
        [0.0, 2.0, 4.0]
    """

    def __init__(self, keys: Sequence[Key]) -> None:
        times = np.array([key[0] for key in keys])
        values = np.array([key[1] for key in keys])
        if np.any(np.diff(times) <= 0.0):
            msg = f"keys must rise in time, got {times.tolist()}"
            raise ValueError(msg)
        slopes = _slopes(times, values)
        for place, key in enumerate(keys):
            if len(key) == 3:
                slopes[place] = key[2]
        self._first_s, self._last_s = times[0], times[-1]
        self._pieces = CubicHermiteSpline(times, values, slopes)

    def __call__(self, time_s: FloatArray) -> FloatArray:
        """Values at times, shape (n,)."""
        inside = np.clip(time_s, self._first_s, self._last_s)
        return np.asarray(self._pieces(inside), dtype=np.float64)


def _slopes(times: FloatArray, values: FloatArray) -> FloatArray:
    """Flat at the ends and at turning points, a weighted harmonic mean between."""
    slopes = np.zeros_like(values)
    steps = np.diff(times)
    rises = np.diff(values) / steps
    for place in range(1, len(values) - 1):
        before, after = rises[place - 1], rises[place]
        if before * after > 0.0:
            weight_before = 2.0 * steps[place] + steps[place - 1]
            weight_after = steps[place] + 2.0 * steps[place - 1]
            slopes[place] = (weight_before + weight_after) / (
                weight_before / before + weight_after / after
            )
    return slopes


def smooth_step(time_s: FloatArray, start_s: float, end_s: float) -> FloatArray:
    """0 before `start_s`, 1 after `end_s`, without a corner between; shape (n,)."""
    share = np.clip((time_s - start_s) / (end_s - start_s), 0.0, 1.0)
    return np.asarray(share * share * (3.0 - 2.0 * share), dtype=np.float64)


def rows(x: FloatArray | float, y: FloatArray | float, z: FloatArray | float) -> FloatArray:
    """Stack three coordinates, any of them a constant, into vectors of shape (n, 3)."""
    return np.stack(np.broadcast_arrays(*np.atleast_1d(x, y, z)), axis=-1)


def dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Row by row, kept as a column: shape (n, 1)."""
    return np.asarray(np.sum(a * b, axis=-1, keepdims=True), dtype=np.float64)


def length(a: FloatArray) -> FloatArray:
    """Row by row, kept as a column: shape (n, 1)."""
    return np.sqrt(dot(a, a))


def unit(a: FloatArray) -> FloatArray:
    """Each row scaled to length 1; shape (n, 3)."""
    return np.asarray(a / np.maximum(length(a), 1e-12), dtype=np.float64)


def across(a: FloatArray, axis: FloatArray) -> FloatArray:
    """The part of each row of `a` that is square to `axis`, of length 1; shape (n, 3)."""
    return unit(a - dot(a, axis) * axis)


def cross3(a: FloatArray, b: FloatArray) -> FloatArray:
    """`np.cross` of rows of vectors, without its overhead; shape (n, 3)."""
    return np.stack(
        [
            a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1],
            a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2],
            a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0],
        ],
        axis=-1,
    )


def turn_about(vector: FloatArray, axis: FloatArray, angle_deg: FloatArray) -> FloatArray:
    """Turn each row about a unit axis by the right hand's rule; shape (n, 3)."""
    angle = np.radians(np.atleast_1d(angle_deg))[:, None]
    along = dot(vector, axis) * axis
    return np.asarray(
        along + np.cos(angle) * (vector - along) + np.sin(angle) * cross3(axis, vector),
        dtype=np.float64,
    )


def bend(
    root: FloatArray, end: FloatArray, lengths_m: tuple[float, float], towards: FloatArray
) -> FloatArray:
    """Place the middle joint of two bones, so that both keep their length.

    Args:
        root: Hip or shoulder, shape (n, 3).
        end: Ankle or wrist, within reach, shape (n, 3).
        lengths_m: Upper and lower bone.
        towards: Which way the joint points, need not be square to the limb, shape (n, 3).

    Returns:
        Knee or elbow, shape (n, 3).

    Raises:
        ValueError: If the end is out of reach by more than rounding.
    """
    upper_m, lower_m = lengths_m
    span = length(end - root)
    if np.any(span > (upper_m + lower_m) * (1.0 + 1e-9)):
        msg = f"a limb of {upper_m + lower_m:.4f} m can't span {float(span.max()):.4f} m"
        raise ValueError(msg)
    axis = unit(end - root)
    along = (span**2 + upper_m**2 - lower_m**2) / (2.0 * span)
    aside = np.sqrt(np.maximum(upper_m**2 - along**2, 0.0))
    return np.asarray(root + along * axis + aside * across(towards, axis), dtype=np.float64)


def folded_span(lengths_m: tuple[float, float], angle_deg: FloatArray) -> FloatArray:
    """Distance from root to end of two bones whose middle joint has that angle; shape (n,)."""
    a, b = lengths_m
    return np.sqrt(a * a + b * b - 2.0 * a * b * np.cos(np.radians(angle_deg)))
