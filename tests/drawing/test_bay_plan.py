"""The plan shows each camera where it stands, its error as large as it says."""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.drawing import theme
from capturestation.drawing.bay_plan import HIGH_PX, WIDE_PX, PlanCamera, bay_plan
from capturestation.records import FrameArray
from tests.helpers.pixels import pixels


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def camera(x_m: float, y_m: float, u_m: float = 0.02) -> PlanCamera:
    return PlanCamera(
        name="bay camera", at_m=(x_m, y_m), looks_deg=90.0, hfov_deg=60.0, words="1.10 m", u_m=u_m
    )


def ring(picture: FrameArray) -> tuple[float, float, float]:
    """Middle and width of what is drawn in the colour of errors."""
    off = np.abs(picture.astype(int) - theme.VERMILLION).max(axis=2)
    rows, columns = np.nonzero(off < 30)
    return float(columns.mean()), float(rows.mean()), float(np.ptp(columns))


def test_a_camera_right_of_the_line_stands_below_it_and_one_ahead_to_the_right() -> None:
    x, y, _ = ring(pixels(bay_plan([camera(0.0, -3.6)], "The bay")))
    ahead, _, _ = ring(pixels(bay_plan([camera(3.0, -3.6)], "The bay")))

    assert y > HIGH_PX / 2
    assert x == pytest.approx(WIDE_PX / 2, abs=30)
    assert ahead > x + 100


def test_an_error_twice_as_large_is_drawn_twice_as_large() -> None:
    small, large = (
        ring(pixels(bay_plan([camera(0.0, -3.6, u)], "The bay")))[2] for u in (0.02, 0.04)
    )

    assert large == pytest.approx(2 * small, rel=0.08)


def test_nothing_sticks_out() -> None:
    picture = pixels(bay_plan([camera(-4.8, 0.3), camera(0.0, -5.0, 0.06)], "The bay"))

    for edge in (picture[:4], picture[-4:], picture[:, :4], picture[:, -4:]):
        assert np.abs(edge.astype(int) - theme.PAPER).max() < 12
