"""What stands above a clip's pictures: whose, from when and from where, over a rule of colour.

Owns how the words are set for a column's width. Above a picture with another one laid over it both
swings are named, each with its date, and the rule has both colours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPainter

from capturestation.drawing import theme
from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Field, Layout
from capturestation.drawing.rect import Rect, even, stacked
from capturestation.drawing.sheet import Ink, fill, fitting_px, write
from capturestation.drawing.theme import Size

SIDE_COLOUR = {Side.NOW: theme.BLUE, Side.THEN: theme.VERMILLION}
_RULE_SHARE = 1 / 120
# The coloured rule under a caption, of the canvas's shorter side.
_GAP_SHARE = 0.5
# Between two names beside each other, of their letters' height.


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """What stands above a picture.

    Args:
        whose: Such as "today"; empty where the day says it all.
        view: Such as "face-on".
        day: Such as "30 Oct 2026"; empty where it goes without saying.
        missing: What stands in the field while it has no picture.
        over: Whose picture is laid over it and from when; empty where none is.
    """

    whose: str
    view: str
    day: str = ""
    missing: str = "no picture from here in this swing"
    over: str = ""

    @property
    def dated(self) -> str:
        """Whose and from when, on one line."""
        return ", ".join(word for word in (self.whose, self.day) if word)


def captions_px(layout: Layout, captions: Mapping[str, Caption]) -> int:
    """One size for all captions of a clip: the one at which the longest fits.

    Args:
        layout: The clip's canvas.
        captions: By the field's name.

    Raises:
        KeyError: If a field has none.
    """
    ink = Ink(px=theme.type_px(Size.CAPTION, layout.short_side_px), bold=True)
    for spot in layout.fields:
        for row in _rows(layout, captions[spot.name]):
            width_px = _columns(spot.caption, len(row), ink.px)[0].width
            ink = replace(ink, px=fitting_px(row, ink, width_px))
    return ink.px


def write_caption(
    painter: QPainter, layout: Layout, spot: Field, caption: Caption, px: int
) -> None:
    """Write one, with its rule.

    Args:
        painter: Of the clip's canvas.
        layout: Says how many lines a caption has.
        spot: Whose field.
        caption: The words.
        px: Their height, as `captions_px` says.
    """
    box = spot.caption
    rule = max(even(_RULE_SHARE * layout.short_side_px), 2)
    text = replace(box, height=box.height - rule)
    strong, soft = Ink(px=px, bold=True), Ink(px=px, colour=theme.INK_SOFT)
    if layout.caption_lines == 1:
        write(painter, text, caption.dated, strong)
        write(painter, text, caption.view, replace(soft, align=Qt.AlignmentFlag.AlignRight))
    else:
        rows = _rows(layout, caption)
        for at, (line, row) in enumerate(zip(stacked(text, len(rows)), rows, strict=True)):
            # Of two swings each is as much the picture's as the other.
            is_name = at == 0 or (bool(caption.over) and at < len(rows) - 1)
            for column, words in zip(_columns(line, len(row), px), row, strict=True):
                write(painter, column, words, strong if is_name else soft)
    below = replace(box, top=box.bottom - rule, height=rule)
    sides = (spot.side, Side.THEN) if caption.over else (spot.side,)
    for column, side in zip(_columns(below, len(sides), 0), sides, strict=True):
        fill(painter, column, SIDE_COLOUR[side])


def _rows(layout: Layout, caption: Caption) -> tuple[tuple[str, ...], ...]:
    """As many as the layout has lines; where it has one, the view stands at its other end."""
    if layout.caption_lines == 1:
        return ((f"{caption.dated}  {caption.view}",),)
    if layout.caption_lines == 2:
        names = (caption.dated, caption.over) if caption.over else (caption.dated,)
        return names, (caption.view,)
    if caption.over:
        return (caption.dated,), (caption.over,), (caption.view,)
    if not caption.whose:
        return (caption.day,), (caption.view,), ("",)
    return (caption.whose,), (caption.day,), (caption.view,)


def _columns(rect: Rect, count: int, px: int) -> tuple[Rect, ...]:
    """So many parts of equal width, letters apart; the last one takes what is left."""
    gap = round(_GAP_SHARE * px) if count > 1 else 0
    each = (rect.width - gap * (count - 1)) // count
    lefts = [rect.left + n * (each + gap) for n in range(count)]
    ends = [left + each for left in lefts[:-1]] + [rect.right]
    return tuple(
        replace(rect, left=left, width=end - left) for left, end in zip(lefts, ends, strict=True)
    )
