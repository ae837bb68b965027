"""What a clip has besides its pictures: drawings over them, and a page of words at the end."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Layout
from capturestation.drawing.note_page import note_page
from capturestation.drawing.placing import Placement
from capturestation.drawing.sketches import field_of, sketch_layer
from capturestation.drawing.theme import date_words
from capturestation.media.overlay import Overlay
from capturestation.records import FrameArray
from capturestation.station.clip_request import ClipRequest

_READ_S, _WORD_S = 2.0, 0.4
# A page stands as long as slow reading aloud takes, and a little to find it.
_UNIT_PX = 720
_LARGE_FIELD, _LEAST_SCALE = 0.7, 0.8
# Of the clip's shorter side: a field that strokes are made for; below, they shrink so far.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Page:
    """A page and how long it stands.

    Args:
        pixels: (H, W, 3) RGB.
        frames: How many frames of the clip.
    """

    pixels: FrameArray
    frames: int


def drawn_over(
    request: ClipRequest,
    layout: Layout,
    placements: Mapping[str, Placement],
    sizes_px: Mapping[str, tuple[int, int]],
) -> dict[str, Overlay]:
    """What is laid over each field's pictures, by its name; a field without drawings is left out.

    Args:
        request: Says what is drawn on which swing.
        layout: The clip's canvas.
        placements: How each field's pictures are cut and placed.
        sizes_px: The whole pictures' widths and heights.
    """
    overlays = {}
    for spot in layout.fields:
        side = request.then if spot.side is Side.THEN else request.now
        drawings = [
            drawing for drawing in (side.drawings if side else ()) if drawing.view is spot.view
        ]
        if drawings and spot.name in placements:
            target = placements[spot.name].target
            scale = _scale(layout.short_side_px, target.height)
            field = field_of(placements[spot.name], sizes_px[spot.name], scale)
            overlays[spot.name] = Overlay(sketch_layer(drawings, field))
    return overlays


def _scale(short_side_px: int, field_px: int) -> float:
    """As large as the clip's own words where there is room; a little smaller in a small field."""
    share = field_px / short_side_px / _LARGE_FIELD
    return short_side_px / _UNIT_PX * min(max(share, _LEAST_SCALE), 1.0)


def note_at_end(request: ClipRequest, layout: Layout) -> Page | None:
    """The page with the coach's note; None where there is none."""
    if not request.note:
        return None
    day = date_words(request.now.swing.facts.struck_at.date())
    stands_s = _READ_S + _WORD_S * len(request.note.split())
    return Page(
        pixels=note_page(layout, request.note_heading, request.note, day),
        frames=math.ceil(stands_s * request.pace.rate_hz),
    )
