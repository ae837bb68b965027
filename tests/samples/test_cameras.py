"""The sample cameras' own projection against an independent library."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.records import Hand, View
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera, Placement, cameras_for

MOVED = Placement(shift_m=(0.1, -0.05, 0.08), aim_shift_m=(0.0, 0.04, 0.0), roll_deg=2.0)
CAMERAS = {
    "face-on": FACE_ON,
    "down the line": DOWN_THE_LINE,
    "moved": FACE_ON.placed(MOVED),
    "upright": DOWN_THE_LINE.placed(Placement(upright=True)),
    "1080p": FACE_ON.placed(Placement(size_share=1.5)),
}
BOTH = pytest.mark.parametrize("camera", CAMERAS.values(), ids=CAMERAS)


@BOTH
def test_projection_agrees_with_opencv_to_a_millionth_of_a_pixel(camera: Camera) -> None:
    points = np.random.default_rng(5).uniform((-1.3, -0.6, 0.0), (1.3, 1.6, 2.2), (300, 3))
    centre = camera.lens.centre_px
    matrix = np.array(
        [
            [camera.lens.focal_px, 0.0, centre[0]],
            [0.0, camera.lens.focal_px, centre[1]],
            [0.0, 0.0, 1.0],
        ]
    )
    pose = camera.camera_from_world
    turn, _ = cv2.Rodrigues(pose[:3, :3])

    theirs, _ = cv2.projectPoints(points, turn, pose[:3, 3], matrix, np.array(camera.lens.bend))

    assert np.abs(camera.project(points) - theirs[:, 0]).max() < 1e-6


@BOTH
def test_a_ray_goes_back_through_its_point(camera: Camera) -> None:
    points = np.random.default_rng(6).uniform((-1.0, -0.4, 0.0), (1.0, 1.2, 2.0), (50, 3))

    rays = camera.rays(camera.project(points))
    offset = points - np.asarray(camera.at_m)
    off_m = np.linalg.norm(np.cross(offset, rays), axis=1) / np.linalg.norm(rays, axis=1)

    assert off_m.max() < 1e-6


@BOTH
def test_the_pose_is_a_rigid_transform(camera: Camera) -> None:
    rotation = camera.camera_from_world[:3, :3]

    assert np.allclose(rotation @ rotation.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(rotation) == pytest.approx(1.0)


def test_the_target_is_on_the_right_seen_face_on_and_ahead_down_the_line() -> None:
    towards = np.array([[0.0, 0.0, 0.5], [0.5, 0.0, 0.5]])

    face_on = FACE_ON.project(towards)
    ahead_m = DOWN_THE_LINE.seen(towards)[:, 2]

    assert face_on[1, 0] > face_on[0, 0]
    assert ahead_m[1] > ahead_m[0]


def test_a_left_handed_golfer_has_his_cameras_across_the_line() -> None:
    right, left = cameras_for(Hand.RIGHT), cameras_for(Hand.LEFT)

    assert [c.view for c in left] == [View.FACE_ON, View.DOWN_THE_LINE]
    for one, other in zip(right, left, strict=True):
        assert one.at_m == (other.at_m[0], -other.at_m[1], other.at_m[2])


def test_frame_times_count_intervals_without_drift() -> None:
    times = FACE_ON.frame_times_ns(1000, 121)

    assert times[0] == 1000
    assert times[120] == 1_000_001_000


def test_placements_give_the_asked_pictures() -> None:
    upright, large = CAMERAS["upright"].lens, CAMERAS["1080p"].lens

    assert (upright.width_px, upright.height_px) == (720, 1280)
    assert (large.width_px, large.height_px) == (1920, 1080)


def test_a_larger_picture_shows_the_same_at_one_and_a_half_times_the_place() -> None:
    points = np.random.default_rng(7).uniform((-1.0, -0.4, 0.0), (1.0, 1.2, 2.0), (50, 3))

    small, large = FACE_ON.project(points), CAMERAS["1080p"].project(points)

    assert np.allclose((large + 0.5) / 1.5 - 0.5, small, atol=1e-9)


def test_a_tilt_to_the_right_lifts_the_right_end_of_a_level_line() -> None:
    line = np.array([[-1.0, 0.0, 1.0], [1.0, 0.0, 1.0]])

    ends = FACE_ON.placed(Placement(roll_deg=2.0)).project(line)

    rise_deg = np.degrees(np.arctan2(ends[0, 1] - ends[1, 1], ends[1, 0] - ends[0, 0]))
    assert rise_deg == pytest.approx(2.0, abs=0.3)
