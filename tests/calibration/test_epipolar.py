"""Straight pictures and the lines between two cameras, against OpenCV and against each other."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from calibration.camera import Camera, project_points
from calibration.epipolar import fundamental, straight_px
from tests.helpers.calibrated import BY_VIEW, calibrated

BENT = (-0.21, 0.06, 0.001, -0.0007, 0.004)


@pytest.fixture
def both() -> tuple[Camera, ...]:
    """Two cameras whose lenses bend."""
    return tuple(replace(calibrated(camera), distortion=BENT) for camera in BY_VIEW.values())


@pytest.fixture
def points_m() -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    random = np.random.default_rng(3)
    return random.uniform((-0.6, -0.2, 0.0), (0.6, 1.0, 1.9), (60, 3))


def test_straight_pictures_are_opencvs(
    both: tuple[Camera, ...], points_m: np.ndarray[tuple[int, int], np.dtype[np.float64]]
) -> None:
    for camera in both:
        pixels = project_points(camera, points_m)

        ours = straight_px(camera, pixels)

        bend = np.array(camera.distortion)
        theirs = cv2.undistortPoints(
            pixels[:, None], camera.matrix, bend, R=np.eye(3), P=camera.matrix,
            criteria=(cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 100, 1e-12),
        )  # fmt: skip
        assert ours == pytest.approx(theirs[:, 0], abs=1e-4)
        assert np.abs(ours - pixels).max() > 1.0


def test_one_point_lies_on_its_line_in_the_other_picture_as_opencv_draws_it(
    both: tuple[Camera, ...], points_m: np.ndarray[tuple[int, int], np.dtype[np.float64]]
) -> None:
    first, second = both
    here, there = (straight_px(camera, project_points(camera, points_m)) for camera in both)

    matrix = fundamental(first, second)

    lines = cv2.computeCorrespondEpilines(here[:, None], 1, matrix)[:, 0]
    off = (lines[:, :2] * there).sum(axis=1) + lines[:, 2]
    assert np.abs(off).max() < 1e-3
    bent = project_points(second, points_m)
    assert np.abs((lines[:, :2] * bent).sum(axis=1) + lines[:, 2]).max() > 3.0


def test_the_other_way_round_is_the_matrix_turned_over(both: tuple[Camera, ...]) -> None:
    first, second = both

    there, back = fundamental(first, second), fundamental(second, first)

    scale = np.linalg.norm(there)
    assert back / scale == pytest.approx(there.T / scale, abs=1e-9)
