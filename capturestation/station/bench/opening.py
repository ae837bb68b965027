"""Opening what is laid on the Bench, with all that is written beside it.

Owns which swing stands beside, what both are called, and what the lesson works on. Takes its
time: it is called beside the window.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

from capturestation.compare.pairing import Choice, own_best, refuse_unless_comparable
from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.library import Library
from capturestation.records import Swing, SwingId
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.cache import Cache, cache_of
from capturestation.station.looking import Looking

NOW_WORD = "today"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opened:
    """What was asked for, open.

    Args:
        now: The swing to look at; None where only an earlier one was asked for.
        then: What is laid beside it; None where nothing is.
        why: Why that one, or why none, in one sentence.
        focus: What the lesson works on.
    """

    now: SeenSwing | None
    then: SeenSwing | None
    why: str = ""
    focus: tuple[str, ...] = ()

    def close(self) -> None:
        """Let go of all files: nobody wants to see it any more."""
        for seen in (self.now, self.then):
            for frames in seen.frames.values() if seen else ():
                frames.close()


class Opener:
    """Opens swings for the Bench; safe on any thread. Close it before the library.

    Args:
        library: Whose swings.
        cache: Where working copies lie; this account's own unless given.
        cache_mb: How much decoded picture an angle keeps.
    """

    def __init__(self, library: Library, cache: Cache | None = None, *, cache_mb: int = 24) -> None:
        self.library = library
        self._cache = cache
        self._cache_mb = cache_mb
        self._looking: Looking | None = None
        self._lock = threading.Lock()

    def close(self) -> None:
        """Stop the working copies that are being made."""
        with self._lock:
            if self._looking is not None:
                self._looking.close()

    def open(self, swing_id: SwingId, *, beside: bool) -> Opened:
        """Open a swing to look at, and the own best with it where that is wanted.

        Raises:
            NotFoundError: If there is no such swing.
            NotReadableError: If none of its recordings can be read.
        """
        now = self._seen(swing_id, NOW_WORD)
        lesson = self.library.lesson(now.swing.book.lesson_id)
        then, why = None, ""
        if beside:
            try:
                opened = self.open_best(now.swing)
                then, why = opened.then, opened.why
            except ComparisonRefusedError as error:
                why = str(error)
        return Opened(now=now, then=then, why=why, focus=lesson.focus)

    def open_best(self, now: Swing) -> Opened:
        """Open what a swing is laid beside unless something else is chosen.

        Raises:
            ComparisonRefusedError: If there is nothing to stand beside.
            NotReadableError: If none of its recordings can be read.
        """
        choice = own_best(now, self.library.may_stand_beside(now))
        return self._chosen(choice)

    def open_earlier(self, now: Swing, swing_id: SwingId, word: str) -> Opened:
        """Open an earlier swing that a person chose.

        Raises:
            NotFoundError: If there is no such swing.
            ComparisonRefusedError: If the two must not be compared.
            NotReadableError: If none of its recordings can be read.
        """
        other = self.library.swing(swing_id)
        refuse_unless_comparable(now, other)
        return self._chosen(Choice(swing=other, label=word, why=""))

    def neighbour(self, swing: Swing, way: int) -> SwingId | None:
        """The swing so many before or after in the same lesson, or its last; None at its end."""
        swings = sorted(
            self.library.swings(swing.book.lesson_id), key=lambda s: (s.facts.struck_at, s.id)
        )
        ids = [one.id for one in swings]
        if swing.id not in ids:
            return None
        here = ids.index(swing.id)
        there = min(max(here + way, 0), len(ids) - 1)
        return None if there == here else ids[there]

    def again(self, swing_id: SwingId) -> Swing | None:
        """A swing as the library has it now; None where it is gone."""
        try:
            return self.library.swing(swing_id)
        except NotFoundError:
            return None

    def _chosen(self, choice: Choice) -> Opened:
        return Opened(now=None, then=self._seen(choice.swing.id, choice.label), why=choice.why)

    def _seen(self, swing_id: SwingId, word: str) -> SeenSwing:
        opened = self._look().open(swing_id)
        return SeenSwing(swing=opened.swing, frames=opened.angles, word=word, said=opened.said)

    def _look(self) -> Looking:
        """Made when it is first needed: its beginning tidies the cache, which takes a while."""
        with self._lock:
            if self._looking is None:
                cache = self._cache or cache_of(self.library)
                self._looking = Looking(self.library, cache, cache_mb=self._cache_mb)
            return self._looking
