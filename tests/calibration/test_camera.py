"""The camera model draws as the reference library does, and its document comes back whole."""

from __future__ import annotations

import json

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from calibration.camera import (
    Camera,
    camera_document,
    ground_points,
    project_points,
    read_camera,
)
from calibration.errors import CalibrationError
from calibration.projection import FloatArray

BENT = (-0.21, 0.06, 0.0011, -0.0007, -0.01)


def placed(turn: Rotation, lens_m: tuple[float, float, float]) -> tuple[tuple[float, ...], ...]:
    """A pose as rows."""
    pose = np.eye(4)
    pose[:3, :3] = turn.as_matrix()
    pose[:3, 3] = lens_m
    return tuple(tuple(float(v) for v in row) for row in pose)


def camera(distortion: tuple[float, ...] = BENT) -> Camera:
    """A camera down the line at hand height, looking along the target line and a little down."""
    looking_along_x = Rotation.from_matrix(np.array([[0.0, 0, 1], [-1, 0, 0], [0, -1, 0]]))
    turn = looking_along_x * Rotation.from_euler("x", -12, degrees=True)
    return Camera(
        name="bay left",
        size_px=(1280, 720),
        focal_px=(1010.0, 1012.0),
        centre_px=(641.5, 357.25),
        distortion=distortion,
        world_from_camera=placed(turn, (-3.0, 0.4, 1.0)),
    )


def bay_points() -> FloatArray:
    """Points about a golfer."""
    rng = np.random.default_rng(11)
    return rng.uniform((-0.6, -0.4, 0.0), (0.6, 0.9, 1.9), size=(200, 3))


def test_projection_agrees_with_opencv() -> None:
    ours = camera()
    pose = np.asarray(ours.world_from_camera)
    turn = pose[:3, :3].T
    shift = -turn @ pose[:3, 3]

    theirs, _ = cv2.projectPoints(
        bay_points(), cv2.Rodrigues(turn)[0], shift, ours.matrix, np.asarray(BENT)
    )

    assert np.abs(project_points(ours, bay_points()) - theirs.reshape(-1, 2)).max() < 1e-9


def test_a_ground_point_comes_back_from_its_pixel_within_a_hundredth_of_a_millimetre() -> None:
    ours = camera()
    points = bay_points() * (1, 1, 0)

    back = ground_points(ours, project_points(ours, points))

    assert np.abs(back - points).max() < 1e-5


def test_a_pixel_above_the_horizon_meets_no_ground() -> None:
    above = camera(distortion=(0.0,) * 5)

    assert np.isnan(ground_points(above, np.array([[640.0, -3000.0]]))).all()


def test_a_point_behind_the_lens_is_not_drawn() -> None:
    assert np.isnan(project_points(camera(), np.array([[-5.0, 0.0, 1.0]]))).all()


@given(st.tuples(*[st.floats(-3, 3)] * 3), st.tuples(*[st.floats(-5, 5)] * 3))
def test_a_camera_comes_back_from_its_document(
    turn: tuple[float, float, float], lens_m: tuple[float, float, float]
) -> None:
    ours = Camera(
        name="x",
        size_px=(1280, 720),
        focal_px=(1000.0, 1000.0),
        centre_px=(640.0, 360.0),
        world_from_camera=placed(Rotation.from_rotvec(turn), lens_m),
    )

    assert read_camera(camera_document(ours)) == ours


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"format": "other"}, "no calibration"),
        ({"version": 99}, "newer than this program"),
        ({"focal_px": [0.0, 1000.0]}, "not above zero"),
        ({"focal_px": [float("nan"), 1000.0]}, "not a number"),
        ({"focal_px": ["wide", 1000.0]}, "not a number"),
        ({"focal_px": [1000.0]}, "not a number"),
        ({"world_from_camera_m": [[1, 0, 0], [0, 1, 0], [0, 0, 1]]}, "4 x 4"),
        (
            {"world_from_camera_m": [[-1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]},
            "mirrored",
        ),
        ({"size_px": None}, "lacks size_px"),
    ],
)
def test_a_document_that_is_no_usable_camera_is_refused(
    change: dict[str, object], words: str
) -> None:
    document = {**json.loads(camera_document(camera())), **change}

    with pytest.raises(CalibrationError, match=words):
        read_camera(json.dumps(document))


def test_a_text_that_is_not_json_is_refused() -> None:
    with pytest.raises(CalibrationError, match="not JSON"):
        read_camera("lens: wide")
