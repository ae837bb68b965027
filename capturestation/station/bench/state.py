"""What stands on the Bench and how: two swings, their angles, how they are laid together.

Owns every choice that is made while looking. Widgets show it, and change it by its methods only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum

import numpy as np

from capturestation.compare.overlay import Placing
from capturestation.compare.timemap import TimeMap, at_one_moment, at_shared_marks
from capturestation.drawing.bench_place import Framing
from capturestation.drawing.grid import Cell, Side
from capturestation.records import Box, Moment, Point, Swing, View, around
from capturestation.station.bench.notice import Notice
from capturestation.station.bench.seen import SeenSwing, Shown, apart_ns
from capturestation.station.bench.transport import Transport, stops_of
from capturestation.station.laying import Nudge

LEAST_OPACITY, MOST_OPACITY = 0.1, 0.9
"""Beyond these one of the two can't be seen and is taken for missing."""

_MOST_KNOWN = 256

_SUITS_SHARE = 0.75
# Of the area that is shown: then a golfer would stand hardly larger if it were cut anew.


class Arrangement(StrEnum):
    """How the earlier swing stands."""

    BESIDE = "beside"
    OVER = "over"


class BenchState:
    """The Bench without its window.

    Attributes:
        transport: Position and movement on today's clock.
        changed: Tells that something other than the position is different.
        opened: Tells that another swing, today's or the earlier one, stands there.
    """

    def __init__(self) -> None:
        self.transport = Transport()
        self.changed = Notice()
        self.opened = Notice()
        self.now: SeenSwing | None = None
        self.then: SeenSwing | None = None
        self.arrangement = Arrangement.BESIDE
        self.opacity = 0.5
        self.alone: View | None = None
        self.most_fields: int | None = None
        self._front: View | None = None
        self.is_linked = True
        self.match_at: Moment | None = None
        """The one moment at which the two are laid together at real speed; None: at all."""
        self.nudge_ns = 0
        self._nudges: dict[View, Nudge] = {}
        self._framings: dict[Cell, Framing] = {}
        self._boxes: dict[View, Box] = {}
        self._laid: dict[View, Placing] = {}
        self._map: TimeMap | None = None
        self._then_at: dict[int, int] = {}
        # What the map said: each picture asks several times.

    def open_now(self, seen: SeenSwing) -> None:
        """Lay today's swing there; what was laid beside it is taken away."""
        self.now, self.then = seen, None
        if self.alone not in seen.frames:
            self.alone = None
        self._forget_then()
        times = {view: frames.times_ns for view, frames in seen.frames.items()}
        self.transport.set_moments(tuple(seen.moments_ns.values()))
        self.transport.load(stops_of(times))
        self.opened()
        self.changed()

    def open_then(self, seen: SeenSwing | None) -> None:
        """Lay an earlier swing beside it, or none."""
        self.then = seen
        self._forget_then()
        self._fit_time()
        self.opened()
        self.changed()

    def close(self) -> None:
        """Clear the Bench."""
        self.now = self.then = None
        self._forget_then()
        self.transport.load(np.zeros(1, np.int64))
        self.opened()
        self.changed()

    def take_swing(self, swing: Swing) -> None:
        """Show what the library knows now of a swing that stands here."""
        for seen, side in ((self.now, Side.NOW), (self.then, Side.THEN)):
            if seen is None or seen.swing.id != swing.id:
                continue
            if side is Side.NOW:
                self.now = seen.with_swing(swing)
                self.transport.set_moments(tuple(self.now.moments_ns.values()))
            else:
                self.then = seen.with_swing(swing)
        self._fit_time()
        self.changed()

    @property
    def angles(self) -> tuple[View, ...]:
        """All angles that are there, of today's swing or of the earlier one."""
        both = [seen.frames for seen in (self.now, self.then) if seen is not None]
        return tuple(view for view in View if any(view in frames for frames in both))

    @property
    def views(self) -> tuple[View, ...]:
        """The angles that are shown: one alone, the one in front, or all."""
        there = self.angles
        if self.alone in there:
            return (self.alone,)
        return (self._in_front(there),) if self.has_room_for_one else there

    @property
    def has_room_for_one(self) -> bool:
        """Whether angles are shown one after the other: all at once would be too small."""
        # Laid over one another they need as much: both names stand above one picture.
        needs = len(self.angles) * (2 if self.then is not None else 1)
        return self.most_fields is not None and len(self.angles) > 1 and needs > self.most_fields

    def give_room(self, most_fields: int | None) -> None:
        """Say how many pictures can stand beside each other; None: as many as there are."""
        if most_fields != self.most_fields:
            self.most_fields = most_fields
            self.changed()

    def _in_front(self, there: tuple[View, ...]) -> View:
        return self._front if self._front in there else there[0]

    @property
    def rows(self) -> tuple[tuple[tuple[Cell, ...], ...], ...]:
        """Ways to arrange what is shown, the preferred first; earlier stands before today."""
        views = self.views
        if self.then is None or self.arrangement is Arrangement.OVER:
            cells = [(Side.NOW, view) for view in views]
            return ((tuple(cells),), tuple((cell,) for cell in cells))
        pairs = [((Side.THEN, view), (Side.NOW, view)) for view in views]
        flat = tuple(cell for pair in pairs for cell in pair)
        turned = tuple(tuple(pair[n] for pair in pairs) for n in (0, 1))
        return (tuple(pairs), (flat,), turned)

    @property
    def time_map(self) -> TimeMap | None:
        """How the two swings' clocks are laid together; None where there is only one."""
        return self._map

    def at_ns(self, side: Side, at_ns: int | None = None) -> int:
        """The swing's own time at a position, today's or the earlier one's."""
        at_ns = self.transport.at_ns if at_ns is None else at_ns
        if side is Side.NOW or self._map is None:
            return at_ns
        if at_ns not in self._then_at:
            if len(self._then_at) > _MOST_KNOWN:
                self._then_at.clear()
            self._then_at[at_ns] = int(self._map.then_from_now(np.array([at_ns], np.int64))[0])
        return self._then_at[at_ns] + self.nudge_ns

    def seen(self, side: Side) -> SeenSwing | None:
        """The swing of that side."""
        return self.now if side is Side.NOW else self.then

    def shown(self, cell: Cell, at_ns: int | None = None) -> Shown | None:
        """The frame that stands in a field; None where that swing has no such angle."""
        side, view = cell
        seen = self.seen(side)
        if seen is None or view not in seen.frames:
            return None
        return seen.shown(view, self.at_ns(side, at_ns))

    def apart_ns(self, side: Side) -> int | None:
        """How far the shown views of one swing are apart; None where fewer than two run."""
        shown = {view: self.shown((side, view)) for view in self.views}
        return apart_ns({view: one for view, one in shown.items() if one is not None})

    def show_alone(self, view: View | None) -> None:
        """Show one angle alone, or all."""
        self.alone = view
        self.changed()

    def next_angle(self) -> None:
        """All angles, then each alone, then all again; one after the other where room is short.

        Which one stands in front is no choice of the one alone: a clip shows all.
        """
        before, self.alone = self.alone, None
        there = self.angles
        if self.has_room_for_one:
            front = before if before in there else self._in_front(there)
            self._front = there[(there.index(front) + 1) % len(there)]
            self.changed()
            return
        ways = [None, *(there if len(there) > 1 else ())]
        place = ways.index(before) if before in ways else 0
        self.show_alone(ways[(place + 1) % len(ways)])

    def arrange(self, arrangement: Arrangement) -> None:
        """Stand the earlier swing beside, or lay it over."""
        self.arrangement = arrangement
        self.changed()

    def set_opacity(self, opacity: float) -> None:
        """How strongly the earlier swing shows where it is laid over."""
        self.opacity = min(max(opacity, LEAST_OPACITY), MOST_OPACITY)
        self.changed()

    def match(self, moment: Moment | None) -> None:
        """Lay together at one moment and at real speed, or at all that both have.

        Raises:
            ComparisonRefusedError: If one of the two has no such moment; nothing was changed.
        """
        before = self.match_at
        self.match_at = moment
        try:
            self._fit_time(strict=True)
        except BaseException:
            self.match_at = before
            raise
        self.changed()

    def set_nudge_ns(self, nudge_ns: int) -> None:
        """Move the earlier swing in time, its own clock."""
        self.nudge_ns = nudge_ns
        self.changed()

    def nudge(self, view: View) -> Nudge:
        """How the earlier picture of a view was moved by hand."""
        return self._nudges.get(view, Nudge())

    def set_nudge(self, view: View, nudge: Nudge) -> None:
        """Move the earlier picture of a view."""
        self._nudges[view] = nudge
        self.changed()

    def lay(self, view: View, laid: Placing | None) -> None:
        """Place the earlier picture of a view over today's; None: as high, about one middle."""
        self._laid.pop(view, None)
        if laid is not None:
            self._laid[view] = laid
        self.changed()

    def laid(self, view: View) -> Placing | None:
        """How the earlier picture of a view was placed, before it was moved by hand."""
        return self._laid.get(view)

    @property
    def boxes(self) -> Mapping[View, Box]:
        """What of each view has to be seen, where that is known."""
        return self._boxes

    def show_boxes(self, boxes: Mapping[View, Box]) -> None:
        """See golfer and club large: as far as both swings reach, from each view.

        What stands well is left alone, so that pictures don't jump from swing to swing.
        """
        new = {view: box for view, box in boxes.items() if not _suits(self._boxes.get(view), box)}
        if new:
            self._boxes |= new
            self.changed()

    def framing(self, cell: Cell) -> Framing:
        """What of a field's picture is looked at."""
        return self._framings.get(cell, self._at_rest(cell))

    def _at_rest(self, cell: Cell) -> Framing:
        box = self._boxes.get(cell[1])
        if box is None:
            return Framing()
        return Framing(x=(box.left + box.right) / 2, y=(box.top + box.bottom) / 2)

    def zoom(self, cell: Cell, times: float, about: Point) -> None:
        """Zoom about a place of the picture; the other angles too where they are linked."""
        for other in self._together(cell):
            self._framings[other] = self.framing(other).zoomed(times, about)
        self.changed()

    def pan(self, cell: Cell, dx: float, dy: float) -> None:
        """Move what is looked at, shares of the picture; the other angles where linked."""
        for other in self._together(cell):
            framing = self.framing(other)
            self._framings[other] = framing.at(framing.x + dx, framing.y + dy)
        self.changed()

    def fit(self) -> None:
        """Show all pictures whole again; flip and turn stay."""
        for cell, framing in self._framings.items():
            rest = self._at_rest(cell)
            self._framings[cell] = replace(framing, x=rest.x, y=rest.y, zoom=1.0)
        self.changed()

    def link(self, *, is_linked: bool) -> None:
        """Zoom and move all angles together, or each by itself."""
        self.is_linked = is_linked
        self.changed()

    def set_framing(self, cell: Cell, framing: Framing) -> None:
        """Look at a field in that way."""
        self._framings[cell] = framing
        self.changed()

    def _together(self, cell: Cell) -> list[Cell]:
        """Both swings of a view always move together: they are compared."""
        views = self.views if self.is_linked else (cell[1],)
        return [(side, view) for view in views for side in Side]

    def _forget_then(self) -> None:
        self._map, self.nudge_ns = None, 0
        self._then_at.clear()
        self._nudges.clear()
        self._laid.clear()

    def _fit_time(self, *, strict: bool = False) -> None:
        self._then_at.clear()
        if self.now is None or self.then is None:
            self._map = None
            return
        now, then = self.now.marks, self.then.marks
        there = self.now.moments_ns.keys() & self.then.moments_ns.keys()
        if self.match_at is None:
            self._map = at_shared_marks(now, then)
        elif strict or self.match_at in there:
            self._map = at_one_moment(self.match_at, now, then)
        else:
            self.match_at = None
            self._map = at_shared_marks(now, then)


def _suits(old: Box | None, new: Box) -> bool:
    """Whether what is shown holds all that has to be seen, and little more."""
    if old is None or around((old, new)) != old:
        return False
    return new.width * new.height > _SUITS_SHARE * old.width * old.height


def marks_of(seen: SeenSwing | None) -> Mapping[Moment, int]:
    """When the moments of a swing are; empty where there is none."""
    return {} if seen is None else seen.moments_ns
