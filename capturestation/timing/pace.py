"""Whether a file was slowed down for good, by how long its swing lasts and how high its sound goes.

Owns the evidence where no tag tells: a club that goes through the ball is at more than half its
fastest for about 0.15 s and a whole swing moves for some 1.3 s, whoever swings; four times as much
is no swing at full speed. A sound that was stretched with the picture has nothing left above its
old highest frequency divided by as much. Refuses to tell less than three times slower from a slow
swing at 30 frames a second, and to read pictures: how much moves comes in as numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import log2

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, IntArray, SoundArray

_HALF = 0.5
_BUSY = 0.1
_USUAL_FAST_S = 0.15
_USUAL_BUSY_S = 1.3
# Rendered full swings filmed at 120 frames a second, seen from both sides: 0.10-0.16 s, 1.1-1.25 s;
# at 30 a second, 0.19-0.29 s and 1.5-1.65 s.
_LONG_FAST_S = 0.36
_LONG_BUSY_S = 2.4
_WEIGHT_BUSY = 0.65
# How fast a club is seen to pass depends on the view, how long the whole swing lasts hardly does.
_BEFORE, _AFTER = 12.0, 8.0
# The whole swing lies within so many times its fastest part; who walks by before doesn't count.
_LEAST_TIMES = 2.6
_UNDECIDED = 0.38
# Of an octave: half way between four and eight times is half of one.
_FILMED_HZ = (60, 120, 240, 480, 960)
_MOST_TIMES = 64
_WHOLE = Fraction(1, 50)
_SHARE_OF_PEAK = 0.2
_APART_S = 0.2
_STEP_S = 0.004
_BAND_HZ = 250.0
_FRAME = 2048
_CLIFF_DB = 18.0
_CLIFF_BANDS = 4
_BELOW_BANDS = 8
# The foot of a cliff is a plain: a hole between two tones is none.
_LEAST_TOP_HZ = 1_500.0
# Below, mains hum and fans stand out as much.
# Sound fades with frequency by a few dB a kHz; what a file's own low-pass leaves falls off at once.
_OLD_TOP_HZ = (13_000.0, 28_000.0)
"""Where recordings end: phones' codecs cut at 14-20 kHz, plain ones at half their rate; an edge is
found up to an eighth too high."""
PLAIN = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lasting:
    """How long a swing lasts in a file.

    Args:
        fast_s: More than half of the fastest motion, around it.
        busy_s: More than a tenth of it, in and about the swing.
    """

    fast_s: float
    busy_s: float

    @property
    def is_long(self) -> bool:
        """Whether no swing at full speed lasts so long."""
        return self.fast_s >= _LONG_FAST_S and self.busy_s >= _LONG_BUSY_S

    @property
    def times(self) -> float:
        """How many times as long as usual."""
        fast, busy = self.fast_s / _USUAL_FAST_S, self.busy_s / _USUAL_BUSY_S
        return float(fast ** (1 - _WEIGHT_BUSY) * busy**_WEIGHT_BUSY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How many times slower a file plays than the swing was.

    Args:
        rivals: What it may be, likeliest first: one where that is clear, `PLAIN` for full speed;
            none where it can't be told.
        why: What gives it away, a clause; empty at full speed.
    """

    rivals: tuple[Fraction, ...]
    why: str = ""

    @property
    def is_plain(self) -> bool:
        """Whether it plays as fast as the swing was."""
        return self.rivals == (PLAIN,)


def lasting(times_ns: IntArray, energy: FloatArray) -> Lasting | None:
    """How long the swing lasts by how much moves.

    Of several things that move much, the quickest is taken for the swing: who walks by, nearer than
    the golfer, is slower than a club, and in a file that was slowed down nothing is quick.

    Args:
        times_ns: (n,) rising, media clock.
        energy: (n,) how much moves, lamps' blinks taken out.

    Returns:
        Its length; None where nothing moves.
    """
    if len(times_ns) < 3:
        return None
    seconds = times_ns / NS_PER_S
    at_s = np.arange(seconds[0], seconds[-1], _STEP_S)
    level = np.interp(at_s, seconds, energy - np.quantile(energy, 0.05))
    if level.max(initial=0.0) <= 0:
        return None
    return min((_around(level, peak) for peak in _peaks(level)), key=lambda one: one.fast_s)


def _peaks(level: FloatArray) -> list[int]:
    """Where most moves, and wherever else much does, far enough apart."""
    left = level.copy()
    least = _SHARE_OF_PEAK * float(level.max())
    reach = round(_APART_S / _STEP_S)
    found: list[int] = []
    while left.max() >= least:
        peak = int(np.argmax(left))
        near = slice(max(peak - reach, 0), peak + reach + 1)
        # What is taken away round a higher peak leaves a false one at its foot.
        if level[peak] >= level[near].max():
            found.append(peak)
        left[near] = -1.0
    return found


def _around(level: FloatArray, peak: int) -> Lasting:
    """How long it is about as busy as at that peak."""
    level = level / level[peak]
    slower = np.flatnonzero(level < _HALF)
    first = int(slower[slower < peak][-1]) + 1 if np.any(slower < peak) else 0
    last = int(slower[slower > peak][0]) - 1 if np.any(slower > peak) else len(level) - 1
    steps = last - first + 1
    about = slice(max(round(peak - _BEFORE * steps), 0), round(peak + _AFTER * steps) + 1)
    return Lasting(fast_s=steps * _STEP_S, busy_s=float(np.sum(level[about] > _BUSY)) * _STEP_S)


def highest_hz(samples: SoundArray, rate_hz: int) -> float:
    """Where a sound ends upwards: the edge above which there is next to nothing.

    Args:
        samples: (n,) mono.
        rate_hz: Samples a second.

    Returns:
        The edge; half the rate where there is none.
    """
    count = len(samples) // _FRAME
    if count == 0 or not samples.any():
        return rate_hz / 2
    frames = samples[: count * _FRAME].reshape(count, _FRAME).astype(np.float64)
    power = np.mean(np.abs(np.fft.rfft(frames * np.hanning(_FRAME), axis=1)) ** 2, axis=0)
    width = max(round(_BAND_HZ * _FRAME / rate_hz), 1)
    bands = power[: len(power) // width * width].reshape(-1, width).mean(axis=1)
    level = 10 * np.log10(bands + 1e-13 * bands.max())
    lowest = max(round(_LEAST_TOP_HZ * _FRAME / rate_hz / width), 1)
    reach = _CLIFF_BANDS + _BELOW_BANDS
    places = np.arange(lowest, len(level) - reach)
    if not len(places):
        return rate_hz / 2
    below = np.lib.stride_tricks.sliding_window_view(level, _BELOW_BANDS).max(axis=1)
    cliff = level[places - 1] - below[places + _CLIFF_BANDS]
    if cliff.max() < _CLIFF_DB:
        return rate_hz / 2
    # The highest cliff: a codec leaves a faint one of its own in what is next to nothing.
    return float(places[np.argmax(cliff)] * width * rate_hz / _FRAME)


def may_play(rate_hz: Fraction) -> tuple[Fraction, ...]:
    """How many times slower a file of that rate may play, if a camera of a usual rate filmed it.

    Example:
        >>> [str(times) for times in may_play(Fraction(30))]
        ['4', '8', '16', '32']
        >>> [str(times) for times in may_play(Fraction(30_000, 1001))]
        ['4', '8', '16', '32']
    """
    found: list[Fraction] = []
    for filmed in _FILMED_HZ:
        times = (filmed / rate_hz).limit_denominator(100)
        whole = Fraction(round(times))
        if whole and abs(times / whole - 1) <= _WHOLE:
            times = whole
        if _LEAST_TIMES <= times <= _MOST_TIMES:
            found.append(times)
    return tuple(found)


def pace_of(swing: Lasting | None, rate_hz: Fraction, top_hz: float | None) -> Pace:
    """Weigh what gives a slowed file away.

    Args:
        swing: How long its motion lasts.
        rate_hz: Frames a second, as it plays.
        top_hz: Where its sound ends upwards; None without a sound.
    """
    if swing is None or not swing.is_long:
        return Pace(rivals=(PLAIN,))
    why = f"its swing lasts for {swing.busy_s:.0f} s"
    options = may_play(rate_hz)
    if swing.times < _LEAST_TIMES or not options:
        return Pace(rivals=(), why=why)
    rivals = _likeliest(options, swing.times)
    if top_hz is not None and top_hz < _OLD_TOP_HZ[0]:
        heard = [n for n in rivals if _OLD_TOP_HZ[0] <= float(n) * top_hz <= _OLD_TOP_HZ[1]]
        if heard:
            why = f"{why} and its sound ends at {top_hz / 1000:.1f} kHz"
        rivals = tuple(heard) or rivals
    return Pace(rivals=rivals, why=why)


def _likeliest(options: Sequence[Fraction], times: float) -> tuple[Fraction, ...]:
    """The nearest, and the next where it is about half way between."""

    def off(option: Fraction) -> float:
        return abs(log2(float(option) / times))

    first, *others = sorted(options, key=off)
    near = [n for n in others[:1] if off(first) > _UNDECIDED and off(n) < 1 - _UNDECIDED]
    return (first, *near)
