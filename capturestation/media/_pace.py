"""Whether a file plays slower than it was filmed, from its tags and its stamps.

Owns the hints of slow motion. They are hints: whoever places a swing compares the sound with the
ball too. Called by the probe.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from capturestation.media.index import FrameIndex
from capturestation.records import NS_PER_S

REAL = Fraction(1)

_CAPTURE_TAG = "capture.fps"
"""How the tag ends that phones write beside a makers' prefix: frames a second as filmed."""

_NEAR = Fraction(1, 50)
"""Rates closer than this are one rate: 240 filmed, 239.76 counted."""

_SLOWER = 3.0
"""Dim light halves a phone's rate in real time; edited slow motion is slower by more."""

_FEWEST = 8
"""Frames a stretch needs on either side to be no hiccup."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowStretch:
    """A stretch of a file whose frames come much slower than the rest.

    Args:
        start_ns: Its first frame, media clock.
        stop_ns: Its last frame.
        times: How many times slower.
    """

    start_ns: int
    stop_ns: int
    times: float


def filmed_rate_hz(tags: Mapping[str, str]) -> Fraction | None:
    """The rate at which a camera says that it filmed; None where no tag tells.

    Example:
        >>> filmed_rate_hz({"com.example.capture.fps": "240.000000"})
        Fraction(240, 1)
    """
    for key, value in tags.items():
        if key.lower().endswith(_CAPTURE_TAG):
            try:
                rate_hz = Fraction(value).limit_denominator(1001)
            except (ValueError, ZeroDivisionError):
                continue
            if rate_hz > 0:
                return rate_hz
    return None


def played_slower(tags: Mapping[str, str], index: FrameIndex) -> Fraction:
    """How many times slower a file plays than it was filmed, as its tags tell; 1 if not."""
    filmed, counted = filmed_rate_hz(tags), index.mean_rate_hz
    if filmed is None or counted is None:
        return REAL
    times = filmed / counted
    whole = Fraction(max(1, round(times)))
    if abs(times / whole - 1) <= _NEAR:
        return whole
    return max(REAL, times.limit_denominator(100))


def slow_stretch(index: FrameIndex) -> SlowStretch | None:
    """The longest stretch where frames come three or more times slower than elsewhere, if any."""
    gaps = np.diff(index.pts)
    if len(gaps) < 2 * _FEWEST:
        return None
    usual = float(np.sort(gaps)[_FEWEST - 1])
    edges = np.diff(np.concatenate([[0], gaps >= _SLOWER * usual, [0]]).astype(int))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    if not len(starts) or (stops - starts).max() < _FEWEST:
        return None
    longest = int(np.argmax(stops - starts))
    first, last = int(starts[longest]), int(stops[longest])
    return SlowStretch(
        start_ns=int(index.times_ns[first]),
        stop_ns=int(index.times_ns[last]),
        times=float(np.median(gaps[first:last])) / usual,
    )


def seconds(at_ns: int) -> str:
    """A time as a coach reads it.

    Example:
        >>> seconds(1_204_000_000)
        '1.20'
    """
    return f"{at_ns / NS_PER_S:.2f}"
