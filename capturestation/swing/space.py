"""How well a golfer in space is known: what his points can be off by, and a measure with them.

Owns the three causes apart: each point by its pixels, all points together by where the cameras
stand, and all together by how well the views' clocks are known to each other. Refuses cameras.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

import numpy as np

from capturestation.records import FloatArray
from capturestation.swing.figure import HEAD, POINTS, Figure
from capturestation.swing.formulas import At

HEAD_OPEN_M = 0.03
"""How far the club head may be off by the views' clocks, one standard uncertainty, before it has no
place in space: 6 cm either way is what a shaft leans by in 4 degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Standard uncertainty of a value by cause, in its own unit.

    Args:
        own: By the pixels of its points.
        bay: By where the cameras stand; stays until they are measured anew.
        phase: By how well the views' clocks are known to each other.
    """

    own: float
    bay: float
    phase: float


class _Noted(dict[str, FloatArray]):
    """Points that remember which of them were asked for."""

    def __init__(self, points: At) -> None:
        super().__init__(points)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> FloatArray:
        self.asked.add(str(name))
        return super().__getitem__(name)


def asked_of(value: Callable[[At, At], float], there: At, at_set: At) -> frozenset[str]:
    """The points that a measure is taken from at the moment itself."""
    noted = _Noted(there)
    value(noted, at_set)
    return frozenset(noted.asked)


def parts_of(
    figure: Figure, value: Callable[[At, At], float], at_ns: int, set_ns: int
) -> Parts | None:
    """What a measure makes of all that its points can be off by; None for a figure without that.

    Args:
        figure: In space.
        value: The measure, from the points at the moment and those at set.
        at_ns: The moment.
        set_ns: Set; where it is the moment itself the points are off by the same.
    """
    spread = figure.spread
    if spread is None:
        return None
    there, at_set = _Noted(figure.at(at_ns)), _Noted(figure.at(set_ns))
    whole = value(there, at_set)
    here, then = (_nearest(figure, time_ns) for time_ns in (at_ns, set_ns))

    def off(steps: FloatArray | None, steps_at_set: FloatArray | None) -> float:
        """By how much the value is another where points are moved by these, (24, 3) each."""
        moved = value(_moved(there, steps), _moved(at_set, steps_at_set)) - whole
        moved = (moved + 180.0) % 360.0 - 180.0 if abs(moved) > 180.0 else moved
        return moved if np.isfinite(moved) else 0.0

    own = _alone(spread.own[here], there.asked, lambda s: off(s, s if here == then else None))
    if here != then:
        own += _alone(spread.own[then], at_set.asked, lambda s: off(None, s))
    bay = sum(
        off(spread.by_bay[here, ..., k], spread.by_bay[then, ..., k]) ** 2
        for k in range(spread.by_bay.shape[-1])
    )
    phase = off(spread.by_phase[here], spread.by_phase[then])
    return Parts(own=sqrt(own), bay=sqrt(bay), phase=abs(phase))


def _alone(own: FloatArray, asked: set[str], off: Callable[[FloatArray], float]) -> float:
    """The variance by points that are off each by itself."""
    total = 0.0
    for name in sorted(asked):
        place = POINTS.index(name)
        for column in range(3):
            steps = np.zeros((len(POINTS), 3))
            steps[place] = own[place, :, column]
            total += off(steps) ** 2
    return total


def _moved(points: _Noted, steps: FloatArray | None) -> At:
    """Those that were asked for, moved."""
    if steps is None:
        return points
    return {name: points[name] + steps[POINTS.index(name)] for name in sorted(points.asked)}


def _nearest(figure: Figure, time_ns: int) -> int:
    return int(np.abs(figure.times_ns - time_ns).argmin())


def why_no_head(figure: Figure, at_ns: int) -> str:
    """Why the club head has no place in space then, a sentence; empty where the clocks allow it."""
    if figure.spread is None:
        return ""
    open_m = float(figure.spread.head_open_m[_nearest(figure, at_ns)])
    if not open_m > HEAD_OPEN_M:
        return ""
    return (
        f"The views' clocks leave the club head open by {100 * 2 * open_m:.0f} cm there: "
        f"it is too quick for a place in space."
    )


def without_quick_heads(figure: Figure) -> Figure:
    """The same figure, the club head left out where the views' clocks don't allow it."""
    spread = figure.spread
    if spread is None:
        return figure
    points = figure.points.copy()
    points[spread.head_open_m > HEAD_OPEN_M, POINTS.index(HEAD)] = np.nan
    return Figure(times_ns=figure.times_ns, points=points, metres=figure.metres, spread=spread)
