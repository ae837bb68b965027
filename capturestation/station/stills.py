"""Pictures of both swings at the moments, cut alike, for the page that goes home.

Owns which frame stands for a moment: the recorded one nearest to it, in the earlier swing the one
that the time map lays beside it. Refuses to show a frame from beyond a recording's ends.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from capturestation.drawing.grid import Side
from capturestation.drawing.home_page import Still, StillBlock, StillRow
from capturestation.drawing.layout import field_name
from capturestation.drawing.placing import Picture, Placement, middle, place
from capturestation.drawing.rect import Rect, even
from capturestation.drawing.sheet import scaled
from capturestation.drawing.sketches import field_of, sketch_layer
from capturestation.drawing.theme import date_words
from capturestation.media.frames import FrameReader
from capturestation.records import Box, FrameArray, IntArray, Moment, View, Watch, around
from capturestation.station.clip_plan import ENDS_EARLIER, STARTS_LATER, why_missing
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.framing import Framing
from capturestation.swing.marks import effective_marks
from capturestation.tracking.motion import WIDTH_PX
from capturestation.tracking.reach import Reach

FIRST = (
    Moment.IMPACT,
    Moment.TOP,
    Moment.LEAD_ARM_LEVEL_DOWN,
    Moment.SET,
    Moment.FINISH,
    Moment.SHAFT_LEVEL_DOWN,
    Moment.TAKEAWAY,
    Moment.LEAD_ARM_LEVEL_BACK,
    Moment.SHAFT_LEVEL_THROUGH,
    Moment.TRAIL_ARM_LEVEL_THROUGH,
    Moment.CLUB_STARTS,
)
"""Moments, those first that a page shows where it has room for few."""
HIGHEST_PX = 720
_SCALE_PX = 720
_AROUND = 2
# Frames on either side of a moment that are looked at to see how far golfer and club reach.
_SIDES = (Side.THEN, Side.NOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sights:
    """All that a page's pictures are taken from.

    Args:
        request: Both swings and how they are laid together.
        framing: What of each picture has to be seen.
        readers: Open recordings by the field's name.
    """

    request: ClipRequest
    framing: Framing
    readers: Mapping[str, FrameReader]

    @property
    def sides(self) -> tuple[Side, ...]:
        """The earlier swing first, where there is one."""
        return _SIDES if self.request.then is not None else _SIDES[1:]

    @property
    def rows(self) -> int:
        """Rows of one block: each swing from each angle."""
        return len(self.sides) * len(self.request.views)

    @property
    def aspect(self) -> float:
        """Width over height of its widest pictures."""
        sizes = [self.place(side, view) for side in self.sides for view in self.request.views]
        return max((p.target.width / p.target.height for p in sizes if p), default=1.0)

    def place(self, side: Side, view: View) -> Placement | None:
        """How an angle's pictures are cut; None where there are none."""
        name = field_name(side, view)
        reader = self.readers.get(name)
        if reader is None:
            return None
        width_px, height_px = reader.size_px
        box = self.framing.boxes.get(name, middle())
        picture = Picture(width_px=width_px, height_px=height_px, box=box)
        across, down = picture.box_px
        high = even(min(down, HIGHEST_PX))
        room = Rect(left=0, top=0, width=even(high * across / down), height=high)
        return place(picture, room)


def closer(sights: Sights, moments: Sequence[Moment]) -> Sights:
    """The same, cut to where golfer and club are at these moments alone.

    A clip has to show the club all its way round; a page's golfer is larger without.

    Raises:
        NotReadableError: If a recording can't be read.
    """
    boxes = dict(sights.framing.boxes)
    for view in sights.request.views:
        names = [field_name(side, view) for side in sights.sides]
        found = [_reached(sights, side, view, moments) for side in sights.sides]
        both = around(box for box in found if box is not None)
        if both is not None and None not in found and len({boxes.get(n) for n in names}) == 1:
            boxes |= dict.fromkeys(names, both)
    return replace(sights, framing=replace(sights.framing, boxes=boxes))


def _reached(sights: Sights, side: Side, view: View, moments: Sequence[Moment]) -> Box | None:
    """Where golfer and club are round the moments, against the picture at the beginning."""
    reader = sights.readers.get(field_name(side, view))
    sync = sights.request.side(side).swing.sync(view)
    if reader is None or sync is None:
        return None
    reach = Reach()
    times = [sights.request.start_ns, *(at_moment(sights.request, m) for m in moments)]
    for at_ns in times:
        middle_one = reader.at(sync.to_media(_one_of_side(sights.request, side, at_ns)))
        first, last = max(middle_one - _AROUND, 0), min(middle_one + _AROUND, len(reader) - 1)
        for grey in reader.iter_grey(first, last + 1, width_px=WIDTH_PX):
            reach.see(grey)
    return reach.box()


def of_side(request: ClipRequest, side: Side, at_ns: IntArray) -> IntArray:
    """Times of today as the swing of that side has them."""
    return at_ns if side is Side.NOW else request.time_map.then_from_now(at_ns)


def _one_of_side(request: ClipRequest, side: Side, at_ns: int) -> int:
    return int(of_side(request, side, np.array([at_ns], dtype=np.int64))[0])


def shown_moments(request: ClipRequest, most: int, wanted: Sequence[Moment] = ()) -> list[Moment]:
    """The moments that a page shows, in the order of the swing.

    Args:
        request: Both swings: only what occurs in both can stand beside each other.
        most: How many there is room for.
        wanted: Those that come before all but impact and top, such as where much changed.
    """
    known = None
    for side in (request.now, request.then):
        if side is not None:
            marks = effective_marks(side.swing.book.marks)
            occurs = {m for m, mark in marks.items() if mark.at_ns is not None} | {Moment.IMPACT}
            known = occurs if known is None else known & occurs
    order = dict.fromkeys([*FIRST[:2], *wanted, *FIRST])
    chosen = [moment for moment in order if moment in (known or ())][:most]
    return sorted(chosen, key=lambda moment: moment.place)


def still_blocks(
    sights: Sights, moments: Sequence[Moment], columns: int, watch: Watch
) -> tuple[StillBlock, ...]:
    """The pictures, so many moments beside each other.

    Raises:
        NotReadableError: If a recording can't be read.
        CancelledError: If it was stopped.
    """
    parts = [moments[start : start + columns] for start in range(0, len(moments), columns)]
    total, done = len(parts) * sights.rows, 0
    blocks = []
    for part in parts:
        rows = []
        for view in sights.request.views:
            for side in sights.sides:
                watch.report(done / max(total, 1), "taking pictures at the moments")
                rows.append(_row(sights, side, view, part))
                done += 1
        blocks.append(StillBlock(moments=tuple(map(str, part)), rows=tuple(rows)))
    return tuple(blocks)


def _row(sights: Sights, side: Side, view: View, moments: Sequence[Moment]) -> StillRow:
    whose = sights.request.side(side)
    day = date_words(whose.swing.facts.struck_at.date())
    told = [part for part in (whose.word, day, str(view)) if part]
    return StillRow(
        caption=" · ".join(told),
        is_now=side is Side.NOW,
        stills=tuple(_still(sights, side, view, moment) for moment in moments),
    )


def _still(sights: Sights, side: Side, view: View, moment: Moment) -> Still:
    whose = sights.request.side(side)
    sync, placement = whose.swing.sync(view), sights.place(side, view)
    if sync is None or placement is None:
        return Still(missing=why_missing(whose, view))
    at_ns = _one_of_side(sights.request, side, at_moment(sights.request, moment))
    reader = sights.readers[field_name(side, view)]
    media_ns, times = sync.to_media(at_ns), reader.index.times_ns
    gap_ns = int(np.diff(times).max()) if len(times) > 1 else 0
    if media_ns < times[0] - gap_ns:
        return Still(missing=STARTS_LATER)
    if media_ns > times[-1] + gap_ns:
        return Still(missing=ENDS_EARLIER)
    frame_rgb = reader.frame_rgb(reader.at(media_ns))
    return Still(pixels=_drawn(scaled(frame_rgb, placement), whose, view, reader, placement))


def at_moment(request: ClipRequest, moment: Moment) -> int:
    """When a moment is today, on the swing's clock."""
    mark = effective_marks(request.now.swing.book.marks).get(moment)
    return 0 if moment is Moment.IMPACT or mark is None or mark.at_ns is None else mark.at_ns


def _drawn(
    pixels: FrameArray, whose: ClipSide, view: View, reader: FrameReader, placement: Placement
) -> FrameArray:
    """The picture with what is drawn on it."""
    drawings = [drawing for drawing in whose.drawings if drawing.view is view]
    if not drawings:
        return pixels
    scale = placement.target.height / _SCALE_PX
    layer = sketch_layer(drawings, field_of(placement, reader.size_px, scale)).astype(np.uint16)
    under = pixels.astype(np.uint16) * (255 - layer[..., 3:]) // 255
    return np.asarray(np.minimum(under + layer[..., :3], 255), dtype=np.uint8)
