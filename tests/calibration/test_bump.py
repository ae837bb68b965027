"""A camera that was moved is found by its background, and one that wasn't is left in peace."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from calibration.bump import Bump, BumpVerdict, compare
from calibration.errors import CalibrationError
from tests.helpers.filmed_boards import Grey
from tests.helpers.filmed_rooms import FOCAL_PX, Room, Shot

ROOM = Room(3)


@cache
def reference() -> Grey:
    """The picture taken when the bay was measured."""
    return ROOM.film(Shot(golfer=1, seed=1))


def against(shot: Shot) -> Bump:
    """A picture of today compared."""
    return compare(reference(), ROOM.film(shot), focal_px=FOCAL_PX)


@pytest.mark.parametrize(
    "shot",
    [
        Shot(golfer=None, seed=2),
        Shot(golfer=7, seed=3, light=(0.6, 1.1)),
        Shot(golfer=4, seed=4, light=(0.5, 0.5), turn_deg=(0.015, 0.02, -0.01)),
    ],
    ids=["golfer gone", "other golfer and lamp", "dim and a hair's breadth"],
)
def test_a_camera_that_stands_still_is_left_in_peace(shot: Shot) -> None:
    found = against(shot)

    assert found.verdict is BumpVerdict.STILL
    assert found.turn_deg < 0.05


@pytest.mark.parametrize(
    ("turn_deg", "pan_tilt_roll"),
    [
        ((0.0, 0.3, 0.0), (0.3, 0.0, 0.0)),
        ((0.3, 0.0, 0.0), (0.0, -0.3, 0.0)),
        ((0.0, 0.0, 0.3), (0.0, 0.0, 0.3)),
        ((0.0, 1.5, 0.5), (1.5, 0.0, 0.5)),
    ],
)
def test_a_turned_camera_is_found_with_its_direction(
    turn_deg: tuple[float, float, float], pan_tilt_roll: tuple[float, float, float]
) -> None:
    found = against(Shot(golfer=5, seed=6, light=(1.1, 0.7), turn_deg=turn_deg))

    assert found.verdict is BumpVerdict.MOVED
    assert (found.pan_deg, found.tilt_deg, found.roll_deg) == pytest.approx(pan_tilt_roll, abs=0.02)


def test_a_camera_shifted_by_a_centimetre_is_found() -> None:
    found = against(Shot(golfer=2, seed=6, shift_m=(0.01, 0.0, 0.0)))

    assert found.verdict is BumpVerdict.MOVED
    assert found.shift_px > 1


def test_where_nothing_stands_still_nothing_is_said() -> None:
    rng = np.random.default_rng(1)
    grass = [rng.integers(0, 255, (720, 1280), dtype=np.uint8) for _ in range(2)]

    assert compare(grass[0], grass[1], focal_px=FOCAL_PX).verdict is BumpVerdict.UNSURE


def test_an_even_wall_says_nothing() -> None:
    wall = np.full((720, 1280), 120, dtype=np.uint8)

    found = compare(wall, wall, focal_px=FOCAL_PX)

    assert found.verdict is BumpVerdict.UNSURE
    assert np.isnan(found.turn_deg)


def test_another_room_is_not_called_still() -> None:
    other = Room(9).film(Shot())

    assert compare(reference(), other, focal_px=FOCAL_PX).verdict is BumpVerdict.UNSURE


def test_pictures_of_two_sizes_are_refused() -> None:
    with pytest.raises(CalibrationError, match=r"\(1280, 720\).*\(640, 360\)"):
        compare(reference(), reference()[::2, ::2], focal_px=FOCAL_PX)
