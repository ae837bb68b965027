"""What may be the ball in its first hundredths of a second of flight.

Owns the search for small bright things that are in one picture and neither in the one before nor in
the one after: ball, club head and glints are, the golfer isn't. `timing.launch` tells which of
them is the ball.
"""

from __future__ import annotations

from math import pi

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray, IntArray
from capturestation.timing.ball import BallBracket
from capturestation.timing.launch import SPAN_NS, Sighting
from capturestation.tracking.ball import BallSpot

_APART_NS = 6_000_000
# In that time a soft pitch's ball has left its own place, even seen from behind.
_LEAST_STEP = 10.0
_SHARE = 0.18
# A ball smeared over four times its size still changes the picture by this share of its contrast.
_LEAST_AREA = 0.15
_MOST_AREA = 14.0
_LONGEST_R = 16.0
_MOST_IN_ONE = 8


def flying_spots(
    greys: FrameArray, times_ns: IntArray, spot: BallSpot, bracket: BallBracket
) -> tuple[Sighting, ...]:
    """Find what may be the ball in the pictures after contact.

    Args:
        greys: (n, h, w) pictures around contact, none left out from just before it to some 70 ms
            after it.
        times_ns: (n,) their stamps.
        spot: Where the ball rested.
        bracket: Between which frames it left.

    Returns:
        Places in time order, the most striking of each picture.

    Raises:
        ValueError: If pictures and stamps don't fit together.
    """
    if greys.ndim != 3 or times_ns.shape != (len(greys),):
        msg = f"pictures (n, h, w) and stamps (n,), got {greys.shape} and {times_ns.shape}"
        raise ValueError(msg)
    contrast = _contrast(greys, times_ns, spot, bracket)
    inside = (times_ns > bracket.last_with_ns) & (times_ns <= bracket.first_without_ns + SPAN_NS)
    seen: list[Sighting] = []
    for n in np.flatnonzero(inside):
        before = np.flatnonzero(times_ns <= times_ns[n] - _APART_NS)
        after = np.flatnonzero(times_ns >= times_ns[n] + _APART_NS)
        if len(before) and len(after):
            lone = _lone(greys[n], greys[before[-1]], greys[after[0]], contrast)
            seen.extend(_sightings(lone, int(times_ns[n]), spot, abs(contrast)))
    return tuple(seen)


def _contrast(greys: FrameArray, times_ns: IntArray, spot: BallSpot, bracket: BallBracket) -> float:
    """Grey of the ball over that of the ground; below 0 for a dark ball."""
    reach = max(round(0.6 * spot.radius_px), 1)
    x, y = round(spot.x_px), round(spot.y_px)
    middle = greys[:, max(y - reach, 0) : y + reach + 1, max(x - reach, 0) : x + reach + 1]
    level = middle.reshape(len(greys), -1).mean(axis=1)
    return float(
        np.median(level[times_ns <= bracket.last_with_ns])
        - np.median(level[times_ns >= bracket.first_without_ns])
    )


def _lone(grey: FrameArray, before: FrameArray, after: FrameArray, contrast: float) -> FloatArray:
    """By how much each pixel is more like a ball than in both other pictures."""
    if contrast >= 0:
        step = grey.astype(np.float64) - np.maximum(before, after)
    else:
        step = np.minimum(before, after).astype(np.float64) - grey
    return step


def _sightings(lone: FloatArray, time_ns: int, spot: BallSpot, contrast: float) -> list[Sighting]:
    limit = max(_LEAST_STEP, _SHARE * contrast)
    mask = (lone > limit).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    area = pi * spot.radius_px**2
    found: list[tuple[float, Sighting]] = []
    for label in range(1, count):
        left, top, width, height, size = (int(v) for v in stats[label])
        if not _LEAST_AREA * area <= size <= _MOST_AREA * area:
            continue
        if max(width, height) > _LONGEST_R * spot.radius_px:
            continue
        piece = labels[top : top + height, left : left + width] == label
        weight = np.where(piece, lone[top : top + height, left : left + width], 0.0)
        y, x = np.mgrid[top : top + height, left : left + width]
        found.append(
            (
                float(weight.sum()),
                Sighting(
                    time_ns=time_ns,
                    x_px=float(np.average(x, weights=weight)),
                    y_px=float(np.average(y, weights=weight)),
                    light=float(weight.sum()) / (area * max(contrast, 1.0)),
                ),
            )
        )
    found.sort(key=lambda pair: -pair[0])
    return [sighting for _, sighting in found[:_MOST_IN_ONE]]
