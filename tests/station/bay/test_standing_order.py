"""Cameras that were exchanged, and a target on the wrong side, are noticed by where they stand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.standing import BayCalibration
from calibration.sticks import calibrate_sticks
from capturestation.records import View
from capturestation.station.bay.standing_order import Odd, looks, odd_order
from tests.helpers.laid_sticks import marked_sticks
from tests.helpers.made_bays import made_bay

NAMES = {view: str(view) for view in (View.FACE_ON, View.DOWN_THE_LINE)}


@pytest.fixture(scope="module")
def found() -> BayCalibration:
    made = made_bay(np.random.default_rng(5))
    return calibrate_sticks(marked_sticks(made.cameras, np.random.default_rng(2)), made.lenses)


def turned_about(bay: BayCalibration) -> BayCalibration:
    """As if the target had been entered on the other side."""
    half = np.diag([-1.0, -1.0, 1.0, 1.0])
    cameras = []
    for camera in bay.cameras:
        pose = half @ np.asarray(camera.world_from_camera)
        rows = tuple(tuple(float(v) for v in row) for row in pose)
        cameras.append(replace(camera, world_from_camera=rows))
    return replace(bay, cameras=tuple(cameras))


def test_cameras_that_stand_as_they_should_are_left_alone(found: BayCalibration) -> None:
    assert odd_order(found, NAMES) is None
    assert odd_order(found, {View.FACE_ON: "another"}) is None


@pytest.mark.parametrize("views", [(View.FACE_ON, View.DOWN_THE_LINE), (View.DOWN_THE_LINE,)])
def test_exchanged_cameras_are_noticed(found: BayCalibration, views: tuple[View, ...]) -> None:
    other = {View.FACE_ON: View.DOWN_THE_LINE, View.DOWN_THE_LINE: View.FACE_ON}

    assert odd_order(found, {view: str(other[view]) for view in views}) is Odd.EXCHANGED


def test_a_target_on_the_wrong_side_is_noticed(found: BayCalibration) -> None:
    turned = turned_about(found)

    assert odd_order(turned, NAMES) is Odd.BACKWARDS
    assert looks(turned.cameras[1]) == "along the line, away from the target"
