"""The bar of time to impact: a line, a tick for each moment, their names, and where we are.

Owns which names fit below the ticks. Refuses crowding: a name that would touch another is left
out, impact and the held moments first; its tick stays, and the clip names it when it gets there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPainter

from capturestation.drawing import theme
from capturestation.drawing.layout import Layout, column
from capturestation.drawing.rect import Rect, even
from capturestation.drawing.sheet import Ink, fill, text_width, write
from capturestation.drawing.theme import Size
from capturestation.records import FloatArray, FrameArray, Moment

_LINE_SHARE = 1 / 11
_TICK_SHARE = 1 / 2
_DOT_SHARE = 0.34
_RING_SHARE = 0.44
# Of the bar's height.


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A moment on the bar.

    Args:
        moment: Which.
        at_ns: Swing clock.
        is_held: Whether the clip stands there.
    """

    moment: Moment
    at_ns: int
    is_held: bool = False


def phase_words(ticks: Sequence[Tick], at_ns: int) -> str:
    """What lies around a time, in words: "top → impact", "before set", "after finish"."""
    past = [tick for tick in ticks if tick.at_ns <= at_ns]
    ahead = [tick for tick in ticks if tick.at_ns > at_ns]
    if past and ahead:
        return f"{past[-1].moment} → {ahead[0].moment}"
    if past:
        return f"after {past[-1].moment}"
    return f"before {ahead[0].moment}" if ahead else ""


def paint_bar(
    painter: QPainter, layout: Layout, ticks: Sequence[Tick], start_ns: int, stop_ns: int
) -> None:
    """Paint what of the bar never changes."""
    bar = layout.strip.bar
    line = line_rect(bar)
    fill(painter, line, theme.INK_SOFT)
    height = round(_TICK_SHARE * bar.height)
    thick = line.height
    for tick in ticks:
        if start_ns <= tick.at_ns <= stop_ns:
            left = column(bar, tick.at_ns, start_ns, stop_ns) - thick // 2
            top = bar.top + (bar.height - height) // 2
            colour = theme.INK if tick.is_held else theme.INK_SOFT
            fill(painter, Rect(left=left, top=top, width=thick, height=height), colour)
    px = theme.type_px(Size.WORD, layout.short_side_px)
    for tick, rect in placed_words(layout, ticks, start_ns, stop_ns):
        write(painter, rect, str(tick.moment), _word_ink(tick, px))


def _word_ink(tick: Tick, px: int) -> Ink:
    colour = theme.INK if tick.is_held else theme.INK_SOFT
    return Ink(px=px, colour=colour, align=Qt.AlignmentFlag.AlignHCenter)


def placed_words(
    layout: Layout, ticks: Sequence[Tick], start_ns: int, stop_ns: int
) -> list[tuple[Tick, Rect]]:
    """The names that fit below the bar, each below its tick, in order of time."""
    row = layout.strip.words
    px = theme.type_px(Size.WORD, layout.short_side_px)
    inside = [tick for tick in ticks if start_ns <= tick.at_ns <= stop_ns]
    first = sorted(inside, key=lambda t: (t.moment is not Moment.IMPACT, not t.is_held, t.at_ns))
    gap = px // 2
    taken: list[tuple[Tick, Rect]] = []
    for tick in first:
        width = text_width(str(tick.moment), _word_ink(tick, px)) + 2
        middle = column(layout.strip.bar, tick.at_ns, start_ns, stop_ns)
        left = min(max(middle - width // 2, row.left), row.right - width)
        rect = Rect(left=left, top=row.top, width=width, height=row.height)
        if all(rect.right + gap <= other.left or other.right + gap <= left for _, other in taken):
            taken.append((tick, rect))
    return sorted(taken, key=lambda pair: pair[0].at_ns)


def line_rect(bar: Rect) -> Rect:
    """The line of time itself, through the bar's middle."""
    thick = max(even(_LINE_SHARE * bar.height), 2)
    inset = bar.height // 2
    return Rect(
        left=bar.left + inset,
        top=bar.top + (bar.height - thick) // 2,
        width=bar.width - 2 * inset,
        height=thick,
    )


def draw_marker(canvas: FrameArray, bar: Rect, at_column: int) -> None:
    """Draw where we are: the line behind it filled, a dot with a ring of paper at it."""
    line = line_rect(bar)
    passed = Rect(left=line.left, top=line.top, width=at_column - line.left, height=line.height)
    canvas[passed.cut] = theme.BLUE
    left = at_column - bar.height // 2
    cut = Rect(left=left, top=bar.top, width=bar.height, height=bar.height).cut
    under = canvas[cut].astype(np.float64)
    for share, colour in ((_RING_SHARE, theme.PAPER), (_DOT_SHARE, theme.BLUE)):
        cover = _disc(bar.height, share * bar.height)
        under += cover * (np.array(colour, dtype=np.float64) - under)
    canvas[cut] = np.rint(under).astype(np.uint8)


@cache
def _disc(size_px: int, radius_px: float) -> FloatArray:
    """How much of each pixel a disc in the middle covers, (size, size, 1), soft at its edge."""
    off = np.arange(size_px) - (size_px - 1) / 2
    away = np.hypot(off[:, np.newaxis], off[np.newaxis, :])
    cover: FloatArray = np.clip(radius_px - away + 0.5, 0.0, 1.0)
    cover.setflags(write=False)
    return cover[:, :, np.newaxis]
