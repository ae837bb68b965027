"""Where ball, mat corners and stance are in the pictures of a swing: pointed out, or found.

Owns the spots of two swings while they are laid together. A hand's place counts before a found
one; what a hand said of the swing before, in the same lesson, is offered for this one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace

import numpy as np

from capturestation.compare.overlay import PictureSize, Placing, lay_over, spots_of
from capturestation.drawing.grid import Cell, Side
from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import (
    GOLFER_SPOTS,
    PLACE_SPOTS,
    STANCE_SPOTS,
    MarkSource,
    Part,
    Point,
    Spot,
    SpotMark,
    Swing,
    SwingBook,
    SwingId,
    View,
    Watch,
)
from capturestation.station.bench.notice import Notice
from capturestation.station.keeping import Keep
from capturestation.station.undo import Step, UndoList
from capturestation.station.zero import LOOK_NS
from capturestation.tracking.ball import find_ball

SURE = 0.3
"""Of a found ball's confidence: less is not offered, a wrong place is worse than none."""
Key = tuple[View, Spot]
Turn = tuple[Side, Spot]


class Spots:
    """Ball, mat corners and stance of today's swing and of the earlier one.

    Args:
        library: Where they are kept.
        steps: Where changes can be taken back.
        keep: Writes a change.

    Attributes:
        changed: Tells that a spot is elsewhere now, or another one is asked for.
        wanted: What is pointed out next, and in which swing's picture; None leaves pictures alone.
        views: The angles that are shown: a spot is asked for until each of them has it.
    """

    def __init__(self, library: Library, steps: UndoList, keep: Keep) -> None:
        self.changed = Notice()
        self.wanted: Turn | None = None
        self.views: tuple[View, ...] = tuple(View)
        self._library, self._steps, self._keep = library, steps, keep
        self._swings: dict[Side, Swing] = {}
        self._held: Cell | None = None

    def look_at(self, now: Swing | None, then: Swing | None) -> None:
        """Take up what is known of two swings."""
        sides = ((Side.NOW, now), (Side.THEN, then))
        self._swings = {side: swing for side, swing in sides if swing is not None}
        if self.wanted is not None and self.wanted[0] not in self._swings:
            self.wanted = None
        self.changed()

    def take_swing(self, swing: Swing) -> None:
        """Take up what was found in a swing; what a hand said here is newer and stays."""
        for side, known in self._swings.items():
            if known.id == swing.id:
                found = [m for m in swing.book.spots if m.source is not MarkSource.HAND]
                by_hand = _by_hand(known.book.spots).values()
                book = replace(known.book, spots=(*found, *by_hand))
                self._swings[side] = replace(known, book=book)
        self.changed()

    def swing_of(self, side: Side) -> Swing | None:
        """A swing with what is known of it now."""
        return self._swings.get(side)

    def of(self, side: Side, view: View) -> dict[Spot, Point]:
        """The spots of one picture."""
        swing = self._swings.get(side)
        return {} if swing is None else spots_of(swing.book.spots, view)

    def placing(self, view: View) -> Placing | None:
        """How the earlier picture of a view lies over today's; None where one has no such view."""
        sizes = []
        for side in (Side.NOW, Side.THEN):
            swing = self._swings.get(side)
            recording = None if swing is None else swing.recording(view)
            if recording is None:
                return None
            sizes.append(PictureSize(width_px=recording.width_px, height_px=recording.height_px))
        return lay_over(self.of(Side.NOW, view), self.of(Side.THEN, view), *sizes)

    def want(self, side: Side | None, spot: Spot = Spot.BALL) -> None:
        """Ask for a spot in a swing's picture; None asks for nothing."""
        self.wanted = None if side is None or side not in self._swings else (side, spot)
        self.changed()

    def want_next(self, among: tuple[Spot, ...] = PLACE_SPOTS) -> None:
        """Ask for the next spot that is missing: the ball in both swings, then each corner.

        Where none is missing it begins with the first, so that it can be put right; asked again
        after the last, for nothing.

        Args:
            among: What is gone through: the place, or the stance.
        """
        turns = [(side, spot) for spot in among for side in Side if side in self._swings]
        if self.wanted not in turns:
            ahead = turns
            last = turns[0] if turns else None
        else:
            ahead = turns[turns.index(self.wanted) + 1 :]
            last = None
        self.wanted = next((turn for turn in ahead if self._is_missing(*turn)), last)
        self.changed()

    def _is_missing(self, side: Side, spot: Spot) -> bool:
        recorded = [v for v in self.views if self._swings[side].recording(v) is not None]
        return any(spot not in self.of(side, view) for view in recorded)

    def press(self, cell: Cell, at: Point) -> bool:  # noqa: ARG002 - the protocol's shape
        """The pointer comes down in a field.

        Returns:
            Whether a spot was asked for there; it is pointed out where the pointer goes up.
        """
        self._held = cell if self.wanted is not None and self.wanted[0] is cell[0] else None
        return self._held is not None

    def move(self, cell: Cell, at: Point) -> bool:  # noqa: ARG002 - the protocol's shape
        """It moves."""
        return self._held == cell

    def release(self, cell: Cell, at: Point) -> bool:
        """It goes up: there the spot is."""
        if self.wanted is None or self._held != cell:
            return False
        self._held = None
        side, spot = self.wanted
        was_missing = self._is_missing(side, spot)
        self.point_out(side, cell[1], spot, at)
        if was_missing and not self._is_missing(side, spot):
            self.want_next(STANCE_SPOTS if spot in STANCE_SPOTS else PLACE_SPOTS)
        return True

    def point_out(self, side: Side, view: View, spot: Spot, at: Point) -> None:
        """Say where a spot is."""
        mark = SpotMark(view=view, spot=spot, at=at)
        self._change(side, f"point out the {spot}", {(view, spot): mark})

    def forget(self, side: Side, view: View, spot: Spot) -> None:
        """Take a hand's place away; a found one counts again."""
        if (view, spot) in _by_hand(self._swings[side].book.spots):
            self._change(side, f"forget the {spot}", {(view, spot): None})

    def drop(self, side: Side, views: Iterable[View], spots: Iterable[Spot], words: str) -> None:
        """Take a hand's places of those spots away in these views, as one step."""
        known = _by_hand(self._swings[side].book.spots) if side in self._swings else {}
        gone: dict[Key, SpotMark | None] = {
            (view, spot): None for view in views for spot in spots if (view, spot) in known
        }
        if gone:
            self._change(side, words, gone)

    def accept(
        self, side: Side, proposed: Iterable[SpotMark], words: str = "take over the spots"
    ) -> None:
        """Take over what was proposed, as one step of these words."""
        marks: dict[Key, SpotMark | None] = {(mark.view, mark.spot): mark for mark in proposed}
        if marks:
            self._change(side, words, marks)

    def _change(self, side: Side, words: str, marks: Mapping[Key, SpotMark | None]) -> None:
        swing = self._swings[side]
        known = _by_hand(swing.book.spots)
        back = {key: known.get(key) for key in marks}
        self._steps.run(
            Step(
                words=words,
                do=lambda: self._carry_out(swing.id, words, marks),
                undo=lambda: self._carry_out(swing.id, words, back),
            )
        )

    def _carry_out(
        self, swing_id: SwingId, words: str, marks: Mapping[Key, SpotMark | None]
    ) -> None:
        change = with_marks(marks)
        for side, swing in self._swings.items():
            if swing.id == swing_id:
                self._swings[side] = replace(swing, book=change(swing.book))
        self.changed()
        self._keep(words, lambda: self._library.change_book(swing_id, change), self._show_kept)

    def _show_kept(self) -> None:
        """A change couldn't be written: show what is there, if the swing itself still is."""
        there: dict[Side, Swing] = {}
        for side, swing in self._swings.items():
            with suppress(NotFoundError):
                there[side] = self._library.swing(swing.id)
        self.look_at(there.get(Side.NOW), there.get(Side.THEN))


def _by_hand(marks: Iterable[SpotMark]) -> dict[Key, SpotMark]:
    return {(mark.view, mark.spot): mark for mark in marks if mark.source is MarkSource.HAND}


def with_marks(marks: Mapping[Key, SpotMark | None]) -> Callable[[SwingBook], SwingBook]:
    """A change of a book by which these are a hand's; None takes a hand's away."""

    def changed(book: SwingBook) -> SwingBook:
        others = [
            mark
            for mark in book.spots
            if mark.source is not MarkSource.HAND or (mark.view, mark.spot) not in marks
        ]
        return replace(book, spots=(*others, *(mark for mark in marks.values() if mark)))

    return changed


def proposed_for(swing: Swing, others: Iterable[Swing]) -> tuple[SpotMark, ...]:
    """What a hand said of the last swing before, in the same lesson, and nobody of this one.

    A camera is rarely moved between two balls, and the mat stays.

    Args:
        swing: The swing that needs them.
        others: Any swings; of the same lesson and struck before count.
    """
    before = [
        other
        for other in others
        if other.book.lesson_id == swing.book.lesson_id
        and other.facts.struck_at < swing.facts.struck_at
        and _by_hand(other.book.spots)
    ]
    if not before:
        return ()
    last = max(before, key=lambda other: other.facts.struck_at)
    known = {(mark.view, mark.spot) for mark in swing.book.spots}
    # Who else is about may stand elsewhere by then.
    return tuple(
        mark
        for key, mark in _by_hand(last.book.spots).items()
        if key not in known and key[1] not in GOLFER_SPOTS and _same_camera(swing, last, mark.view)
    )


def _same_camera(swing: Swing, other: Swing, view: View) -> bool:
    ours, theirs = swing.recording(view), other.recording(view)
    if ours is None or theirs is None or ours.camera != theirs.camera:
        return False
    return (ours.width_px, ours.height_px) == (theirs.width_px, theirs.height_px)


def find_balls(library: Library, swing: Swing, watch: Watch) -> Swing:
    """Find the ball at rest in each placed view and keep its place; a hand's stays.

    Raises:
        NotReadableError: If a recording can't be read.
        CancelledError: If the watch stops it; nothing was changed.
    """
    placed = [r.view for r in swing.facts.recordings if swing.sync(r.view) is not None]
    found = {}
    for number, view in enumerate(placed):
        part = Part(watch, number / len(placed), (number + 1) / len(placed))
        part.report(0.0, "looking for the ball")
        at = _ball_at(library, swing, view)
        if at is not None:
            found[view] = SpotMark(view=view, spot=Spot.BALL, at=at, source=MarkSource.FOUND)
    watch.report(1.0, "looking for the ball")

    def changed(book: SwingBook) -> SwingBook:
        others = [
            mark
            for mark in book.spots
            if mark.source is not MarkSource.FOUND
            or mark.spot is not Spot.BALL
            or mark.view not in placed
        ]
        return replace(book, spots=(*others, *found.values()))

    return library.change_book(swing.id, changed)


def _ball_at(library: Library, swing: Swing, view: View) -> Point | None:
    sync = swing.sync(view)
    if sync is None:
        return None
    with FrameReader(library.media_path(swing, view)) as reader:
        times_ns = sync.to_swing(reader.index.times_ns)
        near = np.flatnonzero(np.abs(times_ns) <= LOOK_NS)
        if len(near) == 0:
            return None
        greys = np.stack([reader.frame_grey(int(n)) for n in near])
    ball = find_ball(greys, times_ns[near], 0)
    if ball is None or ball.confidence < SURE:
        return None
    height, width = greys.shape[1:]
    return Point(x=(ball.x_px + 0.5) / width, y=(ball.y_px + 0.5) / height)
