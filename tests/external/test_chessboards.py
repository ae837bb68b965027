"""Lens and two cameras against published results, from the published pictures' corners.

Sources: OpenCV project, samples/data/left_intrinsics.yml (one camera); J.-Y. Bouguet, Camera
Calibration Toolbox, fifth example (two cameras). The corners are facts found in these pictures.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from calibration.bay_build import placed_cameras
from calibration.corners import Corners
from calibration.lens import LensModel, Setting, calibrate_lens
from calibration.meeting import meet
from tests.bench.chessboards import (
    PUBLISHED_BASELINE_MM,
    PUBLISHED_OM,
    PUBLISHED_OM_U,
    PUBLISHED_T_MM,
    PUBLISHED_T_U,
    published_lens,
)
from tests.helpers.real_chessboards import (
    SIZE_PX,
    WIDE,
    corner_facts,
    lens,
    right_from_left,
    two_cameras,
    views,
)


def test_the_lens_is_the_published_one() -> None:
    """Published: f 535.91573396, centre 342.28315473, 235.57082910 px, 0.3926 px; 1 px, 0.45 px."""
    found = published_lens()

    assert found.lens[:2] == pytest.approx([535.91573396] * 2, abs=1.0)
    assert found.lens[2:4] == pytest.approx([342.28315473, 235.57082910], abs=1.0)
    assert np.sqrt((found.view_rms_px**2).mean()) <= 0.45


def test_the_first_boards_pose_is_the_published_one() -> None:
    """Published: rvec 0.16866673, 0.27567195, 0.01346367, tvec -0.07521791, -0.10895944,
    0.39970207 m, from the board's first inner corner, y down; 2e-3 rad, 1 mm."""
    found = published_lens()
    theirs_in_ours = np.diag([1.0, -1.0, -1.0])
    first_corner_m = 0.025 * np.array([1.0, 6.0, 0.0])

    turn = Rotation.from_matrix(found.turns[0] @ theirs_in_ours).as_rotvec()
    at = found.turns[0] @ first_corner_m + found.shifts_m[0]

    assert turn == pytest.approx([0.16866673, 0.27567195, 0.01346367], abs=2e-3)
    assert at == pytest.approx([-0.07521791, -0.10895944, 0.39970207], abs=1e-3)


def test_both_cameras_stand_to_each_other_as_published_within_the_published_errors() -> None:
    turn, shift_m = right_from_left(two_cameras())

    om = Rotation.from_matrix(turn).as_rotvec()
    assert (np.abs(1000 * shift_m - PUBLISHED_T_MM) <= PUBLISHED_T_U).all()
    assert (np.abs(om - PUBLISHED_OM) <= PUBLISHED_OM_U).all()
    assert 1000 * np.linalg.norm(shift_m) == pytest.approx(PUBLISHED_BASELINE_MM, abs=0.15)


def test_both_lenses_have_the_published_focal_lengths() -> None:
    """Published: left 533.52331, 533.52699, right 536.81377, 536.47649 px; 1.5 px."""
    scene = two_cameras().scene

    assert scene.lens(0)[:2] == pytest.approx([533.52331, 533.52699], abs=1.5)
    assert scene.lens(1)[:2] == pytest.approx([536.81377, 536.47649], abs=1.5)


def test_a_square_comes_out_as_large_as_it_is() -> None:
    """Triangulated sides: 1.0004 +- 0.008 squares; 1 %."""
    solved = two_cameras()
    cameras = placed_cameras(solved.scene)
    sides = []
    for picture, left in corner_facts("left").items():
        pixels = np.stack([left, corner_facts("right")[picture]])
        spread = np.broadcast_to(0.15**2 * np.eye(2), (2, 54, 2, 2))
        points = meet(cameras, pixels, spread, solved.covariance).points_m.reshape(6, 9, 3)
        sides += [np.linalg.norm(np.diff(points, axis=axis), axis=-1).ravel() for axis in (0, 1)]
    squares = np.concatenate(sides) / 0.030

    assert squares.mean() == pytest.approx(1.0, abs=0.01)
    assert squares.std() < 0.012


def test_a_wide_window_spoils_the_small_squares_and_that_view_is_named() -> None:
    """The trap: with 11 px the view of `left02` is off by 1.2 px; the size's own window passes."""
    setting = Setting(camera="left", size_px=SIZE_PX)
    wide, by_size = (
        calibrate_lens(views("left", *window), setting, models=[LensModel.SIDEWAYS])
        for window in ((WIDE,), ())
    )

    assert wide.bad == ("left02",)
    assert next(view.rms_px for view in wide.views if view.name == "left02") > 1.0
    assert by_size.bad == ()
    assert next(view.rms_px for view in by_size.views if view.name == "left02") < 0.3


def test_stated_errors_of_the_lens_are_those_of_the_published_result() -> None:
    """Both state a few tenths of a pixel for the same pictures; within a factor of two."""
    assert 0.2 < lens("left").u[0] < 0.9
    assert 0.2 < lens("right").u[0] < 0.9


def test_every_picture_has_all_its_corners() -> None:
    for camera in ("left", "right"):
        facts = corner_facts(camera)
        assert len(facts) == 13
        assert all(corners.shape == (54, 2) for corners in facts.values())
        assert all(isinstance(view.corners, Corners) for view in views(camera))
