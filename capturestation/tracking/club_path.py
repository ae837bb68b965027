"""The best path of the shaft's direction through time.

Owns the balance between what single pictures say and how fast a shaft turns. A quick flip, as a
shaft makes down the line when it passes through the lens's direction, is dear but not forbidden.
"""

from __future__ import annotations

import numpy as np

from capturestation.records import FloatArray, IntArray
from capturestation.tracking.club_rays import STEP_DEG, WAYS

_LEAST = 0.03
# What speaks for a direction for which nothing speaks: a shaft may be hidden.
_CALM_DEG, _FAST_DEG_S = 4.0, 900.0
# How far it turns without cost: nearly still, and per second; 1,500 a second is usual at impact.
_FLIP = 4.0


def best_path(evidence: FloatArray, times_ns: IntArray) -> IntArray:
    """Choose one direction for each picture.

    Args:
        evidence: (n, 180) 0..1.
        times_ns: (n,) rising.

    Returns:
        (n,) numbers of directions.
    """
    count = len(evidence)
    if count == 0:
        return np.zeros(0, dtype=np.int64)
    said = np.log(_LEAST + evidence)
    steps_s = np.diff(times_ns) / 1e9
    total, came = said[0], np.zeros((count, WAYS), dtype=np.int16)
    for place in range(1, count):
        reached = total[:, None] - _turning(float(steps_s[place - 1]))
        came[place] = reached.argmax(axis=0)
        total = reached[came[place], np.arange(WAYS)] + said[place]
    path = np.zeros(count, dtype=np.int64)
    path[-1] = int(total.argmax())
    for place in range(count - 1, 0, -1):
        path[place - 1] = came[place, path[place]]
    return path


def _turning(step_s: float) -> FloatArray:
    """What it costs to turn from one direction to another in that time, (180, 180)."""
    off = np.abs((np.arange(WAYS) + WAYS // 2) % WAYS - WAYS // 2) * STEP_DEG
    free = _CALM_DEG + _FAST_DEG_S * step_s
    cost = np.minimum(0.5 * (off / free) ** 2, _FLIP)
    return np.asarray(cost[(np.arange(WAYS)[:, None] - np.arange(WAYS)) % WAYS])
