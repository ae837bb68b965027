"""Dynamic time warping, and marks carried from one swing to another by it.

Owns the warping path (unit steps, cost summed over its cells) and proposals for moments that a
coach marked once by hand in an earlier swing. Refuses to say more than it knows: proposals carry
a wide interval and are found marks, so any hand's mark overrules them.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray, IntArray, Mark, MarkSource, Moment

METHOD = "carried-1"
GRID_NS = 4_000_000
"""Curves are compared on a 4 ms grid: about the frame time of the fastest camera in use."""
WIDE_NS = 40_000_000
"""Least half-width of a proposal: about one frame at 30 a second, the published tolerance."""
CONFIDENCE = 0.5
"""A proposal is as likely wrong as right until someone looks."""
LEAN = 0.05
"""Cost of leaving the straight line: keeps still stretches, where all times fit, in step."""
LEAST_POINTS = 3

Distance = Callable[[FloatArray, FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warp:
    """A cheapest path through a cost table.

    Args:
        total: Sum of the costs on the path.
        first: Row indices along the path, shape (n,), rising by 0 or 1.
        second: Column indices along the path, shape (n,), rising by 0 or 1.
    """

    total: float
    first: IntArray
    second: IntArray


def absolute(a: FloatArray, b: FloatArray) -> FloatArray:
    """The absolute difference."""
    return np.abs(a - b)


def squared(a: FloatArray, b: FloatArray) -> FloatArray:
    """The squared difference; the usual warping distance is the root of the path's total."""
    return np.square(a - b)


def warp_path(a: FloatArray, b: FloatArray, distance: Distance = absolute) -> Warp:
    """Warp two sequences of numbers onto each other, first on first and last on last.

    Args:
        a: Shape (n,).
        b: Shape (m,).
        distance: Cost of two values, element by element.

    Source:
        M. Müller, Fundamentals of Music Processing, section 3.2.
    """
    return warp_costs(distance(a[:, np.newaxis], b[np.newaxis, :]))


def warp_costs(costs: FloatArray) -> Warp:
    """Find the cheapest path through a table of costs by unit steps.

    Args:
        costs: Shape (n, m), none below 0, at least one cell.

    Raises:
        ValueError: If the table is empty, not a table, or holds something else than costs.
    """
    if costs.ndim != 2 or 0 in costs.shape:
        msg = f"costs must be a table with cells, got shape {costs.shape}"
        raise ValueError(msg)
    if not (np.isfinite(costs).all() and (costs >= 0).all()):
        msg = "costs must be finite and not below 0"
        raise ValueError(msg)
    sums = _accumulate(costs)
    first, second = _walk_back(sums)
    return Warp(total=float(costs[first, second].sum()), first=first, second=second)


def _accumulate(costs: FloatArray) -> FloatArray:
    """Cheapest sum up to each cell, one row at a time.

    Along a row D[j] = c[j] + min(up[j], D[j-1]). Less the running sum S of the row's costs, that is
    a running minimum of up[j] - S[j-1], which numpy does in one stroke.
    """
    sums = np.empty_like(costs, dtype=np.float64)
    sums[0] = np.cumsum(costs[0])
    for row in range(1, len(costs)):
        above = sums[row - 1]
        up = np.concatenate((above[:1], np.minimum(above[1:], above[:-1])))
        running = np.cumsum(costs[row])
        sums[row] = np.minimum.accumulate(up - (running - costs[row])) + running
    return sums


def _walk_back(sums: FloatArray) -> tuple[IntArray, IntArray]:
    """From the last cell to the first; a diagonal step wins a tie."""
    row, column = sums.shape[0] - 1, sums.shape[1] - 1
    path = [(row, column)]
    while row or column:
        steps = ((row - 1, column - 1), (row - 1, column), (row, column - 1))
        row, column = min(
            (step for step in steps if min(step) >= 0), key=lambda step: float(sums[step])
        )
        path.append((row, column))
    cells = np.array(path[::-1], dtype=np.int64)
    return cells[:, 0], cells[:, 1]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """How much moves in the picture over a swing.

    Args:
        times_ns: Swing clock, shape (n,), strictly rising, two or more.
        energy: Any measure of motion that is 0 at rest, shape (n,), finite.
    """

    times_ns: IntArray
    energy: FloatArray

    def __post_init__(self) -> None:
        if self.times_ns.shape != self.energy.shape or self.times_ns.ndim != 1:
            msg = f"one energy a time, got {self.times_ns.shape} and {self.energy.shape}"
            raise ValueError(msg)
        if len(self.times_ns) < 2 or (np.diff(self.times_ns) <= 0).any():
            msg = "two or more times that rise are needed"
            raise ValueError(msg)


def carry_marks(
    now: Curve,
    then: Curve,
    marks_then: Mapping[Moment, Mark],
    anchors: Sequence[tuple[int, int]] = (),
) -> tuple[Mark, ...]:
    """Propose in today's swing the moments that were marked in an earlier one.

    The two motion curves are warped onto each other between shared anchors; impact, zero on
    both clocks, always is one. Beyond the outer anchors the two run the same length of time.

    Args:
        now: Today's motion.
        then: The earlier swing's motion, from the same view.
        marks_then: The earlier swing's marks.
        anchors: Other shared times (now_ns, then_ns), rising on both sides with (0, 0).

    Returns:
        Found marks by "carried-1", in order of moments; a mark that the curves don't reach,
        impact, and what does not occur are not carried.

    Raises:
        ValueError: If the anchors don't rise on both sides.
    """
    knots = sorted({(0, 0), *anchors})
    if any(b[0] <= a[0] or b[1] <= a[1] for a, b in itertools.pairwise(knots)):
        msg = f"anchors must rise on both sides, got {knots}"
        raise ValueError(msg)
    carried = []
    ends = _with_ends(knots, now, then)
    for (now_a, then_a), (now_b, then_b) in itertools.pairwise(ends):
        inside = [
            mark
            for mark in marks_then.values()
            if mark.at_ns is not None and then_a < mark.at_ns < then_b
        ]
        if inside and _has_room(now_a, now_b) and _has_room(then_a, then_b):
            stretch = _Stretch.between(now, then, (now_a, now_b), (then_a, then_b))
            carried += [stretch.carry(mark) for mark in inside]
    return tuple(sorted(carried, key=lambda mark: mark.moment.place))


def _has_room(start_ns: int, stop_ns: int) -> bool:
    return stop_ns - start_ns >= LEAST_POINTS * GRID_NS


def _with_ends(knots: list[tuple[int, int]], now: Curve, then: Curve) -> list[tuple[int, int]]:
    before = min(knots[0][0] - int(now.times_ns[0]), knots[0][1] - int(then.times_ns[0]))
    after = min(int(now.times_ns[-1]) - knots[-1][0], int(then.times_ns[-1]) - knots[-1][1])
    head = [(knots[0][0] - before, knots[0][1] - before)] if before > 0 else []
    tail = [(knots[-1][0] + after, knots[-1][1] + after)] if after > 0 else []
    return [*head, *knots, *tail]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stretch:
    """Two curves warped between two shared times."""

    now_ns: IntArray
    then_ns: IntArray
    warp: Warp

    @classmethod
    def between(
        cls, now: Curve, then: Curve, now_ends: tuple[int, int], then_ends: tuple[int, int]
    ) -> _Stretch:
        now_ns, now_energy = _resample(now, now_ends)
        then_ns, then_energy = _resample(then, then_ends)
        off_line = absolute(
            np.linspace(0.0, 1.0, len(then_ns))[:, np.newaxis],
            np.linspace(0.0, 1.0, len(now_ns))[np.newaxis, :],
        )
        costs = absolute(then_energy[:, np.newaxis], now_energy[np.newaxis, :])
        return cls(now_ns=now_ns, then_ns=then_ns, warp=warp_costs(costs + LEAN * off_line))

    def carry(self, mark: Mark) -> Mark:
        if mark.at_ns is None or mark.early_ns is None or mark.late_ns is None:
            raise ValueError(mark)
        row = int(np.argmin(np.abs(self.then_ns - mark.at_ns)))
        met = self.now_ns[self.warp.second[self.warp.first == row]]
        at_ns = (int(met[0]) + int(met[-1])) // 2
        return Mark(
            moment=mark.moment,
            at_ns=at_ns,
            early_ns=int(met[0]) - max(WIDE_NS, mark.at_ns - mark.early_ns),
            late_ns=int(met[-1]) + max(WIDE_NS, mark.late_ns - mark.at_ns),
            confidence=CONFIDENCE,
            source=MarkSource.FOUND,
            method=METHOD,
        )


def _resample(curve: Curve, ends: tuple[int, int]) -> tuple[IntArray, FloatArray]:
    """On the grid between two times, as a share of the stretch's own greatest motion."""
    count = max((ends[1] - ends[0]) // GRID_NS + 1, LEAST_POINTS)
    times_ns = np.rint(np.linspace(ends[0], ends[1], count)).astype(np.int64)
    energy = np.interp(times_ns, curve.times_ns, curve.energy)
    most = float(energy.max())
    return times_ns, energy / most if most > 0 else energy
