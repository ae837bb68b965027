"""Which pictures stand beside and which below each other, and how wide each column is.

Owns the choice: of all ways to arrange a layout's pictures, the one that shows golfer and club
largest. A view whose swing reaches far to the sides gets a wider column.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from capturestation.drawing.placing import Picture
from capturestation.drawing.rect import Rect, even, even_below
from capturestation.records import View

MARGIN, GAP = 16, 14
CAPTIONS: tuple[tuple[int, int, float], ...] = ((1, 46, 430), (2, 78, 340), (3, 112, 0))
"""Lines of a caption, its height, and the column's width that it needs; on a canvas of 720."""
CAPTIONS_OF_TWO: tuple[tuple[int, int, float], ...] = ((2, 78, 600), (3, 112, 0))
"""The same where two swings are named above one picture: beside each other, or on a line each."""
_PREFER_EARLIER = 1.05
# A later arrangement has to be larger by this: the earlier ones set like beside like.


class Side(StrEnum):
    """Which of the two swings a field shows."""

    NOW = "now"
    THEN = "then"


Cell: TypeAlias = tuple[Side, View]
Rows: TypeAlias = Sequence[Sequence[Cell]]
Captions: TypeAlias = Sequence[tuple[int, int, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A cell with its place on the canvas."""

    side: Side
    view: View
    caption: Rect
    rect: Rect


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells laid out.

    Args:
        spots: Where each stands.
        caption_lines: How many lines a caption has.
        height_px: How much of the area's height is used, from its top.
        box_px: How high the boxes of all pictures stand on the canvas.
    """

    spots: tuple[Spot, ...]
    caption_lines: int
    height_px: int
    box_px: float


def best_grid(
    choices: Sequence[Rows],
    area: Rect,
    pictures: Mapping[View, Picture],
    unit: float,
    captions: Captions = CAPTIONS,
) -> Grid:
    """Lay the same cells out in the way that shows what has to be seen largest.

    Args:
        choices: Ways to arrange them, rows of equal length, the preferred ones first.
        area: Where they may stand.
        pictures: What has to be seen in each view.
        unit: Pixels of the canvas for one of a canvas of 720.
        captions: Ways to write captions, the lowest first; the last must need no width.
    """
    best = _grid(choices[0], area, pictures, unit, captions)
    for rows in choices[1:]:
        other = _grid(rows, area, pictures, unit, captions)
        if other.box_px > _PREFER_EARLIER * best.box_px:
            best = other
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """Sizes before anything has a place."""

    lines: int
    caption: int
    widths: tuple[int, ...]
    heights: tuple[int, ...]
    box_px: float


def _grid(
    rows: Rows, area: Rect, pictures: Mapping[View, Picture], unit: float, captions: Captions
) -> Grid:
    plan = _plan(rows, area, pictures, unit, captions)
    gap = even(GAP * unit)
    across = sum(plan.widths) + gap * (len(plan.widths) - 1)
    spots = []
    top = area.top + even(gap / 2)
    for row, height in zip(rows, plan.heights, strict=True):
        left = area.left + even_below((area.width - across) / 2)
        for (side, view), width in zip(row, plan.widths, strict=True):
            caption = Rect(left=left, top=top, width=width, height=plan.caption)
            rect = Rect(left=left, top=caption.bottom, width=width, height=height)
            spots.append(Spot(side=side, view=view, caption=caption, rect=rect))
            left += width + gap
        top += plan.caption + height + gap
    return Grid(
        spots=tuple(spots),
        caption_lines=plan.lines,
        height_px=top - area.top,
        box_px=plan.box_px,
    )


def _plan(
    rows: Rows, area: Rect, pictures: Mapping[View, Picture], unit: float, captions: Captions
) -> _Plan:
    """The fewest lines of caption that the narrowest column has room for."""
    plans = [
        _sizes(rows, area, pictures, unit, lines=(lines, even(height * unit)))
        for lines, height, _ in captions
    ]
    fits = [
        plan
        for plan, (_, _, needs) in zip(plans, captions, strict=True)
        if min(plan.widths) >= needs * unit
    ]
    return fits[0]


def _sizes(
    rows: Rows,
    area: Rect,
    pictures: Mapping[View, Picture],
    unit: float,
    *,
    lines: tuple[int, int],
) -> _Plan:
    """All boxes are made equally high, so that golfers are as large in one view as in another."""
    gap = even(GAP * unit)
    views = [[view for _, view in row] for row in rows]
    columns = list(zip(*views, strict=True))
    weights = [max(_aspect(pictures[view]) for view in column) for column in columns]
    inner = area.width - 2 * even(MARGIN * unit) - (len(columns) - 1) * gap
    room = (area.height - gap / 2) / len(rows) - lines[1] - gap
    box_px = min(inner / sum(weights), room)
    widths = []
    for column, weight in zip(columns, weights, strict=True):
        most = max(pictures[v].width_px * box_px / pictures[v].box_px[1] for v in column)
        widths.append(even_below(min(inner * weight / sum(weights), most)))
    # Whole pixels make a column a little narrower than meant; what stands in it goes along.
    box_px = min(box_px, *(width / weight for width, weight in zip(widths, weights, strict=True)))
    heights = []
    for row in views:
        least = min(pictures[v].height_px * box_px / pictures[v].box_px[1] for v in row)
        heights.append(even_below(min(room, max(least, box_px))))
    return _Plan(
        lines=lines[0],
        caption=lines[1],
        widths=tuple(widths),
        heights=tuple(heights),
        box_px=box_px,
    )


def _aspect(picture: Picture) -> float:
    width, height = picture.box_px
    return width / height
