"""The sample cameras' own projection against an independent library."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.records import Hand, View
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera, cameras_for

BOTH = pytest.mark.parametrize("camera", [FACE_ON, DOWN_THE_LINE], ids=lambda c: str(c.view))


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
