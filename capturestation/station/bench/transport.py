"""Where we are on today's clock and how we move: by frames, by moments, by playing.

Owns position, direction, speed and loop. Host time is handed in, so a test turns the clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import numpy as np

from capturestation.records import NS_PER_S, IntArray, View
from capturestation.station.bench.notice import Notice
from capturestation.timing.frames import nearest_frame

SLOWEST, FASTEST = Fraction(1, 16), Fraction(1)
USUAL_SPEED = Fraction(1, 4)
"""A downswing lasts a quarter of a second: so it can be followed with the eye."""
SHORTEST_LOOP_NS = NS_PER_S // 50
_LONGEST_STRIDE = 12
# Frames; whoever goes further at once jumps, and will next look about where he is.


def stops_of(times_ns: Mapping[View, IntArray]) -> IntArray:
    """The times at which stepping stands still: one for each set of frames that is shown.

    All views' frame times together, without those at which no view shows another frame than
    before. Two cameras of one rate give one stop a frame, whatever their phase.

    Args:
        times_ns: Each view's frame times, (n,), swing clock, rising, at least one.

    Example:
        >>> both = {View.FACE_ON: np.array([0, 40]), View.DOWN_THE_LINE: np.array([10, 50])}
        >>> stops_of(both).tolist()
        [0, 40]
    """
    union = np.unique(np.concatenate(list(times_ns.values())))
    shown = np.stack([nearest_frame(times, union) for times in times_ns.values()])
    changes = np.any(np.diff(shown, axis=1) != 0, axis=0)
    stops: IntArray = union[np.concatenate([[True], changes])]
    return stops


class Transport:
    """Position and movement on today's clock.

    Attributes:
        moved: Tells that the position is another one.
        changed: Tells that direction, speed, loop or the stops are others.
    """

    def __init__(self) -> None:
        self.moved = Notice()
        self.changed = Notice()
        self.at_ns = 0
        self.direction = 0
        """-1 while it plays back, 1 forward, 0 while it stands."""
        self.travel = 1
        """Which way it moved last: -1 or 1."""
        self.speed = USUAL_SPEED
        self.loop: tuple[int, int] | None = None
        self.stops_ns: IntArray = np.zeros(1, np.int64)
        self.frame_ns = 0
        """The usual time from stop to stop."""
        self.moments_ns: tuple[int, ...] = ()
        self.has_jumped = False
        """Whether it went further at once than a hand does that looks for something."""
        self._stride_ns = 0
        # How far a hand moved it last: it will probably go on like that.
        self._anchor: tuple[int, int] | None = None
        # Host time and position from which playing is counted; None until the first tick.

    @property
    def first_ns(self) -> int:
        """The first stop."""
        return int(self.stops_ns[0])

    @property
    def last_ns(self) -> int:
        """The last stop."""
        return int(self.stops_ns[-1])

    @property
    def is_playing(self) -> bool:
        """Whether it moves by itself."""
        return self.direction != 0

    def load(self, stops_ns: IntArray, *, at_ns: int = 0) -> None:
        """Stand in another swing; what was played or looped ends."""
        self.stops_ns = stops_ns
        self.frame_ns = int(np.median(np.diff(stops_ns))) if len(stops_ns) > 1 else 0
        self.direction, self.travel, self.loop, self._anchor = 0, 1, None, None
        self._stride_ns = 0
        self.at_ns = self._inside(at_ns)
        self.changed()
        self.moved()

    def set_moments(self, moments_ns: Sequence[int]) -> None:
        """Tell where the moments are, swing clock."""
        self.moments_ns = tuple(sorted(moments_ns))

    def go(self, at_ns: int) -> None:
        """Go to a time, as near as the recordings reach; playing goes on from there."""
        self._anchor = None
        self._stand_at(at_ns)

    def drag(self, at_ns: int) -> None:
        """Go to a time by hand: playing ends."""
        self._set_direction(0)
        before = self.at_ns
        stride_ns = self._inside(at_ns) - before
        self.has_jumped = abs(stride_ns) > _LONGEST_STRIDE * self.frame_ns
        self._stride_ns = 0 if self.has_jumped else stride_ns
        self.go(at_ns)

    def step(self, frames: int) -> None:
        """Go so many frames on, or back where negative; playing ends."""
        self._set_direction(0)
        self._stride_ns, self.has_jumped = 0, False
        at = self.at_ns
        if frames > 0:
            place = int(np.searchsorted(self.stops_ns, at, side="right")) - 1 + frames
        else:
            place = int(np.searchsorted(self.stops_ns, at, side="left")) + frames
        self.go(int(self.stops_ns[min(max(place, 0), len(self.stops_ns) - 1)]))

    def ahead(self, count: int, tick_ns: int) -> tuple[int, ...]:
        """Where it will probably be next, nearest first.

        Args:
            count: How many places.
            tick_ns: How often it is ticked, host time.
        """
        if self.direction:
            way = int(tick_ns * self.speed) * self.direction
            at = [self.at_ns + (n + 1) * way for n in range(count)]
            return tuple(self._inside(self._looped(one)) for one in at)
        if self._stride_ns:
            return tuple(
                self._inside(self.at_ns + n * self._stride_ns) for n in range(1, count + 1)
            )
        if self.travel > 0:
            near = int(np.searchsorted(self.stops_ns, self.at_ns, side="right"))
            found = self.stops_ns[near : near + count]
        else:
            near = int(np.searchsorted(self.stops_ns, self.at_ns, side="left"))
            found = self.stops_ns[max(near - count, 0) : near][::-1]
        return tuple(int(at) for at in found)

    def next_moment(self, way: int) -> None:
        """Go to the next moment, or to the one before where `way` is -1; playing ends."""
        after = [at for at in self.moments_ns if (at - self.at_ns) * way > 0]
        if after:
            self.drag(min(after) if way > 0 else max(after))

    def home(self) -> None:
        """Go to the first frame."""
        self.drag(self.first_ns)

    def end(self) -> None:
        """Go to the last frame."""
        self.drag(self.last_ns)

    def play_or_stop(self) -> None:
        """Play forward, or stop."""
        if self.is_playing:
            self.stop()
        else:
            self._start(1)

    def stop(self) -> None:
        """Stand still."""
        self._set_direction(0)

    def forward(self) -> None:
        """Play forward; faster if it does so already."""
        self._start_or_faster(1)

    def back(self) -> None:
        """Play back; faster if it does so already."""
        self._start_or_faster(-1)

    def faster(self) -> None:
        """Double the speed, up to real speed."""
        self.set_speed(self.speed * 2)

    def slower(self) -> None:
        """Halve the speed, down to a sixteenth."""
        self.set_speed(self.speed / 2)

    def set_speed(self, speed: Fraction) -> None:
        """Play at that share of real speed, kept within 1/16 and 1."""
        self.speed = min(max(speed, SLOWEST), FASTEST)
        self._anchor = None
        self.changed()

    def set_loop(self, start_ns: int, stop_ns: int) -> None:
        """Play between two times again and again; too short a stretch is made longer."""
        first, last = sorted((self._inside(start_ns), self._inside(stop_ns)))
        if last - first < SHORTEST_LOOP_NS:
            last = self._inside(first + SHORTEST_LOOP_NS)
            first = self._inside(last - SHORTEST_LOOP_NS)
        self.loop = (first, last)
        self.changed()
        if not first <= self.at_ns <= last:
            self.go(first)

    def end_loop(self) -> None:
        """Play through again."""
        self.loop = None
        self.changed()

    def tick(self, host_ns: int) -> None:
        """Move as far as host time went since the last tick, times the speed.

        Args:
            host_ns: Host clock, never falling.
        """
        if not self.direction:
            return
        if self._anchor is None:
            self._anchor = (host_ns, self.at_ns)
            return
        begun_ns, from_ns = self._anchor
        way = int((host_ns - begun_ns) * self.speed) * self.direction
        wanted = self._looped(from_ns + way)
        if wanted != from_ns + way:
            self._anchor = (host_ns, wanted)
        self._stand_at(wanted)
        if self.loop is None and not self.first_ns < wanted < self.last_ns:
            ended = wanted >= self.last_ns if self.direction > 0 else wanted <= self.first_ns
            if ended:
                self.stop()

    def _start_or_faster(self, direction: int) -> None:
        if self.direction == direction:
            self.faster()
        else:
            self._start(direction)

    def _start(self, direction: int) -> None:
        ends = (self.last_ns, self.first_ns) if direction > 0 else (self.first_ns, self.last_ns)
        if self.loop is None and self.at_ns == ends[0]:
            self.go(ends[1])
        elif self.loop is not None and not self.loop[0] <= self.at_ns <= self.loop[1]:
            self.go(self.loop[0])
        self._set_direction(direction)

    def _set_direction(self, direction: int) -> None:
        self._anchor = None
        if direction != self.direction:
            self.direction = direction
            self.travel = direction or self.travel
            self.changed()

    def _stand_at(self, at_ns: int) -> None:
        at_ns = self._inside(at_ns)
        if at_ns == self.at_ns:
            return
        self.travel = 1 if at_ns > self.at_ns else -1
        self.at_ns = at_ns
        self.moved()

    def _inside(self, at_ns: int) -> int:
        return min(max(at_ns, self.first_ns), self.last_ns)

    def _looped(self, at_ns: int) -> int:
        """Over one end of the loop and in again at the other."""
        if self.loop is None:
            return at_ns
        first, last = self.loop
        if self.direction > 0 and at_ns > last:
            return first + (at_ns - last) % (last - first)
        if self.direction < 0 and at_ns < first:
            return last - (first - at_ns) % (last - first)
        return at_ns
