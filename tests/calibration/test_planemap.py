"""Points of the plane fall where today's camera would see them; what is off it is stated."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.camera import Camera, project_points
from calibration.errors import CalibrationError
from calibration.planemap import (
    AS_FILMED,
    MapKind,
    by_matrix,
    fitted_matrix,
    golfer_plane,
    marks_map,
    plane_map,
)
from calibration.poses import camera_pose, pose_rows, turned_by
from calibration.projection import FloatArray
from calibration.standing import PlacedCamera
from tests.helpers.made_bays import made_bay

NOW = made_bay(np.random.default_rng(45)).cameras[0]
BALL_M = np.array([0.05, -0.02, 0.02])


def moved(camera: Camera, turn_deg: FloatArray, shift_m: FloatArray) -> Camera:
    """The same camera set up elsewhere."""
    turn, lens_m = camera_pose(camera)
    turn = turned_by(np.radians(turn_deg)) @ turn
    return replace(camera, world_from_camera=pose_rows(turn, lens_m + shift_m))


THEN = moved(NOW, np.array([1.5, -2.0, 1.0]), np.array([0.08, 0.03, -0.05]))


def placed(camera: Camera, u_mm: float = 0.0, u_deg: float = 0.0) -> PlacedCamera:
    """A camera with independent errors of place and turn."""
    spread = [np.radians(u_deg) ** 2] * 3 + [(0.001 * u_mm) ** 2] * 3 + [0.0] * 9
    return PlacedCamera(camera=camera, covariance=np.diag(spread))


def on_plane(depth_m: float = 0.0, count: int = 50) -> FloatArray:
    """Joints on the golfer's plane, or this far off it."""
    plane = golfer_plane(NOW, BALL_M)
    rng = np.random.default_rng(2)
    across = np.cross(plane.normal, [0.0, 0.0, 1.0])
    wide, high = rng.uniform((-0.6, 0.1), (0.6, 1.6), (count, 2)).T
    points = plane.point_m + wide[:, None] * across + high[:, None] * np.array([0.0, 0.0, 1.0])
    return np.asarray(points + depth_m * plane.normal, dtype=np.float64)


def test_points_of_the_plane_fall_where_todays_camera_sees_them() -> None:
    found = plane_map(placed(THEN), placed(NOW), golfer_plane(NOW, BALL_M))

    off = found.map(project_points(THEN, on_plane())) - project_points(NOW, on_plane())
    assert np.abs(off).max() < 1e-6
    assert found.kind is MapKind.PLANE
    assert found.u_px == 0.0


def test_the_matrix_alone_is_as_good_as_it_says() -> None:
    found = plane_map(placed(THEN), placed(NOW), golfer_plane(NOW, BALL_M))

    off = by_matrix(found.matrix, project_points(THEN, on_plane())) - project_points(
        NOW, on_plane()
    )
    assert np.sqrt((off**2).sum(axis=1).mean()) < 2 * found.fit_px + 0.05
    assert found.fit_px < 1.0


def test_what_stands_off_the_plane_is_off_by_what_is_stated() -> None:
    found = plane_map(placed(THEN), placed(NOW), golfer_plane(NOW, BALL_M))

    off = found.map(project_points(THEN, on_plane(0.3))) - project_points(NOW, on_plane(0.3))
    as_filmed = project_points(THEN, on_plane(0.3)) - project_points(NOW, on_plane(0.3))
    rms = np.sqrt((off**2).sum(axis=1).mean())
    assert rms == pytest.approx(found.off_plane_px, rel=0.3)
    assert rms < 0.2 * np.sqrt((as_filmed**2).sum(axis=1).mean())


def test_a_ball_that_lay_elsewhere_is_laid_on_todays() -> None:
    found = plane_map(placed(THEN), placed(NOW), golfer_plane(NOW, BALL_M), moved_m=(0.2, -0.1))

    expected = project_points(NOW, on_plane() + np.array([0.2, -0.1, 0.0]))
    assert found.map(project_points(THEN, on_plane())) == pytest.approx(expected, abs=1e-6)


def test_a_camera_that_did_not_move_maps_onto_itself_without_error() -> None:
    same = placed(NOW, u_mm=10.0, u_deg=0.3)

    found = plane_map(same, same, golfer_plane(NOW, BALL_M))

    assert found.matrix == pytest.approx(np.eye(3), abs=1e-9)
    assert found.u_px == pytest.approx(0.0, abs=1e-9)
    assert found.off_plane_px == pytest.approx(0.0, abs=1e-9)


def test_stated_errors_hold_what_wrong_calibrations_do() -> None:
    rng, u_mm, u_deg = np.random.default_rng(5), 8.0, 0.2
    plane, points, sizes = golfer_plane(NOW, BALL_M), on_plane(count=4), []
    truth = project_points(NOW, points)
    for _ in range(200):
        wrong = [
            placed(moved(c, rng.normal(0, u_deg, 3), 0.001 * rng.normal(0, u_mm, 3)), u_mm, u_deg)
            for c in (THEN, NOW)
        ]
        found = plane_map(wrong[0], wrong[1], plane)
        seen = project_points(THEN, points)
        assert found.way is not None
        spread = found.way.error_px2(seen, u_depth_m=0.0)
        off = found.map(seen) - truth
        sizes.append(np.einsum("ni,nij,nj->n", off, np.linalg.inv(spread), off).mean())
    assert np.mean(sizes) == pytest.approx(2.0, rel=0.15)


def test_a_depth_that_is_not_known_adds_to_the_error() -> None:
    way = plane_map(placed(THEN), placed(NOW, 5.0), golfer_plane(NOW, BALL_M)).way
    assert way is not None
    seen = project_points(THEN, on_plane())

    thin, deep = (np.trace(way.error_px2(seen, u_depth_m=u).sum(axis=0)) for u in (0.0, 0.3))

    assert deep > 1.5 * thin


def test_a_camera_from_the_other_side_or_along_the_plane_is_refused() -> None:
    turn, lens_m = camera_pose(NOW)
    about = turned_by(np.array([0.0, 0.0, np.pi]))
    behind = replace(
        NOW, world_from_camera=pose_rows(turn @ about.T, about @ lens_m + np.array([0, 1.4, 0.0]))
    )
    plane = golfer_plane(NOW, BALL_M)
    edge = replace(plane, normal=np.cross(plane.normal, [0.0, 0.0, 1.0]))

    with pytest.raises(CalibrationError, match="other side"):
        plane_map(placed(behind), placed(NOW), plane)
    with pytest.raises(CalibrationError, match="along the plane"):
        plane_map(placed(THEN), placed(NOW), edge)


def test_a_left_handers_plane_lies_on_the_other_side_of_the_line() -> None:
    right, left = (golfer_plane(NOW, BALL_M, side=side) for side in (1, -1))

    assert right.point_m[1] > 0 > left.point_m[1]
    assert right.normal[2] == 0


def test_ball_and_mat_corner_alone_give_shift_turn_and_size() -> None:
    then, now = (
        np.array([[600.0, 500.0], [300.0, 620.0]]),
        np.array([[640.0, 480.0], [310.0, 560.0]]),
    )

    found = marks_map(then, now)

    assert found.map(then) == pytest.approx(now)
    assert found.kind is MapKind.MARKS
    shape = found.matrix[:2, :2]
    assert shape.T @ shape == pytest.approx(np.eye(2) * np.linalg.det(shape))
    assert np.isnan(found.u_px)


@pytest.mark.parametrize(
    ("then", "words"),
    [
        (np.array([[600.0, 500.0], [610.0, 505.0]]), "less than 40 px apart"),
        (np.array([[600.0, 500.0], [np.nan, 505.0]]), "not numbers"),
    ],
)
def test_marks_that_cannot_tell_are_refused(then: FloatArray, words: str) -> None:
    with pytest.raises(CalibrationError, match=words):
        marks_map(then, np.array([[600.0, 500.0], [300.0, 620.0]]))


def test_as_filmed_leaves_every_pixel() -> None:
    pixels = np.array([[3.0, 4.0], [800.0, 600.0]])

    assert (AS_FILMED.map(pixels) == pixels).all()


@given(st.lists(st.floats(-0.2, 0.2), min_size=8, max_size=8))
def test_a_map_comes_back_from_pairs_of_pixels(terms: list[float]) -> None:
    scale = np.array([1, 1, 100, 1, 1, 100, 1e-4, 1e-4])
    matrix = np.append(np.eye(3).ravel()[:8] + scale * terms, 1.0).reshape(3, 3)
    before = np.random.default_rng(3).uniform((0, 0), (1280, 720), (12, 2))

    assert fitted_matrix(before, by_matrix(matrix, before)) == pytest.approx(matrix, abs=1e-6)
