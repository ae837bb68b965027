"""A swing as the Bench sees it: which frame of each angle is shown, and how far they are apart.

Owns the answers that the coach can always read: each picture's own time, whether a recording
starts later or has ended, and how far the views are apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from capturestation.drawing.theme import date_words
from capturestation.records import FrameArray, IntArray, Mark, Moment, Planes, Swing, View, Zero
from capturestation.swing.marks import effective_marks


class Frames(Protocol):
    """An open recording on the swing's clock; `station.angle.Angle` is one."""

    times_ns: IntArray

    @property
    def size_px(self) -> tuple[int, int]:
        """Nominal width and height, upright."""

    def frame_rgb(self, ordinal: int) -> FrameArray:
        """A frame, (H, W, 3) RGB; may be smaller than nominal."""

    def frame_planes(self, ordinal: int) -> Planes | None:
        """The same as it is coded; None where it has no such form."""

    def close(self) -> None:
        """Let go of the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Which frame of an angle stands for a time.

    Args:
        ordinal: Its number.
        at_ns: Its own time, swing clock.
        asked_ns: The time asked for.
        beyond: -1 where the recording starts later, 1 where it has ended, else 0.
    """

    ordinal: int
    at_ns: int
    asked_ns: int
    beyond: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenSwing:
    """A swing that stands on the Bench.

    Args:
        swing: As the library has it.
        frames: Its open angles, in the order of the views.
        word: What it is called: "today", "own best".
        said: Why a recording of it can't be shown, a sentence each.
    """

    swing: Swing
    frames: Mapping[View, Frames]
    word: str
    said: tuple[str, ...] = ()
    marks: Mapping[Moment, Mark] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "marks", effective_marks(self.swing.book.marks))

    @property
    def day(self) -> str:
        """When it was struck, as written on pictures."""
        return date_words(self.swing.facts.struck_at.date())

    @property
    def zero_words(self) -> str:
        """What its zero is."""
        zero = self.swing.book.zero
        return "impact" if zero is Zero.CONTACT else f"the {zero}"

    @property
    def moments_ns(self) -> dict[Moment, int]:
        """When each known moment is, swing clock, in the order of the moments; impact is zero."""
        times = {m: mark.at_ns for m, mark in self.marks.items() if mark.at_ns is not None}
        times[Moment.IMPACT] = 0
        return {moment: times[moment] for moment in Moment if moment in times}

    def with_swing(self, swing: Swing) -> SeenSwing:
        """The same angles with what the library knows now."""
        return replace(self, swing=swing)

    def shown(self, view: View, at_ns: int) -> Shown:
        """The recorded frame nearest to a time.

        Raises:
            KeyError: If there is no such angle.
        """
        times = self.frames[view].times_ns
        ordinal = nearest_one(times, at_ns)
        return Shown(
            ordinal=ordinal,
            at_ns=int(times[ordinal]),
            asked_ns=at_ns,
            beyond=beyond(times, at_ns),
        )


def nearest_one(times_ns: IntArray, at_ns: int) -> int:
    """The frame nearest to one time, as `nearest_frame` gives it, without its checks.

    Asked for dozens of times for each picture on the screen.

    Args:
        times_ns: Frame times, (n,), rising, at least one.
        at_ns: The time asked for.

    Returns:
        The ordinal; of two equally near, the earlier.
    """
    after = int(times_ns.searchsorted(at_ns))
    if after == 0:
        return 0
    if after == len(times_ns):
        return after - 1
    return after - (at_ns - int(times_ns[after - 1]) <= int(times_ns[after]) - at_ns)


def beyond(times_ns: IntArray, at_ns: int) -> int:
    """-1 before a recording, 1 after it, else 0; within a frame's time of an end is not beyond."""
    last = len(times_ns) - 1
    if at_ns < 2 * int(times_ns[0]) - int(times_ns[min(1, last)]):
        return -1
    return 1 if at_ns > 2 * int(times_ns[last]) - int(times_ns[max(last - 1, 0)]) else 0


def apart_ns(shown: Mapping[View, Shown]) -> int | None:
    """How far the pictures of one swing are apart; None where fewer than two run."""
    times = [one.at_ns for one in shown.values() if not one.beyond]
    return max(times) - min(times) if len(times) > 1 else None
