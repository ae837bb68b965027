"""Points come back with errors that hold; where rays can't tell, nothing is given."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from scipy.optimize import least_squares

from calibration.camera import project_points
from calibration.errors import CalibrationError
from calibration.points import (
    PointRefused,
    Seen,
    ground_points_with_error,
    measured_length,
    triangulate,
)
from calibration.poses import camera_pose, pose_rows, turned_by
from calibration.projection import FloatArray, unbend
from calibration.standing import BayCalibration, Kind
from tests.helpers.made_bays import DOWN_THE_LINE, FACE_ON, made_bay

CAMERAS = made_bay(np.random.default_rng(45)).cameras
NAMES = (FACE_ON, DOWN_THE_LINE)
AWAY_PX = np.array([600.0, 0.0])


def bay(covariance: FloatArray | None = None) -> BayCalibration:
    """The cameras as they stand, known to some covariance."""
    return BayCalibration(
        cameras=CAMERAS,
        covariance=np.zeros((30, 30)) if covariance is None else covariance,
        kind=Kind.BOARD,
        sigma_px=0.1,
        places=(),
        bad=(),
        line_u_deg=1.0,
        metres_good=True,
    )


def joints(count: int = 40) -> FloatArray:
    """Points about a golfer."""
    return np.random.default_rng(6).uniform((-0.5, 0.2, 0.1), (0.5, 0.9, 1.7), (count, 3))


def seen_of(points_m: FloatArray, noise_px: float = 0.0, seed: int = 1) -> dict[str, Seen]:
    """What both cameras see of points."""
    rng = np.random.default_rng(seed)
    return {
        camera.name: Seen(
            pixels=project_points(camera, points_m)
            + rng.normal(0, 1, (len(points_m), 2)) * noise_px,
            u_px=max(noise_px, 0.5),
        )
        for camera in CAMERAS
    }


def test_without_noise_points_come_back() -> None:
    found = triangulate(bay(), seen_of(joints()))

    assert np.abs(found.points_m - joints()).max() < 1e-9
    assert set(found.refused) == {None}


def test_the_nearest_point_is_that_of_other_libraries() -> None:
    noisy = seen_of(joints(), 0.5)
    ours = triangulate(bay(), noisy).points_m
    first, second = (noisy[name].pixels for name in NAMES)

    def misfit(point: FloatArray, number: int) -> FloatArray:
        drawn = [project_points(camera, point[None])[0] for camera in CAMERAS]
        return np.concatenate([drawn[0] - first[number], drawn[1] - second[number]])

    for number in range(0, 40, 8):
        theirs = least_squares(misfit, ours[number] + 0.01, args=(number,), xtol=1e-15).x
        assert ours[number] == pytest.approx(theirs, abs=1e-6)


def test_without_noise_the_linear_solution_of_a_library_is_the_same() -> None:
    exact = seen_of(joints())
    flat = [unbend(c.lens_numbers, exact[c.name].pixels) for c in CAMERAS]
    poses = []
    for camera in CAMERAS:
        turn, lens_m = camera_pose(camera)
        poses.append(np.column_stack([turn, -turn @ lens_m]))

    theirs = cv2.triangulatePoints(poses[0], poses[1], flat[0].T, flat[1].T)

    assert pytest.approx(triangulate(bay(), exact).points_m, abs=1e-6) == (theirs[:3] / theirs[3]).T


def test_stated_errors_of_pixels_hold_what_is_off() -> None:
    points = joints(400)

    found = triangulate(bay(), seen_of(points, 0.5))

    off = found.points_m - points
    size = np.einsum("ni,nij,nj->n", off, np.linalg.inv(found.random_m2), off)
    assert size.mean() == pytest.approx(3.0, rel=0.15)


def covariance_of_turns(u_rad: float) -> FloatArray:
    """Both cameras turned by chance."""
    covariance = np.zeros((30, 30))
    for first in (0, 15):
        covariance[first : first + 3, first : first + 3] = u_rad**2 * np.eye(3)
    return covariance


def test_stated_errors_of_the_cameras_hold_what_is_off() -> None:
    rng, points, sizes = np.random.default_rng(3), joints(3), []
    for _ in range(150):
        turned = []
        for camera in CAMERAS:
            turn, lens_m = camera_pose(camera)
            moved = turned_by(rng.normal(0, 2e-3, 3)) @ turn
            turned.append(replace(camera, world_from_camera=pose_rows(moved, lens_m)))
        known = replace(bay(covariance_of_turns(2e-3)), cameras=tuple(turned))
        found = triangulate(known, seen_of(points))
        off = found.points_m - points
        shared = found.shared_m2 + 1e-12 * np.eye(3)
        sizes.append(np.einsum("ni,nij,nj->n", off, np.linalg.inv(shared), off))
    assert np.mean(sizes) == pytest.approx(3.0, rel=0.2)


def test_what_two_points_share_does_not_blur_what_they_differ_by() -> None:
    found = triangulate(bay(covariance_of_turns(2e-3)), seen_of(joints(2)))

    apart = found.by_bay[1] - found.by_bay[0]
    known = np.sqrt(np.trace(apart @ bay(covariance_of_turns(2e-3)).covariance @ apart.T))
    each = np.sqrt(np.trace(found.shared_m2[0]))
    assert known < 0.7 * each


def test_a_late_picture_makes_a_fast_point_uncertain_along_its_way() -> None:
    still = seen_of(joints(1))
    late = Seen(pixels=still[FACE_ON].pixels, speed_px_s=np.array([[3000.0, 0.0]]), u_time_s=1e-3)

    slow, fast = (triangulate(bay(), {**still, FACE_ON: one}) for one in (still[FACE_ON], late))

    assert fast.u_m[0, 0] > 3 * slow.u_m[0, 0]
    assert fast.u_m[0, 2] == pytest.approx(slow.u_m[0, 2], rel=0.4)


def seen_pair(first: FloatArray, second: FloatArray) -> dict[str, Seen]:
    """Pixels of one point in both views."""
    return {name: Seen(pixels=one) for name, one in zip(NAMES, (first, second), strict=True)}


def test_a_point_seen_once_or_not_meeting_has_no_place() -> None:
    drawn = [project_points(camera, joints(1)) for camera in CAMERAS]
    once = triangulate(bay(), seen_pair(drawn[0], np.full((1, 2), np.nan)))
    other = triangulate(bay(), seen_pair(drawn[0], drawn[1] + [0.0, 40.0]))

    assert once.refused == (PointRefused.NOT_SEEN,)
    assert other.refused == (PointRefused.DISAGREE,)
    assert np.isnan(once.points_m).all()
    assert np.isnan(other.u_m).all()
    assert other.misfit[0] > 10


def test_nearly_parallel_rays_have_no_place() -> None:
    beside = replace(
        CAMERAS[1],
        world_from_camera=tuple(
            tuple(v + (0.05 if (row, column) == (0, 3) else 0.0) for column, v in enumerate(line))
            for row, line in enumerate(CAMERAS[0].world_from_camera)
        ),
        focal_px=CAMERAS[0].focal_px,
    )
    two = replace(bay(), cameras=(CAMERAS[0], beside))
    pixels = [project_points(camera, joints(2)) for camera in two.cameras]

    assert triangulate(two, seen_pair(*pixels)).refused == (PointRefused.PARALLEL,) * 2


def test_rays_that_meet_behind_a_camera_have_no_place() -> None:
    first, second = (project_points(camera, np.array([[0.0, 0.5, 1.0]])) for camera in CAMERAS)

    # Both rays leave the bay away from one another; backwards they meet.
    found = triangulate(bay(), seen_pair(first - AWAY_PX, second + AWAY_PX))

    assert found.refused[0] in (PointRefused.BEHIND, PointRefused.DISAGREE)
    assert np.isnan(found.points_m).all()


def test_unequal_numbers_of_points_and_unknown_cameras_are_refused() -> None:
    two = seen_pair(np.zeros((2, 2)), np.zeros((3, 2)))

    with pytest.raises(CalibrationError, match="saw the same ones"):
        triangulate(bay(), two)
    with pytest.raises(CalibrationError, match="without a camera phone"):
        triangulate(bay(), {"phone": Seen(pixels=np.zeros((2, 2))), FACE_ON: two[FACE_ON]})


def test_a_point_on_the_mat_comes_back_from_one_view_with_an_error_that_grows_with_distance() -> (
    None
):
    near, far = np.array([[0.0, -0.2, 0.02]]), np.array([[0.0, 2.5, 0.02]])

    found = [
        ground_points_with_error(
            bay(), FACE_ON, Seen(pixels=project_points(CAMERAS[0], spot)), height_m=0.02
        )
        for spot in (near, far)
    ]

    assert found[0].points_m == pytest.approx(near, abs=1e-8)
    assert found[1].points_m == pytest.approx(far, abs=1e-8)
    assert found[1].u_m[0, 1] > 2 * found[0].u_m[0, 1]


def test_a_pixel_above_the_horizon_has_no_place_on_the_mat() -> None:
    seen = Seen(pixels=np.array([[640.0, -500.0], [np.nan, 3.0]]))

    found = ground_points_with_error(bay(), FACE_ON, seen)

    assert found.refused == (PointRefused.NO_GROUND, PointRefused.NOT_SEEN)
    assert np.isnan(found.points_m).all()


def test_a_sticks_length_is_measured_with_its_error() -> None:
    ends = np.array([[-0.61, 0.3, 0.0], [0.61, 0.3, 0.0]])
    marks = {camera.name: project_points(camera, ends) for camera in CAMERAS}

    length, u_m = measured_length(bay(), marks, u_px=1.0)

    assert length == pytest.approx(1.22, abs=1e-9)
    assert 0.001 < u_m < 0.02
    with pytest.raises(CalibrationError, match="can't be placed"):
        measured_length(bay(), {**marks, FACE_ON: marks[FACE_ON][::-1]}, u_px=1.0)
