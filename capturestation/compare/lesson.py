"""A lesson's swings among each other and against the own best: which is typical, near, far.

Owns one distance for a whole swing: how many times its noise each measure lies off, all of them
together. Refuses to rank by measures that a swing lacks, and to call one swing typical of itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.records import Measured, SwingId

LEAST_SHARED = 3
"""Measures that two swings must share: of fewer, one slip of measuring decides."""
LEAST_FOR_TYPICAL = 3
"""Swings: of two, each is as typical as the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """How far a swing lies from something.

    Args:
        swing: Which.
        times_noise: Root mean square over its measures of the difference over its noise; about 1
            is what measuring and the spread alone make.
        measures: From how many.
    """

    swing: SwingId
    times_noise: float
    measures: int


def noise_of(swings: Mapping[SwingId, Mapping[str, Measured]]) -> dict[str, float]:
    """Each measure's noise in these swings: its random error, or the spread where that is larger.

    Args:
        swings: Each swing's measures by name.
    """
    by_name: dict[str, list[Measured]] = {}
    for measures in swings.values():
        for name, measured in measures.items():
            by_name.setdefault(name, []).append(measured)
    noise = {}
    for name, found in by_name.items():
        random = math.sqrt(float(np.mean([one.u_random**2 for one in found])))
        spread = float(np.std([one.value for one in found], ddof=1)) if len(found) > 1 else 0.0
        noise[name] = max(random, spread)
    return {name: size for name, size in noise.items() if size > 0}


def away_from(
    target: Mapping[str, Measured],
    swings: Mapping[SwingId, Mapping[str, Measured]],
    noise: Mapping[str, float],
) -> tuple[Away, ...]:
    """How far each swing lies from one, nearest first; those that share too few are left out.

    Args:
        target: Measures of the one.
        swings: Measures of the others.
        noise: Of each measure, from `noise_of`.
    """
    found = []
    for swing, measures in swings.items():
        shared = [
            name
            for name in measures
            if name in target and name in noise and measures[name].unit == target[name].unit
        ]
        if len(shared) < LEAST_SHARED:
            continue
        off = [(measures[name].value - target[name].value) / noise[name] for name in shared]
        size = math.sqrt(float(np.mean(np.square(off))))
        found.append(Away(swing=swing, times_noise=size, measures=len(shared)))
    return tuple(sorted(found, key=lambda one: (one.times_noise, one.swing)))


def most_typical(swings: Mapping[SwingId, Mapping[str, Measured]]) -> Away | None:
    """The swing nearest to the middle of all; None of too few swings or measures.

    The middle is the median, so that one mishit does not draw it along.
    """
    if len(swings) < LEAST_FOR_TYPICAL:
        return None
    by_name: dict[str, list[Measured]] = {}
    for measures in swings.values():
        for name, measured in measures.items():
            by_name.setdefault(name, []).append(measured)
    middle = {
        name: Measured(
            value=float(np.median([one.value for one in found])),
            unit=found[0].unit,
            u_random=found[0].u_random,
        )
        for name, found in by_name.items()
        if len(found) >= LEAST_FOR_TYPICAL and len({one.unit for one in found}) == 1
    }
    return next(iter(away_from(middle, swings, noise_of(swings))), None)
