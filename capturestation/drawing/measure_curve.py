"""Paints a measure over time below the bar: today's line, the earlier one's, the moments.

Owns its look: the two lines in the colours of the two swings and told apart by stroke too. What is
the same from frame to frame is painted once; where we are is one line over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPen, QPolygonF

from capturestation.drawing.bench_ink import BenchInk, Style, line_px, write
from capturestation.drawing.grid import Side
from capturestation.drawing.rect import Rect
from capturestation.records import FloatArray, IntArray

_AIR = 0.12
# Of the height, above the highest and below the lowest value.
_LEAST_SPAN = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurveLine:
    """One swing's line.

    Args:
        side: Whose.
        times_ns: (n,) today's clock.
        values: (n,) NaN where not known.
    """

    side: Side
    times_ns: IntArray
    values: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurvePicture:
    """What stands there.

    Args:
        name: Of the measure.
        told: How far the lines reach, and what up and down mean.
        start_ns: Time at the left end.
        stop_ns: Time at the right end.
        moments_ns: Today's moments.
        lines: None where nothing is known.
        why_none: What is said instead.
    """

    name: str
    told: str
    start_ns: int
    stop_ns: int
    moments_ns: tuple[int, ...]
    lines: tuple[CurveLine, ...]
    why_none: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePlace:
    """Where it stands: the words above, the lines below, each time below the bar's own."""

    words: Rect
    lines: Rect


def curve_place(rect: Rect, left: int, width: int, ink: BenchInk) -> CurvePlace:
    """Lay it out.

    Args:
        rect: Where it may stand.
        left: Where the bar's line begins, in the same pixels.
        width: How long that line is.
        ink: Its type.
    """
    top = line_px(ink.note_px)
    return CurvePlace(
        words=Rect(left=left, top=rect.top, width=width, height=top),
        lines=Rect(left=left, top=rect.top + top, width=width, height=max(rect.height - top, 1)),
    )


def column_of(place: CurvePlace, picture: CurvePicture, at_ns: int) -> float:
    """The column of a time, kept inside."""
    share = (at_ns - picture.start_ns) / max(picture.stop_ns - picture.start_ns, 1)
    return place.lines.left + min(max(share, 0.0), 1.0) * place.lines.width


def paint_curve(painter: QPainter, place: CurvePlace, picture: CurvePicture, ink: BenchInk) -> None:
    """Paint all that stays while we move in time."""
    if not picture.lines:
        style = Style(px=ink.note_px, colour=ink.soft)
        write(painter, place.words, picture.why_none, style)
        return
    low, high = span_of(picture.lines, picture.start_ns, picture.stop_ns)
    _words(painter, place, picture, ink)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(*ink.edge), 1))
    lines = place.lines
    for at_ns in picture.moments_ns:
        x = column_of(place, picture, at_ns)
        painter.drawLine(QPointF(x, lines.top), QPointF(x, lines.bottom))
    if low < 0.0 < high:
        y = _row(place, 0.0, low, high)
        painter.drawLine(QPointF(lines.left, y), QPointF(lines.right, y))
    painter.setClipRect(QRectF(lines.left, lines.top, lines.width, lines.height))
    for line in sorted(picture.lines, key=lambda one: one.side is Side.NOW):
        _line(painter, place, picture, line, ink)
    painter.setClipping(False)


def paint_here(
    painter: QPainter, place: CurvePlace, picture: CurvePicture, at_ns: int, ink: BenchInk
) -> None:
    """Paint where we are."""
    x = column_of(place, picture, at_ns)
    painter.setPen(QPen(QColor(*ink.ink), 2))
    painter.drawLine(QPointF(x, place.lines.top), QPointF(x, place.lines.bottom))


def span_of(lines: Sequence[CurveLine], start_ns: int, stop_ns: int) -> tuple[float, float]:
    """The lowest and the highest value in a stretch of time."""
    seen = [line.values[(line.times_ns >= start_ns) & (line.times_ns <= stop_ns)] for line in lines]
    known = np.concatenate(seen) if seen else np.empty(0)
    known = known[np.isfinite(known)]
    return (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)


def _row(place: CurvePlace, value: float, low: float, high: float) -> float:
    inside = place.lines.height * (1.0 - 2 * _AIR)
    share = (value - low) / max(high - low, _LEAST_SPAN)
    return place.lines.bottom - _AIR * place.lines.height - share * inside


def _line(
    painter: QPainter,
    place: CurvePlace,
    picture: CurvePicture,
    line: CurveLine,
    ink: BenchInk,
) -> None:
    """A piece for each stretch in which the measure is known."""
    low, high = span_of(picture.lines, picture.start_ns, picture.stop_ns)
    pen = QPen(QColor(*ink.side(line.side)), 2.4 if line.side is Side.NOW else 1.8)
    if line.side is Side.THEN:
        pen.setDashPattern([5.0, 3.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    known = np.isfinite(line.values)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(np.int8)))
    for start, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        points = [
            QPointF(
                place.lines.left
                + (int(line.times_ns[n]) - picture.start_ns)
                / max(picture.stop_ns - picture.start_ns, 1)
                * place.lines.width,
                _row(place, float(line.values[n]), low, high),
            )
            for n in range(start, stop)
        ]
        painter.drawPolyline(QPolygonF(points))


def _words(painter: QPainter, place: CurvePlace, picture: CurvePicture, ink: BenchInk) -> None:
    """The measure's name, and what the lines reach."""
    bold = Style(px=ink.note_px, colour=ink.ink, bold=True)
    taken = write(painter, place.words, picture.name, bold) + ink.note_px
    room = replace(
        place.words, left=place.words.left + taken, width=max(place.words.width - taken, 1)
    )
    write(painter, room, picture.told, Style(px=ink.note_px, colour=ink.soft))
