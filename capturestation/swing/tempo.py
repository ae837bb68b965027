"""Tempo: how long the club goes back, how long it comes down, and how the two compare.

Owns the arithmetic and its errors: from club starts to top to impact.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot, sqrt

from capturestation.records import NS_PER_S, Mark, Measured, Moment, Result
from capturestation.swing.marks import effective_marks

BACK = "time back"
DOWN = "time down"
RATIO = "back to down"
METHOD = "tempo 1"
_NEEDED = {
    BACK: (Moment.CLUB_STARTS, Moment.TOP),
    DOWN: (Moment.TOP, Moment.IMPACT),
    RATIO: (Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT),
}


def tempo(marks: Iterable[Mark]) -> tuple[Result, ...]:
    """Time back and time down in seconds, and their ratio, each with its error.

    A moment lies anywhere in its mark's interval alike, so its standard uncertainty is the half
    width over root 3.

    Args:
        marks: Found and hand's together; the hand's count.

    Returns:
        Three results, each with a value or the reason why it is missing.
    """
    chosen = effective_marks(marks)
    return tuple(_result(name, needed, chosen) for name, needed in _NEEDED.items())


def _result(name: str, needed: tuple[Moment, ...], chosen: dict[Moment, Mark]) -> Result:
    for moment in needed:
        mark = chosen.get(moment)
        if mark is None:
            return Result(name=name, why_missing=f"'{moment}' is not marked.", method=METHOD)
        if not mark.occurs:
            return Result(name=name, why_missing=f"'{moment}' does not occur.", method=METHOD)
    at = [_at_s(chosen[moment]) for moment in needed]
    u = [_u_s(chosen[moment]) for moment in needed]
    if any(later <= earlier for earlier, later in pairwise(at)):
        return Result(name=name, why_missing="The marks are out of order.", method=METHOD)
    slopes = _slopes(at)
    value = _value(at)
    parts = [abs(slope) * one for slope, one in zip(slopes, u, strict=True)]
    worst = needed[parts.index(max(parts))]
    measured = Measured(
        value=value,
        unit="s" if len(at) == 2 else "ratio",
        u_random=hypot(*parts),
        cause=f"when '{worst}' is",
    )
    return Result(name=name, measured=measured, method=METHOD)


def _value(at_s: list[float]) -> float:
    if len(at_s) == 2:
        return at_s[1] - at_s[0]
    starts, top, impact = at_s
    return (top - starts) / (impact - top)


def _slopes(at_s: list[float]) -> tuple[float, ...]:
    """How much the value moves with each of its moments."""
    if len(at_s) == 2:
        return (-1.0, 1.0)
    starts, top, impact = at_s
    back, down = top - starts, impact - top
    return (-1 / down, 1 / down + back / down**2, -back / down**2)


def _at_s(mark: Mark) -> float:
    return (mark.at_ns or 0) / NS_PER_S


def _u_s(mark: Mark) -> float:
    return ((mark.late_ns or 0) - (mark.early_ns or 0)) / 2 / sqrt(3) / NS_PER_S
