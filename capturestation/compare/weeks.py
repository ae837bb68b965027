"""A measure over the lessons: what a lesson's swings say together, and what changed since.

Owns the mean of a lesson with its error, and the change between two lessons beyond measuring and
beyond the player's own spread. Refuses to join units, and to call one swing's accident a change.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from capturestation.compare.differences import LEAST_SWINGS, Change, change
from capturestation.records import LessonId, Measured, SwingId

SPREAD_UNKNOWN = (
    f"The player's own spread is not known: it takes {LEAST_SWINGS} measured swings that lie "
    "beside another one of their lesson."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One swing's value.

    Args:
        swing: Which.
        measured: The value with its error.
        is_best: Whether the swing is starred.
    """

    swing: SwingId
    measured: Measured
    is_best: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonPoint:
    """What the swings of one lesson say of one measure.

    Args:
        lesson: Which.
        on: Its day.
        taken: Its swings' values, in the order struck; one at least.
        mean: Their mean; its random error is that of the mean, by measuring and by the spread.
        spread: Standard deviation from swing to swing; None of one swing alone.
    """

    lesson: LessonId
    on: date
    taken: tuple[Taken, ...]
    mean: Measured
    spread: float | None

    @property
    def best(self) -> Measured | None:
        """The value of the latest starred swing of this lesson."""
        starred = [one.measured for one in self.taken if one.is_best]
        return starred[-1] if starred else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One measure over the lessons.

    Args:
        name: The measure's full name.
        unit: Its unit.
        points: A point a lesson, oldest first.
        spread: The player's own spread within lessons, all together; None while too few swings
            are there.
        since_first: Last lesson against the first; None of one lesson alone.
        since_best: Last lesson against the lesson of the latest starred swing before it; None
            where there is none.
    """

    name: str
    unit: str
    points: tuple[LessonPoint, ...]
    spread: float | None
    since_first: Change | None
    since_best: Change | None


def lesson_point(
    lesson: LessonId, on: date, taken: Sequence[Taken], spread: float | None
) -> LessonPoint:
    """Join one lesson's swings.

    Systematic errors don't shrink by repeating; random ones and the spread do. Of few swings the
    spread is not known well, so the one of all lessons counts where it is known.

    Args:
        lesson: Which.
        on: Its day.
        taken: Its swings' values, of one unit.
        spread: The player's own, from all lessons.

    Raises:
        ValueError: If there is none, or the units differ.
    """
    units = {one.measured.unit for one in taken}
    if len(units) != 1:
        msg = f"a lesson's mean needs values of one unit, got {sorted(units)}"
        raise ValueError(msg)
    values = [one.measured.value for one in taken]
    own = float(np.std(values, ddof=1)) if len(values) > 1 else None
    measuring = math.sqrt(float(np.mean([one.measured.u_random**2 for one in taken])))
    # What is measured anew in each swing is part of the spread already.
    single = max(measuring, spread if spread is not None else own or 0.0)
    systematic = max(one.measured.u_systematic for one in taken)
    mean = Measured(
        value=float(np.mean(values)),
        unit=units.pop(),
        u_random=single / math.sqrt(len(values)),
        u_systematic=systematic,
        cause=taken[-1].measured.cause,
    )
    return LessonPoint(lesson=lesson, on=on, taken=tuple(taken), mean=mean, spread=own)


def own_spread(lessons: Sequence[Sequence[float]]) -> float | None:
    """Standard deviation within lessons, all together, so that progress is not called spread.

    Returns:
        None while fewer swings than `LEAST_SWINGS` lie beside another one of their lesson.

    Example:
        >>> own_spread([[1.0, 3.0], [11.0, 13.0], [21.0, 23.0]])
        1.4142135623730951
        >>> own_spread([[1.0, 3.0], [5.0]]) is None
        True
    """
    several = [np.asarray(values, dtype=np.float64) for values in lessons if len(values) > 1]
    count = sum(len(values) for values in several)
    if count < LEAST_SWINGS:
        return None
    squares = sum(float(((values - values.mean()) ** 2).sum()) for values in several)
    return math.sqrt(squares / (count - len(several)))


def course(
    name: str,
    lessons: Sequence[tuple[LessonId, date, Sequence[Taken]]],
    *,
    ways: tuple[str, str] | None = None,
    same_set_up: bool = False,
) -> Course:
    """A measure over the lessons, oldest first; only values of the newest unit are joined.

    Args:
        name: The measure's full name.
        lessons: Id, day and values of each lesson that has any.
        ways: What a larger and a smaller value are called.
        same_set_up: Whether all were filmed by the same cameras in the same places.

    Raises:
        ValueError: If there is no value at all.
    """
    every = [one for _, _, taken in lessons for one in taken]
    if not every:
        msg = f"{name}: no lesson has a value"
        raise ValueError(msg)
    unit = every[-1].measured.unit
    kept = [
        (lesson, on, [one for one in taken if one.measured.unit == unit])
        for lesson, on, taken in lessons
    ]
    kept = [(lesson, on, taken) for lesson, on, taken in kept if taken]
    spread = own_spread([[one.measured.value for one in taken] for _, _, taken in kept])
    points = tuple(lesson_point(lesson, on, taken, spread) for lesson, on, taken in kept)
    with_best = [point for point in points[:-1] if point.best is not None]

    def since(then: LessonPoint) -> Change:
        found = change(points[-1].mean, then.mean, same_set_up=same_set_up, ways=ways)
        # The spread is in the means' errors already.
        return replace(found, spread=spread, note="" if spread is not None else SPREAD_UNKNOWN)

    return Course(
        name=name,
        unit=unit,
        points=points,
        spread=spread,
        since_first=since(points[0]) if len(points) > 1 else None,
        since_best=since(with_best[-1]) if with_best else None,
    )
