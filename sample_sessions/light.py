"""Lamps on surfaces, their flicker over the rows of a picture, and the sensor's noise.

Owns brightness. Refuses shapes.
"""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray
from sample_sessions.surroundings import Surroundings

_LAMPS = (
    (np.array([-0.15, -0.55, 0.82]), 0.50),
    (np.array([0.25, 0.55, 0.80]), 0.22),
    (np.array([-0.90, 0.10, 0.40]), 0.12),
    (np.array([0.10, -1.00, -0.05]), 0.16),
)
_AMBIENT = 0.46
_SPARE_PX = 64
# The tile of noise is larger than the picture by this, and laid down elsewhere on each frame.
_STRIP_ROWS = 24
# Worked on together, so that they stay in the processor's own memory.


def brightness(normal: FloatArray, *, mirror: bool) -> FloatArray:
    """By outward direction in the bay; (n, 3) to (n,)."""
    flip = np.array([1.0, -1.0 if mirror else 1.0, 1.0])
    total = np.full(len(normal), _AMBIENT) + 0.10 * normal[:, 2]
    for direction, strength in _LAMPS:
        lamp = direction * flip / np.linalg.norm(direction)
        total += strength * np.maximum(normal @ lamp, 0.0)
    return total


def flicker(row_s: FloatArray, exposure_s: float, around: Surroundings) -> FloatArray:
    """The lamps' brightness, averaged over the exposure of each row; shape (n,).

    Args:
        row_s: Middle of each row's exposure.
        exposure_s: How long a row is open; a whole period of the lamps shows no flicker.
        around: Says how much they swing.
    """
    rate_hz = 2.0 * around.mains_hz
    left = np.sinc(rate_hz * exposure_s)
    return np.asarray(
        1.0 + around.flicker * left * np.cos(2.0 * np.pi * rate_hz * row_s), dtype=np.float64
    )


def noisy(frame: FloatArray, levels: float, seed: int, number: int) -> FrameArray:
    """A picture of 0..255 as the sensor gives it, repeatable by seed and frame number."""
    random = np.random.default_rng((seed, number))
    height, width = frame.shape[:2]
    tile = _tile(height + _SPARE_PX, width + _SPARE_PX, levels)
    top, left = random.integers(0, _SPARE_PX, 2)
    part = tile[top : top + height, left : left + width]
    out = np.empty((height, width, 3), np.uint8)
    for first in range(0, height, _STRIP_ROWS):
        strip = slice(first, first + _STRIP_ROWS)
        cv2.add(part[strip], frame[strip], out[strip], dtype=cv2.CV_8U)
    return out


@lru_cache(maxsize=4)
def _tile(height: int, width: int, levels: float) -> FloatArray:
    grey = np.random.default_rng(20261030).normal(0.0, 1.0, (height, width, 1))
    return np.repeat(grey.astype(np.float32) * np.float32(levels), 3, axis=2)
