"""What a clip shows when: the swing's time at every frame of the clip.

Owns slow motion and holds. Exact: rational arithmetic, rounded once to whole nanoseconds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from capturestation.records import NS_PER_S, IntArray, Mark, Moment

NOT_HELD = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How a clip plays.

    Args:
        slow: Swing seconds in one clip second while playing: 1/4 is four times slower.
        rate_hz: Frames of the clip in a second.
        hold_s: How long the clip stands at each moment of `moments`.
        moments: Where it stands, in any order.
    """

    slow: Fraction = Fraction(1, 4)
    rate_hz: Fraction = Fraction(30)
    hold_s: Fraction = Fraction(4, 5)
    moments: tuple[Moment, ...] = ()

    def __post_init__(self) -> None:
        if not 0 < self.slow <= 1 or self.rate_hz <= 0 or self.hold_s < 0:
            msg = (
                f"0 < slow <= 1, rate above 0 and hold not below 0 are needed, "
                f"got {self.slow}, {self.rate_hz}, {self.hold_s}"
            )
            raise ValueError(msg)
        if len(set(self.moments)) != len(self.moments):
            msg = f"each moment is held once, got {self.moments}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotHeld:
    """A moment that was asked for and is not held, and why."""

    moment: Moment
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClipScript:
    """The swing's time at every frame of a clip.

    Args:
        rate_hz: Frames of the clip in a second.
        now_ns: Today's swing time, shape (n,), never falling.
        held: Index into `moments`, or -1 while playing, shape (n,).
        moments: The held moments in the order they are reached.
        not_held: Moments asked for that can't be held.
    """

    rate_hz: Fraction
    now_ns: IntArray
    held: IntArray
    moments: tuple[Moment, ...]
    not_held: tuple[NotHeld, ...] = ()

    def __len__(self) -> int:
        return len(self.now_ns)

    def held_at(self, frame: int) -> Moment | None:
        """The moment that the clip stands at in that frame, if any."""
        index = int(self.held[frame])
        return None if index == NOT_HELD else self.moments[index]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stop:
    """One hold: from when on in the clip, and where in the swing."""

    from_s: Fraction
    at_ns: int
    moment: Moment


def write_script(
    marks: Mapping[Moment, Mark], pace: Pace, *, start_ns: int, stop_ns: int
) -> ClipScript:
    """Lay out a clip from `start_ns` to `stop_ns` of today's swing.

    The first frame is exactly `start_ns`; the clip ends with the last frame not after
    `stop_ns`. While it holds, the time is exactly the mark's.

    Args:
        marks: Today's marks; impact needs none, it is zero.
        pace: Speed, rate and holds.
        start_ns: Where it begins, swing clock.
        stop_ns: Where it ends, swing clock.

    Raises:
        ValueError: If `stop_ns` is not after `start_ns`.
    """
    if stop_ns <= start_ns:
        msg = f"a clip ends after it starts, got {start_ns} to {stop_ns}"
        raise ValueError(msg)
    wanted, not_held = _wanted(marks, pace.moments, start_ns, stop_ns)
    stops = _stops(wanted, pace, start_ns)
    play_s = _clip_s(stop_ns - start_ns, pace.slow)
    count = math.floor((play_s + len(stops) * pace.hold_s) * pace.rate_hz) + 1
    rows = [_row(Fraction(n) / pace.rate_hz, stops, pace, start_ns) for n in range(count)]
    return ClipScript(
        rate_hz=pace.rate_hz,
        now_ns=np.array([row[0] for row in rows], dtype=np.int64),
        held=np.array([row[1] for row in rows], dtype=np.int64),
        moments=tuple(stop.moment for stop in stops),
        not_held=not_held,
    )


def _clip_s(swing_ns: int, slow: Fraction) -> Fraction:
    return Fraction(swing_ns, NS_PER_S) / slow


def _wanted(
    marks: Mapping[Moment, Mark], moments: tuple[Moment, ...], start_ns: int, stop_ns: int
) -> tuple[list[tuple[int, Moment]], tuple[NotHeld, ...]]:
    found, missing = [], []
    for moment in sorted(moments, key=lambda m: m.place):
        mark = marks.get(moment)
        at_ns = 0 if moment is Moment.IMPACT else None if mark is None else mark.at_ns
        if at_ns is None:
            why = "it is not marked" if mark is None else "it does not occur in this swing"
            missing.append(NotHeld(moment=moment, why=why))
        elif not start_ns <= at_ns <= stop_ns:
            missing.append(NotHeld(moment=moment, why="it lies outside the clip"))
        else:
            found.append((at_ns, moment))
    found.sort(key=lambda pair: (pair[0], pair[1].place))
    return found, tuple(missing)


def _stops(wanted: list[tuple[int, Moment]], pace: Pace, start_ns: int) -> list[_Stop]:
    if not pace.hold_s:
        return []
    return [
        _Stop(
            from_s=_clip_s(at_ns - start_ns, pace.slow) + before * pace.hold_s,
            at_ns=at_ns,
            moment=moment,
        )
        for before, (at_ns, moment) in enumerate(wanted)
    ]


def _row(clip_s: Fraction, stops: list[_Stop], pace: Pace, start_ns: int) -> tuple[int, int]:
    """Swing time and index of the hold at one time of the clip."""
    passed = 0
    for index, stop in enumerate(stops):
        if clip_s < stop.from_s:
            break
        if clip_s < stop.from_s + pace.hold_s:
            return stop.at_ns, index
        passed = index + 1
    played_s = clip_s - passed * pace.hold_s
    return start_ns + round(played_s * pace.slow * NS_PER_S), NOT_HELD
