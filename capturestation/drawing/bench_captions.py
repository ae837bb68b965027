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
_TIME_LINES = {1: (0,), 2: (1, 0), 3: (0, 2)}
# Where the time may stand, by how many lines there are; the preferred first.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Widths:
    """How wide the pieces of a caption are, pixels with the air after them."""

    dated: float
    whose: float
    view: float
    time: float
    long_time: float

    @staticmethod
    def of(words: FieldWords, px: int) -> _Widths:
        """Measure them; what lies over has to fit as well as what lies below."""
        air = _AIR * px
        over_whose = words.over.partition(", ")[0]
        view = _wide(words.view, px) + air if words.view else 0.0
        return _Widths(
            dated=air + max(_wide(text, px, bold=True) for text in (words.dated, words.over)),
            whose=air + max(_wide(text, px, bold=True) for text in (words.whose, over_whose)),
            view=view,
            time=_wide(_USUAL_TIME, px),
            long_time=_wide(_LONG_TIME, px),
        )


def caption_ways(words: Iterable[FieldWords], px: int, unit: float, *, with_days: bool) -> Captions:
    """On how many lines captions can be written, and how wide a picture each way needs.

    Args:
        words: All pictures'.
        px: Height of the letters.
        unit: Pixels for one of a canvas of 720.
        with_days: Whether the days have to fit beside the names.
    """
    one = below = above = 0.0
    for word in words:
        wide, parts = _Widths.of(word, px), 2 if word.over else 1
        name = wide.dated if with_days else wide.whose
        # What lies over begins with air, not to touch the other's time.
        air = _AIR * px * (parts - 1)
        one = max(one, parts * (name + wide.view + wide.time + air))
        # The time stands below, beside the view, or above, beside the name.
        below = max(below, parts * (max(name, wide.view + wide.time) + air))
        above = max(above, parts * (max(name + wide.time, wide.view) + air))
    needs = (one / unit, min(below, above) / unit, 0.0)
    return tuple(
        (lines, height, need) for (lines, height, _), need in zip(CAPTIONS, needs, strict=True)
    )


def least_width_px(words: Iterable[FieldWords], px: int) -> float:
    """How wide a picture has to be for three lines on which nothing is cut short."""
    above = below = 0.0
    for word in words:
        wide, parts = _Widths.of(word, px), 2 if word.over else 1
        lines = max(wide.whose, wide.view, _wide(word.day, px)), _AIR * px * (parts - 1)
        above = max(above, parts * (max(lines[0], wide.whose + wide.time) + lines[1]))
        below = max(below, parts * (max(lines[0], wide.view + wide.time) + lines[1]))
    return min(above, below)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionPlace:
    """Where a caption is written.

    Args:
        rect: Its rows.
        lines: On how many lines.
        px: Height of the letters.
        time_line: On which of them the time stands, from 0.
        is_long: Whether times are written in words.
    """

    rect: Rect
    lines: int
    px: int
    time_line: int = 0
    is_long: bool = False


def written_alike(
    places: Sequence[tuple[CaptionPlace, FieldWords | None]],
) -> tuple[CaptionPlace, ...]:
    """Times stand on one line at all pictures, and in words at all or at none."""
    known = [(at, words) for at, words in places if words is not None]
    lines = max((at.lines for at, _ in known), default=1)
    ways = _TIME_LINES[lines]
    fitting = [line for line in ways if all(_has_room(at, words, line) for at, words in known)]
    line = (fitting or ways)[0]
    is_long = all(_has_room(at, words, line, is_long=True) for at, words in known)
    return tuple(replace(at, time_line=line, is_long=is_long) for at, _ in places)


def _has_room(at: CaptionPlace, words: FieldWords, line: int, *, is_long: bool = False) -> bool:
    """Whether the time fits on a line beside what else has to stand there."""
    wide = _Widths.of(words, at.px)
    time = wide.long_time if is_long else wide.time
    name = wide.dated if is_long else wide.whose
    if at.lines == 1:
        name += wide.view
    beside = name if line == 0 else wide.view
    room = at.rect.width // 2 if words.over else at.rect.width
    # Of two laid over one another there are two times: in words there is no room for both.
    return beside + time <= room and not (is_long and words.over)


def paint_caption(
    painter: QPainter, at: CaptionPlace, side: Side, words: FieldWords, ink: BenchInk
) -> None:
    """Write a caption, and rule it off in the colour of its swing."""
    box = at.rect
    text = replace(box, height=box.height - RULE_PX)
    half = box.width // 2 if words.over else box.width
    left = replace(text, width=half)
    _write_own(painter, replace(at, rect=left), words, ink)
    painter.fillRect(left.left, text.bottom, half, RULE_PX, QColor(*ink.side(side)))
    if words.over:
        right = replace(text, left=box.left + half, width=box.width - half)
        painter.fillRect(right.left, text.bottom, right.width, RULE_PX, QColor(*ink.then))
        air = round(_AIR * at.px)
        right = replace(right, left=right.left + air, width=max(right.width - air, 0))
        _write_over(painter, replace(at, rect=right), words, ink)


def _write_own(painter: QPainter, at: CaptionPlace, words: FieldWords, ink: BenchInk) -> None:
    bold, soft = Style(px=at.px, colour=ink.ink, bold=True), Style(px=at.px, colour=ink.soft)
    times = [long if at.is_long else short for _, long, short in words.times[:1]]
    view = (words.view, soft)
    name = _dated_if_it_fits(at, words, words.dated, times)
    if at.lines == 1:
        rows = [[(name, bold), view]]
    elif at.lines == 2:
        rows = [[(name, bold)], [view]]
    else:
        rows = [[(words.whose or words.day, bold)], [(words.day if words.whose else "", soft)]]
        rows.append([view])
    _write_rows(painter, at, rows, times, soft)


def _write_over(painter: QPainter, at: CaptionPlace, words: FieldWords, ink: BenchInk) -> None:
    """What lies over it: its name above its half of the rule."""
    bold, soft = Style(px=at.px, colour=ink.ink, bold=True), Style(px=at.px, colour=ink.soft)
    times = [short for _, _, short in words.times[1:]]
    whose, _, day = words.over.partition(", ")
    if at.lines == 3:
        rows = [[(whose, bold)], [(day, soft)], []]
    else:
        name = _dated_if_it_fits(at, words, words.over, times)
        rows = [[(name, bold)], *([] for _ in range(at.lines - 1))]
    _write_rows(painter, at, rows, times, soft)


def _dated_if_it_fits(at: CaptionPlace, words: FieldWords, dated: str, times: Sequence[str]) -> str:
    """The name with its day; without it where that would cut it short."""
    beside = list(times) if at.time_line == 0 else []
    if at.lines == 1 and words.view and dated == words.dated:
        beside.append(words.view)
    taken = sum(_wide(text, at.px) + _AIR * at.px for text in beside)
    fits = _wide(dated, at.px, bold=True) + taken <= at.rect.width
    return dated if fits else dated.partition(", ")[0]


def _write_rows(
    painter: QPainter,
    at: CaptionPlace,
    rows: Sequence[Sequence[tuple[str, Style]]],
    times: Sequence[str],
    style: Style,
) -> None:
    """Write the rows; a time stands at the right end of its line and never gives way."""
    lines = list(stacked(at.rect, len(rows)))
    air = round(_AIR * style.px)
    for time in times:
        line = lines[at.time_line]
        to_right = replace(style, align=Qt.AlignmentFlag.AlignRight)
        wide = write(painter, line, time, to_right) + air
        lines[at.time_line] = replace(line, width=max(line.width - wide, 0))
    for line, row in zip(lines, rows, strict=True):
        left = line.left
        for text, piece in row:
            if text and left < line.right:
                rest = replace(line, left=left, width=line.right - left)
                left += write(painter, rest, text, piece) + air


def _wide(text: str, px: int, *, bold: bool = False) -> int:
    return metrics_of(px, bold=bold).horizontalAdvance(text)
