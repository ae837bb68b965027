"""A coach's hand on a real window: keys, mouse, and eyes that find words by what they say."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from capturestation.records.plain import from_plain
from tests.helpers.real_window import Screen, program, until
from tests.helpers.seen_window import Seen, SeenBench, Spread, Thing

_CRASHED = "Fatal Python error"
_LAST_SIGNS, _CRASH_SIGNS = 6_000, 30_000
_ENOUGH_PX = 30
# Of a word that is half scrolled out of sight: less can't be pressed for certain.


class Hand:
    """Works a window that tells what is seen.

    Args:
        on: Its screen.
        process: The program, `tests.helpers.observed_window`.
    """

    def __init__(self, on: Screen, process: subprocess.Popen[str]) -> None:
        self.on = on
        self.process = process

    def seen(self, word: str = "look") -> Seen:
        """What is seen now.

        Args:
            word: `forget` begins to count anew how long the window was away.
        """
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        told = ""
        # One that died before it was asked takes no question any more.
        with suppress(BrokenPipeError):
            self.process.stdin.write(f"{word}\n")
            self.process.stdin.flush()
            told = self.process.stdout.readline()
        if not told:
            msg = f"the window has gone: {self._last_words()}"
            raise RuntimeError(msg)
        return from_plain(Seen, json.loads(told))

    def bench(self) -> SeenBench:
        """What lies on the Bench."""
        bench = self.seen().bench
        assert bench is not None
        return bench

    def thing(self, name: str) -> Thing:
        """What is called that, once it is seen and can be used."""
        self.until(lambda seen: _usable(seen, name), f"“{name}” is seen and can be used")
        thing = self.seen().named(name)
        assert thing is not None
        return thing

    def press(self, name: str) -> None:
        """Press a word with the mouse."""
        self.on.click(*self.thing(name).where.middle)

    def scroll_to(self, name: str, over: str) -> None:
        """Turn the wheel over a word until another one comes into sight."""
        at = self.thing(over).where.middle
        while not _in_sight(before := self.seen(), name):
            self.on.wheel(*at)
            self.until(lambda seen: seen.things != before.things, f"“{name}” comes nearer")

    def until(self, holds: Callable[[Seen], bool], what: str) -> Seen:
        """Wait until something is seen, and say what is seen then."""
        last: list[Seen] = []

        def looks() -> bool:
            last[:] = [self.seen()]
            return holds(last[0])

        try:
            until(looks, what)
        except TimeoutError as error:
            msg = f"{error}; seen is {[thing.name for thing in last[0].things]}, {last[0].bench}"
            raise TimeoutError(msg) from None
        return last[0]

    def until_bench(self, holds: Callable[[SeenBench], bool], what: str) -> SeenBench:
        """Wait until something lies on the Bench, whole and written."""

        def there(seen: Seen) -> bool:
            return seen.bench is not None and seen.bench.is_settled and holds(seen.bench)

        bench = self.until(there, what).bench
        assert bench is not None
        return bench

    def drag(self, start: Spread | tuple[int, int], end: Spread | tuple[int, int]) -> None:
        """Drag from one place to another."""
        first = start.middle if isinstance(start, Spread) else start
        last = end.middle if isinstance(end, Spread) else end
        self.on.drag(first, last)

    def quit(self) -> str:
        """Close the window by its key, and say what it wrote of errors.

        Raises:
            AssertionError: If it didn't end well.
        """
        self.on.key("ctrl+q")
        _, errors = self.process.communicate(timeout=40)
        assert self.process.returncode == 0, errors
        return errors

    def _last_words(self) -> str:
        """How it ended, and what it wrote last: of a crash where all of its threads were."""
        _, errors = self.process.communicate(timeout=10)
        fatal = errors.find(_CRASHED)
        said = errors[-_LAST_SIGNS:] if fatal < 0 else errors[fatal : fatal + _CRASH_SIGNS]
        return f"exit code {self.process.returncode}\n{said}"


def _usable(seen: Seen, name: str) -> bool:
    thing = seen.named(name)
    return thing is not None and thing.is_on


def _in_sight(seen: Seen, name: str) -> bool:
    thing = seen.named(name)
    return thing is not None and thing.where.height >= _ENOUGH_PX


@contextmanager
def hand_on(on: Screen, library: Path) -> Iterator[Hand]:
    """Open the window on a library and wait until its Book or Bench is seen."""
    with program(on, ["tests.helpers.observed_window", str(library)]) as process:
        hand = Hand(on, process)
        hand.until(lambda seen: seen.place != "", "a place is seen")
        on.find("capturestation")
        yield hand
