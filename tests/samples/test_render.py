"""Pictures of the invented bay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import FloatArray, FrameArray, Hand
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera, Placement, cameras_for
from sample_sessions.clothes import Reader
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.raster import Box, Canvas, facing, outsides, seen_by
from sample_sessions.render import Renderer
from sample_sessions.surfaces import slow_faces
from sample_sessions.surroundings import QUIET_BAY, Surroundings
from sample_sessions.truth import clip_truth

HALF, QUARTER = Placement(size_share=0.5), Placement(size_share=0.25)


@pytest.fixture(scope="module", params=[FACE_ON, DOWN_THE_LINE], ids=lambda c: str(c.view))
def renderer(request: pytest.FixtureRequest) -> Renderer:
    camera = request.param
    assert isinstance(camera, Camera)
    return Renderer(Golfer(SwingParameters()), camera.placed(HALF))


def _bright_middle(draw: Renderer, time_s: float, near_px: FloatArray) -> FloatArray:
    """Middle of what is brighter than the empty bay around a place."""
    x, y = (round(float(v)) for v in near_px)
    cut = slice(y - 7, y + 8), slice(x - 7, x + 8)
    brighter = (draw.frame(time_s)[cut] - draw.bay.picture[cut]).min(axis=2) > 20.0
    rows, columns = np.nonzero(brighter)
    return np.array([columns.min() + columns.max(), rows.min() + rows.max()]) / 2.0 + [x - 7, y - 7]


def test_the_ball_lies_where_the_truth_says(renderer: Renderer) -> None:
    truth = clip_truth(renderer.golfer, renderer.camera, "a", first_ns=0, frames=1)
    x, y, _ = truth.ball_px

    middle = _bright_middle(renderer, -0.4, np.array([x, y]))

    assert np.linalg.norm(middle - [x, y]) < 1.6


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
    assert first.shape == (360, 640, 3)
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


def test_a_left_handed_bay_is_the_mirror_image() -> None:
    hands = (Hand.RIGHT, Hand.LEFT)
    right, left = (
        Renderer(Golfer(SwingParameters(hand=hand)), cameras_for(hand)[0].placed(QUARTER)).frame(
            -0.27
        )
        for hand in hands
    )

    off = np.abs(right.astype(np.int16) - left[:, ::-1])

    # Noise and faces a hair apart differ; nothing else does.
    assert np.mean(off > 40) < 0.01


def _quarter(camera: Camera, around: Surroundings = QUIET_BAY) -> Renderer:
    return Renderer(Golfer(SwingParameters(around=around)), camera.placed(QUARTER))


def _apart(one: FrameArray, other: FrameArray) -> FloatArray:
    """Largest difference of levels at each point, (height, width)."""
    return np.asarray(np.abs(one.astype(np.float64) - other).max(axis=2), dtype=np.float64)


def test_rows_further_down_are_later_under_a_rolling_shutter() -> None:
    still = replace(QUIET_BAY, noise_levels=0.0)
    golfer = Golfer(SwingParameters(around=still))
    rolling = Renderer(golfer, replace(FACE_ON, read_out_s=0.006).placed(HALF)).frame(-0.06)
    first, last = (Renderer(golfer, FACE_ON.placed(HALF)).frame(t) for t in (-0.06, -0.054))

    # Of 360 rows: the shirt's, and the club head's.
    top, bottom = slice(90, 150), slice(280, 360)

    # Shirt, arms and club have moved on between them; the feet haven't, the club has.
    assert _apart(rolling[top], first[top]).mean() < _apart(rolling[top], last[top]).mean()
    assert _apart(rolling, first).max() > 25.0
    assert _apart(rolling, last).max() > 25.0
    assert (
        _apart(rolling[bottom], last[bottom]).mean() < _apart(rolling[bottom], first[bottom]).mean()
    )


def test_lamps_that_flicker_band_a_rolling_picture_and_dim_a_whole_one() -> None:
    around = Surroundings(flicker=0.3, noise_levels=0.0)
    calm = replace(around, flicker=0.0)
    share = {}
    for late_s in (0.0, 0.008):
        camera = replace(FACE_ON, read_out_s=late_s)
        lit, plain = (_quarter(camera, a).frame(-1.2).astype(np.float64) for a in (around, calm))
        share[late_s] = lit[:, :60].mean(axis=(1, 2)) / plain[:, :60].mean(axis=(1, 2))

    assert np.ptp(share[0.0]) < 0.02
    assert np.ptp(share[0.008]) > 0.3


def test_an_exposure_of_a_whole_period_of_the_lamps_shows_no_flicker() -> None:
    around = Surroundings(flicker=0.3, noise_levels=0.0)
    long = replace(FACE_ON, exposure_s=0.01)

    lit, plain = (_quarter(long, a).frame(-1.2) for a in (around, replace(around, flicker=0.0)))

    assert _apart(lit, plain).max() <= 1.0


def test_a_longer_exposure_smears_the_club_head() -> None:
    still = replace(QUIET_BAY, noise_levels=0.0)
    touched = []
    for exposure_s in (0.0002, 0.003):
        draw = _quarter(replace(FACE_ON, exposure_s=exposure_s), still)
        near = draw.camera.project(draw.golfer.pose(np.array([-0.01])).club_face)[0].astype(int)
        cut = slice(near[1] - 12, near[1] + 12), slice(near[0] - 25, near[0] + 25)
        touched.append(int((_apart(draw.frame(-0.01)[cut], draw.frame(-1.2)[cut]) > 8.0).sum()))

    assert touched[1] > 1.3 * touched[0]


def test_balls_have_their_colour_and_spare_ones_lie_where_they_were_put() -> None:
    around = Surroundings(ball_rgb=(240, 140, 20), spare_balls_m=((-0.4, 0.1),))
    draw = Renderer(Golfer(SwingParameters(around=around)), FACE_ON.placed(HALF))
    spots = draw.camera.project(np.array([[0.0, 0.0, 0.02], [-0.4, 0.1, 0.02]]))
    frame = draw.frame(0.1).astype(int)

    struck, spare = (frame[round(y), round(x)] for x, y in spots)

    assert spare[0] - spare[2] > 80
    assert struck[0] - struck[2] < 40


def test_somebody_puts_the_next_ball_where_the_last_one_lay() -> None:
    around = Surroundings(re_tee_s=5.0, ball_rgb=(240, 140, 20))
    draw = Renderer(Golfer(SwingParameters(around=around)), FACE_ON.placed(HALF))
    x, y = (round(float(v)) for v in draw.camera.project(draw.golfer.ball_at[None])[0])

    gone, there = (draw.frame(t)[y, x].astype(int) for t in (0.1, 6.4))
    hand, after = (draw.frame(t)[y - 12 : y, x - 8 : x + 8] for t in (5.0, 6.4))

    assert gone[0] - gone[2] < 40
    assert there[0] - there[2] > 80
    assert _apart(hand, after).mean() > 10.0


def test_somebody_walks_by_behind_the_golfer() -> None:
    around = Surroundings(passes_s=0.0, passes_m_s=1.3, noise_levels=0.0)
    draw, alone = (_quarter(FACE_ON, a) for a in (around, replace(around, passes_s=None)))
    middles = []
    for time_s in (-1.2, -1.0):
        changed = _apart(draw.frame(time_s), alone.frame(time_s)) > 20.0
        middles.append(float(np.nonzero(changed)[1].mean()))

    assert middles[1] > middles[0] + 5.0
    assert _apart(draw.frame(-9.0), alone.frame(-9.0)).max() == 0.0


def test_whoever_stands_still_is_not_drawn_again_and_moves_on_as_if_he_was() -> None:
    around = replace(QUIET_BAY, noise_levels=0.0)
    draw, afresh = (_quarter(FACE_ON, around) for _ in range(2))

    still, later, moving = (draw.frame(time_s) for time_s in (-1.90, -1.89, -0.3))

    assert np.array_equal(still, later)
    assert np.array_equal(moving, afresh.frame(-0.3))


def test_what_looks_away_is_left_out_unseen() -> None:
    draw = _quarter(DOWN_THE_LINE, replace(QUIET_BAY, noise_levels=0.0))
    pose = draw.golfer.pose(np.array([-0.2]))
    whole = slow_faces(Reader(pose, 0, draw.golfer.body), draw.clothes)
    front = facing(draw.camera, whole, outsides(whole))
    pictures = []
    for faces in (whole, front):
        canvas = Canvas(draw.bay.picture, Box(0, 0, *draw.bay.picture.shape[1::-1]))
        canvas.draw(seen_by(draw.camera, faces, np.ones(len(faces.corners))))
        pictures.append(canvas.picture())

    assert len(front.quads) < 0.7 * len(whole.quads)
    assert (np.abs(pictures[0] - pictures[1]).max(axis=2) > 1.0).sum() < 5
    assert (np.abs(pictures[0] - draw.bay.picture).max(axis=2) > 1.0).sum() > 500
