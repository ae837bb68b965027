"""A struck ball again and again, slowly, all angles at one time of its clock; without sound.

Owns a thread that decodes the quick files of the last ball, and where in the loop it is. What is
asked for a picture gets all angles of one time, or those of the time before. Nothing rests on it:
where a file can't be read it says so and shows nothing.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from capturestation.capture.messages import LookAt
from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, FrameArray, View

SPEED = Fraction(1, 4)
"""Of the real one: a downswing of a quarter of a second takes one."""
FIRST_NS, LAST_NS = -1_300_000_000, 850_000_000
"""From before the club goes back to the finish, swing clock."""
HELD_NS = 700_000_000
"""The finish stands so long before it begins again."""
TICK_NS = NS_PER_S // 30
_JOIN_S = 10.0
_CACHE_MB = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The part of a swing that is played, swing clock."""

    first_ns: int
    last_ns: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """What is to be seen now.

    Args:
        ball: Whose.
        at_ns: The time that all pictures are nearest to, swing clock.
        pictures: Each angle's, (H, W, 3) RGB.
        ordinals: Each angle's number of the frame in its file.
    """

    ball: str
    at_ns: int
    pictures: dict[View, FrameArray]
    ordinals: dict[View, int] = field(default_factory=dict)


def position(span: Span, since_ns: int) -> int:
    """Where in the swing the loop is.

    Args:
        span: What is played.
        since_ns: Since it began.

    Returns:
        Swing clock.

    Example:
        >>> span = Span(first_ns=-1_000_000_000, last_ns=500_000_000)
        >>> [position(span, round(s * 1e9)) / 1e9 for s in (0, 4, 6, 6.5, 6.7)]
        [-1.0, 0.0, 0.5, 0.5, -1.0]
    """
    plays_ns = round((span.last_ns - span.first_ns) / SPEED)
    within_ns = since_ns % (plays_ns + HELD_NS)
    return span.first_ns + round(min(within_ns, plays_ns) * SPEED)


class Replay:
    """Plays the newest ball that it was given.

    Args:
        arrived: Called from its thread whenever other pictures are there.
        clock: What the pace is kept by.
    """

    def __init__(
        self, arrived: Callable[[], None], clock: Callable[[], int] = time.perf_counter_ns
    ) -> None:
        self._arrived = arrived
        self._clock = clock
        self._turn = threading.Condition()
        self._ball, self._looks = "", ()
        self._number = 0
        self._is_hushed = False
        self._is_over = False
        self._shown: Shown | None = None
        self._failure: BaseException | None = None
        self._thread: threading.Thread | None = None
        self.trouble: NotReadableError | None = None

    _looks: tuple[LookAt, ...]

    @property
    def ball(self) -> str:
        """The ball that is played; empty where none is."""
        return self._ball

    def show(self, ball: str, looks: Sequence[LookAt]) -> None:
        """Play this ball from its beginning, and no other any more."""
        self._change(ball, tuple(looks))
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="replay", daemon=True)
            self._thread.start()

    def stop(self) -> None:
        """Play nothing."""
        self._change("", ())

    def _change(self, ball: str, looks: tuple[LookAt, ...]) -> None:
        with self._turn:
            self._ball, self._looks = ball, looks
            self._number += 1
            self._shown, self.trouble = None, None
            self._turn.notify_all()

    def hush(self, on: bool) -> None:
        """Decode nothing while nobody looks; go on from the beginning afterwards."""
        with self._turn:
            self._is_hushed = on
            self._number += 1
            self._turn.notify_all()

    def shown(self) -> Shown | None:
        """What is to be seen now; None where nothing is played, or not yet.

        Raises:
            RuntimeError: If the thread died of a mistake of ours.
        """
        with self._turn:
            if self._failure is not None:
                msg = "the replay died"
                raise RuntimeError(msg) from self._failure
            return self._shown

    def close(self) -> None:
        """End the thread and close the files."""
        with self._turn:
            self._is_over = True
            self._number += 1
            self._turn.notify_all()
        if self._thread is not None:
            self._thread.join(_JOIN_S)

    def _run(self) -> None:
        try:
            while True:
                with self._turn:
                    self._turn.wait_for(lambda: self._is_over or self._has_work())
                    if self._is_over:
                        return
                    ball, looks, number = self._ball, self._looks, self._number
                try:
                    self._play(ball, looks, number)
                except NotReadableError as error:
                    self._give_up(number, error)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error
            self._arrived()

    def _has_work(self) -> bool:
        return bool(self._looks) and not self._is_hushed and self.trouble is None

    def _give_up(self, number: int, error: NotReadableError) -> None:
        """Quick files go once two newer balls were struck: then this one was not wanted anyway."""
        with self._turn:
            if number == self._number:
                self._shown, self.trouble = None, error
        self._arrived()

    def _play(self, ball: str, looks: Sequence[LookAt], number: int) -> None:
        with ExitStack() as files:
            readers = {
                look.view: files.enter_context(FrameReader(Path(look.file), cache_mb=_CACHE_MB))
                for look in looks
            }
            impacts = {look.view: look.impact_media_ns for look in looks}
            span = _span(readers, impacts)
            began_ns = self._clock()
            before: dict[View, int] = {}
            while self._goes_on(number):
                at_ns = position(span, self._clock() - began_ns)
                now = {view: reader.at(impacts[view] + at_ns) for view, reader in readers.items()}
                if now != before:
                    pictures = {
                        view: readers[view].frame_rgb(ordinal) for view, ordinal in now.items()
                    }
                    shown = Shown(ball=ball, at_ns=at_ns, pictures=pictures, ordinals=now)
                    self._put(number, shown)
                    before = now

    def _goes_on(self, number: int) -> bool:
        """Wait for the next look at the clock; whether the same ball is played then."""
        with self._turn:
            self._turn.wait_for(lambda: number != self._number, TICK_NS / NS_PER_S)
            return number == self._number

    def _put(self, number: int, shown: Shown) -> None:
        with self._turn:
            if number != self._number:
                return
            self._shown = shown
        self._arrived()


def _span(readers: dict[View, FrameReader], impacts: dict[View, int]) -> Span:
    """What all angles hold of the usual part; where they hold nothing together, impact alone."""
    first_ns, last_ns = FIRST_NS, LAST_NS
    for view, reader in readers.items():
        first_ns = max(first_ns, int(reader.index.times_ns[0]) - impacts[view])
        last_ns = min(last_ns, int(reader.index.times_ns[-1]) - impacts[view])
    return Span(first_ns=min(first_ns, 0), last_ns=max(last_ns, 0))
