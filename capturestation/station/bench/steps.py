"""What is done on the Bench and can be taken back: moments, star, nudges.

Owns how a change of a swing is shown at once and written after. A refusal comes before anything is
shown or written.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

from capturestation.library import Library
from capturestation.records import (
    NS_PER_S,
    Mark,
    MarkSource,
    Moment,
    Swing,
    SwingBook,
    SwingId,
    View,
    hand_mark,
    no_such_moment,
)
from capturestation.station.bench.state import BenchState
from capturestation.station.intake import with_tempo
from capturestation.station.laying import Nudge
from capturestation.station.marking import SLOWEST_RATE_HZ
from capturestation.station.undo import Step, UndoList
from capturestation.swing.marks import with_mark, without_mark

Save: TypeAlias = Callable[[Callable[[], Swing], Callable[[], None]], None]
"""Has a change written: what makes it, and what is done where it can't be made."""
Change: TypeAlias = Callable[[SwingBook], SwingBook]


def by_hand(swing: Swing, moment: Moment, at_ns: int) -> Mark:
    """A hand's mark there, known to half a frame of the fastest view."""
    rates = [r.rate_hz for r in swing.facts.recordings if r.rate_hz is not None]
    half_ns = round(NS_PER_S / max(rates, default=SLOWEST_RATE_HZ) / 2)
    return hand_mark(moment, at_ns, u_ns=half_ns)


def absent(moment: Moment) -> Mark:
    """A hand's word that the moment does not occur."""
    return no_such_moment(moment)


class Steps:
    """Makes the steps of a Bench.

    Args:
        state: Shows each change at once.
        library: Where it is written.
        save: Has it written beside the window.
        steps: Where a step is dropped that could not be written: there is nothing to take back.
    """

    def __init__(self, state: BenchState, library: Library, save: Save, steps: UndoList) -> None:
        self.state = state
        self.library = library
        self.save = save
        self.steps = steps

    def mark(self, swing: Swing, moment: Moment, mark: Mark | None, words: str) -> Step:
        """Set the hand's mark of a moment, or take it away.

        Doing it raises `MarkRefusedError` where the order of the moments forbids it.

        Args:
            swing: As it is now.
            moment: Which moment.
            mark: The hand's; None for none.
            words: What it is, for undo.
        """
        marks = swing.book.marks
        mine = [m for m in marks if m.moment is moment and m.source is MarkSource.HAND]
        before = mine[0] if mine else None
        return self._step(swing, words, _marked(moment, mark), _marked(moment, before))

    def star(self, swing: Swing, words: str) -> Step:
        """Star a swing, or take its star away."""
        was = swing.book.starred

        def starred(*, on: bool) -> Change:
            return lambda book: replace(book, starred=on)

        return self._step(swing, words, starred(on=not was), starred(on=was))

    def nudge_time(self, by_ns: int, words: str) -> Step:
        """Move the earlier swing in time."""
        before = self.state.nudge_ns
        return Step(
            words=words,
            do=lambda: self.state.set_nudge_ns(before + by_ns),
            undo=lambda: self.state.set_nudge_ns(before),
        )

    def nudge_place(self, view: View, nudge: Nudge, words: str) -> Step:
        """Move the earlier picture of a view."""
        before = self.state.nudge(view)
        return Step(
            words=words,
            do=lambda: self.state.set_nudge(view, nudge),
            undo=lambda: self.state.set_nudge(view, before),
        )

    def _step(self, swing: Swing, words: str, do: Change, undo: Change) -> Step:
        made: list[Step] = []

        def drop() -> None:
            self.steps.drop(made[0])

        made.append(
            Step(
                words=words,
                do=lambda: self._change(swing.id, do, drop),
                undo=lambda: self._change(swing.id, undo, drop),
                about=swing.id,
            )
        )
        return made[0]

    def _change(self, swing_id: SwingId, change: Change, failed: Callable[[], None]) -> None:
        for seen in (self.state.now, self.state.then):
            if seen is not None and seen.swing.id == swing_id:
                self.state.take_swing(replace(seen.swing, book=change(seen.swing.book)))
                break
        self.save(lambda: self.library.change_book(swing_id, change), failed)


def _marked(moment: Moment, mark: Mark | None) -> Change:
    """On the marks as they stand then: another window may have set one since."""

    def changed(book: SwingBook) -> SwingBook:
        marks = without_mark(book.marks, moment)
        if mark is not None:
            marks = with_mark(marks, mark)
        return book if marks == book.marks else with_tempo(replace(book, marks=marks))

    return changed
