"""Pictures of the invented bay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import FloatArray, FrameArray, Hand
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera, cameras_for
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from sample_sessions.truth import clip_truth


@pytest.fixture(scope="module", params=[FACE_ON, DOWN_THE_LINE], ids=lambda c: str(c.view))
def renderer(request: pytest.FixtureRequest) -> Renderer:
    camera = request.param
    assert isinstance(camera, Camera)
    return Renderer(Golfer(SwingParameters()), camera)


def _white_middle(frame: FrameArray, near_px: FloatArray, radius_px: float) -> FloatArray:
    """Brightness-weighted middle of the white around a place; NaN if nothing is white."""
    x, y = (round(float(v)) for v in near_px)
    reach = round(radius_px * 2.0)
    patch = frame[y - reach : y + reach + 1, x - reach : x + reach + 1].min(axis=2)
    rows, columns = np.nonzero(patch > 125)
    if len(rows) == 0:
        return np.full(2, np.nan)
    return np.array([columns.mean() + x - reach, rows.mean() + y - reach])


def test_the_ball_lies_where_the_truth_says(renderer: Renderer) -> None:
    truth = clip_truth(renderer.golfer, renderer.camera, "a", first_ns=0, frames=1)
    x, y, radius = truth.ball_px

    middle = _white_middle(renderer.frame(-0.4), np.array([x, y]), radius)

    assert np.linalg.norm(middle - [x, y]) < 2.0


def test_the_ball_is_gone_two_frames_after_contact(renderer: Renderer) -> None:
    truth = clip_truth(renderer.golfer, renderer.camera, "a", first_ns=0, frames=1)
    x, y, radius = truth.ball_px

    patch = renderer.frame(0.035)[round(y - radius) : round(y + radius)]

    assert patch[:, round(x - radius) : round(x + radius)].min(axis=2).max() < 150


def test_the_golfer_stands_inside_the_picture_at_every_moment(renderer: Renderer) -> None:
    lens = renderer.camera.lens
    pose = renderer.golfer.pose(np.arange(-1200, 1000, 4) / 1000.0)

    for name in ("head", "lead_toe", "trail_toe", "lead_hand", "club_face"):
        spots = renderer.camera.project(getattr(pose, name))
        assert spots.min() > 2.0, name
        assert (spots < [lens.width_px - 2, lens.height_px - 2]).all(), name


def test_the_same_moment_and_number_give_the_same_picture(renderer: Renderer) -> None:
    first, again = renderer.frame(-0.1, number=4), renderer.frame(-0.1, number=4)

    assert np.array_equal(first, again)
    assert first.shape == (720, 1280, 3)
    assert first.dtype == np.uint8


def test_a_still_golfer_gives_still_frames_but_for_noise(renderer: Renderer) -> None:
    first, later = (renderer.frame(t, number=n) for n, t in ((1, -1.5), (2, -1.4)))

    assert not np.array_equal(first, later)
    assert np.abs(first.astype(np.int16) - later).max() <= 14


def test_the_clubs_picture_follows_the_truth_at_the_top(renderer: Renderer) -> None:
    with_club = renderer.frame(-0.27)
    pose = renderer.golfer.pose(np.array([-0.27]))
    x, y = (round(float(v)) for v in renderer.camera.project(pose.club_face)[0])

    near = with_club[y - 8 : y + 9, x - 8 : x + 9].astype(np.float64)
    empty = renderer.bay.picture[y - 8 : y + 9, x - 8 : x + 9]

    assert np.abs(near - empty).max() > 25.0


def _quarter_size(camera: Camera) -> Camera:
    lens = camera.lens
    small = replace(
        lens, width_px=320, height_px=180, focal_px=lens.focal_px / 4.0, centre_px=(159.5, 89.5)
    )
    return replace(camera, lens=small)


def test_a_left_handed_bay_is_the_mirror_image() -> None:
    hands = (Hand.RIGHT, Hand.LEFT)
    right, left = (
        Renderer(Golfer(SwingParameters(hand=hand)), _quarter_size(cameras_for(hand)[0])).frame(
            -0.27
        )
        for hand in hands
    )

    off = np.abs(right.astype(np.int16) - left[:, ::-1])

    # Noise and faces a hair apart differ; nothing else does.
    assert np.mean(off > 30) < 0.01
