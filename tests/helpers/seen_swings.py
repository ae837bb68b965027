"""Swings as the Bench sees them, with frames made up in memory that say their number."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from capturestation.errors import NotReadableError
from capturestation.records import FrameArray, IntArray, Moment, Planes, View
from capturestation.station.bench.seen import Frames, SeenSwing
from tests.helpers.coded_media import paint_code
from tests.helpers.made_swings import MS, made_marks, made_swing

SIZE = (160, 96)
MOMENTS_MS = {Moment.CLUB_STARTS: -900, Moment.TOP: -250, Moment.SHAFT_LEVEL_THROUGH: 40}


@dataclass(kw_only=True)
class MadeFrames:
    """An open recording that lives in memory; frame n says n.

    Args:
        times_ns: Of each frame, swing clock.
        size_px: Its nominal size.
        grey: Of the picture below the code.
        broken: Numbers that can't be decoded.
    """

    times_ns: IntArray
    size_px: tuple[int, int] = SIZE
    grey: int = 128
    broken: frozenset[int] = frozenset()
    closed: bool = False
    asked: list[int] = field(default_factory=list)
    threads: set[str] = field(default_factory=set)
    gate: threading.Event | None = None
    begun: threading.Event = field(default_factory=threading.Event)

    def frame_rgb(self, ordinal: int) -> FrameArray:
        """The frame, once the gate is open."""
        assert not self.closed, "a closed recording was asked for a picture"
        self.asked.append(ordinal)
        self.begun.set()
        self.threads.add(threading.current_thread().name)
        if self.gate is not None:
            assert self.gate.wait(10)
        if ordinal in self.broken:
            raise NotReadableError(f"Frame {ordinal} is broken.", try_next="Record it again.")
        width, height = self.size_px
        return paint_code(np.full((height, width, 3), self.grey, np.uint8), ordinal)

    def frame_planes(self, ordinal: int) -> Planes | None:
        """They are made in RGB."""

    def close(self) -> None:
        """Let go."""
        self.closed = True


def even_frames(
    *, start_ms: float = -1000, frames: int = 360, rate_hz: float = 240, **more: object
) -> MadeFrames:
    """Frames of an even rate from a time on."""
    times = np.rint((start_ms / 1e3 + np.arange(frames) / rate_hz) * 1e9).astype(np.int64)
    made = MadeFrames(times_ns=times)
    for name, value in more.items():
        setattr(made, name, value)
    return made


def both_views() -> dict[View, MadeFrames]:
    """Two views at 240 and 120 a second, half a frame apart and more."""
    return {
        View.FACE_ON: even_frames(),
        View.DOWN_THE_LINE: even_frames(start_ms=-998.3, frames=180, rate_hz=120),
    }


def seen_swing(
    name: str = "now",
    *,
    frames: Mapping[View, MadeFrames] | None = None,
    moments_ms: Mapping[Moment, int] | None = None,
    word: str = "today",
    said: Iterable[str] = (),
) -> SeenSwing:
    """A swing with those angles and hand marks."""
    angles: Mapping[View, Frames] = both_views() if frames is None else frames
    marks = made_marks(dict(MOMENTS_MS if moments_ms is None else moments_ms))
    swing = made_swing(
        name, day=42 if name == "now" else 0, views=tuple(angles), marks=tuple(marks.values())
    )
    return SeenSwing(swing=swing, frames=angles, word=word, said=tuple(said))


def then_swing(shift_ms: int = -20) -> SeenSwing:
    """The earlier swing, whose top is so much earlier."""
    moments = {**MOMENTS_MS, Moment.TOP: MOMENTS_MS[Moment.TOP] + shift_ms}
    return seen_swing("then", moments_ms=moments, word="own best")


FRAME_NS = round(1e9 / 240)
__all__ = ["FRAME_NS", "MS", "MadeFrames", "both_views", "even_frames", "seen_swing", "then_swing"]
