"""The bottom of the arc of a swing without a ball, from how much moves.

Owns the zero of rehearsals, drills and misses. Seen face-on the club is fastest at its lowest
point, so most moves there. Seen down the line it flies away from the camera just then, and most
moves some 60 ms earlier, while arms and club still come down across the picture. Both are known far
less well than a strike, and say so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from capturestation.errors import TimingRefusedError
from capturestation.records import NS_PER_S, ErrorPart, FloatArray, Sync, SyncSource, View
from capturestation.swing.tracks import MotionTrack

_STEP_S = 0.002
_SMOOTH_S = 0.012
_NEAR_TOP = 0.75
# The peak's own noise decides its very top; three quarters of it are the way through the ball.
_FASTEST_LATE_S = {View.FACE_ON: 0.004, View.DOWN_THE_LINE: -0.062, View.EXTRA: 0.0}
_U_S = {View.FACE_ON: 0.015, View.DOWN_THE_LINE: 0.025, View.EXTRA: 0.060}
# The fastest motion against true contact on rendered swings of one invented golfer: 4 ms late
# (spread 0.3) and 61 to 66 ms early. Golfers and cameras' places differ by more than that.
_LEAST = 1e-9
_MOST_U_NS = 150_000_000
# A putter is at its fastest for 0.3 s; what is as fast for half a second or more is no swing.


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastest:
    """Where a recording has its fastest motion.

    Args:
        media_ns: On the recording's own clock.
        u_ns: Standard uncertainty.
    """

    media_ns: int
    u_ns: int


def fastest(track: MotionTrack) -> Fastest | None:
    """Find the middle of the fastest motion.

    Args:
        track: On the recording's own clock.

    Returns:
        The time; None where nothing moves.
    """
    if len(track.times_ns) < 3:
        return None
    at_s, level = _even(track.without_blinks())
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
    u_s = float(half_s) / sqrt(12)
    return Fastest(media_ns=round(middle_s * NS_PER_S), u_ns=round(u_s * NS_PER_S))


def place_at_arc(view: View, track: MotionTrack) -> Sync:
    """Put one recording of a swing without a ball on the swing's clock.

    Args:
        view: Whose recording.
        track: On the recording's own clock.

    Raises:
        TimingRefusedError: If nothing moves, or nothing faster than the rest.
    """
    bottom = fastest(track)
    if bottom is None or bottom.u_ns > _MOST_U_NS:
        raise TimingRefusedError(
            f"No swing is seen in the {view} recording.",
            try_next="Choose the file that shows the swing, or place its lowest point by hand.",
            subject=str(view),
        )
    late_ns, view_u_ns = (round(by[view] * NS_PER_S) for by in (_FASTEST_LATE_S, _U_S))
    parts = (
        ErrorPart(cause="the fastest motion", u_ns=bottom.u_ns),
        ErrorPart(cause="the fastest motion against the lowest point", u_ns=view_u_ns),
    )
    u_ns = round(hypot(bottom.u_ns, view_u_ns))
    return Sync(
        view=view,
        swing_minus_media_ns=late_ns - bottom.media_ns,
        u_ns=u_ns,
        source=SyncSource.PICTURE,
        parts=parts,
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
