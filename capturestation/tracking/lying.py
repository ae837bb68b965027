"""Round bright or dark things that lie about in one picture: balls, and what is like them.

Owns the search in a single picture, without any before or after. It finds too much rather than too
little: what it is used for is to see that a thing lies where it lay.
"""

from __future__ import annotations

from math import pi

import cv2
import numpy as np

from capturestation.records import FrameArray
from capturestation.tracking.ball import BallSpot

_SIZES_SHARE = (0.004, 0.03)
# Diameters from 1.5 px in a picture 360 px high, where a ball is 4 px wide, to a hand's width.
_LEAST_STEP = 22.0
_FULLEST, _ROUNDEST = 0.6, 0.55
_HIGHEST = 0.45
_MOST = 20


def is_sought(radius_px: float, height_px: int) -> bool:
    """Whether a ball of that size would be found lying in a picture so high."""
    low, high = (share * height_px for share in _SIZES_SHARE)
    return low <= 2 * radius_px <= high


def lying_balls(grey: FrameArray) -> list[BallSpot]:
    """Small, round, brighter than the ground about them; the clearest first.

    Args:
        grey: (h, w).
    """
    height = len(grey)
    top = round(_HIGHEST * height)
    ground = grey[top:]
    size = max(round(_SIZES_SHARE[1] * height) // 2 * 2 + 1, 5)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    hat = cv2.morphologyEx(ground, cv2.MORPH_TOPHAT, kernel)
    mask = (hat > _LEAST_STEP).astype(np.uint8)
    stats, centres = cv2.connectedComponentsWithStats(mask, connectivity=4)[2:]
    found: list[tuple[float, BallSpot]] = []
    least = max(pi / 4 * (_SIZES_SHARE[0] * height) ** 2, 3.0)
    for label in range(1, len(stats)):
        left, high, width, tall, area = (int(v) for v in stats[label])
        filled = area / (pi / 4 * width * tall)
        if (
            area < least
            or max(width, tall) > size
            or min(width, tall) < _ROUNDEST * max(width, tall)
        ):
            continue
        if filled < _FULLEST:
            continue
        step = float(hat[high : high + tall, left : left + width].max())
        x, y = (float(v) for v in centres[label])
        spot = BallSpot(
            x_px=x,
            y_px=y + top,
            radius_px=float(np.sqrt(area / pi)),
            confidence=min(step / 100, 1.0),
        )
        found.append((step, spot))
    found.sort(key=lambda one: -one[0])
    return [spot for _, spot in found[:_MOST]]
