"""Laws of the invented golfer's motion."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from capturestation.records import FloatArray, Hand, Moment, SwingKind
from sample_sessions.ages import Age
from sample_sessions.cameras import cameras_for
from sample_sessions.clubs import BALL_RADIUS_M, CLUBS, IRON_7
from sample_sessions.golfer import NET_X_M, Golfer, Pose
from sample_sessions.moments import find_moments
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.people import part_swing, somebody
from tests.helpers.picture_angles import measured, table

TIMES_S = np.arange(-1400, 1200) / 1000.0
PITCH = SwingParameters(
    club_name="sand wedge",
    kind=SwingKind.PITCH,
    pelvis_top_deg=28.0,
    chest_top_deg=52.0,
    downswing_s=0.30,
)
SWINGS = [
    *(SwingParameters(club_name=name) for name in CLUBS),
    PITCH,
    part_swing(SwingParameters()),
]
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


@pytest.mark.parametrize("swing", [*SWINGS[:3], somebody(3), somebody(8)], ids=str)
def test_angles_in_the_picture_lie_where_real_golfers_have_them(swing: SwingParameters) -> None:
    values = measured(Golfer(swing), cameras_for(swing.hand))

    outside = [row.name for row, v in zip(table(), values, strict=True) if not row.holds(v)]
    assert len(outside) <= 1, outside


def test_most_golfers_fold_the_trail_arm_at_the_top_as_real_ones_do() -> None:
    place = next(n for n, row in enumerate(table()) if row.name == "down-the-line, top: trail arm")
    swings = [somebody(seed) for seed in range(12)]

    folds_deg = [measured(Golfer(swing), cameras_for(swing.hand))[place] for swing in swings]

    assert sum(table()[place].holds(fold_deg) for fold_deg in folds_deg) >= 10
    assert 55.0 < np.median(folds_deg) < 85.0


def test_the_trail_shoulder_blade_is_back_in_its_place_at_impact() -> None:
    golfer = Golfer(SwingParameters())
    pose = golfer.pose(np.array([-0.27, -0.02]))
    hangs = pose.chest - golfer.body.shoulder_half_m * pose.chest_side

    below_m = np.sum((hangs - pose.trail_shoulder) * pose.spine_up, axis=1)

    assert below_m[0] > 0.04
    assert below_m[1] < 0.01


def test_both_elbows_give_a_little_at_set() -> None:
    pose = _at(SwingParameters(), -1.3)

    assert _angle_deg(pose.trail_shoulder, pose.trail_elbow, pose.trail_wrist)[0] < 168.0
    assert _angle_deg(pose.lead_shoulder, pose.lead_elbow, pose.lead_wrist)[0] < 168.0


@pytest.mark.parametrize("age", list(Age))
def test_golfers_of_every_age_reach_the_ball_with_their_own_proportions(age: Age) -> None:
    golfer = Golfer(somebody(5, age=age))
    pose = golfer.pose(np.array([0.0]))
    grown = golfer.swing.height_m / 1.78

    assert np.allclose(pose.club_face[0], golfer.ball_at - [BALL_RADIUS_M, 0, 0], atol=1e-3)
    assert 0.78 * 1.5 * grown < pose.head[0, 2] < 1.0 * 1.78 * grown


def test_a_child_has_a_larger_head_for_its_height_and_a_shorter_club() -> None:
    child, adult = (Golfer(somebody(5, age=age)) for age in (Age.CHILD, Age.ADULT))

    assert child.body.head_share > adult.body.head_share
    assert child.body.thigh_m / child.body.height_m < adult.body.thigh_m / adult.body.height_m
    assert IRON_7.fitted(1.25).grip_to_face_m < 0.85 * IRON_7.grip_to_face_m


def test_a_part_swing_ends_its_backswing_with_the_lead_arm_about_level() -> None:
    times = find_moments(Golfer(part_swing(SwingParameters())))
    full, part, pitch = (
        Golfer(swing).pose(np.array([-swing.downswing_s])).lead_hand[0, 2]
        for swing in (SwingParameters(), part_swing(SwingParameters()), PITCH)
    )

    assert set(times) == set(Moment)
    assert None not in times.values()
    assert pitch + 0.15 < part < full - 0.15


def test_a_rehearsal_has_its_zero_at_the_bottom_of_the_arc_and_strikes_nothing() -> None:
    golfer = Golfer(replace(SwingParameters(), kind=SwingKind.REHEARSAL))
    near = np.arange(-200, 201) / 10_000.0
    pose = golfer.pose(near)

    assert abs(near[int(np.argmin(pose.club_face[:, 2]))]) <= 1e-4
    assert np.ptp(golfer.pose(TIMES_S).ball, axis=0).max() == 0.0
    assert _length(pose.club_face, pose.ball).min() > 0.08


def test_who_stands_up_has_lost_lean_at_impact_and_the_hips_are_nearer_the_ball() -> None:
    plain, up = (
        _at(replace(SwingParameters(), departures=Departures(stand_up_deg=deg)), 0.0)
        for deg in (0.0, 8.0)
    )
    lean_deg = [
        np.degrees(np.arctan2(-pose.spine_up[0, 1], pose.spine_up[0, 2])) for pose in (plain, up)
    ]

    assert lean_deg[0] - lean_deg[1] == pytest.approx(8.0, abs=1.0)
    assert up.pelvis[0, 1] < plain.pelvis[0, 1] - 0.04
    assert np.allclose(up.club_face, plain.club_face, atol=1e-3)


def test_who_falls_back_ends_on_the_trail_foot_and_holds_no_finish() -> None:
    later_s = np.array([0.9, 1.1, 1.4, 1.7])
    held, falls = (
        Golfer(replace(SwingParameters(), departures=Departures(falls_back_m=m))).pose(later_s)
        for m in (0.0, 0.12)
    )

    assert np.ptp(held.pelvis, axis=0).max() < 1e-9
    assert np.ptp(falls.pelvis[:, 0]) > 0.03
    assert falls.pelvis[:, 0].max() < held.pelvis[0, 0] - 0.05
    assert falls.trail_heel[0, 2] < 0.5 * held.trail_heel[0, 2]


def _gap_m(pose: Pose, place: FloatArray) -> FloatArray:
    """From a place to the shaft, shape (n,)."""
    shaft = pose.club_hosel - pose.club_butt
    along = np.clip(
        np.sum((place - pose.club_butt) * shaft, axis=1) / np.sum(shaft**2, axis=1), 0, 1
    )
    return _length(place, pose.club_butt + along[:, None] * shaft)


@pytest.mark.parametrize("swing", [*SWINGS, somebody(3), somebody(11)], ids=str)
def test_the_shaft_goes_round_head_and_neck_not_through_them(swing: SwingParameters) -> None:
    pose, grown = Golfer(swing).pose(TIMES_S[::20]), swing.height_m / 1.78

    for share in (0.3, 0.6, 1.0):
        place = (1.0 - share) * pose.chest + share * pose.head
        assert _gap_m(pose, place).min() > (0.08 + 0.04 * share) * grown


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
        Golfer(SwingParameters(club_name="sand wedge", lean_deg=0.0))


@pytest.mark.parametrize(
    "wrong", [{"height_m": 0.9}, {"backswing_s": 3.0}, {"kind": SwingKind.PUTT}]
)
def test_parameters_that_nobody_swings_with_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"got|no golfer"):
        SwingParameters(**wrong)  # type: ignore[arg-type]


def test_an_unknown_club_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="7 iron"):
        SwingParameters(club_name="spoon")
