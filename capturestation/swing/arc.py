"""The bottom of the arc of a swing without a ball, from how much moves.

Owns the zero of rehearsals, drills and misses. The club is fastest near its lowest point, so what
moves is greatest there; that is known far less well than a strike, and says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from capturestation.records import NS_PER_S, ErrorPart, FloatArray, Sync, SyncSource, View
from capturestation.swing.tracks import MotionTrack

_STEP_S = 0.002
_SMOOTH_S = 0.012
_NEAR_TOP = 0.75
# The peak's own noise decides its very top; three quarters of it are the way through the ball.
_U_S = 0.015
# Motion's peak against true contact on rendered swings: within 5 to 25 ms, either way.
_LAG_U_S = 0.004
_MOST_APART = 0.6
# Two views of one swing are alike in their motion by more than this.
_LEAST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcBottom:
    """Where a recording has the bottom of the arc.

    Args:
        media_ns: On the recording's own clock.
        u_ns: Standard uncertainty.
    """

    media_ns: int
    u_ns: int


def arc_bottom(track: MotionTrack) -> ArcBottom | None:
    """Find the middle of the fastest motion.

    Args:
        track: On the recording's own clock.

    Returns:
        The time; None where nothing moves.
    """
    if len(track.times_ns) < 3:
        return None
    at_s, level = _even(track)
    peak = int(np.argmax(level))
    if level[peak] <= _LEAST:
        return None
    over = level >= _NEAR_TOP * level[peak]
    first, last = peak, peak
    while first > 0 and over[first - 1]:
        first -= 1
    while last < len(level) - 1 and over[last + 1]:
        last += 1
    around = slice(first, last + 1)
    weight = level[around] - 0.9 * _NEAR_TOP * level[peak]
    middle_s = float(np.average(at_s[around], weights=weight))
    half_s = (at_s[last] - at_s[first]) / 2
    u_s = hypot(_U_S, float(half_s) / sqrt(12))
    return ArcBottom(media_ns=round(middle_s * NS_PER_S), u_ns=round(u_s * NS_PER_S))


def place_at_arc(tracks: Sequence[tuple[View, MotionTrack]]) -> tuple[Sync, ...] | None:
    """Put all views of a swing without a ball on one clock.

    The first view's own peak is zero; every other view is laid on it by its motion as a whole,
    which is alike from both sides and says their difference better than two peaks do.

    Args:
        tracks: Each on its recording's own clock.

    Returns:
        A place for each view; None where nothing moves in one of them.
    """
    bottoms = [arc_bottom(track) for _, track in tracks]
    known = [bottom for bottom in bottoms if bottom is not None]
    if not tracks or len(known) < len(tracks):
        return None
    first_ns = known[0].media_ns
    syncs = []
    for (view, track), bottom in zip(tracks, known, strict=True):
        at_ns, lag_u_ns = _laid_on(tracks[0][1], first_ns, track, bottom)
        syncs.append(_sync(view, at_ns, known[0].u_ns, lag_u_ns))
    return tuple(syncs)


def _laid_on(
    reference: MotionTrack, zero_ns: int, track: MotionTrack, bottom: ArcBottom
) -> tuple[int, int]:
    """Where `track` has the reference's zero, and what laying it there leaves uncertain."""
    if track is reference:
        return zero_ns, 0
    (a_s, a), (b_s, b) = _even(reference), _even(track)
    both = np.correlate(b - b.mean(), a - a.mean(), mode="full")
    norm = float(np.sqrt(np.sum((a - a.mean()) ** 2) * np.sum((b - b.mean()) ** 2)))
    best = int(np.argmax(both))
    if norm <= 0 or float(both[best]) / norm < _MOST_APART:
        return bottom.media_ns, round(_U_S * NS_PER_S * sqrt(2))
    lag_s = (best - (len(a) - 1)) * _STEP_S + float(b_s[0] - a_s[0])
    frame_s = float(np.median(np.diff(track.times_ns))) / NS_PER_S
    u_s = hypot(_LAG_U_S, frame_s / sqrt(12))
    return zero_ns + round(lag_s * NS_PER_S), round(u_s * NS_PER_S)


def _sync(view: View, at_ns: int, zero_u_ns: int, lag_u_ns: int) -> Sync:
    parts = (
        ErrorPart(cause="bottom of the arc by motion", u_ns=zero_u_ns),
        ErrorPart(cause="one view laid on the other", u_ns=lag_u_ns),
    )
    u_ns = round(hypot(zero_u_ns, lag_u_ns))
    return Sync(
        view=view,
        swing_minus_media_ns=-at_ns,
        u_ns=u_ns,
        source=SyncSource.PICTURE,
        parts=parts if lag_u_ns else parts[:1],
        said="No ball was struck: zero is the bottom of the arc, by the fastest motion, "
        f"give or take {2 * u_ns / 1e6:.0f} ms.",
    )


def _even(track: MotionTrack) -> tuple[FloatArray, FloatArray]:
    """The track on an even grid, smoothed."""
    seconds = track.times_ns / NS_PER_S
    at_s = np.arange(seconds[0], seconds[-1], _STEP_S)
    level = np.interp(at_s, seconds, track.energy)
    reach = round(3 * _SMOOTH_S / _STEP_S)
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) * _STEP_S / _SMOOTH_S) ** 2)
    padded = np.pad(level, reach, mode="edge")
    smooth: FloatArray = np.convolve(padded, weights / weights.sum(), mode="valid")
    return at_s, smooth
