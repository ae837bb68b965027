"""Which time of the earlier swing belongs to a time of today's.

Owns the map between two swings' clocks: through the moments that both have, impact on impact,
and at real speed outside them. Refuses to bend time backwards: a mark that would is left out
and the reason is kept.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.errors import ComparisonRefusedError
from capturestation.records import IntArray, Mark, MarkSource, Moment

LEAST_GAP_NS = 1_000_000
"""Two moments nearer than 1 ms are one to any camera here (a frame at 240 a second is 4 ms)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A shared moment that the map does not pass through, and why."""

    moment: Moment
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeMap:
    """A rising, piecewise straight map between two swings' clocks; slope 1 outside the knots.

    Results are whole nanoseconds, so a map that runs slower than real speed can give two
    neighbouring nanoseconds the same answer; it never falls. It is exact at the knots.

    Args:
        knots_now_ns: Times on today's clock, strictly rising, at least one.
        knots_then_ns: The same moments on the earlier swing's clock, strictly rising.
        moments: The moment at each knot, in the same order.
        left_out: Shared moments that could not be used.
    """

    knots_now_ns: tuple[int, ...]
    knots_then_ns: tuple[int, ...]
    moments: tuple[Moment, ...]
    left_out: tuple[LeftOut, ...] = ()

    def __post_init__(self) -> None:
        sizes = (len(self.knots_now_ns), len(self.knots_then_ns), len(self.moments))
        if len(set(sizes)) != 1 or not self.knots_now_ns:
            msg = f"as many knots on both sides as moments, at least one; got {sizes}"
            raise ValueError(msg)
        for knots in (self.knots_now_ns, self.knots_then_ns):
            if any(b <= a for a, b in itertools.pairwise(knots)):
                msg = f"knots must rise, got {knots}"
                raise ValueError(msg)

    def then_from_now(self, now_ns: IntArray) -> IntArray:
        """Times on the earlier swing's clock.

        Args:
            now_ns: Times on today's clock, any shape.

        Returns:
            The same shape; rounded to the nearest nanosecond.
        """
        return _through(now_ns, self.knots_now_ns, self.knots_then_ns)

    def now_from_then(self, then_ns: IntArray) -> IntArray:
        """Times on today's clock; undoes `then_from_now` to half of (1 + now per then) ns.

        Args:
            then_ns: Times on the earlier swing's clock, any shape.
        """
        return _through(then_ns, self.knots_then_ns, self.knots_now_ns)

    @property
    def said(self) -> str:
        """How the two are laid together, in one sentence for the coach."""
        if len(self.moments) == 1:
            return f"Laid together at {self.moments[0]}, both at real speed."
        names = ", ".join(f'"{moment}"' for moment in self.moments)
        return f"Laid together at {names}; the earlier swing's speed is fitted in between."


def _through(at_ns: IntArray, from_knots: tuple[int, ...], to_knots: tuple[int, ...]) -> IntArray:
    """Walk on from the knot to the left, so that a float never carries more than one stretch."""
    source = np.asarray(from_knots, dtype=np.int64)
    target = np.asarray(to_knots, dtype=np.int64)
    slopes = np.concatenate(([1.0], np.diff(target) / np.diff(source), [1.0]))
    at = np.asarray(at_ns, dtype=np.int64)
    stretch = np.searchsorted(source, at, side="right")
    base = np.maximum(stretch - 1, 0)
    walked = np.rint((at - source[base]) * slopes[stretch]).astype(np.int64)
    return np.asarray(target[base] + walked, dtype=np.int64)


def at_shared_marks(now: Mapping[Moment, Mark], then: Mapping[Moment, Mark]) -> TimeMap:
    """Lay two swings together at every moment that both have.

    Impact is zero on both clocks by definition, whatever a mark says. Of two moments that
    contradict each other in order the better known stays: both set by hand first, then the
    nearer to impact, where a given error in time moves the club the most.

    Args:
        now: Today's marks, one a moment (the hand's where there are two).
        then: The earlier swing's marks.
    """
    shared = [m for m in Moment if m is not Moment.IMPACT and _at(now, m) is not None]
    shared = [m for m in shared if _at(then, m) is not None]
    knots = {Moment.IMPACT: (0, 0)}
    left_out = []
    for moment in sorted(shared, key=lambda m: _trust(m, now, then)):
        pair = (_known(now, moment), _known(then, moment))
        why = _order_broken(moment, pair, knots)
        if why:
            left_out.append(LeftOut(moment=moment, why=why))
        else:
            knots[moment] = pair
    order = sorted(knots, key=lambda m: m.place)
    return TimeMap(
        knots_now_ns=tuple(knots[m][0] for m in order),
        knots_then_ns=tuple(knots[m][1] for m in order),
        moments=tuple(order),
        left_out=tuple(sorted(left_out, key=lambda gone: gone.moment.place)),
    )


def _at(marks: Mapping[Moment, Mark], moment: Moment) -> int | None:
    mark = marks.get(moment)
    return None if mark is None else mark.at_ns


def _known(marks: Mapping[Moment, Mark], moment: Moment) -> int:
    if moment is Moment.IMPACT:
        return 0
    at_ns = _at(marks, moment)
    if at_ns is None:
        raise KeyError(moment)
    return at_ns


def _trust(
    moment: Moment, now: Mapping[Moment, Mark], then: Mapping[Moment, Mark]
) -> tuple[int, int]:
    by_hand = sum(marks[moment].source is MarkSource.HAND for marks in (now, then))
    return (-by_hand, abs(moment.place - Moment.IMPACT.place))


def _order_broken(
    moment: Moment, pair: tuple[int, int], knots: Mapping[Moment, tuple[int, int]]
) -> str:
    """Why this pair can't stand among the knots, or an empty text."""
    for other, known in knots.items():
        sign = 1 if moment.place > other.place else -1
        for at_ns, known_ns, which in zip(pair, known, ("today's", "the earlier"), strict=True):
            if sign * (at_ns - known_ns) < LEAST_GAP_NS:
                side = "after" if sign > 0 else "before"
                return f'in {which} swing "{moment}" does not lie 1 ms or more {side} "{other}"'
    return ""


def at_one_moment(
    moment: Moment, now: Mapping[Moment, Mark], then: Mapping[Moment, Mark]
) -> TimeMap:
    """Lay two swings together at one moment, both at real speed.

    Raises:
        ComparisonRefusedError: If one of the two has no such moment marked.
    """
    for marks, which in ((now, "Today's swing"), (then, "The earlier swing")):
        if moment is not Moment.IMPACT and _at(marks, moment) is None:
            raise ComparisonRefusedError(
                f'{which} has no time for "{moment}".',
                try_next="Mark it by hand, or lay the two together at impact.",
                subject=str(moment),
            )
    return TimeMap(
        knots_now_ns=(_known(now, moment),),
        knots_then_ns=(_known(then, moment),),
        moments=(moment,),
    )
