"""How much moves in a view, from its grey pictures.

Owns the way from pictures to a motion track. Refuses files: pictures come in, one after another,
so that a clip is never held whole.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import TYPE_CHECKING

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray, IntArray
from capturestation.swing.tracks import MotionTrack

if TYPE_CHECKING:
    from collections.abc import Iterator

WIDTH_PX = 320
# A club shaft is still a pixel wide there, and a frame takes a fraction of a millisecond.
_SIGMAS = 4.0
_SPARSE = 3
# Every third row and column tell the middle as well, nine times as fast.
_DARK = 8.0
# Added to both, so that black doesn't make a ratio of nothing.
_LEAST_STEP = 2.0
_APART_NS, _LEAST_STEP_NS = 8_333_333, 1_000_000
# Nearer in time a slow club moves less than the pictures' own noise; then it would be still.


def motion_energy(greys: Iterable[FrameArray], times_ns: IntArray) -> MotionTrack:
    """Measure how much changes from each picture to the next.

    Brightness that changes everywhere alike (lamps, exposure) is taken out first, and changes no
    greater than the pictures' own noise don't count.

    Args:
        greys: n pictures, (h, w) uint8, all of one size.
        times_ns: (n,) their stamps, rising.

    Returns:
        n - 1 energies at the times half way between the pictures compared, which lie 1/120 s apart
        or are neighbours; 0 is stillness, and the number is the mean step of grey over the picture,
        so it grows with size and speed of what moves.

    Raises:
        ValueError: If there are not as many pictures as stamps.
    """
    apart = _apart(times_ns)
    energy = np.fromiter((_change(a, b) for a, b in _pairs(greys, apart)), dtype=np.float64)
    if len(energy) != max(len(times_ns) - 1, 0):
        msg = f"{len(energy) + 1} pictures and {len(times_ns)} stamps"
        raise ValueError(msg)
    later = times_ns[1:]
    earlier = times_ns[np.maximum(np.arange(1, len(times_ns)) - apart, 0)]
    middles: IntArray = (earlier + (later - earlier) // 2).astype(np.int64)
    return MotionTrack(times_ns=middles, energy=energy)


def _apart(times_ns: IntArray) -> int:
    """How many pictures back the one lies that a picture is compared with."""
    step_ns = float(np.median(np.diff(times_ns))) if len(times_ns) > 1 else _APART_NS
    return max(round(_APART_NS / max(step_ns, _LEAST_STEP_NS)), 1)


def _pairs(greys: Iterable[FrameArray], apart: int) -> Iterator[tuple[FloatArray, FloatArray]]:
    before: deque[FloatArray] = deque(maxlen=apart)
    for grey in greys:
        now = _small(grey)
        if before:
            yield before[0], now
        before.append(now)


def _small(grey: FrameArray) -> FloatArray:
    """Small, blurred, and as bright as every other picture in its middle."""
    height, width = grey.shape
    scale = min(1.0, WIDTH_PX / width)
    size = (max(round(width * scale), 1), max(round(height * scale), 1))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA) if scale < 1 else grey
    return cv2.GaussianBlur(small, (0, 0), 1.0).astype(np.float64)


def _change(before: FloatArray, now: FloatArray) -> float:
    sparse = np.s_[::_SPARSE, ::_SPARSE]
    gain = float(np.median((now[sparse] + _DARK) / (before[sparse] + _DARK)))
    step = np.abs(now - (before + _DARK) * gain + _DARK)
    # At most half of a picture moves in a swing, so the middle step is noise; noise's steps follow
    # a half-normal, whose median is 0.67 standard deviations.
    noise = float(np.median(step[sparse])) / 0.6745
    over = step - max(_SIGMAS * noise, _LEAST_STEP)
    return float(np.maximum(over, 0.0).mean())
