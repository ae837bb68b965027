"""Where the ball lies in a view.

Owns the search in whole pictures around the strike and the patches cut there. `timing.ball` reads
the patches; nothing here says when the ball left.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray, IntArray

_BEFORE_NS = (-300_000_000, -60_000_000)
_AFTER_NS = (120_000_000, 450_000_000)
# Before, the club is away from the ball or still coming; after, the ball has left every picture.
_FEWEST = 3
_SMALLEST_PX = 1.2
_FEWEST_PX = 5
# Fewer pixels don't make the smallest radius, however full they are.
_LARGEST_SHARE = 0.04
# A ball is 43 mm; a picture that shows a golfer is 2 m high or more.
_LEAST_STEP = 14.0
_FULLEST = 0.75
_SIDES = 0.55
_UPPER_END = 0.45
# Balls lie in the lower half of a picture that shows the feet.
PATCH_RADII = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BallSpot:
    """A resting ball in a picture.

    Args:
        x_px: Middle, centre of the top-left pixel is 0.
        y_px: Middle.
        radius_px: Radius.
        confidence: 0..1, against the next best place.
    """

    x_px: float
    y_px: float
    radius_px: float
    confidence: float


def find_ball(greys: FrameArray, times_ns: IntArray, strike_ns: int) -> BallSpot | None:
    """Find what lay still before the strike, small and round, and is gone after it.

    Args:
        greys: (n, h, w) pictures around the strike, about half a second on either side.
        times_ns: (n,) their stamps.
        strike_ns: The strike on the same clock, within some 50 ms.

    Returns:
        The place; None where nothing is like a ball.

    Raises:
        ValueError: If pictures and stamps don't fit together.
    """
    if greys.ndim != 3 or times_ns.shape != (len(greys),):
        msg = f"pictures (n, h, w) and stamps (n,), got {greys.shape} and {times_ns.shape}"
        raise ValueError(msg)
    before = _usual(greys, times_ns - strike_ns, _BEFORE_NS)
    after = _usual(greys, times_ns - strike_ns, _AFTER_NS)
    if before is None or after is None:
        return None
    ranked = changed_spots(before, after, highest=_UPPER_END * greys.shape[1])
    if not ranked:
        return None
    score, best = ranked[0]
    rival = ranked[1][0] / score if len(ranked) > 1 else 0.0
    return BallSpot(
        x_px=best.x_px,
        y_px=best.y_px,
        radius_px=best.radius_px,
        confidence=float(np.clip(best.confidence * (1 - rival**2), 0.0, 1.0)),
    )


def changed_spots(
    before: FloatArray, after: FloatArray, *, highest: float = 0.0
) -> list[tuple[float, BallSpot]]:
    """Small round places that differ between two pictures, with how like a ball each is.

    Args:
        before: (h, w) grey.
        after: (h, w) grey; where it is brighter or darker all over, that is taken out.
        highest: Row above which no ball lies.

    Returns:
        Likeness and place, the most likely first. What came is found as well as what went.
    """
    gone = _evened(before, after)
    spots = [_spot(gone, blob, highest) for blob in _blobs(gone)]
    return sorted((spot for spot in spots if spot is not None), key=lambda pair: -pair[0])


def cut_patches(greys: FrameArray, spot: BallSpot) -> FrameArray:
    """The square around the ball from every picture, (n, size, size); moved in at the edges."""
    _, height, width = greys.shape
    half = max(round(PATCH_RADII * spot.radius_px), 5)
    size = min(2 * half + 1, height, width)
    top = int(np.clip(round(spot.y_px) - size // 2, 0, height - size))
    left = int(np.clip(round(spot.x_px) - size // 2, 0, width - size))
    return greys[:, top : top + size, left : left + size]


def _usual(greys: FrameArray, since_ns: IntArray, span_ns: tuple[int, int]) -> FloatArray | None:
    """The middle picture of a span: whatever passes through it is not in it."""
    inside = np.flatnonzero((since_ns >= span_ns[0]) & (since_ns <= span_ns[1]))
    if len(inside) < _FEWEST:
        return None
    some = inside[np.linspace(0, len(inside) - 1, min(len(inside), 21)).astype(int)]
    usual: FloatArray = np.median(greys[some], axis=0).astype(np.float64)
    return usual


def _evened(before: FloatArray, after: FloatArray) -> FloatArray:
    """How much brighter or darker each pixel was before, the lamps' change taken out."""
    gain = float(np.median((after + 8) / (before + 8)))
    change: FloatArray = (before + 8) * gain - 8 - after
    return change


@dataclass(frozen=True, slots=True, kw_only=True)
class _Blob:
    mask: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    left: int
    top: int


def _blobs(gone: FloatArray) -> list[_Blob]:
    """Connected places that changed, brighter and darker ones apart."""
    noise = float(np.median(np.abs(gone))) / 0.6745
    limit = max(_LEAST_STEP, 6 * noise)
    blobs: list[_Blob] = []
    for sign in (1.0, -1.0):
        mask = (sign * gone > limit).astype(np.uint8)
        count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
        large = 1 + np.flatnonzero(stats[1:count, cv2.CC_STAT_AREA] >= _FEWEST_PX)
        for label in large.tolist():
            left, top, width, height = (int(v) for v in stats[label, :4])
            piece = labels[top : top + height, left : left + width] == label
            blobs.append(_Blob(mask=piece, left=left, top=top))
    return blobs


def _spot(gone: FloatArray, blob: _Blob, highest: float) -> tuple[float, BallSpot] | None:
    """How much a blob is like a ball, and the ball it would be."""
    height = len(gone)
    rows, columns = blob.mask.shape
    step = np.abs(gone[blob.top : blob.top + rows, blob.left : blob.left + columns])
    # Pixels half covered count half, so small balls keep their true size.
    full = float(np.quantile(step[blob.mask], 0.9))
    radius = sqrt(float(np.minimum(step / full, 1.0)[blob.mask].sum()) / pi)
    if not _SMALLEST_PX <= radius <= max(_LARGEST_SHARE * height, 3.0):
        return None
    y, x = np.nonzero(blob.mask)
    weight = step[blob.mask]
    middle_y, middle_x = float(np.average(y, weights=weight)), float(np.average(x, weights=weight))
    # Of an ellipse that fills its box: exact roundness means nothing on a blob of ten pixels.
    filled = float(blob.mask.sum()) / (pi / 4 * rows * columns)
    side = min(rows, columns) / max(rows, columns)
    if filled < _FULLEST or side < _SIDES or blob.top + middle_y < highest:
        return None
    alone = 1.0 - _changed_around(gone, blob)
    bright = float(gone[blob.top + y[0], blob.left + x[0]]) > 0
    score = full * min(filled, 1.0) * side * alone**2 * (1.0 if bright else 0.5)
    spot = BallSpot(
        x_px=blob.left + middle_x,
        y_px=blob.top + middle_y,
        radius_px=radius,
        confidence=float(min(filled, 1.0) * alone * min(full / 60, 1.0)),
    )
    return score, spot


def _changed_around(gone: FloatArray, blob: _Blob) -> float:
    """Share of the pixels around a blob that changed as well: a ball lies alone, a shoe doesn't."""
    rows, columns = blob.mask.shape
    reach = max(rows, columns)
    top, left = max(blob.top - reach, 0), max(blob.left - reach, 0)
    around = np.abs(gone[top : blob.top + rows + reach, left : blob.left + columns + reach])
    ring = around.size - rows * columns
    own = np.abs(gone[blob.top : blob.top + rows, blob.left : blob.left + columns])
    changed = int((around > _LEAST_STEP).sum()) - int((own > _LEAST_STEP).sum())
    return changed / max(ring, 1)
