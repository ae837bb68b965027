"""Tracks as a perfect network would give them: an invented golfer's own joints, projected."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from capturestation.records import FloatArray, Hand, IntArray, View
from capturestation.swing.tracks import JOINTS, BodyTrack, ClubTrack, Joint, MotionTrack
from sample_sessions.cameras import Camera, cameras_for
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.parameters import SwingParameters

STEP_NS = 16_666_667
_EAR_M = 0.075


def camera_of(view: View, hand: Hand = Hand.RIGHT) -> Camera:
    """The usual camera of a view."""
    return next(camera for camera in cameras_for(hand) if camera.view is view)


def times(start_s: float = -1.4, stop_s: float = 0.8, step_ns: int = STEP_NS) -> IntArray:
    """Even stamps on the swing's clock."""
    return np.arange(round(start_s * 1e9), round(stop_s * 1e9), step_ns, dtype=np.int64)


def projected(
    view: View,
    *,
    hand: Hand = Hand.RIGHT,
    golfer: Golfer | None = None,
    camera: Camera | None = None,
    times_ns: IntArray | None = None,
) -> BodyTrack:
    """A golfer's joints in a view."""
    who = golfer or Golfer(SwingParameters(hand=hand))
    seen_by = camera or camera_of(view, who.swing.hand)
    stamps = times() if times_ns is None else times_ns
    pose = who.pose(stamps / 1e9)
    at = np.stack([seen_by.project(point) for point in joints_m(pose)], axis=1)
    return BodyTrack(times_ns=stamps, joints_px=at, seen=np.ones((len(stamps), len(JOINTS))))


def joints_m(pose: Pose) -> Sequence[FloatArray]:
    """All joints of a pose in the bay, metres; the invented head has its ears where they'd be."""
    ear = _EAR_M * np.cross(pose.gaze, pose.head_up)
    side = np.sign(np.sum(ear * pose.chest_side, axis=1, keepdims=True))
    invented = {
        Joint.NOSE: pose.head + 0.1 * pose.gaze,
        Joint.LEAD_EAR: pose.head + side * ear,
        Joint.TRAIL_EAR: pose.head - side * ear,
    }
    return [
        invented[joint] if joint in invented else getattr(pose, joint.replace(" ", "_"))
        for joint in JOINTS
    ]


def club_projected(
    view: View,
    *,
    golfer: Golfer | None = None,
    camera: Camera | None = None,
    times_ns: IntArray | None = None,
) -> ClubTrack:
    """A golfer's club in a view."""
    who = golfer or Golfer(SwingParameters())
    seen_by = camera or camera_of(view, who.swing.hand)
    stamps = times() if times_ns is None else times_ns
    pose = who.pose(stamps / 1e9)
    grip, head = (seen_by.project(at) for at in (pose.lead_hand, pose.club_hosel))
    along = head - grip
    return ClubTrack(
        times_ns=stamps, grip_px=grip, head_px=head,
        shaft_deg=np.degrees(np.arctan2(along[:, 1], along[:, 0])), confidence=np.ones(len(stamps)),
    )  # fmt: skip


def fundamental(one: Camera, other: Camera) -> FloatArray:
    """A pixel of `one` to its line in `other`, lenses taken as straight."""
    turn = other.rotation @ one.rotation.T
    shift = other.rotation @ (np.asarray(one.at_m) - np.asarray(other.at_m))
    across = np.array(
        [[0, -shift[2], shift[1]], [shift[2], 0, -shift[0]], [-shift[1], shift[0], 0]]
    )
    inward = [np.linalg.inv(_matrix(camera)) for camera in (one, other)]
    found: FloatArray = inward[1].T @ across @ turn @ inward[0]
    return found


def _matrix(camera: Camera) -> FloatArray:
    (cx, cy), focal = camera.lens.centre_px, camera.lens.focal_px
    return np.array([[focal, 0.0, cx], [0.0, focal, cy], [0.0, 0.0, 1.0]])


def moved(golfer: Golfer, *, rate_hz: int = 120) -> MotionTrack:
    """How much a view would see move: as fast as club and hands are, and nothing at rest."""
    stamps = times(-1.9, 1.0, round(1e9 / rate_hz))
    pose = golfer.pose(stamps / 1e9)
    steps = [
        np.linalg.norm(np.diff(at, axis=0), axis=1)
        for at in (pose.club_face, pose.club_butt, pose.lead_elbow)
    ]
    middles = stamps[:-1] + np.diff(stamps) // 2
    return MotionTrack(times_ns=middles, energy=np.asarray(sum(steps), dtype=np.float64))
