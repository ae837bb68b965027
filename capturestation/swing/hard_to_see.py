"""How much wider errors are where the body network hardly sees the joints, as under wide clothes.

Owns that one factor and where it comes from. Wide clothes hide joints and move otherwise than they
do; the network then is less sure of all of them together, and is off by about twice as much. What
one joint is too unsure for is left out elsewhere (`swing.body`).
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from capturestation.records import FloatArray, IntArray, Mark
from capturestation.swing.marks import effective_marks
from capturestation.swing.tracks import BodyTrack

SURELY, HARDLY = 4.2, 3.6
"""How sure the network is of all joints face-on at the moments, the mean of -ln(1 - p). Ten
rendered golfers in a shirt were at 4.2 to 4.8, the same in rain clothes at 3.3 to 4.5. Down the
line, where half of him is hidden anyhow, it tells little. `tests.bench._loose` counts it anew."""
MOST_WIDER = 2.0
"""By how much errors are wider where joints are hardly seen: those of golfers in rain clothes were
about twice what they were in a shirt."""
NOTICED = 1.25
"""By so much wider it is worth saying."""
_NEAR_NS = 60_000_000
_MOST_SURE = 1e-6


def how_surely(track: BodyTrack, times_ns: IntArray) -> float:
    """How sure the network is of the golfer's joints at some times; NaN where it saw nobody.

    Args:
        track: As the network says it.
        times_ns: When, (n,) on the track's clock.
    """
    if not len(track.times_ns) or not len(times_ns):
        return float("nan")
    apart_ns = np.abs(track.times_ns[None] - times_ns[:, None])
    nearest = apart_ns.argmin(axis=1)[apart_ns.min(axis=1) <= _NEAR_NS]
    seen: FloatArray = track.seen[nearest]
    seen = seen[(seen > 0.0).any(axis=1)]
    if not len(seen):
        return float("nan")
    return float(np.mean(-np.log(np.maximum(1.0 - seen, _MOST_SURE))))


def wider_where_hardly_seen(track: BodyTrack | None, marks: Iterable[Mark]) -> float:
    """By how much stated errors of joints are wider, 1 where they are seen as in a shirt.

    Args:
        track: Of the face-on view, as the network says it, on the swing's clock; None without one.
        marks: The moments.
    """
    at_ns = [mark.at_ns for mark in effective_marks(marks).values() if mark.at_ns is not None]
    if track is None:
        return 1.0
    return wider_by(how_surely(track, np.array(at_ns, dtype=np.int64)))


def wider_by(surely: float) -> float:
    """By how much errors are wider where joints are seen so surely; 1 where that isn't known."""
    if not np.isfinite(surely):
        return 1.0
    return float(np.interp(surely, (HARDLY, SURELY), (MOST_WIDER, 1.0)))
