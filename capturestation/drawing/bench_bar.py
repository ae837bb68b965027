"""The bar of time on the screen: where each moment's word stands, and how the bar is painted.

Owns the way from a time to a column and back. Words never touch: they make room for each other
and a thin line leads from each to its place in time; where there is no room for all, the nearest
to where we are and the best known stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPen, QPolygonF

from capturestation.drawing.bench_ink import BenchInk, Style, line_px, metrics_of, write
from capturestation.drawing.rect import Rect
from capturestation.drawing.spreading import spread
from capturestation.records import Moment

_ALWAYS = (Moment.IMPACT, Moment.TOP, Moment.SET, Moment.FINISH, Moment.CLUB_STARTS)
# The words that a coach orients himself by stay the longest.
_FAR = 3.5  # letters' heights between a mark and its word's edge; farther, the eye loses it
_DOT_SHARE = 0.26
_ALIKE = 128
# Ways to place words that are remembered: the same from one frame to the next.


@dataclass(frozen=True, slots=True, kw_only=True)
class BarMoment:
    """A moment on the bar.

    Args:
        moment: Which.
        at_ns: Swing clock.
        early_ns: Start of the interval that holds it.
        late_ns: End of it.
        by_hand: Whether a hand set it.
    """

    moment: Moment
    at_ns: int
    early_ns: int
    late_ns: int
    by_hand: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarState:
    """What the bar shows.

    Args:
        start_ns: Its left end, swing clock.
        stop_ns: Its right end.
        at_ns: Where we are.
        words: What stands above that place.
        moments: Today's, in order of time.
        then_ns: The earlier swing's moments on today's clock.
        then_word: What the earlier swing is called.
        loop: The stretch that is repeated.
        chosen: The moment that is moved or has the keyboard.
        aside: What always stands at the end of the row of the time, in small letters.
    """

    start_ns: int
    stop_ns: int
    at_ns: int
    words: str
    moments: tuple[BarMoment, ...]
    then_ns: tuple[int, ...] = ()
    then_word: str = ""
    loop: tuple[int, int] | None = None
    chosen: Moment | None = None
    aside: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPlace:
    """Where the parts of the bar stand.

    Args:
        time: The row for the time's words.
        line: The row of the line.
        words: The rows of the moments' words.
        start_ns: Time at the line's left end.
        stop_ns: Time at its right end.
    """

    time: Rect
    line: Rect
    words: Rect
    start_ns: int
    stop_ns: int

    def column(self, at_ns: int) -> float:
        """The column of a time, kept on the line."""
        share = (at_ns - self.start_ns) / max(self.stop_ns - self.start_ns, 1)
        return self.line.left + min(max(share, 0.0), 1.0) * self.line.width

    def at_ns(self, x: float) -> int:
        """The time of a column, kept on the line."""
        share = min(max((x - self.line.left) / max(self.line.width, 1), 0.0), 1.0)
        return round(self.start_ns + share * (self.stop_ns - self.start_ns))


@dataclass(frozen=True, slots=True, kw_only=True)
class BarWord:
    """A moment's word and where it stands."""

    moment: BarMoment
    lines: tuple[str, ...]
    rect: Rect


def bar_height_px(ink: BenchInk) -> int:
    """How high a bar is in that type."""
    return sum(_rows_px(ink))


def _rows_px(ink: BenchInk) -> tuple[int, int, int]:
    return (
        line_px(ink.body_px),
        round(1.9 * ink.body_px),
        ink.word_lines * line_px(ink.note_px) + 10,
    )


def bar_place(rect: Rect, state: BarState, ink: BenchInk) -> BarPlace:
    """Lay the bar out in a rectangle."""
    time_px, line_row_px, words_px = _rows_px(ink)
    inset = ink.body_px
    line = Rect(
        left=rect.left + inset,
        top=rect.top + time_px,
        width=max(rect.width - 2 * inset, 1),
        height=line_row_px,
    )
    return BarPlace(
        time=Rect(left=rect.left, top=rect.top, width=rect.width, height=time_px),
        line=line,
        words=Rect(left=rect.left, top=line.bottom, width=rect.width, height=words_px),
        start_ns=state.start_ns,
        stop_ns=state.stop_ns,
    )


def two_lines(words: str) -> tuple[str, ...]:
    """A moment's words on one or two lines, as even as they go.

    Example:
        >>> two_lines("top"), two_lines("shaft level, through")
        (('top',), ('shaft level,', 'through'))
    """
    parts = words.split()
    if len(words) <= 8 or len(parts) == 1:
        return (words,)
    ways = [(" ".join(parts[:n]), " ".join(parts[n:])) for n in range(1, len(parts))]
    return min(ways, key=lambda way: max(len(line) for line in way))


def _lines(moment: BarMoment, ink: BenchInk) -> tuple[str, ...]:
    words = str(moment.moment)
    return two_lines(words) if ink.word_lines > 1 else (words,)


def placed_words(place: BarPlace, state: BarState, ink: BenchInk) -> tuple[BarWord, ...]:
    """The words there is room for near their marks, in order of time, none touching."""
    inside = [m for m in state.moments if place.start_ns <= m.at_ns <= place.stop_ns]
    order = sorted(inside, key=lambda m: _worth(m, state), reverse=True)
    return _placed(place, tuple(inside), tuple(order), ink)


@lru_cache(_ALIKE)
def _placed(
    place: BarPlace, inside: tuple[BarMoment, ...], order: tuple[BarMoment, ...], ink: BenchInk
) -> tuple[BarWord, ...]:
    """The worthiest first, each that still fits; while one moves on little of it changes."""
    words: tuple[BarWord, ...] = ()
    for moment in order:
        tried = sorted([*(word.moment for word in words), moment], key=inside.index)
        spread_out = _spread_words(tried, place, ink)
        if not words or (_fits(spread_out, place, ink)):
            words = spread_out
    return words


def _spread_words(
    moments: Sequence[BarMoment], place: BarPlace, ink: BenchInk
) -> tuple[BarWord, ...]:
    sizes = [_width(m, ink) for m in moments]
    wanted = [place.column(m.at_ns) for m in moments]
    lefts = spread(wanted, sizes, ink.note_px, (place.words.left, place.words.right))
    return tuple(
        BarWord(
            moment=m,
            lines=_lines(m, ink),
            rect=replace(place.words, left=round(left), width=size),
        )
        for m, left, size in zip(moments, lefts, sizes, strict=True)
    )


def _fits(words: Sequence[BarWord], place: BarPlace, ink: BenchInk) -> bool:
    """Whether all stand in the row, each so near to its mark that the eye follows."""
    width = sum(word.rect.width for word in words) + ink.note_px * (len(words) - 1)
    return width <= place.words.width and all(_away(w, place) <= _FAR * ink.note_px for w in words)


def _away(word: BarWord, place: BarPlace) -> float:
    """How far a mark stands from the nearest edge of its word."""
    half = word.rect.width / 2
    return abs(word.rect.left + half - place.column(word.moment.at_ns)) - half


def _width(moment: BarMoment, ink: BenchInk) -> int:
    return _widest(_lines(moment, ink), ink.note_px)


@lru_cache(_ALIKE)
def _widest(lines: tuple[str, ...], px: int) -> int:
    metrics = metrics_of(px, bold=True)
    return max(metrics.horizontalAdvance(line) for line in lines) + 2


def _worth(moment: BarMoment, state: BarState) -> tuple[int, int]:
    if moment.moment is state.chosen:
        return (3, 0)
    if moment.moment in _ALWAYS:
        return (2, -_ALWAYS.index(moment.moment))
    return (1, -abs(moment.at_ns - state.at_ns))


def paint_bar(painter: QPainter, rect: Rect, state: BarState, ink: BenchInk) -> None:
    """Paint the whole bar."""
    place = bar_place(rect, state, ink)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _line(painter, place, state, ink)
    for word in placed_words(place, state, ink):
        _word(painter, place, word, state, ink)
    _earlier(painter, place, state, ink)
    _marker(painter, place, state, ink)


def _middle(place: BarPlace) -> float:
    return place.line.top + place.line.height / 2


def _line(painter: QPainter, place: BarPlace, state: BarState, ink: BenchInk) -> None:
    thick = max(round(0.14 * ink.body_px), 2)
    line, middle = place.line, _middle(place)
    at = place.column(state.at_ns)
    painter.fillRect(QRectF(line.left, middle - thick / 2, line.width, thick), _q(ink.edge))
    painter.fillRect(QRectF(line.left, middle - thick / 2, at - line.left, thick), _q(ink.now))
    half = 0.3 * line.height
    for moment in state.moments:
        early, late = place.column(moment.early_ns), place.column(moment.late_ns)
        colour = _q(ink.soft)
        colour.setAlpha(90)
        painter.fillRect(QRectF(early, middle - half / 2, late - early, half), colour)
        x = place.column(moment.at_ns)
        wide = thick * (1.0 if moment.by_hand else 0.6)
        shade = ink.ink if moment.by_hand else ink.soft
        painter.fillRect(QRectF(x - wide / 2, middle - half, wide, 2 * half), _q(shade))
    if state.loop is not None:
        start, stop = (place.column(at) for at in state.loop)
        painter.setPen(QPen(_q(ink.ink), thick))
        top, foot = line.top + thick, line.top + 0.25 * line.height
        painter.drawPolyline(
            QPolygonF(
                [QPointF(x, y) for x, y in ((start, foot), (start, top), (stop, top), (stop, foot))]
            )
        )


def _word(
    painter: QPainter, place: BarPlace, word: BarWord, state: BarState, ink: BenchInk
) -> None:
    moment = word.moment
    chosen = moment.moment is state.chosen or moment.at_ns == state.at_ns
    px, x = ink.note_px, place.column(moment.at_ns)
    top = word.rect.top + 8
    painter.setPen(QPen(_q(ink.edge), 1.2))
    middle = word.rect.left + word.rect.width / 2
    foot = place.line.top + 0.85 * place.line.height
    painter.drawPolyline(
        QPolygonF([QPointF(x, foot), QPointF(middle, top), QPointF(middle, top + 1)])
    )
    for number, line in enumerate(word.lines):
        row = replace(word.rect, top=top + number * line_px(px), height=line_px(px))
        write(
            painter,
            row,
            line,
            Style(
                px=px,
                colour=ink.ink if moment.by_hand or chosen else ink.soft,
                bold=chosen,
                align=Qt.AlignmentFlag.AlignHCenter,
            ),
        )


def _earlier(painter: QPainter, place: BarPlace, state: BarState, ink: BenchInk) -> None:
    """The earlier swing's moments: small triangles that point up to the line from below."""
    side, foot = 0.22 * place.line.height, _middle(place) + 0.48 * place.line.height
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(_q(ink.then))
    for at_ns in state.then_ns:
        if place.start_ns <= at_ns <= place.stop_ns:
            x = place.column(at_ns)
            points = (x, foot - side), (x - side / 1.7, foot), (x + side / 1.7, foot)
            painter.drawPolygon(QPolygonF([QPointF(*point) for point in points]))


def _marker(painter: QPainter, place: BarPlace, state: BarState, ink: BenchInk) -> None:
    x, middle, size = place.column(state.at_ns), _middle(place), _DOT_SHARE * place.line.height
    painter.setPen(QPen(_q(ink.paper), 2.5))
    painter.setBrush(_q(ink.now))
    painter.drawEllipse(QPointF(x, middle), size, size)
    width = metrics_of(ink.body_px, bold=True).horizontalAdvance(state.words) + 4
    left = min(
        max(round(x - width / 2), place.time.left), max(place.time.right - width, place.time.left)
    )
    row = replace(place.time, left=left, width=min(width, place.time.width))
    write(painter, row, state.words, Style(px=ink.body_px, colour=ink.ink, bold=True))
    aside = aside_place(place, row, state.aside, ink)
    if aside is not None:
        write(painter, aside, state.aside, Style(px=ink.note_px, colour=ink.soft))


def aside_place(place: BarPlace, time: Rect, words: str, ink: BenchInk) -> Rect | None:
    """Where small words stand in the row of the time: right of its words, else left of them.

    Args:
        place: The bar.
        time: Where the time's own words stand.
        words: The small ones.
        ink: What they are written with.

    Returns:
        The place; None where there are none, or no room at either end.
    """
    width = metrics_of(ink.note_px).horizontalAdvance(words) + 4
    row, gap = place.time, ink.note_px
    if not words:
        return None
    if time.right + gap + width <= row.right:
        return replace(row, left=row.right - width, width=width)
    if row.left + width + gap <= time.left:
        return replace(row, width=width)
    return None


def _q(colour: tuple[int, int, int]) -> QColor:
    return QColor(*colour)
