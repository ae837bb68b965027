"""Who and what else is in the bay: somebody walking by, a hand that tees a ball, spare balls.

Owns their places in time. They are drawn by the same rings as the golfer; nobody has a likeness.
"""

from __future__ import annotations

import numpy as np

from capturestation.records import FloatArray, Hand
from sample_sessions.body import Body
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.clubs import BALL_RADIUS_M
from sample_sessions.curves import bend, rows, unit
from sample_sessions.extras import ball
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.rings import Faces, joined
from sample_sessions.surfaces import arms, slow_faces

_PASSER = Body(1.72)
_PASSERS_CLOTHES = Clothes(
    shirt=(122, 84, 78), trousers=(56, 60, 74), cap=(74, 58, 46), skin=(176, 128, 98),
    hair=(40, 34, 30), shoes=(60, 56, 54), belt=(48, 44, 42), glove=(176, 128, 98),
)  # fmt: skip
_STEP_M = 0.68
_HALF_WAY_M = 4.5
# Further from the ball than this he is not in the bay.
_KNEELS_AT_M = (0.74, 0.10)
_REACH_S = 0.55
_STAYS_S = 0.35


def others(golfer: Golfer, time_s: float) -> list[Pose]:
    """The people in the bay besides the golfer, where they are at a time."""
    around = golfer.swing.around
    there = []
    if around.passes_s is not None:
        gone_m = around.passes_m_s * (time_s - around.passes_s)
        if abs(gone_m) < _HALF_WAY_M:
            there.append(walking(gone_m, around.passes_y_m, float(np.sign(around.passes_m_s))))
    if around.re_tee_s is not None and abs(time_s - around.re_tee_s) < _REACH_S + _STAYS_S:
        there.append(kneeling(golfer.ball_at, time_s - around.re_tee_s))
    return [pose.mirrored() for pose in there] if golfer.swing.hand is Hand.LEFT else there


def company(golfer: Golfer, time_s: float) -> list[Faces]:
    """Everything that moves or lies about besides golfer, club and the ball in play."""
    around = golfer.swing.around
    balls = [_lying(x, y) for x, y in around.spare_balls_m]
    if around.re_tee_s is not None and time_s - around.re_tee_s > -_REACH_S - _STAYS_S:
        balls.append(_next_ball(golfer, time_s - around.re_tee_s))
    flip = np.array([1.0, -1.0 if golfer.swing.hand is Hand.LEFT else 1.0, 1.0])
    there = [joined([ball(at * flip, around.ball_rgb)]) for at in balls]
    for pose in others(golfer, time_s):
        at = Reader(pose, 0, _PASSER)
        there += [slow_faces(at, _PASSERS_CLOTHES), joined(arms(at, _PASSERS_CLOTHES))]
    return there


def _lying(x_m: float, y_m: float) -> FloatArray:
    return np.array([x_m, y_m, BALL_RADIUS_M])


def _next_ball(golfer: Golfer, since_s: float) -> FloatArray:
    """In the hand until it is set down, then where the last one lay."""
    if since_s >= 0.0:
        return np.asarray(golfer.ball_at, dtype=np.float64)
    hand = kneeling(golfer.ball_at, since_s).lead_hand[0]
    return np.asarray(hand - np.array([0.05, 0.0, 0.03]), dtype=np.float64)


def walking(gone_m: float, y_m: float, forward: float) -> Pose:
    """Somebody in mid-stride, `gone_m` past the ball, walking along x; arms and legs in turn."""
    phase = 2.0 * np.pi * gone_m / (2.0 * _STEP_M)
    ahead, side = np.array([forward, 0.0, 0.0]), np.array([0.0, forward, 0.0])
    bob_m = 0.015 * float(np.cos(2.0 * phase))
    hips = np.array([gone_m, y_m, 0.925 + bob_m])
    joints: dict[str, FloatArray] = {}
    for name, sign in (("lead", 1.0), ("trail", -1.0)):
        swing = sign * float(np.sin(phase))
        lift_m = 0.09 * max(0.0, sign * float(np.cos(phase)))
        ankle = hips * [1.0, 1.0, 0.0] + 0.34 * swing * ahead + 0.08 * sign * side
        joints[f"{name}_ankle"] = ankle + np.array([0.0, 0.0, 0.09 + lift_m])
        hand = hips - 0.24 * swing * ahead + 0.24 * sign * side
        joints[f"{name}_hand"] = hand + np.array([0.0, 0.0, -0.06 + 0.05 * abs(swing)])
    return _posed(hips, np.array([0.05 * forward, 0.0, 1.0]), ahead, joints)


def kneeling(ball_at: FloatArray, since_s: float) -> Pose:
    """Somebody on one knee beyond the ball, whose lead hand goes to it and back."""
    x_m, y_m = _KNEELS_AT_M
    hips = np.array([x_m, y_m, 0.46])
    ahead = np.array([-1.0, 0.0, 0.0])
    share = float(np.clip(abs(since_s) / _REACH_S, 0.0, 1.0))
    share = share * share * (3.0 - 2.0 * share)
    down = ball_at + np.array([0.05, 0.0, 0.03])
    rest = np.array([x_m - 0.36, y_m - 0.16, 0.50])
    joints = {
        "lead_ankle": np.array([x_m + 0.30, y_m - 0.12, 0.09]),
        "trail_ankle": np.array([x_m - 0.24, y_m + 0.16, 0.09]),
        "lead_hand": (1.0 - share) * down + share * rest,
        "trail_hand": np.array([x_m - 0.26, y_m + 0.16, 0.56]),
    }
    lean = 0.55 + 1.2 * (1.0 - share)
    return _posed(hips, np.array([-lean, -0.25, 1.0]), ahead, joints)


def _posed(
    hips: FloatArray, up: FloatArray, ahead: FloatArray, joints: dict[str, FloatArray]
) -> Pose:
    """Fill in a figure that faces `ahead` from hips, spine, ankles and hands."""
    body, up = _PASSER, np.asarray(unit(up[None]))[0]
    side = np.cross(up, ahead)
    side = side / np.linalg.norm(side)
    chest = hips + body.trunk_m * up
    made = {name: place[None] for name, place in joints.items()}
    for name, sign in (("lead", 1.0), ("trail", -1.0)):
        hip, shoulder = hips + sign * body.hip_half_m * side, chest + sign * 0.17 * side
        ankle = _within(hip, joints[f"{name}_ankle"], body.thigh_m + body.shank_m)
        hand = _within(shoulder, joints[f"{name}_hand"], body.arm_m)
        flat = unit(rows(ahead[0], ahead[1], 0.0))
        wrist = hand + body.hand_m * unit(shoulder[None] - hand)
        made |= {
            f"{name}_hip": hip[None], f"{name}_shoulder": shoulder[None],
            f"{name}_knee": bend(hip[None], ankle, (body.thigh_m, body.shank_m), ahead[None]),
            f"{name}_ankle": ankle, f"{name}_hand": hand, f"{name}_wrist": wrist,
            f"{name}_elbow": bend(
                shoulder[None], wrist, (body.upper_arm_m, body.forearm_m), -ahead[None] - up
            ),
            f"{name}_heel": ankle - 0.06 * flat - [0.0, 0.0, 0.085],
            f"{name}_toe": ankle + 0.19 * flat - [0.0, 0.0, 0.085],
        }  # fmt: skip
    nothing = np.zeros((1, 3))
    face = unit(rows(ahead[0], ahead[1], -0.1))
    return Pose(
        pelvis=hips[None], pelvis_side=side[None], chest=chest[None], chest_side=side[None],
        spine_up=up[None], head=chest[None] + 0.122 * body.height_m * unit(up[None] + [0, 0, 0.5]),
        head_up=rows(0.0, 0.0, 1.0), gaze=face, club_butt=nothing, club_face=nothing,
        club_hosel=rows(0.0, 0.0, -1.0), club_toe=rows(1.0, 0.0, 0.0), ball=nothing, **made,
    )  # fmt: skip


def _within(root: FloatArray, end: FloatArray, most_m: float) -> FloatArray:
    """The end, drawn in to what a limb can reach; shape (1, 3)."""
    gap = end - root
    far = float(np.linalg.norm(gap))
    return np.asarray((root + gap * min(1.0, 0.998 * most_m / far))[None], dtype=np.float64)
