"""The body network on a few pictures of an invented golfer."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import BadInputError, NotFoundError
from capturestation.records import Box, FloatArray, FrameArray, Hand, View
from capturestation.swing.hard_to_see import how_surely
from capturestation.swing.tracks import BodyTrack, Joint
from capturestation.tracking.body import BodyTracker
from capturestation.tracking.body_network import FILE, SIDE_PX, BodyNetwork, Landmarks
from capturestation.tracking.body_region import Region, region_of
from sample_sessions.cameras import Placement, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.golfer import Golfer
from sample_sessions.loose import rain_clothes
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from tests.helpers.body_pictures import Pictured, network, pictured

REACH = Box(left=0.2, top=0.05, right=0.8, bottom=0.95)


def off(track: BodyTrack, truth: Pictured, number: int = 0) -> FloatArray:
    """How far joints stand from the truth, shares of the golfer's height.

    The invented golfer has no face: taken for his own back, his sides are exchanged.
    """
    both = [
        np.linalg.norm(one.joints_px[number] - truth.joints_px, axis=1) / truth.tall_px
        for one in (track, track.swapped())
    ]
    return min(both, key=lambda one: float(np.nanmedian(one)))


@pytest.mark.parametrize(
    ("view", "hand"), [(View.FACE_ON, Hand.LEFT), (View.DOWN_THE_LINE, Hand.RIGHT)]
)
def test_joints_stand_where_the_golfer_has_them(view: View, hand: Hand) -> None:
    truth = pictured(-1.3, view, hand=hand)
    tracker = BodyTracker(network(), hand=hand, box=REACH)

    tracker.see(truth.frame_rgb, 0)

    track = tracker.track()
    assert np.nanmedian(off(track, truth)) < 0.06
    assert np.nanmax(off(track, truth)) < 0.15
    assert track.seen[0, Joint.TRAIL_HIP.place] > 0.8


def test_the_square_follows_the_golfer_through_the_swing() -> None:
    tracker = BodyTracker(network(), hand=Hand.RIGHT, box=REACH)
    truths = [pictured(time_s) for time_s in (-1.3, -0.6, 0.0)]

    for number, truth in enumerate(truths):
        tracker.see(truth.frame_rgb, number)

    for number, truth in enumerate(truths):
        assert np.nanmedian(off(tracker.track(), truth, number)) < 0.06


def test_where_nobody_is_no_joint_is_known() -> None:
    grey = np.full((360, 640, 3), 120, np.uint8)
    tracker = BodyTracker(network(), hand=Hand.RIGHT, box=None)

    tracker.see(grey, 0)

    track = tracker.track()
    assert np.isnan(track.joints_px).all()
    assert not track.seen.any()


@pytest.mark.parametrize(("quarters", "turn_deg"), [(1, 90), (3, 270)])
def test_somebody_who_lies_across_is_noticed_with_the_turn(quarters: int, turn_deg: int) -> None:
    upright = pictured(-1.3).frame_rgb[::2, ::2]
    tracker = BodyTracker(network(), hand=Hand.RIGHT, box=None)

    tracker.see(np.ascontiguousarray(np.rot90(upright, quarters)), 0)

    assert tracker.lies_deg == turn_deg
    assert np.isnan(tracker.track().joints_px).all()


class Told(BodyNetwork):
    """Says what it was told to say: bodies so far aside of the square's middle, in its sides."""

    def __init__(self, *aside: float) -> None:
        self._left = list(aside)

    def __call__(self, crop_rgb: FrameArray) -> Landmarks:
        body = np.tile([0.5 * SIDE_PX, 0.5 * SIDE_PX], (39, 1))
        body[0, 1], body[27:29, 1] = 0.18 * SIDE_PX, 0.82 * SIDE_PX
        body[:, 0] += (self._left.pop(0) if self._left else 0.0) * crop_rgb.shape[1]
        return Landmarks(at_px=body, seen=np.ones(39), present=0.9)


def test_a_body_that_stands_elsewhere_at_once_is_somebody_else_s() -> None:
    at_first = (0.0,) * 4
    tracker = BodyTracker(Told(*at_first, 0.0, 0.3, 0.3, 0.02), hand=Hand.RIGHT, box=REACH)

    for number in range(4):
        tracker.see(np.zeros((360, 640, 3), np.uint8), number)

    known = np.isfinite(tracker.track().joints_px).all(axis=(1, 2))
    assert known.tolist() == [True, False, False, True]
    assert tracker.others_share == 0.5


def test_the_hand_decides_which_side_leads() -> None:
    seen = pictured(-1.3)
    joints = []
    for told in Hand:
        tracker = BodyTracker(network(), hand=told, box=REACH)
        tracker.see(seen.frame_rgb, 0)
        joints.append(tracker.track())

    assert np.allclose(joints[0].joints_px, joints[1].swapped().joints_px)


def test_both_engines_see_the_same() -> None:
    pytest.importorskip("ai_edge_litert")
    crop = Region(x_px=640, y_px=400, side_px=800).crop(pictured(-0.6).frame_rgb)

    one, other = (network(engine)(crop) for engine in ("litert", "cv2"))

    assert one.at_px == pytest.approx(other.at_px, abs=0.1)
    assert one.seen == pytest.approx(other.seen, abs=0.01)


def test_a_square_and_the_picture_lead_to_one_another() -> None:
    region = Region(x_px=200.0, y_px=150.0, side_px=128.0)
    frame = np.zeros((300, 400, 3), np.uint8)
    frame[170, 180] = 255

    crop = region.crop(frame)

    brightest = np.argwhere(crop[..., 0] == crop[..., 0].max())[:, ::-1].mean(axis=0)
    assert region.whole(brightest[None])[0] == pytest.approx([180.0, 170.0], abs=0.5)


def test_a_square_stays_where_nobody_is_seen() -> None:
    region = Region(x_px=10.0, y_px=10.0, side_px=20.0)
    unseen = Landmarks(at_px=np.full((39, 2), 128.0), seen=np.zeros(39), present=0.1)

    assert region.following(unseen) == region


def test_a_box_of_the_club_s_reach_is_larger_than_the_golfer() -> None:
    whole, golfer = (region_of(REACH, 1280, 720, with_club=told) for told in (True, False))

    assert whole.side_px < golfer.side_px
    assert SIDE_PX / whole.side_px == pytest.approx(whole.scale)


def test_a_missing_model_says_how_to_get_it(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="models fetch"):
        BodyNetwork(tmp_path / FILE)


def test_another_file_is_no_body_model(tmp_path: Path) -> None:
    path = tmp_path / FILE
    path.write_bytes(b"something else")

    with pytest.raises(BadInputError, match="hash"):
        BodyNetwork(path)


def test_wide_clothes_are_seen_less_surely() -> None:
    golfer, camera = Golfer(SwingParameters()), cameras_for(Hand.RIGHT)[0]
    half = camera.placed(Placement(size_share=0.5))
    surely = []
    for loose in (None, rain_clothes(506)):
        tracker = BodyTracker(network(), hand=Hand.RIGHT, box=REACH)
        renderer = Renderer(golfer, half, Clothes(loose=loose))
        for time_s in (-1.3, -0.3, 0.0):
            tracker.see(renderer.frame(time_s), round(time_s * 1e9))
        track = tracker.track()
        surely.append(how_surely(track, track.times_ns))

    assert surely[1] < surely[0] - 0.2
