"""Our geometry against that of general libraries: scipy, OpenCV, scikit-image."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation
from skimage.transform import ProjectiveTransform

from calibration.boards import BAY_BOARD
from calibration.camera import Camera
from calibration.lens_fit import placed_for, together
from calibration.planemap import by_matrix, fitted_matrix, golfer_plane, plane_map
from calibration.poses import camera_pose, pose_rows, turned_by
from calibration.projection import FloatArray, draw
from calibration.standing import PlacedCamera
from tests.helpers.made_bays import made_bay
from tests.helpers.seen_boards import before_lens, lens_views

MADE = made_bay(np.random.default_rng(45))


def test_turns_are_those_of_opencv_and_scipy() -> None:
    """1e-12."""
    for vector in np.random.default_rng(2).uniform(-1.5, 1.5, (50, 3)):
        ours = turned_by(vector)
        assert np.abs(ours - cv2.Rodrigues(vector)[0]).max() < 1e-12
        assert np.abs(ours - Rotation.from_rotvec(vector).as_matrix()).max() < 1e-12


def test_the_redrawing_map_is_that_of_scikit_image() -> None:
    """`ProjectiveTransform.from_estimate` on the same pairs of pixels; 1e-4 px."""
    nothing = np.zeros((15, 15))
    then, now = (PlacedCamera(camera=camera, covariance=nothing) for camera in _two_setups())
    found = plane_map(then, now, golfer_plane(now.camera, np.zeros(3)))
    before = np.random.default_rng(3).uniform((300, 150), (900, 650), (40, 2))
    after = found.map(before)

    theirs = ProjectiveTransform.from_estimate(before, after)

    ours = by_matrix(fitted_matrix(before, after), before)
    assert np.abs(ours - theirs(before)).max() < 1e-4


def _two_setups() -> tuple[Camera, Camera]:
    """One camera at two places, without bend: a 3 x 3 map is exact then."""
    straight = replace(MADE.cameras[0], distortion=(0.0,) * 5)
    turn, lens_m = camera_pose(straight)
    moved = pose_rows(turned_by(np.array([0.02, -0.03, 0.01])) @ turn, lens_m + 0.06)
    return replace(straight, world_from_camera=moved), straight


def test_a_boards_place_is_that_of_opencv_and_of_scipys_least_squares() -> None:
    """Noise of 0.1 px; 1e-6 m and rad."""
    camera = before_lens()
    (view,) = lens_views(camera, BAY_BOARD, 1, np.random.default_rng(3))
    ours = placed_for(camera.lens_numbers, together([view.corners]))
    matrix, bend = camera.matrix, np.asarray(camera.distortion)
    board, pixels = view.corners.on_board_m, view.corners.pixels

    def misfit(pose: FloatArray) -> FloatArray:
        local = board @ Rotation.from_rotvec(pose[:3]).as_matrix().T + pose[3:]
        return (draw(camera.lens_numbers, local) - pixels).ravel()

    start = np.concatenate([Rotation.from_matrix(ours.turns[0]).as_rotvec(), ours.shifts_m[0]])
    by_scipy = least_squares(misfit, start + 1e-3, xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    _, turn, shift = cv2.solvePnP(board, pixels, matrix, bend)
    turn, shift = cv2.solvePnPRefineLM(
        board, pixels, matrix, bend, turn, shift,
        criteria=(cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 200, 1e-15),
    )  # fmt: skip
    assert start == pytest.approx(by_scipy, abs=1e-6)
    assert start == pytest.approx(np.concatenate([turn.ravel(), shift.ravel()]), abs=1e-6)
