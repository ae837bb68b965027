"""While a board is held before a camera, what is missing is said until nothing is."""

from __future__ import annotations

import numpy as np

from calibration.advice import Missing, adds_something, lens_coverage
from calibration.boards import LENS_BOARD
from calibration.corners import Corners
from tests.helpers.seen_boards import FACING, before_lens, lens_views, pose_of, seen

CAMERA = before_lens()


def straight_on(at_m: tuple[float, float, float]) -> Corners:
    """The board upright before the camera."""
    corners = seen(
        CAMERA, LENS_BOARD, pose_of(FACING, np.array(at_m)), np.random.default_rng(1), 0.0
    )
    assert corners is not None
    return corners


def test_nothing_shown_yet_wants_everything() -> None:
    assert set(lens_coverage([]).missing) == set(Missing)


def test_a_board_held_straight_on_wants_tilts_first() -> None:
    told = lens_coverage([straight_on((-0.1, 0.05, 0.6))])

    assert told.missing[:2] == (Missing.TILT_SIDEWAYS, Missing.TILT_UP_DOWN)
    assert max(told.tilt_deg) < 4


def test_a_board_on_the_left_wants_the_right() -> None:
    told = lens_coverage([straight_on((-0.36, 0.05, 0.6))])

    assert Missing.RIGHT in told.missing
    assert Missing.LEFT not in told.missing


def test_enough_views_all_over_the_picture_want_nothing_more() -> None:
    views = lens_views(CAMERA, LENS_BOARD, 30, np.random.default_rng(6))

    told = lens_coverage([view.corners for view in views])

    assert told.missing == ()
    assert told.share > 0.7
    assert told.cells.sum() == 30 * 28


def test_the_same_picture_again_adds_nothing_and_another_place_does() -> None:
    taken = straight_on((-0.1, 0.05, 0.6))

    assert not adds_something([taken], straight_on((-0.1, 0.055, 0.6)))
    assert adds_something([taken], straight_on((0.05, 0.05, 0.6)))
    assert adds_something([], taken)
