"""A measure over time: each time below its place, two swings in two colours, gaps left out."""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtGui import QImage, QPainter
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.grid import Side
from capturestation.drawing.measure_curve import (
    CurveLine,
    CurvePicture,
    column_of,
    curve_place,
    paint_curve,
    paint_here,
    span_of,
)
from capturestation.drawing.rect import Rect
from capturestation.records import BoolArray, FloatArray, FrameArray
from tests.helpers.pixels import pixels

INK = BenchInk()
RECT = Rect(left=0, top=0, width=400, height=120)
PLACE = curve_place(RECT, 50, 300, INK)
TIMES = np.arange(0, 1001, 10, dtype=np.int64)


def line(side: Side, values: FloatArray) -> CurveLine:
    return CurveLine(side=side, times_ns=TIMES, values=values)


def picture(*lines: CurveLine, why_none: str = "") -> CurvePicture:
    return CurvePicture(
        name="pelvis turn",
        told="",
        start_ns=0,
        stop_ns=1000,
        moments_ns=(),
        lines=lines,
        why_none=why_none,
    )


def painted(of: CurvePicture, *, here_ns: int | None = None) -> FrameArray:
    image = QImage(RECT.width, RECT.height, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    paint_curve(painter, PLACE, of, INK)
    if here_ns is not None:
        paint_here(painter, PLACE, of, here_ns, INK)
    painter.end()
    return pixels(image)


def is_near(image: FrameArray, colour: tuple[int, int, int]) -> BoolArray:
    return np.asarray(np.abs(image.astype(int) - np.array(colour)).max(axis=2) < 40)


def test_a_rising_measure_rises_from_left_to_right(qapp: QApplication) -> None:
    image = painted(picture(line(Side.NOW, np.linspace(10.0, 50.0, len(TIMES)))))

    rows, columns = np.nonzero(is_near(image, INK.now))
    left, right = columns < 120, columns > 280
    assert rows[left].mean() > rows[right].mean() + 20
    assert (columns.min(), columns.max()) == (pytest.approx(50, abs=3), pytest.approx(350, abs=3))


def test_the_earlier_swing_has_its_own_colour_and_is_broken(qapp: QApplication) -> None:
    values = np.linspace(10.0, 50.0, len(TIMES))
    image = painted(picture(line(Side.THEN, values)))

    columns = np.unique(np.nonzero(is_near(image, INK.then))[1])
    assert 100 < len(columns) < 290


def test_where_it_is_not_known_there_is_no_line(qapp: QApplication) -> None:
    values = np.linspace(10.0, 50.0, len(TIMES))
    values[40:60] = np.nan
    image = painted(picture(line(Side.NOW, values)))

    assert not is_near(image, INK.now)[:, 180:220].any()
    assert is_near(image, INK.now)[:, 100:160].any()


def test_where_we_are_is_one_upright_line(qapp: QApplication) -> None:
    of = picture(line(Side.NOW, np.full(len(TIMES), 3.0)))
    changed = (painted(of) != painted(of, here_ns=500)).any(axis=2)

    columns = np.unique(np.nonzero(changed)[1])
    assert column_of(PLACE, of, 500) == 200.0
    assert columns.tolist() in ([199, 200], [198, 199, 200, 201], [199, 200, 201])


def test_without_lines_it_says_why(qapp: QApplication) -> None:
    empty, told = painted(picture()), painted(picture(why_none="not known"))

    assert (empty == 255).all()
    assert (told != 255).any()


def test_the_span_is_of_what_is_seen() -> None:
    values = np.linspace(0.0, 100.0, len(TIMES))

    assert span_of([line(Side.NOW, values)], 200, 500) == pytest.approx((20.0, 50.0))
    assert span_of([], 0, 1000) == (0.0, 1.0)
