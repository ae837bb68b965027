"""What can be seen of a window from outside: its words and where they stand, and what lies where.

One side (`observed_window`) tells it as one line of JSON, the other (`hand_on_window`) reads it.
Places are pixels of the screen.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import Moment, View


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A part of the screen."""

    left: int
    top: int
    width: int
    height: int

    @property
    def middle(self) -> tuple[int, int]:
        """Where a hand presses it."""
        return self.at(0.5, 0.5)

    def at(self, x: float, y: float) -> tuple[int, int]:
        """A place in it, shares of its width and height."""
        return round(self.left + x * self.width), round(self.top + y * self.height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """Anything with a name that is seen.

    Args:
        name: What a screen reader calls it.
        text: What stands on it.
        where: Its part of the screen that can be pressed.
        is_on: Whether it can be used.
        is_chosen: Whether it is checked.
        has_keyboard: Whether keys go to it.
    """

    name: str
    text: str
    where: Spread
    is_on: bool
    is_chosen: bool
    has_keyboard: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A moment on the bar.

    Args:
        moment: Which.
        at_ns: Where it stands, swing clock.
        word: Its word's part of the screen; None where there was no room for it.
    """

    moment: Moment
    at_ns: int
    word: Spread | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture on the Bench.

    Args:
        side: now or then.
        view: From where.
        where: What the whole picture covers.
        frame: The number of the frame that should be seen.
    """

    side: str
    view: View
    where: Spread
    frame: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenBench:
    """What lies on the Bench.

    Args:
        now: The swing's id; empty where none lies there.
        then: The earlier one's id, or empty.
        at_ns: Where we are, swing clock.
        is_playing: Whether it moves.
        alone: The one angle that is seen; None for all.
        line: The line of time.
        start_ns: Its left end.
        stop_ns: Its right end.
        moments: Those of today's swing.
        pictures: All that are seen.
        drawings: How many are drawn on today's pictures.
        is_settled: Whether every picture that should be seen is there, and all is written.
    """

    now: str
    then: str
    at_ns: int
    is_playing: bool
    alone: View | None
    line: Spread
    start_ns: int
    stop_ns: int
    moments: tuple[Told, ...]
    pictures: tuple[Picture, ...]
    drawings: int
    is_settled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stall:
    """A while in which the window heard nothing.

    Args:
        ms: How long.
        cpu_ms: How long its own thread worked meanwhile.
        starved_ms: How long it was ready to work and other programs had the cores; 0 where the
            system doesn't say.
        where: What it was at, innermost first; empty where nobody looked in time.
    """

    ms: float
    cpu_ms: float
    starved_ms: float
    where: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The window as it stands.

    Args:
        place: Key of the place that one is in; empty before a library is open.
        chosen: The swing that is chosen there, or empty.
        is_busy: Whether a job of the window is under way.
        things: All that has a name and is seen.
        bench: What lies on the Bench, seen or not.
        stalls: The longest since the start, longest first.
    """

    place: str
    chosen: str
    is_busy: bool
    things: tuple[Thing, ...]
    bench: SeenBench | None
    stalls: tuple[Stall, ...]

    def named(self, name: str) -> Thing | None:
        """What is called that, or begins so; None where it isn't seen."""
        exact = [thing for thing in self.things if thing.name == name]
        begun = [thing for thing in self.things if thing.name.startswith(name)]
        return next(iter(exact + begun), None)

    @property
    def at_keyboard(self) -> str:
        """The name of what keys go to; empty where nothing has a name."""
        return next((thing.name for thing in self.things if thing.has_keyboard), "")

    @property
    def says(self) -> str:
        """All that stands anywhere, for whoever looks for a word."""
        return "\n".join(thing.text for thing in self.things)
