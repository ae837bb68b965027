"""The chart over weeks: where things stand is where they should, in PNG and SVG alike."""

from __future__ import annotations

from datetime import date, timedelta
from xml.etree import ElementTree

import numpy as np
import pytest
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QApplication

from capturestation.compare.weeks import Course, Taken, course
from capturestation.drawing import theme
from capturestation.drawing.weeks_chart import HEIGHT, WIDTH, chart_png, chart_svg
from capturestation.records import FrameArray, LessonId, Measured, SwingId
from tests.helpers.pixels import pixels

DAY = date(2026, 9, 1)


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def made(*values: float, unit: str = "deg", best: int | None = None) -> Course:
    rows = [
        (
            LessonId(f"l{number}"),
            DAY + timedelta(days=10 * number),
            [
                Taken(
                    swing=SwingId("s"),
                    measured=Measured(value=value, unit=unit, u_random=0.5),
                    is_best=number == best,
                )
            ],
        )
        for number, value in enumerate(values)
    ]
    return course("pelvis turn, top", rows)


def painted(of: Course) -> FrameArray:
    image = QImage.fromData(chart_png(of, "Pelvis turn at the top"))
    assert (image.width(), image.height()) == (WIDTH, HEIGHT)
    return pixels(image.convertToFormat(QImage.Format.Format_RGB32))


def places(rgb: FrameArray, colour: theme.Colour) -> tuple[np.ndarray, np.ndarray]:
    rows, columns = np.nonzero(np.abs(rgb.astype(int) - colour).sum(axis=2) < 30)
    return rows, columns


def test_a_larger_value_stands_higher_and_a_later_day_further_right() -> None:
    rows, columns = places(painted(made(10.0, 40.0)), theme.BLUE)

    early, late = columns < WIDTH / 2, columns > WIDTH / 2
    assert rows[early].mean() > rows[late].mean() + 100


def test_only_the_best_is_marked() -> None:
    with_best, without = painted(made(1.0, 2.0, best=0)), painted(made(1.0, 2.0))

    assert len(places(with_best, theme.VERMILLION)[0]) > 60
    assert len(places(without, theme.VERMILLION)[0]) == 0


@pytest.mark.parametrize("values", [(5.0, 5.0), (0.0, 1e-9), (-1e6, 1e6), (0.84, 0.79, 0.8)])
def test_any_values_can_be_drawn(values: tuple[float, ...]) -> None:
    rows, columns = places(painted(made(*values, unit="s")), theme.BLUE)

    assert 0 < rows.min() < rows.max() < HEIGHT - 1
    assert 0 < columns.min() < columns.max() < WIDTH - 1


def test_the_svg_is_well_formed_and_says_the_same_without_a_place() -> None:
    text = chart_svg(made(10.0, 40.0), "Pelvis turn at the top").decode()
    root = ElementTree.fromstring(text)

    assert root.tag.endswith("svg")
    words = " ".join("".join(root.itertext()).split())
    assert "Pelvis turn at the top" in words
    assert "1 Sep 2026" in words
    assert "11 Sep 2026" in words
    assert "/home" not in text
