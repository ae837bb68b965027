"""Where everything stands on a clip's canvas: pure geometry in whole, even pixels.

Owns the named layouts and how a picture is placed in its field. Refuses distortion: a picture
keeps its shape, loses at most a stated part of its sides, and never its top or bottom, where
the hands and the ball are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from capturestation.records import View

KEEP_WIDTH = 0.64
"""Least share of a picture's width that is shown.

With the shaft level the club head is about 1.4 m from the middle; of a 16:9 picture 2.6 m high,
which the club's highest point needs, this shows 1.48 m either way.
"""
_SHORT_PX = 720
# Margins below are for this shorter side and grow with it.


class Side(StrEnum):
    """Which of the two swings a field shows."""

    NOW = "now"
    THEN = "then"


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
class Rect:
    """A rectangle of whole pixels."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """First column to the right of it."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """First row below it."""
        return self.top + self.height

    @property
    def cut(self) -> tuple[slice, slice]:
        """Rows and columns, to cut it out of an array."""
        return slice(self.top, self.bottom), slice(self.left, self.right)


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
        return f"{self.side} {self.view}"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """How a picture stands in a field.

    Args:
        source: What is shown of the picture.
        target: Where it stands on the canvas.
        said: What was cut off, in words; empty when the whole picture is shown.
    """

    source: Rect
    target: Rect
    said: str


def even(value: float) -> int:
    """The nearest even number: halved colour planes need it."""
    return round(value / 2) * 2


def halves(rect: Rect) -> tuple[Rect, Rect]:
    """The upper and the lower half."""
    upper = rect.height // 2
    return (
        Rect(left=rect.left, top=rect.top, width=rect.width, height=upper),
        Rect(left=rect.left, top=rect.top + upper, width=rect.width, height=rect.height - upper),
    )


def layout_of(
    name: LayoutName,
    views: Sequence[View] = (View.FACE_ON, View.DOWN_THE_LINE),
    *,
    short_side_px: int = _SHORT_PX,
    tall_pictures: bool = False,
) -> Layout:
    """Lay out a canvas of 16:9, or 9:16 for the upright ones.

    Args:
        name: Which layout.
        views: The cameras' places, in order; "then-and-now" shows the first.
        short_side_px: Its shorter side; 720 or 1080 suit phones.
        tall_pictures: Whether cameras are mounted upright; four such pictures stand in one row.

    Raises:
        ValueError: If a view is missing for the layout or the canvas is too small to read.
    """
    needed = 1 if "then-and-now" in name else 2
    if len(set(views)) < needed or short_side_px < _SHORT_PX // 4:
        msg = f"{name} needs {needed} views and 180 px or more, got {views}, {short_side_px} px"
        raise ValueError(msg)
    long_px, short_px = even(short_side_px * 16 / 9), even(short_side_px)
    width, height = (short_px, long_px) if name.is_upright else (long_px, short_px)
    u = short_side_px / _SHORT_PX
    strip = _upright_strip(width, height, u) if name.is_upright else _wide_strip(width, height, u)
    area = Rect(left=0, top=0, width=width, height=strip.title.top)
    fields = _grid(_cells(name, views, tall_pictures=tall_pictures), area, u)
    return Layout(name=name, width_px=width, height_px=height, fields=fields, strip=strip)


_Cell = tuple[Side, View]


def _cells(name: LayoutName, views: Sequence[View], *, tall_pictures: bool) -> list[list[_Cell]]:
    """Rows of cells; earlier stands before today, as time runs."""
    first, *rest = views
    if "then-and-now" in name:
        row: list[_Cell] = [(Side.THEN, first), (Side.NOW, first)]
        return [[cell] for cell in row] if name.is_upright else [row]
    second = rest[0]
    if "both-angles" in name:
        row = [(Side.NOW, first), (Side.NOW, second)]
        return [[cell] for cell in row] if name.is_upright else [row]
    upper: list[_Cell] = [(Side.THEN, first), (Side.NOW, first)]
    lower: list[_Cell] = [(Side.THEN, second), (Side.NOW, second)]
    return [upper + lower] if tall_pictures and not name.is_upright else [upper, lower]


def _grid(rows: list[list[_Cell]], area: Rect, u: float) -> tuple[Field, ...]:
    across = max(len(row) for row in rows)
    narrow = (across > 2) or (across > 1 and area.width < area.height)
    caption_px = even((74 if narrow else 46) * u)
    margin, gap = even(16 * u), even(14 * u)
    width = even((area.width - 2 * margin - (across - 1) * gap) / across - 0.9)
    each = (area.height - gap) / len(rows)
    height = even(each - caption_px - gap - 0.9)
    spare = area.width - 2 * margin - across * width
    step = width + (even(spare / (across - 1) - 0.9) if across > 1 else 0)
    fields = []
    for index, row in enumerate(rows):
        top = even(gap / 2 + index * each)
        for place, (side, view) in enumerate(row):
            left = margin + place * step
            caption = Rect(left=left, top=top, width=width, height=caption_px)
            rect = Rect(left=left, top=caption.bottom, width=width, height=height)
            fields.append(Field(side=side, view=view, rect=rect, caption=caption))
    return tuple(fields)


def _wide_strip(width: int, height: int, u: float) -> Strip:
    margin = even(16 * u)
    inner = width - 2 * margin
    top = height - even(138 * u)
    half = even(inner / 2)
    rows = (even(62 * u), even(34 * u), even(32 * u))
    title = Rect(left=margin, top=top, width=half, height=rows[0])
    readout = Rect(left=margin + half, top=top, width=inner - half, height=rows[0])
    bar = Rect(left=margin, top=title.bottom, width=inner, height=rows[1])
    words = Rect(left=margin, top=bar.bottom, width=inner, height=rows[2])
    return Strip(title=title, readout=readout, bar=bar, words=words)


def _upright_strip(width: int, height: int, u: float) -> Strip:
    margin = even(16 * u)
    inner = width - 2 * margin
    top = height - even(208 * u)
    rows = (even(56 * u), even(70 * u), even(34 * u), even(32 * u))
    title = Rect(left=margin, top=top, width=inner, height=rows[0])
    readout = Rect(left=margin, top=title.bottom, width=inner, height=rows[1])
    bar = Rect(left=margin, top=readout.bottom, width=inner, height=rows[2])
    words = Rect(left=margin, top=bar.bottom, width=inner, height=rows[3])
    return Strip(title=title, readout=readout, bar=bar, words=words)


def column(bar: Rect, at_ns: int, start_ns: int, stop_ns: int) -> int:
    """The column of a time on the bar, kept inside it."""
    share = (at_ns - start_ns) / (stop_ns - start_ns)
    inset = bar.height // 2
    return bar.left + inset + round(min(max(share, 0.0), 1.0) * (bar.width - 2 * inset))


def place(
    width_px: int,
    height_px: int,
    rect: Rect,
    *,
    keep_width: float = KEEP_WIDTH,
    about_x: float = 0.5,
) -> Placement:
    """Place a picture in a field, under its caption: as large as fits once the sides may be cut.

    Args:
        width_px: The picture's width.
        height_px: The picture's height.
        rect: The field.
        keep_width: Least share of its width to show, 0..1; 1 shows the whole picture.
        about_x: Where in the picture the golfer stands, share of its width.
    """
    whole = min(rect.width / width_px, rect.height / height_px)
    cover = min(rect.height / height_px, rect.width / (keep_width * width_px))
    scale = max(whole, cover)
    shown = min(round(rect.width / scale), width_px)
    left = min(max(round(about_x * width_px - shown / 2), 0), width_px - shown)
    width = min(even(shown * scale), rect.width)
    height = min(even(height_px * scale), rect.height)
    target = Rect(
        left=rect.left + even((rect.width - width) / 2),
        top=rect.top,
        width=width,
        height=height,
    )
    source = Rect(left=left, top=0, width=shown, height=height_px)
    said = "" if shown == width_px else f"{shown / width_px:.0%} of its width shown"
    return Placement(source=source, target=target, said=said)
