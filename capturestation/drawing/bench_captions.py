"""What is written above each picture of the Bench: whose, when, from where, and the frame's time.

Owns on how many lines it is written, by the room there is, and that a colour never stands alone:
above each half of the rule stands the name of the swing whose colour that half has.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QColor, QPainter

from capturestation.drawing.bench_ink import BenchInk, Style, metrics_of, write
from capturestation.drawing.grid import CAPTIONS, Captions, Side
from capturestation.drawing.rect import Rect, stacked

RULE_PX = 5
_AIR = 0.7
# Between two pieces on one line, of the letters' height.
_USUAL_TIME, _LONG_TIME = "+0.000 s", "0.000 s before impact"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldWords:
    """What is written at a picture.

    Args:
        whose: Such as "today".
        day: When it was struck.
        view: Such as "face-on"; empty where it is written elsewhere.
        over: What lies over it, such as "own best, 18 Sep 2026"; empty where nothing does.
        times: Whose frame it shows, and its time; then the same for less room.
        missing: Why there is no picture; empty where there is one.
    """

    whose: str
    day: str
    view: str
    over: str = ""
    times: tuple[tuple[Side, str, str], ...] = ()
    missing: str = ""

    @property
    def dated(self) -> str:
        """Whose and when."""
        return ", ".join(word for word in (self.whose, self.day) if word)


def caption_ways(words: Iterable[FieldWords], px: int, unit: float) -> Captions:
    """On how many lines captions can be written, and how wide a picture each way needs.

    Args:
        words: All pictures'.
        px: Height of the letters.
        unit: Pixels for one of a canvas of 720.
    """
    one = two = 0.0
    for word in words:
        dated, view, time = (
            _wide(text, px, bold=bold)
            for text, bold in ((word.dated, True), (word.view, False), (_USUAL_TIME, False))
        )
        air = _AIR * px
        if word.over:
            half = 2 * max(dated, _wide(word.over, px, bold=True)) + 2 * air
            one = max(one, half + 2 * (view + time) + 4 * air)
            two = max(two, half)
        else:
            one = max(one, dated + view + time + 3 * air)
            two = max(two, dated, view + time + air)
    needs = (one / unit, two / unit, 0.0)
    return tuple(
        (lines, height, need) for (lines, height, _), need in zip(CAPTIONS, needs, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionPlace:
    """Where a caption is written.

    Args:
        rect: Its rows.
        lines: On how many lines.
        px: Height of the letters.
        is_long: Whether times are written in words; all captions do it, or none.
    """

    rect: Rect
    lines: int
    px: int
    is_long: bool = False

    def has_room_for_long(self, words: FieldWords) -> bool:
        """Whether times in words fit beside what else stands on their line."""
        beside = [] if self.lines > 2 else [_wide(words.view, self.px)] * bool(words.view)
        if self.lines == 1:
            beside.append(_wide(words.dated, self.px, bold=True))
        needs = sum(beside) + _wide(_LONG_TIME, self.px) + 2 * _AIR * self.px * len(beside)
        return needs <= self.rect.width and not words.over


def paint_caption(
    painter: QPainter, at: CaptionPlace, side: Side, words: FieldWords, ink: BenchInk
) -> None:
    """Write a caption, and rule it off in the colour of its swing."""
    box = at.rect
    text = replace(box, height=box.height - RULE_PX)
    left, right = text, None
    if words.over:
        half = box.width // 2
        left = replace(text, width=half)
        right = replace(text, left=box.left + half, width=box.width - half)
    _own(painter, replace(at, rect=left), words, ink)
    if right is not None:
        _laid_over(painter, replace(at, rect=right), words, ink)
    for part, colour in ((left, ink.side(side)), (right, ink.then)):
        if part is not None:
            painter.fillRect(part.left, text.bottom, part.width, RULE_PX, QColor(*colour))


def _own(painter: QPainter, at: CaptionPlace, words: FieldWords, ink: BenchInk) -> None:
    px, lines = at.px, at.lines
    bold, soft = Style(px=px, colour=ink.ink, bold=True), Style(px=px, colour=ink.soft)
    view = (words.view, soft)
    if lines == 1:
        rows = [[(words.dated, bold), view]]
    elif lines == 2:
        rows = [[(words.dated, bold)], [view]]
    else:
        rows = [[(words.whose or words.day, bold)], [(words.day if words.whose else "", soft)]]
        rows.append([view])
    _write_rows(painter, at.rect, rows, _times(at, words.times[:1]), soft)


def _laid_over(painter: QPainter, at: CaptionPlace, words: FieldWords, ink: BenchInk) -> None:
    """What lies over it: its name above its half of the rule."""
    px, lines, box = at.px, at.lines, at.rect
    bold, soft = Style(px=px, colour=ink.ink, bold=True), Style(px=px, colour=ink.soft)
    box = replace(box, left=box.left + round(_AIR * px), width=box.width - round(_AIR * px))
    whose, _, day = words.over.partition(", ")
    if lines == 3 and day:
        rows = [[(whose, bold)], [(day, soft)], []]
    else:
        rows = [[(words.over, bold)], *([] for _ in range(lines - 1))]
    _write_rows(painter, box, rows, _times(at, words.times[1:]), soft)


def _times(at: CaptionPlace, times: Sequence[tuple[Side, str, str]]) -> list[str]:
    return [long if at.is_long else short for _, long, short in times]


def _write_rows(
    painter: QPainter,
    box: Rect,
    rows: Sequence[Sequence[tuple[str, Style]]],
    times: Sequence[str],
    style: Style,
) -> None:
    """Write the rows; a time stands at the right end of the last one and never gives way."""
    lines = stacked(box, len(rows))
    last = lines[-1]
    for time in times:
        to_right = replace(style, align=Qt.AlignmentFlag.AlignRight)
        wide = write(painter, last, time, to_right) + round(_AIR * style.px)
        last = replace(last, width=max(last.width - wide, 0))
    for line, row in zip([*lines[:-1], last], rows, strict=True):
        left = line.left
        for text, piece in row:
            if text and left < line.right:
                rest = replace(line, left=left, width=line.right - left)
                left += write(painter, rest, text, piece) + round(_AIR * piece.px)


def _wide(text: str, px: int, *, bold: bool = False) -> int:
    return metrics_of(px, bold=bold).horizontalAdvance(text)
