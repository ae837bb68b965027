"""People and balls around the golfer."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FloatArray, Hand
from sample_sessions.cameras import cameras_for
from sample_sessions.company import company, is_there, others, teeing
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.parameters import SwingParameters
from sample_sessions.surroundings import SAFE_RE_TEE_S, Surroundings

BALL_AT = np.array([0.0, 0.0, 0.0213])
JOINTS = ("pelvis", "chest", "head", "lead_hand", "trail_hand", "lead_ankle", "trail_ankle")


def _tees(re_tee_s: float, hand: Hand = Hand.RIGHT) -> Golfer:
    return Golfer(SwingParameters(hand=hand, around=Surroundings(re_tee_s=re_tee_s)))


def _joints(pose: Pose) -> FloatArray:
    return np.stack([getattr(pose, name)[0] for name in JOINTS])


def test_who_tees_the_ball_comes_and_goes_without_a_jump() -> None:
    since_s = np.arange(-9000, 9000, 5) / 1000.0

    steps_m = np.abs(np.diff([_joints(teeing(BALL_AT, float(t))) for t in since_s], axis=0))

    # Four metres a second is as fast as a foot swings forward.
    assert steps_m.max() < 4.0 * 0.005


@pytest.mark.parametrize("hand", list(Hand))
def test_he_enters_and_leaves_where_no_camera_looks(hand: Hand) -> None:
    golfer = _tees(12.0, hand)
    there = [bool(others(golfer, 12.0 + t)) for t in np.arange(-12.0, 12.0, 0.01)]
    first = int(np.argmax(there))
    last = len(there) - 1 - int(np.argmax(there[::-1]))

    assert 0 < first < last < len(there) - 1
    assert all(there[first : last + 1])
    for place in (first, last):
        (pose,) = others(golfer, 12.0 + (-12.0 + 0.01 * place))
        for camera in cameras_for(hand):
            seen = camera.seen(_joints(pose))
            ahead = seen[:, 2] > 0.1
            spots = camera.pixels(seen[ahead])
            outside = (spots < 0.0) | (spots >= [camera.lens.width_px, camera.lens.height_px])
            assert outside.any(axis=1).all(), camera.name


def test_his_hand_lets_the_ball_go_where_the_last_one_lay() -> None:
    hand = teeing(BALL_AT, 0.0).lead_hand[0]

    assert np.linalg.norm(hand - BALL_AT) < 0.06
    assert teeing(BALL_AT, 0.0).pelvis[0, 2] < 0.5
    assert teeing(BALL_AT, 4.0).pelvis[0, 2] > 0.85


def test_the_ball_goes_from_his_hand_to_its_place_without_a_jump() -> None:
    golfer = _tees(9.0)

    middles = [
        company(golfer, 9.0 + t)[0].corners.mean(axis=0) for t in np.arange(-700, 200, 5) / 1000.0
    ]

    assert np.linalg.norm(np.diff(middles, axis=0), axis=1).max() < 0.02
    assert np.allclose(middles[-1], golfer.ball_at, atol=1e-3)


def test_nobody_is_ahead_of_the_ball_when_it_is_struck() -> None:
    (pose,) = others(_tees(SAFE_RE_TEE_S), 0.0)

    assert pose.pelvis[0, 1] > 1.8
    assert not is_there(-20.0)


@pytest.mark.parametrize("re_tee_s", [-6.0, 1.2, SAFE_RE_TEE_S - 0.1])
def test_a_ball_teed_before_the_last_has_flown_is_refused(re_tee_s: float) -> None:
    with pytest.raises(ValueError, match="nobody stands ahead"):
        Surroundings(re_tee_s=re_tee_s)
    assert Surroundings(re_tee_s=SAFE_RE_TEE_S).re_tee_s == SAFE_RE_TEE_S
