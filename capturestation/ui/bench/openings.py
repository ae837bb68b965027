"""Which swings lie on the Bench: opened beside the window, the newest wish first.

Owns wishes that come faster than files open, and that what lies there is what the library holds: a
swing that is gone, or another student's by now, doesn't stay.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from capturestation.drawing.grid import Side
from capturestation.errors import StationError
from capturestation.records import Swing, SwingId
from capturestation.station.bench.opening import Opened, Opener
from capturestation.ui.texts import say
from capturestation.ui.work import Job, Workers

if TYPE_CHECKING:
    from capturestation.ui.bench.place import BenchPlace


class Openings:
    """Opens swings for a Bench.

    Args:
        place: The Bench.
        opener: Opens the files.
    """

    def __init__(self, place: BenchPlace, opener: Opener) -> None:
        self._place, self.opener = place, opener
        # Opening never waits behind a long job of the window.
        self._workers = Workers(place)
        self._newest: Job | None = None
        self._ways = 0
        self.wants_earlier = False

    @property
    def is_busy(self) -> bool:
        """Whether something is being opened."""
        return bool(self._workers.jobs)

    def look_at(self, swing: SwingId) -> None:
        """Open a swing; the newest wish wins."""
        beside = self.wants_earlier
        self._open(lambda: self.opener.open(swing, beside=beside))

    def look_at_neighbour(self, way: int) -> None:
        """Open the swing struck so many before or after; presses while one opens are added up."""
        if self.is_busy:
            self._ways += way
            return
        now = self._place.state.now
        if now is None:
            return
        swing, beside = now.swing, self.wants_earlier

        def op() -> Opened | None:
            other = self.opener.neighbour(swing, way)
            return None if other is None else self.opener.open(other, beside=beside)

        self._open(op)

    def has_neighbour(self, way: int) -> bool:
        """Whether there is a swing before or after."""
        now = self._place.state.now
        return now is not None and self.opener.neighbour(now.swing, way) is not None

    def open_best(self) -> None:
        """Lay the own best beside."""
        now = self._place.state.now
        if now is not None:
            self.wants_earlier = True
            self._open(partial(self.opener.open_best, now.swing))

    def open_earlier(self, swing: SwingId, word: str) -> None:
        """Lay another earlier swing beside, called by that word."""
        now = self._place.state.now
        if now is not None:
            self.wants_earlier = True
            self._open(partial(self.opener.open_earlier, now.swing, swing, word))

    def take_earlier_away(self) -> None:
        """Look at today's swing alone."""
        self.wants_earlier = False
        self._clear_then()

    def refresh(self) -> None:
        """Show what the library knows now; what is gone goes, with its files."""
        state, opener = self._place.state, self.opener
        seen = {side: one.swing.id for side in Side if (one := state.seen(side)) is not None}
        if not seen:
            return

        def show(found: dict[Side, Swing | None]) -> None:
            standing = {side: one.swing.id for side in seen if (one := state.seen(side))}
            if standing == seen:
                self._take_again(found)

        self._workers.run(
            say("bench.opening"),
            lambda _watch: {side: opener.again(swing) for side, swing in seen.items()},
            show,
            self._place.trouble.emit,
        )

    def let_go_of(self, whose: str) -> None:
        """Close the files of a swing, or of a student's swings, before they are moved or erased."""
        state = self._place.state
        now, then = state.now, state.then
        if now is not None and whose in (now.swing.id, now.swing.book.student_id):
            self.clear()
        elif then is not None and whose in (then.swing.id, then.swing.book.student_id):
            self._clear_then()

    def clear(self) -> None:
        """Clear the Bench, and give up what is being opened."""
        self._newest = None
        for side in Side:
            self._place.canvas.room.show(side, {})
        self._place.state.close()

    def close(self) -> None:
        """Give up what is being opened; no more is opened."""
        self._workers.close()
        self.opener.close()

    def _clear_then(self) -> None:
        self._place.canvas.room.show(Side.THEN, {})
        self._place.state.open_then(None)

    def _take_again(self, found: dict[Side, Swing | None]) -> None:
        state = self._place.state
        now, then = found.get(Side.NOW), found.get(Side.THEN)
        if Side.NOW in found and now is None:
            self.clear()
            self._place.says.emit(say("bench.gone"))
            return
        for side, swing in ((Side.NOW, now), (Side.THEN, then)):
            seen = state.seen(side)
            if swing is None or seen is None:
                continue
            is_exchanged = swing.book.exchanged != seen.swing.book.exchanged
            if side is Side.NOW and (is_exchanged or swing.book.syncs != seen.swing.book.syncs):
                # Its pictures stand elsewhere on the clock by now, or have other names.
                self.look_at(swing.id)
                return
            if is_exchanged and state.then is not None:
                self.open_earlier(swing.id, state.then.word)
                return
            state.take_swing(swing)
        if Side.THEN in found and (then is None or now is None or not _of_one(now, then)):
            self._clear_then()

    def _open(self, op: Callable[[], Opened | None]) -> None:
        def done(opened: Opened | None) -> None:
            if opened is None:
                self._ways = 0
                self._place.says.emit(say("bench.no_more"))
            elif self._newest is not job:
                opened.close()
            else:
                self._place.take_opened(opened)
            self._go_on()

        def failed(error: StationError) -> None:
            if self._newest is job:
                self._ways = 0
                self._place.trouble.emit(error)

        job = self._workers.run(say("bench.opening"), lambda _watch: op(), done, failed)
        self._newest = job

    def _go_on(self) -> None:
        """Take up the presses that came meanwhile."""
        if self._ways and not self.is_busy:
            way, self._ways = self._ways, 0
            self.look_at_neighbour(way)


def _of_one(now: Swing, then: Swing) -> bool:
    """Whether both are the same student's."""
    return now.book.student_id == then.book.student_id
