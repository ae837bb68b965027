"""Slopes are those that differences show, and what a lens bends it also straightens."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.errors import CalibrationError
from calibration.poses import cross_matrix, looking_at, turned_by
from calibration.projection import (
    FloatArray,
    check_finite,
    draw,
    draw_with_slopes,
    unbend,
)

LENS = np.array([1010.0, 1012.0, 641.5, 357.25, -0.21, 0.06, 0.0011, -0.0007, -0.01])


def points() -> FloatArray:
    """Points before the lens, over the whole picture."""
    rng = np.random.default_rng(5)
    return rng.uniform((-1.5, -0.9, 2.5), (1.5, 0.9, 4.0), size=(60, 3))


def test_slopes_by_lens_and_by_point_are_those_of_differences() -> None:
    local = points()

    pixels, by_lens, by_point = draw_with_slopes(LENS, local)

    assert np.abs(pixels - draw(LENS, local)).max() < 1e-9
    for number, step in enumerate((1e-3,) * 4 + (1e-6,) * 5):
        ahead, back = LENS.copy(), LENS.copy()
        ahead[number] += step
        back[number] -= step
        slope = (draw(ahead, local) - draw(back, local)) / (2 * step)
        assert by_lens[..., number] == pytest.approx(slope, abs=1e-4)
    for axis in range(3):
        along = 1e-6 * np.eye(3)[axis]
        slope = (draw(LENS, local + along) - draw(LENS, local - along)) / 2e-6
        assert by_point[..., axis] == pytest.approx(slope, abs=1e-4)


def test_what_the_lens_bends_comes_back_straight() -> None:
    local = points()

    flat = unbend(LENS, draw(LENS, local))

    assert np.abs(flat - local[:, :2] / local[:, 2:]).max() < 1e-12


def test_a_pixel_that_no_direction_reaches_has_no_way_back() -> None:
    folding = np.array([1000.0, 1000.0, 640.0, 360.0, -0.5, 0.0, 0.0, 0.0, 0.0])

    assert np.isnan(unbend(folding, np.array([[2600.0, 360.0]]))).all()


def test_a_missing_pixel_stays_missing() -> None:
    flat = unbend(LENS, np.array([[np.nan, 3.0], [640.0, 360.0]]))

    assert np.isnan(flat[0]).all()
    assert np.isfinite(flat[1]).all()


@given(st.tuples(*[st.floats(-1, 1)] * 3))
def test_a_small_turn_moves_a_point_by_the_cross_product(axis: tuple[float, float, float]) -> None:
    step, point = 1e-6 * np.asarray(axis), np.array([0.3, -1.2, 2.0])

    moved = turned_by(step) @ point - point

    assert np.abs(moved - cross_matrix(step) @ point).max() < 1e-11


def test_a_level_camera_sees_up_as_up_and_its_target_in_the_middle() -> None:
    at, target = np.array([-3.0, 0.4, 1.0]), np.array([0.0, 0.4, 1.0])

    turn = looking_at(at, target)

    assert turn @ (target - at) == pytest.approx([0, 0, 3.0])
    assert (turn @ np.array([0, 0, 1.0]))[1] == pytest.approx(-1.0)
    assert np.linalg.det(turn) == pytest.approx(1.0)


def test_values_that_are_not_numbers_are_counted_and_refused() -> None:
    with pytest.raises(CalibrationError, match="1 of 3 values are not numbers"):
        check_finite("marks", np.array([1.0, np.nan, 2.0]))
