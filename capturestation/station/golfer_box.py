"""Who of all in a picture is the golfer: a box that the coach draws round him in each view.

Owns the box while it is drawn by a pointer or moved by keys. It is kept with the swing as two
corners that a hand pointed out, so it can be taken back as any of these, and goes where they go.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from capturestation.compare.overlay import spots_of
from capturestation.drawing.grid import Cell, Side
from capturestation.errors import NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.records import (
    GOLFER_SPOTS,
    Box,
    Point,
    Spot,
    SpotMark,
    Swing,
    View,
)
from capturestation.station.bench.notice import Notice
from capturestation.station.spots import Spots, with_marks

LEAST = 0.04
"""Share of the picture that a box is wide and high, at the least: less was no box but a press."""
_STEP = 0.02
_BEGUN = Box(left=0.35, top=0.1, right=0.65, bottom=0.95)
# Where a box stands that is moved by keys alone.


def box_between(one: Point, other: Point) -> Box | None:
    """The box of two corners, cut to the picture; None where it is too small to hold anybody."""
    left, right = sorted(min(max(at.x, 0.0), 1.0) for at in (one, other))
    top, bottom = sorted(min(max(at.y, 0.0), 1.0) for at in (one, other))
    if right - left < LEAST or bottom - top < LEAST:
        return None
    return Box(left=left, top=top, right=right, bottom=bottom)


def golfer_box(marks: Iterable[SpotMark], view: View) -> Box | None:
    """The box that was drawn in a view; None where none was."""
    spots = spots_of(marks, view)
    return _box_of(spots)


def _box_of(spots: Mapping[Spot, Point]) -> Box | None:
    if not all(spot in spots for spot in GOLFER_SPOTS):
        return None
    return box_between(*(spots[spot] for spot in GOLFER_SPOTS))


def corners(view: View, box: Box) -> tuple[SpotMark, ...]:
    """A box as it is kept."""
    ends = (Point(x=box.left, y=box.top), Point(x=box.right, y=box.bottom))
    return tuple(
        SpotMark(view=view, spot=spot, at=at) for spot, at in zip(GOLFER_SPOTS, ends, strict=True)
    )


def say_golfer(library: Library, swing: Swing, view: View, box: Box | None) -> Swing:
    """Say where the golfer is in a view, or take that away.

    Args:
        library: Where the swing is.
        swing: Which.
        view: In whose pictures.
        box: Where he is, with arms and feet at set; None takes away what was said.

    Raises:
        NotFoundError: If the swing has no such view.
        RefusedError: If the box is too small to hold anybody.
    """
    if swing.recording(view) is None:
        raise NotFoundError(
            f"Swing {swing.id} has no {view} recording.",
            try_next=f"It has: {', '.join(r.view for r in swing.facts.recordings)}.",
            subject=swing.id,
        )
    if box is not None and min(box.width, box.height) < LEAST:
        raise RefusedError(
            "That box is too small to hold a golfer.",
            try_next="Draw it round the whole golfer as he stands at set.",
            subject=swing.id,
        )
    marks: dict[tuple[View, Spot], SpotMark | None] = {(view, s): None for s in GOLFER_SPOTS}
    marks |= {(one.view, one.spot): one for one in (corners(view, box) if box else ())}
    return library.change_book(swing.id, with_marks(marks))


@dataclass(slots=True)
class _Drawn:
    """A box that is not kept yet."""

    view: View
    start: Point
    end: Point
    is_held: bool


class GolferBoxes:
    """The boxes of today's swing while they are drawn.

    Args:
        spots: Where they are kept.

    Attributes:
        changed: Tells that a box is elsewhere, or that boxes are drawn now, or not any more.
        is_on: Whether boxes are drawn.
    """

    def __init__(self, spots: Spots) -> None:
        self.changed = Notice()
        self.is_on = False
        self._spots = spots
        self._drawn: _Drawn | None = None

    @property
    def views(self) -> tuple[View, ...]:
        """In whose pictures somebody was said to be the golfer."""
        return tuple(view for view in View if _box_of(self._spots.of(Side.NOW, view)) is not None)

    def of(self, view: View) -> Box | None:
        """The box of a view as it is drawn, or as it is kept."""
        if self._drawn is not None and self._drawn.view is view:
            return box_between(self._drawn.start, self._drawn.end)
        return _box_of(self._spots.of(Side.NOW, view))

    def draw(self, *, is_on: bool) -> None:
        """Begin to draw boxes; or end it, and keep one that keys have moved."""
        drawn, self._drawn = self._drawn, None
        self.is_on = is_on and self._spots.swing_of(Side.NOW) is not None
        if drawn is not None and not drawn.is_held and not is_on:
            self._keep(drawn)
        self.changed()

    def leave(self) -> bool:
        """Give up drawing; whether anything was under way."""
        was_on, self.is_on, self._drawn = self.is_on, False, None
        if was_on:
            self.changed()
        return was_on

    def press(self, cell: Cell, at: Point) -> bool:
        """The pointer goes down in a field: there a box begins, where one is drawn."""
        if not self.is_on or cell[0] is not Side.NOW:
            return False
        self._drawn = _Drawn(cell[1], at, at, is_held=True)
        return True

    def move(self, cell: Cell, at: Point) -> bool:
        """It moves."""
        if self._drawn is None or not self._drawn.is_held or cell != (Side.NOW, self._drawn.view):
            return False
        self._drawn.end = at
        self.changed()
        return True

    def release(self, cell: Cell, at: Point) -> bool:
        """It goes up: the box is kept, unless it is too small for anybody."""
        if not self.move(cell, at):
            return False
        drawn, self._drawn = self._drawn, None
        assert drawn is not None
        self._keep(drawn)
        self.changed()
        return True

    def nudge(self, view: View, across: int, down: int, larger: int = 0) -> None:
        """Move the box of a view by keys, or make it larger; it is kept once drawing ends."""
        box = self.of(view) or _BEGUN
        x, y = _STEP * across, _STEP * down
        x = min(max(x, -box.left), 1.0 - box.right)
        y = min(max(y, -box.top), 1.0 - box.bottom)
        grown = 0.5 * _STEP * larger
        start = Point(x=box.left + x - grown, y=box.top + y - grown)
        end = Point(x=box.right + x + grown, y=box.bottom + y + grown)
        if box_between(start, end) is not None:
            self._drawn = _Drawn(view, start, end, is_held=False)
            self.changed()

    def forget(self) -> None:
        """Nobody is said to be the golfer any more, in no view."""
        self._drawn = None
        self._spots.drop(Side.NOW, self.views, GOLFER_SPOTS, "forget who the golfer is")
        self.changed()

    def _keep(self, drawn: _Drawn) -> None:
        box = box_between(drawn.start, drawn.end)
        if box is not None:
            words = "say who the golfer is"
            self._spots.accept(Side.NOW, corners(drawn.view, box), words)
