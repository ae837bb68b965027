"""What is asked of a clip: which swings, what of them, how it plays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from capturestation.compare.playout import Pace
from capturestation.compare.timemap import TimeMap
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.layout import LayoutName, cells_of
from capturestation.drawing.placing import KEEP_WIDTH
from capturestation.records import Drawing, FloatArray, Moment, Swing, View

IMPACT_ON_IMPACT = TimeMap(knots_now_ns=(0,), knots_then_ns=(0,), moments=(Moment.IMPACT,))
"""Both at real speed, impact on impact: needs no mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipSide:
    """One of the swings in a clip.

    Args:
        swing: Its facts, places on the clock, and marks.
        media: Its recordings' files by view.
        word: What it is called on the picture: "today", "own best", "first of today".
        drawings: What is painted on its pictures.
    """

    swing: Swing
    media: Mapping[View, Path]
    word: str
    drawings: tuple[Drawing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Overlaid:
    """How the earlier picture of a view lies over today's.

    Args:
        now_from_then: Coordinates of the earlier picture to today's, both counted from the edge,
            (3, 3).
        opacity: How strongly it shows, above 0 and below 1.
        said: By what it is placed, for the coach.
    """

    now_from_then: FloatArray
    opacity: float
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipRequest:
    """What a clip is to show.

    Args:
        now: Today's swing.
        then: The student's own earlier swing, for layouts that show one.
        layout: The layout's name.
        start_ns: Where it begins, today's swing clock.
        stop_ns: Where it ends.
        views: The cameras' places, in order; "then-and-now" shows the first.
        pace: Slow motion, frame rate and holds.
        time_map: Which time of the earlier swing belongs to a time of today's.
        over: In which views the earlier swing is laid over today's, and how.
        sound: Whether today's sound goes along; a clip is silent otherwise.
        short_side_px: The canvas's shorter side.
        cut_to_swing: Whether pictures are cut to where golfer and club move.
        keep_width: Least share of the width to show of a picture that isn't; 1 shows it whole.
        note: What is written on a page at the end; no page where it is empty.
        note_heading: What stands above it.
        mark: What is written on each picture, all the time; nothing where it is empty.
    """

    now: ClipSide
    then: ClipSide | None = None
    layout: LayoutName
    start_ns: int
    stop_ns: int
    views: tuple[View, ...] = (View.FACE_ON, View.DOWN_THE_LINE)
    pace: Pace = field(default_factory=Pace)
    time_map: TimeMap = IMPACT_ON_IMPACT
    over: Mapping[View, Overlaid] = field(default_factory=dict)
    sound: bool = False
    short_side_px: int = 720
    cut_to_swing: bool = False
    keep_width: float = KEEP_WIDTH
    note: str = ""
    note_heading: str = "To work on"
    mark: str = ""

    @property
    def cells(self) -> tuple[Cell, ...]:
        """Every angle of which pictures are shown: in a field of its own, or over one."""
        own = cells_of(self.layout, self.views)
        laid = ((Side.THEN, view) for _, view in own if view in self.over)
        return tuple(dict.fromkeys((*own, *laid)))

    def side(self, side: Side) -> ClipSide:
        """That swing.

        Raises:
            KeyError: If there is none.
        """
        found = self.now if side is Side.NOW else self.then
        if found is None:
            raise KeyError(side)
        return found
