"""A swing seen while it goes on, from how much moves: set, back, top, through, finish.

Owns the rule by which swings without a strike are noticed: rehearsals, misses, putts. Says when
most moved; `swing.arc` places the kept recording exactly. Refuses pictures: `tracking` turns them
into numbers.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from capturestation.records import NS_PER_S, FloatArray

_HELD_S = 5.0
_AFTER_S = 1.6
# Whoever finishes stands for half a second by then.
_BEFORE_S = 1.8
_PEAK_ALONE_S = 1.2
_SET_S, _FINISH_S = (-2.4, -0.5), (0.3, 1.6)
_TOP_S = (-0.75, -0.08)
# From the top to the lowest point: a quarter of a second with a driver, half of one with a putter.
_BACK_S = 0.75
_STILL_FOR_S = 0.35
_STILL, _TOP, _BACK = 0.15, 0.6, 0.12
# Shares of the peak; a golfer breathes, shifts a foot and wobbles at the finish.
_OVER_NOISE = 6.0
_LEAST = 0.02
# Mean grey step over a picture; a putter's head a hand's breadth long still makes twice as much.
_SLOWEST_HZ = 8.0


class SwingSpotter:
    """Notices swings in how much moves, some 1.6 s after their lowest point."""

    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        """Begin anew: what comes next does not follow on what came."""
        self._at_ns: deque[int] = deque()
        self._energy: deque[float] = deque()
        self._judged_ns = -(1 << 62)

    def add(self, at_ns: int, energy: float) -> int | None:
        """Take what moved next.

        Args:
            at_ns: When, rising.
            energy: How much, as `tracking.motion` measures it.

        Returns:
            When a swing had its fastest motion, once that is known; each swing once.
        """
        self._at_ns.append(at_ns)
        self._energy.append(energy)
        while at_ns - self._at_ns[0] > _HELD_S * NS_PER_S:
            self._at_ns.popleft()
            self._energy.popleft()
        return self._judge(at_ns)

    def _judge(self, now_ns: int) -> int | None:
        seconds = (np.array(self._at_ns) - now_ns) / NS_PER_S
        level = np.array(self._energy)
        ripe = (seconds <= -_AFTER_S) & (np.array(self._at_ns) > self._judged_ns)
        if not ripe.any() or seconds[0] > -_AFTER_S - _BEFORE_S:
            return None
        for place in np.flatnonzero(ripe):
            self._judged_ns = self._at_ns[place]
            if _is_swing(seconds - seconds[place], level, int(place)):
                return self._judged_ns
        return None


def _is_swing(since_s: FloatArray, level: FloatArray, place: int) -> bool:
    peak = float(level[place])
    near = np.abs(since_s) <= _PEAK_ALONE_S
    noise = float(np.quantile(level, 0.1))
    if peak < max(_LEAST, _OVER_NOISE * noise) or peak < level[near].max():
        return False
    if near.sum() < 2 * _PEAK_ALONE_S * _SLOWEST_HZ:
        return False
    top = (since_s >= _TOP_S[0]) & (since_s <= _TOP_S[1])
    if not top.any() or level[top].min() > _TOP * peak:
        return False
    top_s = float(since_s[top][np.argmin(level[top])])
    back = (since_s >= top_s - _BACK_S) & (since_s <= top_s)
    if level[back].max() < max(_BACK * peak, 1.2 * float(level[top].min())):
        return False
    limit = _STILL * peak + noise
    return _stands(since_s, level, _SET_S, limit) and _stands(since_s, level, _FINISH_S, limit)


def _stands(
    since_s: FloatArray, level: FloatArray, span_s: tuple[float, float], limit: float
) -> bool:
    """Whether for a while of the span hardly anything moves."""
    inside = (since_s >= span_s[0]) & (since_s <= span_s[1])
    began_s: float | None = None
    for at_s, low in zip(since_s[inside].tolist(), (level[inside] <= limit).tolist(), strict=True):
        if not low:
            began_s = None
            continue
        began_s = at_s if began_s is None else began_s
        if at_s - began_s >= _STILL_FOR_S:
            return True
    return False
