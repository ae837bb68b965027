"""Paints one measure over the lessons: each swing, each lesson's mean with its error, the best.

Owns the chart; PNG and SVG are painted by the same strokes. The best is told by its shape and a
word, never by its colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PyQt6.QtCore import QBuffer, QIODevice, QPointF, QRectF, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF
from PyQt6.QtSvg import QSvgGenerator

from capturestation.compare.differences import COVERAGE
from capturestation.compare.weeks import Course, LessonPoint
from capturestation.drawing import theme
from capturestation.drawing.app import has_app

WIDTH, HEIGHT = 960, 540
LEGEND = (
    f"bar: mean ± {COVERAGE:.0f} u, less what lessons share; band: own spread; "
    "dots: swings; star: best"
)
"""What is what in a chart."""
_LETTERS = 16.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 6.0, 2.5, 1.8, 4.0
_HEADED, _ENDS = 3.5, 2.5
_DOT, _MEAN, _STAR, _CAP, _BAND, _ASIDE = 0.25, 0.44, 0.94, 0.44, 0.7, 1.0
_HEADING, _VALUE, _UNIT = 1.62, 1.06, 0.94
# All of it in letters' heights: a chart of another size has other letters.
_ROOM = 0.12
# Of the values' span, above and below.
_APART = 3.2
# Letters from one round value to the next, about.
_BAND_COVER = 56
_DEGREE = {"deg": "°", "ratio": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartInk:
    """A chart's colours."""

    ink: theme.Colour = theme.INK
    soft: theme.Colour = theme.INK_SOFT
    rule: theme.Colour = theme.PAPER_SHADE
    mean: theme.Colour = theme.BLUE
    best: theme.Colour = theme.VERMILLION


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartSize:
    """How large a chart is.

    Args:
        width: In the painter's own units.
        height: Likewise.
        letters: The height of its letters.
        heading: Its title; none where the words stand elsewhere.
    """

    width: float
    height: float
    letters: float
    heading: str = ""

    @property
    def left(self) -> float:
        """Where the values' numbers end."""
        return _LEFT * self.letters

    @property
    def right(self) -> float:
        """Where the lines end."""
        return self.width - _RIGHT * self.letters

    @property
    def top(self) -> float:
        """Where the highest value may stand."""
        return (_TOP + (_HEADED if self.heading else 0.0)) * self.letters

    @property
    def bottom(self) -> float:
        """Where the lowest value may stand."""
        return self.height - _BOTTOM * self.letters


def chart_png(course: Course, heading: str) -> bytes:
    """The chart as PNG.

    Args:
        course: What is drawn.
        heading: Its title.

    Raises:
        RuntimeError: If `ensure_app` was not called.
    """
    _need_app()
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    image.fill(QColor(*theme.PAPER))
    with _painting(QPainter(image)) as painter:
        paint_chart(painter, course, _size(heading))
    kept = QBuffer()
    kept.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(kept, "PNG")
    return kept.data().data()


def chart_svg(course: Course, heading: str) -> bytes:
    """The chart as SVG; arguments as `chart_png`."""
    _need_app()
    kept = QBuffer()
    kept.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(kept)
    made.setSize(QSize(WIDTH, HEIGHT))
    made.setViewBox(QRectF(0, 0, WIDTH, HEIGHT))
    made.setTitle(heading)
    made.setDescription("")
    with _painting(QPainter(made)) as painter:
        painter.fillRect(QRectF(0, 0, WIDTH, HEIGHT), QColor(*theme.PAPER))
        paint_chart(painter, course, _size(heading))
    return kept.data().data()


def _size(heading: str) -> ChartSize:
    return ChartSize(width=WIDTH, height=HEIGHT, letters=_LETTERS, heading=heading)


def _need_app() -> None:
    if not has_app():
        msg = "ensure_app() must be called before painting"
        raise RuntimeError(msg)


@contextmanager
def _painting(painter: QPainter) -> Iterator[QPainter]:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    try:
        yield painter
    finally:
        painter.end()


def paint_chart(
    painter: QPainter, course: Course, size: ChartSize, ink: ChartInk | None = None
) -> None:
    """Paint a chart from the painter's origin on; its paper is there already.

    Args:
        painter: Paints it.
        course: What is drawn.
        size: How large.
        ink: In which colours.
    """
    _Chart(painter=painter, course=course, size=size, ink=ink or ChartInk()).paint()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chart:
    """One chart while it is painted."""

    painter: QPainter
    course: Course
    size: ChartSize
    ink: ChartInk

    def paint(self) -> None:
        painter, size = self.painter, self.size
        if size.heading:
            self._write((size.left, size.letters), size.heading, _HEADING, bold=True)
            self._write((size.left, 3.1 * size.letters), LEGEND, 1.0)
        self._paint_values()
        for point in self.course.points:
            self._paint_band(point)
        places = [self._at(point, point.mean.value) for point in self.course.points]
        painter.setPen(self._pen(self.ink.mean, 0.125))
        painter.drawPolyline(QPolygonF(places))
        for point in self.course.points:
            self._paint_point(point)
        self._paint_days()

    @property
    def _ends(self) -> tuple[float, float]:
        """The lowest and the highest value that has to be seen, with some room."""
        values = [one.measured.value for point in self.course.points for one in point.taken]
        for point in self.course.points:
            reach = max(_reach(point), self._spread(point) or 0.0)
            values += [point.mean.value - reach, point.mean.value + reach]
        low, high = min(values), max(values)
        room = _ROOM * (high - low) or 1.0
        return low - room, high + room

    def _spread(self, point: LessonPoint) -> float | None:
        """The player's own, of all lessons where that is known, else of this one."""
        return point.spread if self.course.spread is None else self.course.spread

    def _at(self, point: LessonPoint, value: float, aside: float = 0.0) -> QPointF:
        size, days = self.size, [one.on.toordinal() for one in self.course.points]
        share = (point.on.toordinal() - days[0]) / max(days[-1] - days[0], 1)
        left, right = size.left + _ENDS * size.letters, size.right - _ENDS * size.letters
        return QPointF(left + share * (right - left) + aside * size.letters, self._y(value))

    def _y(self, value: float) -> float:
        low, high = self._ends
        share = (value - low) / (high - low)
        return self.size.bottom - share * (self.size.bottom - self.size.top)

    def _pen(self, colour: theme.Colour, letters: float) -> QPen:
        return QPen(QColor(*colour), letters * self.size.letters)

    def _paint_values(self) -> None:
        """Lines at round values, and their numbers."""
        size, (low, high) = self.size, self._ends
        step = _round_step(
            (high - low) / max((size.bottom - size.top) / (_APART * size.letters), 2.0)
        )
        value = math.ceil(low / step) * step
        places = max(-math.floor(math.log10(step)), 0)
        name = self.course.unit
        unit = _DEGREE.get(name, f" {name}" if len(name) < 4 else "")
        while value < high:
            y = self._y(value)
            self.painter.setPen(self._pen(self.ink.rule, 0.09))
            self.painter.drawLine(QPointF(size.left, y), QPointF(size.right, y))
            words = f"{value + 0.0:.{places}f}{unit}"
            self._write((0.5 * size.letters, y - 0.69 * size.letters), words, _VALUE)
            value += step
        if not unit and name != "ratio":
            self._write((0.5 * size.letters, size.top - 1.4 * size.letters), name, _UNIT)

    def _paint_band(self, point: LessonPoint) -> None:
        """How far single swings of this player usually lie from their mean."""
        spread = self._spread(point)
        if spread is None:
            return
        mean = point.mean.value
        box = QRectF(self._at(point, mean + spread, -_BAND), self._at(point, mean - spread, _BAND))
        self.painter.fillRect(box, QColor(*self.ink.mean, _BAND_COVER))

    def _paint_point(self, point: LessonPoint) -> None:
        painter, em, reach = self.painter, self.size.letters, _reach(point)
        at = self._at(point, point.mean.value)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(*self.ink.soft))
        for one in point.taken:
            spot = self._at(point, one.measured.value, _ASIDE)
            painter.drawEllipse(spot, _DOT * em, _DOT * em)
        painter.setPen(self._pen(self.ink.mean, 0.16))
        top, bottom = (self._at(point, point.mean.value + off) for off in (reach, -reach))
        painter.drawLine(top, bottom)
        for end in (top, bottom):
            aside = QPointF(_CAP * em, 0.0)
            painter.drawLine(end - aside, end + aside)
        painter.setBrush(QColor(*self.ink.mean))
        painter.drawEllipse(at, _MEAN * em, _MEAN * em)
        if point.best is not None:
            self._paint_star(self._at(point, point.best.value, _ASIDE))
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _paint_star(self, at: QPointF) -> None:
        corners = []
        for n in range(10):
            turn, far = math.pi * n / 5, _STAR * self.size.letters * (0.45 if n % 2 else 1.0)
            corners.append(at + QPointF(far * math.sin(turn), -far * math.cos(turn)))
        self.painter.setPen(self._pen(self.ink.ink, 0.09))
        self.painter.setBrush(QColor(*self.ink.best))
        self.painter.drawPolygon(QPolygonF(corners))

    def _paint_days(self) -> None:
        """Each lesson's day, as far as they don't stand on each other; the last one always."""
        size, free_from, points = self.size, 0.0, self.course.points
        metrics = QFontMetricsF(self._font(1.0))
        spans = []
        for point in points:
            wide = metrics.horizontalAdvance(theme.date_words(point.on))
            left = self._at(point, point.mean.value).x() - wide / 2
            spans.append((max(min(left, size.width - wide - 0.4 * size.letters), 0.0), wide))
        for number, (point, (left, wide)) in enumerate(zip(points, spans, strict=True)):
            is_last = number == len(points) - 1
            gap = 0.75 * size.letters
            if left >= free_from and (is_last or left + wide + gap <= spans[-1][0]):
                top = size.bottom + size.letters
                self._write((left, top), theme.date_words(point.on), 1.0)
                free_from = left + wide + gap

    def _font(self, letters: float, *, bold: bool = False) -> QFont:
        return theme.font(max(round(letters * self.size.letters), 1), bold=bold)

    def _write(
        self, at: tuple[float, float], words: str, letters: float, *, bold: bool = False
    ) -> None:
        font = self._font(letters, bold=bold)
        self.painter.setFont(font)
        self.painter.setPen(QColor(*self.ink.ink))
        self.painter.drawText(QPointF(at[0], at[1] + QFontMetricsF(font).ascent()), words)


def _reach(point: LessonPoint) -> float:
    """Error bars: what can differ from lesson to lesson, two standard uncertainties."""
    return COVERAGE * point.mean.u_random


def _round_step(about: float) -> float:
    """1, 2 or 5 times a power of ten, not below what is asked.

    Example:
        >>> _round_step(0.7), _round_step(3.0), _round_step(14.0)
        (1.0, 5.0, 20.0)
    """
    power = 10.0 ** math.floor(math.log10(about))
    return next((n * power for n in (1, 2, 5) if n * power >= about), 10 * power)
