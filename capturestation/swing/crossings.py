"""When something is level: where a height crosses zero, with its error.

Owns the arithmetic of one crossing, of several estimates of one time, and of "never gets there".
Refuses to know what crosses.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from capturestation.records import FloatArray

_SLOPE_S = 0.030
# Half the stretch over which a crossing's speed is taken.
_SLOWEST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """How high something is over level, in shares of its own length, so that 0.1 is 6 degrees.

    Args:
        at_s: (n,) rising, swing clock.
        value: (n,) NaN where not known.
        u_random: Standard uncertainty of one value.
        u_systematic: Of all of them alike.
    """

    at_s: FloatArray
    value: FloatArray
    u_random: float
    u_systematic: float

    @property
    def u(self) -> float:
        """Both together."""
        return hypot(self.u_random, self.u_systematic)

    def known(self, start_s: float, stop_s: float) -> Height:
        """The known part between two times."""
        kept = np.isfinite(self.value) & (self.at_s >= start_s) & (self.at_s <= stop_s)
        return Height(
            at_s=self.at_s[kept], value=self.value[kept], u_random=self.u_random,
            u_systematic=self.u_systematic,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A time and its standard uncertainty, seconds of the swing's clock."""

    at_s: float
    u_s: float


def crossing(
    height: Height, start_s: float, stop_s: float, *, rising: bool, last: bool = False
) -> When | None:
    """When a height crosses level between two times.

    Args:
        height: What crosses.
        start_s: No earlier.
        stop_s: No later.
        rising: Upwards, or downwards.
        last: The last such crossing instead of the first.

    Returns:
        The time, with what the height's error and the pictures' distance make of it; None if it
        never does.

    Example:
        >>> ramp = Height(
        ...     at_s=np.linspace(0, 1, 11),
        ...     value=np.linspace(-0.5, 0.5, 11),
        ...     u_random=0.01,
        ...     u_systematic=0.0,
        ... )
        >>> found = crossing(ramp, 0.0, 1.0, rising=True)
        >>> round(found.at_s, 3)
        0.5
    """
    part = height.known(start_s, stop_s)
    sign = 1.0 if rising else -1.0
    over = sign * part.value
    places = np.flatnonzero((over[:-1] < 0.0) & (over[1:] >= 0.0))
    if len(places) == 0:
        return None
    place = int(places[-1 if last else 0])
    gap_s = float(part.at_s[place + 1] - part.at_s[place])
    share = float(-over[place] / (over[place + 1] - over[place]))
    at_s = float(part.at_s[place]) + share * gap_s
    speed = max(_speed(part, at_s, gap_s, sign), _SLOWEST)
    return When(at_s=at_s, u_s=hypot(height.u / speed, gap_s / sqrt(12) / 2))


def _speed(height: Height, at_s: float, gap_s: float, sign: float) -> float:
    reach = max(_SLOPE_S, 1.5 * gap_s)
    near = np.abs(height.at_s - at_s) <= reach
    if near.sum() < 2:
        return 0.0
    return sign * float(np.polyfit(height.at_s[near] - at_s, height.value[near], 1)[0])


def highest(height: Height, start_s: float, stop_s: float) -> float | None:
    """How high it gets between two times, leaps of single pictures left out; None if unknown."""
    part = height.known(start_s, stop_s)
    if len(part.value) < 3:
        return None
    three = np.sort(np.stack([part.value[:-2], part.value[1:-1], part.value[2:]]), axis=0)[1]
    return float(three.max())


def together(estimates: Sequence[When]) -> When | None:
    """Several estimates of one time as one: weighted, and wider where they disagree."""
    if not estimates:
        return None
    at, u = (np.array([getattr(e, name) for e in estimates]) for name in ("at_s", "u_s"))
    weights = 1.0 / u**2
    at_s = float(np.average(at, weights=weights))
    u_s = float(1.0 / np.sqrt(weights.sum()))
    if len(at) > 1:
        excess = float((weights * (at - at_s) ** 2).sum()) / (len(at) - 1)
        u_s *= max(1.0, sqrt(excess))
    return When(at_s=at_s, u_s=u_s)
