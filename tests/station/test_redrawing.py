"""An earlier recording as today's camera sees it: exact in the golfer's plane, honest beside it."""

from __future__ import annotations

import re

import numpy as np
import pytest

from calibration.planemap import OFF_PLANE_M, REACH_M
from capturestation.compare.overlay import PictureSize, lay_over, spots_of
from capturestation.records import FloatArray, Spot, View
from capturestation.station.redrawing import redrawn
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed, moved

BALL = (0.03, -0.02, 0.0214)
FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
SIZE = PictureSize(width_px=1280, height_px=720)
CORNER = (-0.4, 0.6, 0.0)


def body(view: View, off_m: float = 0.0) -> FloatArray:
    """Places on a golfer who stands beside the ball, in the plane or off it."""
    heights = np.array([0.1, 0.5, 0.95, 1.4, 1.7])
    aside = np.array([0.2, -0.15, 0.0, 0.25, -0.05])
    off = np.full(5, off_m)
    if view is FACE_ON:
        return np.stack([BALL[0] + aside, BALL[1] + REACH_M + off, heights], axis=1)
    return np.stack([BALL[0] + off, BALL[1] + REACH_M + aside, heights], axis=1)


@pytest.mark.parametrize("view", BY_VIEW)
@pytest.mark.parametrize("by_ball", [True, False])
def test_a_moved_camera_s_picture_lies_over_today_s_in_the_golfer_s_plane(
    view: View, by_ball: bool
) -> None:
    now_camera = BY_VIEW[view]
    then_camera = moved(now_camera, (0.06, 0.05, -0.06), aim_m=0.2)
    spots = {Spot.BALL: BALL, Spot.MAT_CORNER: CORNER}
    now = filmed("now", {view: calibrated(now_camera)}, spots)
    then = filmed("then", {view: calibrated(then_camera)}, spots if by_ball else {})

    placing = redrawn(now, then, view)

    assert placing is not None
    there, here = then_camera.project(body(view)), now_camera.project(body(view))
    apart = np.linalg.norm(placing.to_now(there) - here, axis=1)
    assert apart.max() < (2.0 if by_ball else 6.0)
    assert ("by ball" in placing.said) is by_ball
    if by_ball:
        marked = lay_over(
            spots_of(now.swing.book.spots, view), spots_of(then.swing.book.spots, view), SIZE, SIZE
        )
        by_marks = np.linalg.norm(marked.to_now(there) - here, axis=1)
        assert apart.max() < 0.5 * by_marks.max()


@pytest.mark.parametrize("view", BY_VIEW)
def test_the_error_off_the_plane_is_said_as_large_as_it_is(view: View) -> None:
    now_camera = BY_VIEW[view]
    then_camera = moved(now_camera, (0.08, 0.08, 0.02))
    spots = {Spot.BALL: BALL}
    now = filmed("now", {view: calibrated(now_camera)}, spots)
    then = filmed("then", {view: calibrated(then_camera)}, spots)

    placing = redrawn(now, then, view)

    assert placing is not None
    off = body(view, OFF_PLANE_M)
    apart = placing.to_now(then_camera.project(off)) - now_camera.project(off)
    real_px = float(np.sqrt((apart**2).sum(axis=1).mean()))
    found = re.search(r"(\d+) px in the golfer's plane, (\d+) px more 30 cm", placing.said)
    assert found is not None
    assert float(found[2]) == pytest.approx(real_px, abs=1.5)
    assert int(found[1]) >= 2


def test_a_ball_that_lies_elsewhere_moves_the_picture_with_it() -> None:
    camera = calibrated(BY_VIEW[FACE_ON])
    elsewhere = (BALL[0] + 0.3, BALL[1], BALL[2])
    now = filmed("now", {FACE_ON: camera}, {Spot.BALL: BALL})
    then = filmed("then", {FACE_ON: camera}, {Spot.BALL: elsewhere})

    placing = redrawn(now, then, FACE_ON)

    assert placing is not None
    there = BY_VIEW[FACE_ON].project(body(FACE_ON) + np.array([0.3, 0.0, 0.0]))
    here = BY_VIEW[FACE_ON].project(body(FACE_ON))
    assert placing.to_now(there) == pytest.approx(here, abs=2.0)


def test_one_that_is_not_calibrated_or_stands_too_differently_is_not_redrawn() -> None:
    spots = {Spot.BALL: BALL}
    now = filmed("now", {FACE_ON: calibrated(BY_VIEW[FACE_ON])}, spots)
    bare = filmed("then", {BEHIND: calibrated(BY_VIEW[BEHIND])}, spots)
    far = filmed("then", {FACE_ON: calibrated(moved(BY_VIEW[FACE_ON], (2.5, 0.5, 0.0)))}, spots)

    assert redrawn(now, bare, FACE_ON) is None
    assert redrawn(now, far, FACE_ON) is None
