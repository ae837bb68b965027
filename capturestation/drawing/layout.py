"""Where everything stands on a clip's canvas: pure geometry in whole, even pixels.

Owns the named layouts, their captions and the strip of time. What room the pictures leave makes
the held moment's name larger.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from capturestation.drawing.grid import (
    CAPTIONS,
    CAPTIONS_OF_TWO,
    MARGIN,
    Cell,
    Rows,
    Side,
    Spot,
    best_grid,
)
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect, even, even_below
from capturestation.records import View

_SHORT_PX = 720
# Sizes below are for this shorter side and grow with it.
UNKNOWN = Picture(width_px=1280, height_px=720, box=middle())
"""A picture of which nobody knows how far the swing reaches."""
_WIDE_STRIP, _UPRIGHT_STRIP, _BELOW = (66, 34, 32), (76, 72, 34, 32), 10
# Rows of the strip from its top: title beside or above the time, bar, words.
_TITLE_GROWS, _TITLE_SHARE = 48, 0.58


class LayoutName(StrEnum):
    """The layouts by name; upright ones fill a phone held upright."""

    BOTH_ANGLES = "both-angles"
    THEN_AND_NOW = "then-and-now"
    ALL_FOUR = "all-four"
    BOTH_ANGLES_UPRIGHT = "both-angles-upright"
    THEN_AND_NOW_UPRIGHT = "then-and-now-upright"
    ALL_FOUR_UPRIGHT = "all-four-upright"

    @property
    def is_upright(self) -> bool:
        """Whether the canvas stands on its shorter side."""
        return self.value.endswith("-upright")


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One picture's place: whose, from where, and its caption above it."""

    side: Side
    view: View
    rect: Rect
    caption: Rect

    @property
    def name(self) -> str:
        """Such as "now face-on"."""
        return field_name(self.side, self.view)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The strip of time below the pictures.

    Args:
        title: The held moment's name, or what lies around this time.
        readout: Time to impact in words.
        bar: The line of time with its ticks; a time's column is found by `column`.
        words: The moments' names below the ticks.
    """

    title: Rect
    readout: Rect
    bar: Rect
    words: Rect


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A canvas and everything's place on it."""

    name: LayoutName
    width_px: int
    height_px: int
    fields: tuple[Field, ...]
    caption_lines: int
    strip: Strip

    @property
    def short_side_px(self) -> int:
        """The canvas's shorter side: type sizes go by it."""
        return min(self.width_px, self.height_px)

    def field(self, name: str) -> Field:
        """The field of that name.

        Raises:
            KeyError: If this layout has none.
        """
        for field in self.fields:
            if field.name == name:
                return field
        raise KeyError(name)


def field_name(side: Side, view: View) -> str:
    """Such as "now face-on"."""
    return f"{side} {view}"


def cells_of(name: LayoutName, views: Sequence[View]) -> tuple[Cell, ...]:
    """Which pictures a layout shows, wherever they stand; of one view those of that one.

    Raises:
        ValueError: If there is no view, or one stands there twice.
    """
    if not views or len(set(views)) < len(views):
        msg = f"{name} needs one view or more, each once, got {views}"
        raise ValueError(msg)
    return tuple(cell for row in _choices(name, views)[0] for cell in row)


def layout_of(
    name: LayoutName,
    views: Sequence[View] = (View.FACE_ON, View.DOWN_THE_LINE),
    *,
    short_side_px: int = _SHORT_PX,
    pictures: Mapping[View, Picture] | None = None,
    names_both: bool = False,
) -> Layout:
    """Lay out a canvas of 16:9, or 9:16 for the upright ones.

    Args:
        name: Which layout.
        views: The cameras' places, in order; "then-and-now" shows the first, and where there is
            only one, the others show no more than that one.
        short_side_px: Its shorter side; 720 or 1080 suit phones.
        pictures: What has to be seen in each view: it decides what stands beside what.
        names_both: Whether a caption has to say of two swings whose and from when.

    Raises:
        ValueError: If there is no view, one stands there twice, or the canvas is too small to read.
    """
    if short_side_px < _SHORT_PX // 4:
        msg = f"a canvas needs 180 px or more, got {short_side_px} px"
        raise ValueError(msg)
    cells_of(name, views)
    long_px, short_px = even(short_side_px * 16 / 9), even(short_side_px)
    width, height = (short_px, long_px) if name.is_upright else (long_px, short_px)
    u = short_side_px / _SHORT_PX
    least = _UPRIGHT_STRIP if name.is_upright else _WIDE_STRIP
    strip_px = sum(even(row * u) for row in least) + even(_BELOW * u)
    area = Rect(left=0, top=0, width=width, height=height - strip_px)
    known = {view: (pictures or {}).get(view, UNKNOWN) for view in views}
    captions = CAPTIONS_OF_TWO if names_both else CAPTIONS
    grid = best_grid(_choices(name, views), area, known, u, captions)
    spare = area.height - grid.height_px
    grown = even(min(max(spare, 0), _TITLE_GROWS * u))
    down = even_below(max(spare - grown, 0) / 2)
    strip_at = Rect(
        left=even(MARGIN * u),
        top=area.height - grown,
        width=width - 2 * even(MARGIN * u),
        height=strip_px + grown,
    )
    return Layout(
        name=name,
        width_px=width,
        height_px=height,
        fields=tuple(_field(spot, down) for spot in grid.spots),
        caption_lines=grid.caption_lines,
        strip=_upright_strip(strip_at, grown, u)
        if name.is_upright
        else _wide_strip(strip_at, grown, u),
    )


def _field(spot: Spot, down: int) -> Field:
    return Field(
        side=spot.side,
        view=spot.view,
        rect=replace(spot.rect, top=spot.rect.top + down),
        caption=replace(spot.caption, top=spot.caption.top + down),
    )


def _choices(name: LayoutName, views: Sequence[View]) -> list[Rows]:
    """Ways to arrange the cells; earlier stands before today, as time runs."""
    shown = views[:2]
    if "both-angles" in name:
        return _row_or_stack([(Side.NOW, view) for view in shown])
    upper, *rest = ([(Side.THEN, view), (Side.NOW, view)] for view in shown)
    if "then-and-now" in name or not rest:
        return _row_or_stack(upper)
    lower = rest[0]
    turned = [[upper[0], lower[0]], [upper[1], lower[1]]]
    return [[upper, lower], [upper + lower], turned]


def _row_or_stack(cells: list[Cell]) -> list[Rows]:
    return [[cells], [[cell] for cell in cells]]


def _wide_strip(at: Rect, grown: int, u: float) -> Strip:
    title_px, bar_px, words_px = (even(row * u) for row in _WIDE_STRIP)
    left_px = even(_TITLE_SHARE * at.width)
    title = Rect(left=at.left, top=at.top, width=left_px, height=title_px + grown)
    spare = even_below((title.height - title_px) / 3)
    readout = Rect(
        left=title.right,
        top=title.top + spare,
        width=at.width - left_px,
        height=title.height - 2 * spare,
    )
    bar = Rect(left=at.left, top=title.bottom, width=at.width, height=bar_px)
    words = Rect(left=at.left, top=bar.bottom, width=at.width, height=words_px)
    return Strip(title=title, readout=readout, bar=bar, words=words)


def _upright_strip(at: Rect, grown: int, u: float) -> Strip:
    title_px, readout_px, bar_px, words_px = (even(row * u) for row in _UPRIGHT_STRIP)
    title = Rect(left=at.left, top=at.top, width=at.width, height=title_px + grown)
    readout = Rect(left=at.left, top=title.bottom, width=at.width, height=readout_px)
    bar = Rect(left=at.left, top=readout.bottom, width=at.width, height=bar_px)
    words = Rect(left=at.left, top=bar.bottom, width=at.width, height=words_px)
    return Strip(title=title, readout=readout, bar=bar, words=words)


def column(bar: Rect, at_ns: int, start_ns: int, stop_ns: int) -> int:
    """The column of a time on the bar, kept inside it."""
    share = (at_ns - start_ns) / (stop_ns - start_ns)
    inset = bar.height // 2
    return bar.left + inset + round(min(max(share, 0.0), 1.0) * (bar.width - 2 * inset))
