"""Corners are found in filmed pictures to a few hundredths of a pixel, or the reason is said."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD, Board
from calibration.camera import Camera, project_points
from calibration.corners import Corners, Refused, find_corners, sub_pixel
from calibration.errors import CalibrationError
from calibration.poses import turned_by
from calibration.projection import FloatArray
from tests.helpers.filmed_boards import Filming, Grey, film
from tests.helpers.seen_boards import FACING, before_lens, pose_of

CAMERA = before_lens()


def held(board: Board, depth_m: float, tilt_deg: tuple[float, float, float]) -> FloatArray:
    """A board before the camera, about its middle."""
    turn = turned_by(np.radians(tilt_deg)) @ FACING
    middle = np.array([0.0005 * side for side in board.size_mm] + [0.0])
    return pose_of(turn, np.array([0.05, 0.02, depth_m]) - turn @ middle)


def filmed(board: Board, pose: FloatArray, how: Filming | None = None) -> Grey:
    """A picture of one board."""
    return film(CAMERA, [(board, pose)], np.random.default_rng(2), how)


def off_px(corners: Corners, pose: FloatArray, camera: Camera = CAMERA) -> float:
    """Root mean square of what the corners are off."""
    truth = project_points(camera, corners.on_board_m @ pose[:3, :3].T + pose[:3, 3])
    return float(np.sqrt(((corners.pixels - truth) ** 2).mean()))


@pytest.mark.parametrize("depth_m", [2.0, 4.2])
def test_a_plain_board_is_found_to_a_few_hundredths_of_a_pixel(depth_m: float) -> None:
    pose = held(BAY_BOARD, depth_m, (8.0, 40.0, 4.0))

    found = find_corners(filmed(BAY_BOARD, pose), BAY_BOARD).corners

    assert found is not None
    assert off_px(found, pose) < 0.08
    assert len(found.ids) == 54


def test_the_window_follows_the_squares_size() -> None:
    near, far = (
        find_corners(filmed(BAY_BOARD, held(BAY_BOARD, depth, (5.0, 35.0, 0.0))), BAY_BOARD).corners
        for depth in (1.6, 5.0)
    )

    assert near is not None
    assert far is not None
    assert near.window_px > far.window_px
    assert far.window_px < 0.5 * far.square_px


def test_a_window_that_reaches_the_next_corner_spoils_it() -> None:
    pose = held(BAY_BOARD, 5.0, (5.0, 45.0, 0.0))
    picture = filmed(BAY_BOARD, pose)
    found = find_corners(picture, BAY_BOARD).corners
    assert found is not None

    wide = sub_pixel(picture, found.pixels, 11)

    assert np.abs(wide - found.pixels).max() > 10 * off_px(found, pose)


@pytest.mark.parametrize("roll_deg", [0.0, 90.0, 180.0, -90.0])
def test_corners_are_counted_from_the_boards_own_lower_left_however_it_is_held(
    roll_deg: float,
) -> None:
    pose = held(BAY_BOARD, 2.4, (0.0, 0.0, roll_deg))

    found = find_corners(filmed(BAY_BOARD, pose), BAY_BOARD).corners

    assert found is not None
    assert off_px(found, pose) < 0.08


def test_a_part_of_a_board_with_markers_is_enough() -> None:
    pose = held(LENS_BOARD, 0.33, (20.0, -25.0, 5.0))
    pose[:3, 3] += (0.12, 0.03, 0.0)

    found = find_corners(filmed(LENS_BOARD, pose), LENS_BOARD).corners

    assert found is not None
    assert 8 <= len(found.ids) < 28
    assert off_px(found, pose) < 0.1


def test_a_mirrored_picture_of_markers_is_told() -> None:
    picture = filmed(LENS_BOARD, held(LENS_BOARD, 0.45, (5.0, 10.0, 0.0)))

    sight = find_corners(np.ascontiguousarray(picture[:, ::-1]), LENS_BOARD)

    assert sight.refused is Refused.MIRRORED
    assert sight.corners is None


def half_covered(picture: Grey) -> Grey:
    """The same with an arm before it."""
    covered = picture.copy()
    covered[:, 560:600] = 120
    return covered


def bay_at(depth_m: float, tilt_deg: float = 0.0, how: Filming | None = None) -> Grey:
    """The bay's board at a distance."""
    return filmed(BAY_BOARD, held(BAY_BOARD, depth_m, (0.0, tilt_deg, 0.0)), how)


UNTAKEN: dict[str, tuple[Callable[[], Grey], Refused]] = {
    "an even wall": (lambda: np.full((720, 1280), 90, dtype=np.uint8), Refused.FLAT_LIGHT),
    "far away": (lambda: bay_at(12.0), Refused.TOO_SMALL),
    "out of focus": (lambda: bay_at(2.0, 20.0, Filming(blur_px=6.0)), Refused.BLURRED),
    "in the dark": (lambda: bay_at(2.0, 20.0, Filming(light=0.08)), Refused.FLAT_LIGHT),
    "an arm before it": (lambda: half_covered(bay_at(2.0)), Refused.CUT_OFF),
    "no board": (lambda: film(CAMERA, [], np.random.default_rng(1)), Refused.NOT_THERE),
}


@pytest.mark.parametrize("what", UNTAKEN)
def test_a_picture_that_is_not_taken_has_its_reason(what: str) -> None:
    picture, reason = UNTAKEN[what]

    assert find_corners(picture(), BAY_BOARD).refused is reason


def test_what_is_no_grey_picture_is_refused() -> None:
    with pytest.raises(CalibrationError, match="grey picture"):
        find_corners(cv2.merge([np.zeros((100, 100), np.uint8)] * 3), BAY_BOARD)  # type: ignore[arg-type]
