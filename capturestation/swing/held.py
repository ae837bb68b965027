"""How long a golfer keeps his balance after the finish.

Owns when balance is lost: the hips leave their place, or a foot does. Refuses to call a finish
short because its recording was: then it says how long it was seen to be held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import hypot

import numpy as np

from capturestation.records import (
    NS_PER_S,
    BoolArray,
    FloatArray,
    IntArray,
    Mark,
    Measured,
    Moment,
    Result,
)
from capturestation.swing.figure import POINTS, Figure
from capturestation.swing.marks import effective_marks
from capturestation.swing.measuring import BY_PICTURES, METHOD, Errors
from capturestation.swing.tracks import Joint

HELD = "finish held"
LONG_S = 2.0
"""So long is enough; a recording that ends earlier with the golfer still there can't tell."""
_LEAVES = {
    (Joint.LEAD_HIP, Joint.TRAIL_HIP): 0.06,
    (Joint.LEAD_ANKLE,): 0.05,
    (Joint.TRAIL_TOE,): 0.08,
}
# Shares of the height from nose to ankles, 10, 8 and 13 cm of most golfers: who sways less stands,
# and a step is twice that. The middle of these joints leaves its place by so much.
_FOR_S = 0.15
# For shorter it was a joint seen wrongly.
_UNSEEN_S = 0.3
_NEVER = np.iinfo(np.int64).max


def held_finish(
    figure: Figure | None,
    marks: Iterable[Mark],
    *,
    stated: Errors,
    why_none: str = "",
) -> Result:
    """How long the finish was held.

    Args:
        figure: The golfer by pictures, in his own heights; None where there is none.
        marks: Found and hand's together; the hand's count.
        stated: How well it is known when a golfer leaves his place, seconds.
        why_none: Why there is no figure, a sentence.
    """
    finish = effective_marks(marks).get(Moment.FINISH)

    def missing(why: str) -> Result:
        return Result(name=HELD, moment=Moment.FINISH, why_missing=why, method=METHOD)

    if figure is None:
        return missing(why_none or "Nobody looked for the body.")
    if finish is None or finish.at_ns is None:
        return missing(f"'{Moment.FINISH}' is not marked.")
    leaves_ns, ends_ns = _leaves(figure, finish.at_ns)
    if ends_ns is None:
        return missing("It needs the body there.")
    held_s = (min(leaves_ns, ends_ns) - finish.at_ns) / NS_PER_S
    whole_u_s = hypot(stated.u_random, stated.u_systematic, _u_s(finish))
    if leaves_ns > ends_ns and held_s - 2.0 * whole_u_s < LONG_S:
        return missing(
            f"It was held for {max(held_s, 0.0):.1f} s until the body is not seen any more: a "
            f"recording that goes on for {LONG_S:.0f} s after the finish shows whether it was held."
        )
    cause = "until the recording ends" if leaves_ns > ends_ns else "when the golfer leaves it"
    if leaves_ns <= ends_ns:
        held_s -= stated.offset
    measured = Measured(value=max(held_s, 0.0), unit="s", u_random=whole_u_s, cause=cause)
    return Result(
        name=HELD, moment=Moment.FINISH, measured=measured, method=f"{METHOD} {BY_PICTURES}"
    )


def _u_s(mark: Mark) -> float:
    if mark.early_ns is None or mark.late_ns is None:
        return 0.0
    return (mark.late_ns - mark.early_ns) / 4 / NS_PER_S


def _leaves(figure: Figure, at_ns: int) -> tuple[int, int | None]:
    """When balance is lost, never where it isn't, and until when that can be told."""
    after = figure.times_ns >= at_ns
    times_ns, there = figure.times_ns[after], figure.at(at_ns)
    if len(times_ns) < 2:
        return _NEVER, None
    first_ns, ends_ns = _NEVER, _NEVER
    for joints, share in _LEAVES.items():
        gone = _gone(figure.points[after], there, joints)
        known = np.isfinite(gone)
        if not known.any():
            return _NEVER, None
        ends_ns = min(ends_ns, _seen_until(times_ns, known))
        steady = _for_long(times_ns[known], gone[known] > share)
        if steady is not None:
            first_ns = min(first_ns, steady)
    return first_ns, ends_ns


def _gone(
    points: FloatArray, there: Mapping[str, FloatArray], joints: tuple[Joint, ...]
) -> FloatArray:
    """How far the middle of these joints is from where it was, (n,), by what is known of it."""
    places = [POINTS.index(str(joint)) for joint in joints]
    start = np.mean([there[joint] for joint in joints], axis=0)
    off = points[:, places].mean(axis=1) - start
    known = np.isfinite(off)
    squared = np.where(known, off, 0.0) ** 2
    return np.where(known.any(axis=1), np.sqrt(squared.sum(axis=1)), np.nan)


def _seen_until(times_ns: IntArray, known: BoolArray) -> int:
    """The last time before the first long gap."""
    seen = times_ns[known]
    gaps = np.flatnonzero(np.diff(seen) > _UNSEEN_S * NS_PER_S)
    return int(seen[gaps[0]] if len(gaps) else seen[-1])


def _for_long(times_ns: IntArray, off: BoolArray) -> int | None:
    """When something begins that lasts; None where nothing does."""
    begun: int | None = None
    for time_ns, is_off in zip(times_ns.tolist(), off.tolist(), strict=True):
        if not is_off:
            begun = None
        elif begun is None:
            begun = time_ns
        elif time_ns - begun >= _FOR_S * NS_PER_S:
            return begun
    return None
