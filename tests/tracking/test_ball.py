"""Where the ball lies, and from there when it leaves."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FrameArray, IntArray
from capturestation.timing.ball import ball_leaving
from capturestation.tracking.ball import BallSpot, cut_patches, find_ball
from tests.helpers.pictures import Bay, swing_pictures
from tests.helpers.swings import Motion

BAYS = {
    "plain": Bay(),
    "flicker": Bay(flicker=0.1),
    "noise": Bay(noise=5.0),
    "spare ball": Bay(spare_ball=True),
    "lamp": Bay(lamp_spot=True),
    "dim": Bay(ball_grey=140.0),
    "dark ball": Bay(ball_grey=25.0, mat_grey=110.0),
    "large": Bay(width_px=480, height_px=270, ball_radius_px=5.0),
    "tiny": Bay(width_px=160, height_px=96, ball_radius_px=1.6),
}


def pictures(bay: Bay, rate_hz: float = 60.0) -> tuple[FrameArray, IntArray]:
    times_ns = (np.arange(-0.6, 0.6, 1 / rate_hz) * 1e9).astype(np.int64) + 2_000_000
    return np.stack(list(swing_pictures(3, times_ns, Motion(), bay))), times_ns


@pytest.mark.parametrize("bay", BAYS.values(), ids=BAYS.keys())
@pytest.mark.parametrize("guess_ms", [-40, 0, 40])
def test_the_ball_is_found_where_it_lay(bay: Bay, guess_ms: int) -> None:
    greys, times_ns = pictures(bay)

    spot = find_ball(greys, times_ns, guess_ms * 1_000_000)

    assert spot is not None
    assert (spot.x_px, spot.y_px) == pytest.approx(bay.ball_px, abs=1.0)
    assert spot.radius_px == pytest.approx(bay.ball_radius_px, rel=0.35)


@pytest.mark.parametrize("bay", BAYS.values(), ids=BAYS.keys())
@pytest.mark.parametrize("rate_hz", [60.0, 120.0])
def test_patches_cut_there_bracket_contact(bay: Bay, rate_hz: float) -> None:
    greys, times_ns = pictures(bay, rate_hz)
    spot = find_ball(greys, times_ns, 0)
    assert spot is not None

    bracket = ball_leaving(cut_patches(greys, spot), times_ns)

    assert bracket is not None
    assert bracket.last_with_ns < 0 <= bracket.first_without_ns
    assert bracket.first_without_ns - bracket.last_with_ns <= 2.5e9 / rate_hz


def test_a_swing_without_a_ball_has_none() -> None:
    bay = Bay(ball_radius_px=0.0)
    greys, times_ns = pictures(bay)

    assert find_ball(greys, times_ns, 0) is None


@pytest.mark.parametrize(("x_px", "y_px"), [(0.0, 0.0), (239.0, 135.0), (120.0, 134.0)])
def test_patches_at_the_edge_are_moved_into_the_picture(x_px: float, y_px: float) -> None:
    greys = np.zeros((2, 136, 240), dtype=np.uint8)
    greys[:, round(y_px), round(x_px)] = 255

    patches = cut_patches(greys, BallSpot(x_px=x_px, y_px=y_px, radius_px=3.0, confidence=1.0))

    assert patches.shape == (2, 19, 19)
    assert patches.max() == 255


def test_too_few_pictures_show_no_ball() -> None:
    greys, times_ns = pictures(Bay())

    assert find_ball(greys[:4], times_ns[:4], 0) is None


def test_pictures_and_stamps_must_fit() -> None:
    with pytest.raises(ValueError, match=r"\(3,\)"):
        find_ball(np.zeros((2, 4, 4), dtype=np.uint8), np.arange(3), 0)
