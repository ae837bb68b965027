"""What is said beforehand is what then comes out, and better places and boards forecast better."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.bay import calibrate_bay
from calibration.boards import BAY_BOARD
from calibration.errors import CalibrationError
from calibration.forecast import BoardAt, forecast, stood_so_far, usual_places
from calibration.poses import looking_at, pose_rows
from tests.helpers.made_bays import DOWN_THE_LINE, FACE_ON, made_bay

MADE = made_bay(np.random.default_rng(45))
STOOD = [
    BoardAt(name=name, stance=stance, pose=pose, heading_deg=heading)
    for name, stance, heading, pose in MADE.stood
]


def test_what_was_forecast_comes_out() -> None:
    told = forecast(MADE.cameras, MADE.lenses, MADE.board, STOOD, u_px=0.06)

    found = calibrate_bay(MADE.places(np.random.default_rng(1), 0.06), MADE.lenses)

    for name in (FACE_ON, DOWN_THE_LINE):
        assert found.error(name).mm == pytest.approx(told[name].mm, rel=0.25)
        assert found.error(name).deg == pytest.approx(told[name].deg, rel=0.25)


def test_a_smaller_board_and_fewer_places_forecast_worse() -> None:
    small = replace(BAY_BOARD, square_mm=30.0)
    usual = forecast(MADE.cameras, MADE.lenses, BAY_BOARD, usual_places(BAY_BOARD))

    for places, board in ((usual_places(BAY_BOARD)[:3], BAY_BOARD), (usual_places(small), small)):
        worse = forecast(MADE.cameras, MADE.lenses, board, places)
        assert all(worse[name].mm > 1.2 * usual[name].mm for name in usual)


@pytest.mark.parametrize("side", [1, -1])
def test_the_usual_places_are_seen_from_either_side(side: int) -> None:
    at, target = np.array([0.0, -3.0 * side, 1.1]), np.array([0.0, 0.3 * side, 0.7])
    face_on = replace(MADE.cameras[0], world_from_camera=pose_rows(looking_at(at, target), at))
    at_line = np.array([-3.2, 0.4 * side, 1.0])
    target_line = np.array([0.0, 0.3 * side, 0.7])
    behind = replace(
        MADE.cameras[1], world_from_camera=pose_rows(looking_at(at_line, target_line), at_line)
    )

    told = forecast((face_on, behind), MADE.lenses, BAY_BOARD, usual_places(BAY_BOARD, side=side))

    assert max(error.mm for error in told.values()) < 20


def test_a_camera_that_would_see_nothing_is_named() -> None:
    away = np.array([0.0, -3.0, 1.0])
    aside = replace(
        MADE.cameras[0],
        world_from_camera=pose_rows(looking_at(away, np.array([0.0, -9.0, 1.0])), away),
    )

    with pytest.raises(CalibrationError, match="face-on would see none"):
        forecast((aside, MADE.cameras[1]), MADE.lenses, BAY_BOARD, usual_places(BAY_BOARD))


def test_what_was_seen_so_far_stands_where_it_stood() -> None:
    places = MADE.places(np.random.default_rng(1), 0.06)

    cameras, stood = stood_so_far(places, MADE.lenses)

    for found, camera in zip(cameras, MADE.cameras, strict=True):
        assert np.linalg.norm(found.lens_m - camera.lens_m) < 0.15
    for at, true in zip(stood, STOOD, strict=True):
        assert (at.name, at.heading_deg) == (true.name, true.heading_deg)
        assert np.linalg.norm(at.pose[:3, 3] - true.pose[:3, 3]) < 0.15
    with pytest.raises(CalibrationError, match="No place"):
        stood_so_far([], MADE.lenses)
