"""When the ball was struck, from where it is in the first pictures of its flight.

Owns the way back from a ball in flight to the moment it left its rest: over the first hundredths of
a second it flies straight and evenly, so two or three places of it say the time far finer than one
frame. Refuses pictures: `tracking.flight` finds what may be the ball.

A ball that flies away from the camera seems to slow down. Along its line in the picture its
distance from its rest is s = v t / (1 + b t), so that s / (1 - c s) with c = b / v grows evenly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, sqrt

import numpy as np

from capturestation.records import NS_PER_S, BoolArray, FloatArray
from capturestation.timing.ball import BallBracket

SPAN_NS = 50_000_000
"""So long after contact the ball is looked for: in a bay it is nearly in the net, and has fallen by
12 mm from its straight way."""
_BALL_M = 0.02135
_SPEEDS_M_S = (3.0, 95.0)
# As seen: a ball that flies along the line of sight moves little. The fastest leave at 95 m/s.
_PLACE_R = 0.10
_PLACE_PX = 0.4
# A streak's middle is known to a tenth of the ball's radius, and hardly finer than half a pixel.
_AWAY_C = np.linspace(-0.004, 0.020, 121)
_ROUGH_C = _AWAY_C[::20]
# c times the ball's radius: 0.008 for a camera 3.7 m behind the ball, about 0 for one beside it.
_ASIDE_R = 0.9
_ASIDE_SHARE = 0.04
_OFF_R = 1.0
_BEST_ONE = 4.0
# What a sighting adds to a flight if it lies exactly on it and shines as the ball should.
_OFF_SIGMA = 0.4
_LIGHT_SIGMA = 0.5
# The ground behind it changes, and the club may hide a part.
_FEWEST = 3
_SLOW_FRAME_NS = 12_000_000
# At 60 frames a second a ball is in the picture for two or three frames only.
_LEAST_AWAY_R = 1.3
# Nearer, the club's head and the ball are one blur.
CONTACT_NS = 500_000
# The ball gathers speed all through contact (about 0.5 ms: USGA, "What happens in the collision
# between club and ball", 2025), so its even flight seems to begin half of that late.
_CONTACT_U_NS = 60_000
_STRAIGHT_U_NS = 250_000
# Lens, drag and the changing ground behind the ball bend its way a little; measured on renders.


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """Something bright and small that was in one picture only.

    Args:
        time_ns: The picture's stamp.
        x_px: Middle of its streak.
        y_px: Middle of its streak.
        light: All its light over that of the resting ball; a streak spreads it and loses none.
    """

    time_ns: int
    x_px: float
    y_px: float
    light: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Launch:
    """First contact by the ball's flight.

    Args:
        contact_ns: First contact, in stamps of the ball's row.
        u_ns: Standard uncertainty of it.
        frames: In how many pictures the flight was seen.
    """

    contact_ns: int
    u_ns: int
    frames: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    t0_s: float
    u_s: float
    score: float
    inside: tuple[int, ...]


def launch_of(
    sightings: Sequence[Sighting],
    rest_px: tuple[float, float],
    radius_px: float,
    bracket: BallBracket,
    frame_ns: int,
) -> Launch | None:
    """Follow the ball's flight back to its rest.

    Args:
        sightings: What may be the ball, from contact on.
        rest_px: Middle of the resting ball.
        radius_px: Its radius.
        bracket: Between which frames it left.
        frame_ns: From one frame to the next.

    Returns:
        First contact; None where no straight and even flight out of the ball's place was seen, or
        where it says no more than the two frames do.
    """
    if not sightings:
        return None
    at_s = np.array([s.time_ns - bracket.last_with_ns for s in sightings]) / NS_PER_S
    away = np.array([(s.x_px - rest_px[0], s.y_px - rest_px[1]) for s in sightings]) / radius_px
    light = np.log(np.maximum([s.light for s in sightings], 1e-3))
    span_s = (bracket.first_without_ns - bracket.last_with_ns) / NS_PER_S
    fits = [
        fit
        for pair in combinations(range(len(sightings)), 2)
        if (fit := _flight(at_s, away, light, pair, (0.0, span_s), radius_px)) is not None
    ]
    fewest = _FEWEST if frame_ns < _SLOW_FRAME_NS else _FEWEST - 1
    fits = [fit for fit in fits if len(fit.inside) >= fewest]
    if not fits:
        return None
    best = max(fits, key=lambda fit: fit.score)
    start_ns = bracket.last_with_ns + round(best.t0_s * NS_PER_S)
    u_ns = round(hypot(best.u_s * NS_PER_S, _CONTACT_U_NS, _STRAIGHT_U_NS))
    if u_ns >= (bracket.first_without_ns - bracket.last_with_ns) / sqrt(12):
        return None
    return Launch(
        contact_ns=start_ns - CONTACT_NS // 2,
        u_ns=u_ns,
        frames=len(best.inside),
    )


def _flight(
    at_s: FloatArray,
    away: FloatArray,
    light: FloatArray,
    pair: tuple[int, int],
    span_s: tuple[float, float],
    radius_px: float,
) -> _Fit | None:
    """The flight through two sightings, and all that lie on it; None if no ball flies so."""
    early, late = sorted(pair, key=lambda n: float(at_s[n]))
    reach = float(np.hypot(*away[late]))
    if at_s[early] == at_s[late] or reach < _LEAST_AWAY_R:
        return None
    line = away[late] / reach
    along, aside = away @ line, np.abs(away @ np.array([-line[1], line[0]]))
    straight = (aside <= _ASIDE_R + _ASIDE_SHARE * along) & (along >= _LEAST_AWAY_R)
    if not straight[early] or along[early] >= along[late]:
        return None
    ways = [_on_the_way(at_s, along, light, straight, (early, late), c) for c in _ROUGH_C]
    score, inside = max(ways, key=lambda way: way[0])
    if len(inside) < _FEWEST - 1:
        return None
    own = list(inside)
    start, u_s, radii_s = _fitted(at_s[own], along[own], light[own], radius_px)
    slack_s = 0.001 + u_s
    in_time = span_s[0] - slack_s <= start <= span_s[1] + slack_s
    if not (in_time and _SPEEDS_M_S[0] <= radii_s * _BALL_M <= _SPEEDS_M_S[1]):
        return None
    return _Fit(t0_s=start, u_s=u_s, score=score, inside=inside)


def _on_the_way(
    at_s: FloatArray,
    along: FloatArray,
    light: FloatArray,
    straight: BoolArray,
    pair: tuple[int, int],
    c: float,
) -> tuple[float, tuple[int, ...]]:
    """The sightings, one a picture, on the flight through two of them; and how well they fit."""
    early, late = pair
    if np.any(c * along[[early, late]] > 0.8):
        return 0.0, ()
    even = along / np.maximum(1 - c * along, 0.05)
    speed = (even[late] - even[early]) / (at_s[late] - at_s[early])
    if speed <= 0:
        return 0.0, ()
    expected = np.maximum(even[early] + speed * (at_s - at_s[early]), 0.0)
    expected = expected / (1 + c * expected)
    off = (along - expected) / (_OFF_SIGMA * (_OFF_R + 0.02 * along))
    # Farther away the ball is smaller by 1 - c s, and so is its light, twice.
    dimmed = light - 2 * np.log(np.maximum(1 - c * expected, 0.05))
    gain = _BEST_ONE - 0.5 * off**2 - 0.5 * (dimmed / _LIGHT_SIGMA) ** 2
    gain = np.where(straight, gain, -np.inf)
    inside: list[int] = []
    for time_s in np.unique(at_s):
        same = np.flatnonzero(at_s == time_s)
        best = int(same[np.argmax(gain[same])])
        if gain[best] > 0:
            inside.append(best)
    return float(gain[inside].sum()), tuple(inside)


def _fitted(
    at_s: FloatArray, along: FloatArray, light: FloatArray, radius_px: float
) -> tuple[float, float, float]:
    """Start in s, its standard uncertainty, and speed in radii a second, over all c at once."""
    place = max(_PLACE_R, _PLACE_PX / radius_px)
    starts, spreads, fits, costs, speeds = [], [], [], [], []
    for c in _AWAY_C:
        shrunk = np.maximum(1 - c * along, 0.1)
        even, weight = along / shrunk, shrunk**4 / place**2
        mean_t, mean_e = np.average(at_s, weights=weight), np.average(even, weights=weight)
        spread_t = float(np.sum(weight * (at_s - mean_t) ** 2))
        speed = float(np.sum(weight * (at_s - mean_t) * (even - mean_e))) / spread_t
        if speed <= 0:
            continue
        start = float(mean_t - mean_e / speed)
        left = even - speed * (at_s - start)
        # The line's own error where it meets the rest, and the rest's place.
        own = 1 / np.sum(weight) + (start - mean_t) ** 2 / spread_t + place**2
        fits.append(float(np.sum(weight * left**2)))
        starts.append(start)
        speeds.append(speed)
        spreads.append(float(np.sqrt(own)) / speed)
        # With three places and more, they say it better than the light, which the ground behind the
        # ball changes.
        if len(at_s) >= _FEWEST:
            costs.append(fits[-1])
            continue
        dim = (light - 2 * np.log(np.maximum(1 - c * along, 0.05))) / _LIGHT_SIGMA
        costs.append(fits[-1] + float(np.sum(dim**2)))
    if not starts:
        return np.inf, np.inf, 0.0
    cost = np.array(costs)
    likely = np.exp(-0.5 * (cost - cost.min()))
    likely /= likely.sum()
    at = np.array(starts)
    mean = float(likely @ at)
    # Where even the best flight doesn't fit, places are worse than thought.
    worse = max(1.0, float(np.sqrt(min(fits) / max(len(at_s) - 2, 1))))
    variance = likely @ ((at - mean) ** 2 + (worse * np.array(spreads)) ** 2)
    return mean, float(np.sqrt(variance)), float(likely @ np.array(speeds))
