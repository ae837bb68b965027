"""Laws of the invented golfer's motion."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from capturestation.records import FloatArray, Hand, SwingKind
from sample_sessions.clubs import BALL_RADIUS_M, CLUBS
from sample_sessions.golfer import NET_X_M, Golfer, Pose
from sample_sessions.parameters import SwingParameters

TIMES_S = np.arange(-1400, 1200) / 1000.0
PITCH = SwingParameters(
    club_name="sand wedge",
    kind=SwingKind.PITCH,
    lean_deg=31.0,
    pelvis_top_deg=28.0,
    chest_top_deg=52.0,
    downswing_s=0.30,
)
SWINGS = [*(SwingParameters(club_name=name) for name in CLUBS), PITCH]
EVERY = pytest.mark.parametrize("swing", SWINGS, ids=lambda s: f"{s.club_name} {s.kind}")


def _length(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.norm(a - b, axis=1), dtype=np.float64)


def _angle_deg(a: FloatArray, joint: FloatArray, b: FloatArray) -> FloatArray:
    u, v = a - joint, b - joint
    cosine = np.sum(u * v, axis=1) / (np.linalg.norm(u, axis=1) * np.linalg.norm(v, axis=1))
    return np.asarray(np.degrees(np.arccos(cosine)), dtype=np.float64)


def _at(swing: SwingParameters, time_s: float) -> Pose:
    return Golfer(swing).pose(np.array([time_s]))


def _peak_turn_s(side: FloatArray) -> tuple[float, float]:
    """Highest opening speed in deg/s of the downswing and its time."""
    near = (TIMES_S > -0.27) & (TIMES_S < 0.2)
    turn = np.degrees(np.unwrap(np.arctan2(side[:, 1], side[:, 0])))
    speed = np.gradient(turn, TIMES_S)
    place = int(np.argmax(np.where(near, speed, -np.inf)))
    return float(speed[place]), float(TIMES_S[place])


@EVERY
def test_the_face_meets_the_ball_at_zero_within_a_millimetre(swing: SwingParameters) -> None:
    golfer = Golfer(swing)

    face = golfer.pose(np.zeros(1)).club_face[0]

    assert np.allclose(face, golfer.ball_at - [BALL_RADIUS_M, 0.0, 0.0], atol=1e-3)


@EVERY
def test_limbs_and_shaft_keep_their_lengths(swing: SwingParameters) -> None:
    pose = Golfer(swing).pose(TIMES_S)
    rods = [("club_butt", "club_hosel"), ("lead_hip", "trail_hip")]
    for side in ("lead", "trail"):
        rods += [(f"{side}_hip", f"{side}_knee"), (f"{side}_knee", f"{side}_ankle")]
        rods += [(f"{side}_shoulder", f"{side}_elbow"), (f"{side}_elbow", f"{side}_wrist")]
        rods += [(f"{side}_wrist", f"{side}_hand")]

    for a, b in rods:
        lengths = _length(getattr(pose, a), getattr(pose, b))
        assert np.ptp(lengths) < 1e-6, (a, b)


@EVERY
def test_shoulder_blades_give_way_by_a_few_centimetres_only(swing: SwingParameters) -> None:
    pose = Golfer(swing).pose(TIMES_S)

    width = _length(pose.lead_shoulder, pose.trail_shoulder)

    assert width.max() / width.min() < 1.15


@EVERY
def test_nothing_jumps(swing: SwingParameters) -> None:
    pose = Golfer(swing).pose(TIMES_S)
    still = {"ball", "club_toe", "gaze", "pelvis_side", "chest_side", "spine_up", "head_up"}

    for name in {field.name for field in fields(pose)} - still:
        step_m = np.linalg.norm(np.diff(getattr(pose, name), axis=0), axis=1)
        assert step_m.max() < (0.055 if name.startswith("club") else 0.016), name


@EVERY
def test_feet_stay_on_the_ground_and_the_lead_foot_stays_put(swing: SwingParameters) -> None:
    pose = Golfer(swing).pose(TIMES_S)

    assert np.ptp(pose.lead_ankle, axis=0).max() < 1e-9
    assert np.ptp(pose.trail_toe[TIMES_S < 0.0], axis=0).max() < 1e-3
    assert pose.trail_ankle[:, 2].min() > 0.05


def test_nobody_moves_at_set_and_the_finish_is_held() -> None:
    golfer = Golfer(SwingParameters())
    before, after = golfer.pose(np.array([-1.6, -1.2])), golfer.pose(np.array([0.9, 1.4]))

    for name in ("club_face", "head", "lead_hand", "pelvis", "trail_ankle"):
        assert np.ptp(getattr(before, name), axis=0).max() < 1e-9
        assert np.ptp(getattr(after, name), axis=0).max() < 1e-9


def test_a_left_handed_swing_is_the_mirror_image() -> None:
    right = Golfer(SwingParameters()).pose(TIMES_S[::50])
    left = Golfer(SwingParameters(hand=Hand.LEFT)).pose(TIMES_S[::50])

    for name in (field.name for field in fields(right)):
        assert np.array_equal(getattr(left, name), getattr(right, name) * [1.0, -1.0, 1.0]), name


@pytest.mark.parametrize(("club", "low", "high"), [("driver", 41.0, 47.0), ("7 iron", 34.0, 38.5)])
def test_the_club_head_is_as_fast_as_a_good_amateurs(club: str, low: float, high: float) -> None:
    pose = Golfer(SwingParameters(club_name=club)).pose(np.array([-1e-4, 1e-4]))

    velocity = np.diff(pose.club_face, axis=0)[0] / 2e-4

    assert low < np.linalg.norm(velocity) < high
    assert velocity[0] > 0.98 * np.linalg.norm(velocity)


def test_pelvis_then_chest_reach_their_speeds_in_the_published_order() -> None:
    pose = Golfer(SwingParameters()).pose(TIMES_S)

    pelvis_deg_s, pelvis_at_s = _peak_turn_s(pose.pelvis_side)
    chest_deg_s, chest_at_s = _peak_turn_s(pose.chest_side)

    # Meister et al. 2011: the pelvis peaks in the downswing, the torso after the pelvis.
    assert 350.0 < pelvis_deg_s < 550.0
    assert 450.0 < chest_deg_s < 750.0
    assert pelvis_at_s < -0.03
    assert pelvis_at_s < chest_at_s


def test_angles_lie_where_real_golfers_have_them() -> None:
    # Percentiles 5 and 95 of Jung et al., CVPR Workshops 2025.
    at_set, top, hit = (_at(SwingParameters(), t) for t in (-1.3, -0.27, 0.0))
    line = at_set.lead_shoulder - at_set.trail_shoulder
    trunk = at_set.chest - at_set.pelvis
    stance = _length(at_set.lead_ankle, at_set.trail_ankle)
    across = _length(at_set.lead_shoulder, at_set.trail_shoulder)

    assert 4.7 < np.degrees(np.arctan2(line[0, 2], line[0, 0])) < 17.7
    assert 56.0 < np.degrees(np.arctan2(trunk[0, 2], abs(trunk[0, 1]))) < 83.0
    assert 1.0 < stance[0] / across[0] < 1.85
    assert 148.0 < _angle_deg(at_set.trail_hip, at_set.trail_knee, at_set.trail_ankle)[0] < 171.9
    assert 155.5 < _angle_deg(top.trail_hip, top.trail_knee, top.trail_ankle)[0] < 180.0
    assert 128.0 < _angle_deg(top.lead_hip, top.lead_knee, top.lead_ankle)[0] < 162.0
    assert 50.0 < _angle_deg(top.trail_shoulder, top.trail_elbow, top.trail_wrist)[0] < 95.0
    assert 158.0 < _angle_deg(hit.lead_hip, hit.lead_knee, hit.lead_ankle)[0] < 180.0
    assert 133.0 < _angle_deg(hit.lead_shoulder, hit.lead_elbow, hit.lead_wrist)[0] < 180.0


def test_a_full_finish_stands_on_the_lead_leg() -> None:
    pose = _at(SwingParameters(), 1.0)

    assert pose.trail_heel[0, 2] > 0.10
    assert pose.trail_hip[0, 0] > pose.lead_hip[0, 0]
    assert abs(pose.pelvis[0, 0] - pose.lead_ankle[0, 0]) < 0.12


def test_the_ball_rests_flies_to_the_net_and_ends_on_the_floor() -> None:
    golfer = Golfer(SwingParameters())

    ball = golfer.pose(np.array([-1.0, 0.0, 0.02, 3.0])).ball

    assert np.allclose(ball[:2], golfer.ball_at)
    assert np.linalg.norm(ball[2] - ball[1]) == pytest.approx(0.02 * 49.0, rel=0.01)
    assert ball[3, 2] == pytest.approx(BALL_RADIUS_M)
    assert ball[3, 0] < NET_X_M


def test_arms_that_dont_reach_are_refused() -> None:
    with pytest.raises(ValueError, match="don't reach"):
        Golfer(SwingParameters(club_name="sand wedge", lean_deg=12.0))


@pytest.mark.parametrize(
    "wrong", [{"height_m": 0.9}, {"backswing_s": 3.0}, {"kind": SwingKind.PUTT}]
)
def test_parameters_that_nobody_swings_with_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"got|no golfer"):
        SwingParameters(**wrong)  # type: ignore[arg-type]


def test_an_unknown_club_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="7 iron"):
        SwingParameters(club_name="spoon")
