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
from PyQt6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPen, QPolygonF
from PyQt6.QtSvg import QSvgGenerator

from capturestation.compare.differences import COVERAGE
from capturestation.compare.weeks import Course, LessonPoint
from capturestation.drawing import theme
from capturestation.drawing.app import has_app

WIDTH, HEIGHT = 960, 540
_LEFT, _RIGHT, _TOP, _BOTTOM = 96, 40, 84, 64
_DOT, _MEAN, _STAR, _CAP = 4.0, 7.0, 15.0, 7.0
_ROOM = 0.12
# Of the values' span, above and below.
_DEGREE = {"deg": "°", "ratio": ""}


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
        _paint(painter, course, heading)
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
        _paint(painter, course, heading)
    return kept.data().data()


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """From days and values to the canvas."""

    first: int
    last: int
    low: float
    high: float

    def x(self, point: LessonPoint) -> float:
        share = (point.on.toordinal() - self.first) / max(self.last - self.first, 1)
        return _LEFT + 40 + share * (WIDTH - _LEFT - _RIGHT - 80)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM)


def _scale_of(course: Course) -> _Scale:
    values = [one.measured.value for point in course.points for one in point.taken]
    for point in course.points:
        reach = _reach(point)
        values += [point.mean.value - reach, point.mean.value + reach]
    low, high = min(values), max(values)
    room = _ROOM * (high - low) or 1.0
    days = [point.on.toordinal() for point in course.points]
    return _Scale(first=min(days), last=max(days), low=low - room, high=high + room)


def _reach(point: LessonPoint) -> float:
    """Error bars: what can differ from lesson to lesson, two standard uncertainties."""
    return COVERAGE * point.mean.u_random


def _paint(painter: QPainter, course: Course, heading: str) -> None:
    scale = _scale_of(course)
    _write(painter, (_LEFT, 16), heading, 26, bold=True)
    told = f"bars: ± {COVERAGE:.0f} u, less what all lessons share; dots: single swings; star: best"
    _write(painter, (_LEFT, 50), told, 16)
    _paint_values(painter, course, scale)
    line = QPolygonF([QPointF(scale.x(p), scale.y(p.mean.value)) for p in course.points])
    painter.setPen(QPen(QColor(*theme.BLUE), 2.0))
    painter.drawPolyline(line)
    for point in course.points:
        _paint_point(painter, point, scale)
    _paint_days(painter, course, scale)


def _paint_values(painter: QPainter, course: Course, scale: _Scale) -> None:
    """Lines at round values, and their numbers."""
    step = _round_step((scale.high - scale.low) / 5)
    value = math.ceil(scale.low / step) * step
    places = max(-math.floor(math.log10(step)), 0)
    unit = _DEGREE.get(course.unit, f" {course.unit}" if len(course.unit) < 4 else "")
    while value < scale.high:
        y = scale.y(value)
        painter.setPen(QPen(QColor(*theme.PAPER_SHADE), 1.5))
        painter.drawLine(QPointF(_LEFT, y), QPointF(WIDTH - _RIGHT, y))
        _write(painter, (8, y - 11), f"{value + 0.0:.{places}f}{unit}", 17)
        value += step
    if not unit and course.unit != "ratio":
        _write(painter, (8, _TOP - 22), course.unit, 15)


def _round_step(about: float) -> float:
    """1, 2 or 5 times a power of ten, not below what is asked.

    Example:
        >>> _round_step(0.7), _round_step(3.0), _round_step(14.0)
        (1.0, 5.0, 20.0)
    """
    power = 10.0 ** math.floor(math.log10(about))
    return next((n * power for n in (1, 2, 5) if n * power >= about), 10 * power)


def _paint_point(painter: QPainter, point: LessonPoint, scale: _Scale) -> None:
    x, y, reach = scale.x(point), scale.y(point.mean.value), _reach(point)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(*theme.INK_SOFT))
    for one in point.taken:
        painter.drawEllipse(QPointF(x + 16, scale.y(one.measured.value)), _DOT, _DOT)
    painter.setPen(QPen(QColor(*theme.BLUE), 2.5))
    top, bottom = scale.y(point.mean.value + reach), scale.y(point.mean.value - reach)
    painter.drawLine(QPointF(x, top), QPointF(x, bottom))
    for end in (top, bottom):
        painter.drawLine(QPointF(x - _CAP, end), QPointF(x + _CAP, end))
    painter.setBrush(QColor(*theme.BLUE))
    painter.drawEllipse(QPointF(x, y), _MEAN, _MEAN)
    if point.best is not None:
        _paint_star(painter, QPointF(x + 16, scale.y(point.best.value)))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_star(painter: QPainter, at: QPointF) -> None:
    corners = []
    for n in range(10):
        turn, far = math.pi * n / 5, _STAR if n % 2 == 0 else 0.45 * _STAR
        corners.append(QPointF(at.x() + far * math.sin(turn), at.y() - far * math.cos(turn)))
    painter.setPen(QPen(QColor(*theme.INK), 1.5))
    painter.setBrush(QColor(*theme.VERMILLION))
    painter.drawPolygon(QPolygonF(corners))


def _paint_days(painter: QPainter, course: Course, scale: _Scale) -> None:
    """Each lesson's day, as far as they don't stand on each other."""
    free_from = 0.0
    for point in course.points:
        words = theme.date_words(point.on)
        wide = QFontMetricsF(theme.font(16)).horizontalAdvance(words)
        left = min(scale.x(point) - wide / 2, WIDTH - wide - 6)
        if left >= free_from:
            _write(painter, (left, HEIGHT - _BOTTOM + 16), words, 16)
            free_from = left + wide + 12


def _write(
    painter: QPainter, at: tuple[float, float], words: str, px: int, *, bold: bool = False
) -> None:
    font = theme.font(px, bold=bold)
    painter.setFont(font)
    painter.setPen(QColor(*theme.INK))
    painter.drawText(QPointF(at[0], at[1] + QFontMetricsF(font).ascent()), words)
