"""The moments of a swing from how much moves, both views together on the swing's clock.

Owns set, club starts, top, impact and finish. Refuses the moments that need to see arms or shaft:
they stay without a mark, which says "not found" and never "does not occur".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, Mark, MarkSource, Moment
from capturestation.swing.tracks import MotionTrack

METHOD = "motion 1"
_STEP_S = 0.002
_SMOOTH_S = 0.010
# Shorter dips are noise; the dip at the top lasts eight times as long.
_SPAN_OF_SIGMA = 1.12
# From the 5th to the 30th percentile of a normal distribution, in standard deviations.
_FEWEST = 5
_FAST_FRAME_NS = 20_000_000
_STANDS_OUT = 6.0
# Pure noise reaches three standard deviations.
_MOST_NOISE = 0.1
_SLOWEST_DOWN_S = 0.75
_FASTEST_DOWN_S = 0.12
# Downswings take 0.2-0.4 s; chips and slow drills a little more.
_LONGEST_BACK_S = 3.0
_STILL_FOR_S = 0.08
_STILL_SHARE = 0.01
_MOVING_SHARE = 0.05
_THROUGH_FROM_S = 0.15
_AT_REST = 0.01
_LATE_SHARE = 1 / 3
_SETTLING_S = 0.08
# From 5 % of the peak speed to a standstill a club that slows evenly takes about this long.
_SET_BEFORE_S = 0.25
# Everything is still then, and the picture is the one that the swing starts from.
_HELD_S = 0.15
_LATE_IN_DIP = 0.12
# The way back dies more slowly than the way down grows, and the body turns round before the club
# (Meister et al., J Appl Biomech 27:242-251, 2011), so the club turns late in the dip.
_DIP = 0.12
# Share of the peak by which motion must fall and rise again to be the club turning round.


@dataclass(frozen=True, slots=True, kw_only=True)
class _Motion:
    """Both views on one even grid: seconds on the swing's clock, level 0 (still) to 1 (peak)."""

    at_s: FloatArray
    level: FloatArray
    noise: float
    frame_s: float


def find_moments(tracks: Sequence[MotionTrack], *, zero_u_ns: int) -> tuple[Mark, ...]:
    """Find the moments that motion shows.

    Args:
        tracks: One for each view, on the swing's clock.
        zero_u_ns: Standard uncertainty of zero.

    Returns:
        Marks in the order of the moments; impact always, the others where motion shows them.
    """
    marks = [_mark(Moment.IMPACT, (-2e-9 * zero_u_ns, 0.0, 2e-9 * zero_u_ns), 0.95)]
    motion = _together(tracks)
    if motion is None:
        return tuple(marks)
    top = _top(motion)
    if top is not None:
        marks.append(_mark(Moment.TOP, top, _dip_confidence(motion, top[1])))
        marks.extend(_before(motion, top[0]))
    finish = _finish(motion)
    if finish is not None:
        marks.append(_mark(Moment.FINISH, finish, 0.7))
    return tuple(sorted(marks, key=lambda mark: mark.moment.place))


def _mark(moment: Moment, times_s: tuple[float, float, float], confidence: float) -> Mark:
    early, at, late = (round(time * NS_PER_S) for time in times_s)
    return Mark(
        moment=moment,
        at_ns=at,
        early_ns=min(early, at),
        late_ns=max(late, at),
        confidence=confidence,
        source=MarkSource.FOUND,
        method=METHOD,
    )


def _together(tracks: Sequence[MotionTrack]) -> _Motion | None:
    """The mean of the views, each brought to its own stillness and peak; None if nothing moves."""
    calm = [track.without_blinks() if _is_fast(track) else track for track in tracks]
    usable = [track for track in calm if _moves(track.energy)]
    if not usable:
        return None
    first = min(int(track.times_ns[0]) for track in usable) / NS_PER_S
    last = max(int(track.times_ns[-1]) for track in usable) / NS_PER_S
    at_s = np.arange(first, last, _STEP_S)
    rows = np.full((len(usable), len(at_s)), np.nan)
    for row, track in zip(rows, usable, strict=True):
        seconds = track.times_ns / NS_PER_S
        inside = (at_s >= seconds[0]) & (at_s <= seconds[-1])
        row[inside] = _levelled(np.interp(at_s[inside], seconds, track.energy))
    seen = np.isfinite(rows)
    level = np.nansum(rows, axis=0) / np.maximum(seen.sum(axis=0), 1)
    smooth = _smoothed(level)
    frame_s = max(float(np.median(np.diff(track.times_ns))) for track in usable) / NS_PER_S
    # A clip is still for a third of its length or more: its low quantiles are the stillness.
    low, middle, high = (float(q) for q in np.quantile(smooth, (0.05, 0.15, 0.30)))
    noise = min((high - low) / _SPAN_OF_SIGMA, _MOST_NOISE)
    return _Motion(at_s=at_s, level=smooth - middle, noise=noise, frame_s=frame_s)


def _is_fast(track: MotionTrack) -> bool:
    """Whether three frames are shorter than any dip or rise of a swing."""
    return len(track.times_ns) > 2 and float(np.median(np.diff(track.times_ns))) <= _FAST_FRAME_NS


def _moves(energy: FloatArray) -> bool:
    """Whether anything stands out of the sensor's noise."""
    if len(energy) < _FEWEST:
        return False
    low, high, middle, peak = (float(q) for q in np.quantile(energy, (0.05, 0.3, 0.5, 0.995)))
    return peak - middle > _STANDS_OUT * (high - low) / _SPAN_OF_SIGMA and peak > middle


def _levelled(energy: FloatArray) -> FloatArray:
    still = float(np.quantile(energy, 0.05))
    peak = float(np.quantile(energy, 0.995))
    levelled: FloatArray = (energy - still) / max(peak - still, 1e-12)
    return levelled


def _smoothed(level: FloatArray) -> FloatArray:
    reach = round(3 * _SMOOTH_S / _STEP_S)
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) * _STEP_S / _SMOOTH_S) ** 2)
    padded = np.pad(level, reach, mode="edge")
    smooth: FloatArray = np.convolve(padded, weights / weights.sum(), mode="valid")
    return smooth


def _top(motion: _Motion) -> tuple[float, float, float] | None:
    """Where motion dips between the way back and the way down: the club turns round."""
    inside = np.flatnonzero((motion.at_s > -_SLOWEST_DOWN_S) & (motion.at_s < -_FASTEST_DOWN_S))
    if len(inside) < 3 or motion.at_s[0] > -_SLOWEST_DOWN_S:
        return None
    level = motion.level
    depth = np.array([_depth(motion, int(i)) for i in inside])
    lowest = (level[inside] <= level[inside - 1]) & (level[inside] <= level[inside + 1])
    depth = np.where(lowest, depth, 0.0)
    if depth.max() < _DIP + 2 * motion.noise:
        return None
    place = int(inside[np.argmax(depth)])
    rim = level[place] + 0.15 * float(depth.max()) + 2 * motion.noise
    early, late = _around(level, place, rim)
    # The middle of the dip's weight: its very lowest sample is the noise's choice.
    span = slice(early, late + 1)
    weight = (rim - level[span]) ** 3
    middle_s = float(np.average(motion.at_s[span], weights=np.maximum(weight, 1e-9)))
    dip_s = float(motion.at_s[late] - motion.at_s[early])
    at_s = min(middle_s + _LATE_IN_DIP * dip_s, float(motion.at_s[late]))
    slack = motion.frame_s
    return (
        float(motion.at_s[early]) - slack,
        at_s,
        float(motion.at_s[late]) + slack,
    )


def _depth(motion: _Motion, place: int) -> float:
    """How far motion rises again on the lower of both sides."""
    reach = round(0.5 / _STEP_S)
    impact = int(np.searchsorted(motion.at_s, 0.0))
    back = float(motion.level[max(0, place - reach) : place + 1].max())
    down = float(motion.level[place : impact + 1].max(initial=0.0))
    return min(back, down) - float(motion.level[place])


def _dip_confidence(motion: _Motion, at_s: float) -> float:
    depth = _depth(motion, int(np.searchsorted(motion.at_s, at_s)))
    return float(np.clip(0.5 + depth, 0.5, 0.9))


def _around(level: FloatArray, place: int, rim: float) -> tuple[int, int]:
    """First and last of the samples around `place` that stay under `rim`."""
    over_before = np.flatnonzero(level[:place] > rim)
    over_after = np.flatnonzero(level[place:] > rim)
    early = int(over_before[-1]) + 1 if len(over_before) else 0
    late = place + int(over_after[0]) - 1 if len(over_after) else len(level) - 1
    return min(early, place), max(late, place)


def _before(motion: _Motion, top_s: float) -> list[Mark]:
    """Club starts and set: the last stillness before the top, if there is one."""
    at, level = motion.at_s, motion.level
    still_level = _STILL_SHARE + 4 * motion.noise
    inside = (at < top_s - 0.2) & (at > top_s - _LONGEST_BACK_S)
    still = _runs(inside & (level < still_level), round(_STILL_FOR_S / _STEP_S))
    if not still:
        return []
    begin, end = still[-1]
    rising = end + np.flatnonzero(level[end:] > _MOVING_SHARE + 6 * motion.noise)
    moving = int(rising[0]) if len(rising) else end
    # What hides in the noise took about as long to grow as the next equal step does.
    doubled = end + np.flatnonzero(level[end:] > 2 * level[end])
    grew_s = float(at[doubled[0]] - at[end]) if len(doubled) else 0.0
    starts_s = float(at[end]) - grew_s / 4
    times_s = (
        float(at[end]) - grew_s - _SMOOTH_S - motion.frame_s,
        starts_s,
        float(at[moving]) + motion.frame_s,
    )
    held_s = float(at[end] - at[begin])
    set_s = starts_s - min(_SET_BEFORE_S, held_s / 2)
    return [
        _mark(Moment.CLUB_STARTS, times_s, 0.75),
        _mark(Moment.SET, (float(at[begin]), set_s, starts_s), min(0.5 + held_s, 0.9)),
    ]


def _runs(
    mask: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], least: int
) -> list[tuple[int, int]]:
    """First and last index of each stretch of True that is long enough."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return [(int(a), int(b) - 1) for a, b in pairs if b - a >= least]


def _finish(motion: _Motion) -> tuple[float, float, float] | None:
    """When motion after impact has died down and stays so.

    Speed under 5 % of its peak comes a little before the picture stands still, and after motion
    has fallen well below that of the way through. How much of the last of it a view sees depends
    on where the club ends, so stillness is looked for near zero and not at 5 % of the motion.
    """
    at, level = motion.at_s, motion.level
    after = at > _THROUGH_FROM_S
    held = _runs(after & (level < _AT_REST + 3 * motion.noise), round(_HELD_S / _STEP_S))
    if not held or held[0][0] == int(np.flatnonzero(after)[0]):
        return None
    place = held[0][0]
    way = after & (at < at[place])
    still_moving = np.flatnonzero(way & (level > _LATE_SHARE * level[way].max()))
    early_s = float(at[still_moving[-1]]) - motion.frame_s
    late_s = float(at[place]) + motion.frame_s
    return early_s, max(early_s, float(at[place]) - _SETTLING_S), late_s
