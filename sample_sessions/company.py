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
_KNEELS_AT_M = np.array([0.74, 0.10])
_REACH_S, _STAYS_S, _RISES_S, _TURNS_S, _SETS_OFF_S = 0.55, 0.35, 0.80, 0.70, 0.50
# His hand's way to the ball, a moment's rest, up from the knee, round, up to his pace.
_PACE_M_S = 1.3
_STEPS_UP_M, _BEND_M, _AISLE_M = 0.20, 0.95, 5.4
# His way from where he kneels: ahead of the ball, half round, then along behind the golfer.
_STANDS = {
    "hips": (0.0, 0.0, 0.925), "up": (0.05, 0.0, 1.0),
    "lead_ankle": (0.0, 0.09, 0.09), "trail_ankle": (0.0, -0.09, 0.09),
    "lead_hand": (0.04, 0.24, 0.79), "trail_hand": (0.04, -0.24, 0.79),
}  # fmt: skip
_KNEELS = {
    "hips": (0.0, 0.0, 0.46), "up": (0.55, 0.25, 1.0),
    "lead_ankle": (-0.30, 0.12, 0.09), "trail_ankle": (0.24, -0.16, 0.09),
    "lead_hand": (0.36, 0.16, 0.50), "trail_hand": (0.26, -0.16, 0.56),
}  # fmt: skip
# Seen from himself: ahead, to his lead side, up.
_BALL_IN_HAND_M = np.array([0.05, 0.0, -0.03])


def others(golfer: Golfer, time_s: float) -> list[Pose]:
    """The people in the bay besides the golfer, where they are at a time."""
    around = golfer.swing.around
    there = []
    if around.passes_s is not None:
        gone_m = around.passes_m_s * (time_s - around.passes_s)
        if abs(gone_m) < _HALF_WAY_M:
            there.append(walking(gone_m, around.passes_y_m, float(np.sign(around.passes_m_s))))
    if around.re_tee_s is not None and is_there(time_s - around.re_tee_s):
        there.append(teeing(golfer.ball_at, time_s - around.re_tee_s))
    return [pose.mirrored() for pose in there] if golfer.swing.hand is Hand.LEFT else there


def company(golfer: Golfer, time_s: float) -> list[Faces]:
    """Everything that moves or lies about besides golfer, club and the ball in play."""
    around = golfer.swing.around
    balls = [_lying(x, y) for x, y in around.spare_balls_m]
    since_s = -np.inf if around.re_tee_s is None else time_s - around.re_tee_s
    if since_s >= 0.0 or is_there(since_s):
        balls.append(_next_ball(golfer, since_s))
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
    pose = teeing(golfer.ball_at, since_s)
    ahead = pose.gaze[0] * np.array([1.0, 1.0, 0.0])
    off = _BALL_IN_HAND_M[0] * ahead / np.linalg.norm(ahead)
    return np.asarray(pose.lead_hand[0] + off + [0.0, 0.0, _BALL_IN_HAND_M[2]], dtype=np.float64)


def walking(gone_m: float, y_m: float, forward: float) -> Pose:
    """Somebody in mid-stride, `gone_m` past the ball, walking along x; arms and legs in turn."""
    heading = 0.0 if forward > 0.0 else np.pi
    return _placed(_striding(gone_m * forward, 1.0), np.array([gone_m, y_m]), heading)


def is_there(since_s: float) -> bool:
    """Whether whoever tees the ball is in the bay, from so long before it lies or after."""
    return _gone_m(since_s) < _STEPS_UP_M + np.pi * _BEND_M + _AISLE_M


def teeing(ball_at: FloatArray, since_s: float) -> Pose:
    """Somebody who walks up, kneels beyond the ball, sets it down, rises and walks off.

    Args:
        ball_at: Where the ball is to lie, shape (3,).
        since_s: Since his hand let go of it; negative before.
    """
    gone_m = _gone_m(since_s)
    place, heading = _on_his_way(gone_m)
    knee = 1.0 - _eased((abs(since_s) - _REACH_S - _STAYS_S) / _RISES_S)
    stride = min(gone_m / (0.5 * _PACE_M_S * _SETS_OFF_S), 1.0)
    # The same way back, turned round.
    turn = 0.0 if since_s < 0.0 else _eased((since_s - _REACH_S - _STAYS_S - _RISES_S) / _TURNS_S)
    upright = _striding(gone_m if since_s > 0.0 else -gone_m, _eased(stride))
    seen = {name: (1.0 - knee) * upright[name] + knee * np.array(_KNEELS[name]) for name in upright}
    shuffle_m = 0.06 * np.sin(np.pi * knee) + 0.05 * np.sin(2.0 * np.pi * turn) ** 2
    seen["lead_ankle"] = seen["lead_ankle"] + [0.0, 0.0, shuffle_m]
    near = 1.0 - _eased(abs(since_s) / _REACH_S)
    seen["up"] = seen["up"] + [1.4 * near, 0.0, 0.0]
    down = ball_at - np.array([*place, 0.0])
    # Kneeling he looks back along the target line.
    down = down * [-1.0, -1.0, 1.0] - _BALL_IN_HAND_M
    seen["lead_hand"] = (1.0 - near) * seen["lead_hand"] + near * down
    return _placed(seen, place, heading + np.pi * turn)


def _eased(share: float) -> float:
    share = float(np.clip(share, 0.0, 1.0))
    return share * share * (3.0 - 2.0 * share)


def _gone_m(since_s: float) -> float:
    """How far he is from where he kneels, on his way there or back."""
    still_s = _REACH_S + _STAYS_S + _RISES_S + (_TURNS_S if since_s > 0.0 else 0.0)
    walks_s = max(abs(since_s) - still_s, 0.0)
    if walks_s < _SETS_OFF_S:
        return 0.5 * _PACE_M_S * walks_s**2 / _SETS_OFF_S
    return _PACE_M_S * (walks_s - 0.5 * _SETS_OFF_S)


def _on_his_way(gone_m: float) -> tuple[FloatArray, float]:
    """Where he is so far from where he kneels, and the way he faces coming up; radians from x."""
    turned = float(np.clip((gone_m - _STEPS_UP_M) / _BEND_M, 0.0, np.pi))
    aisle_m = max(gone_m - _STEPS_UP_M - np.pi * _BEND_M, 0.0)
    x = min(gone_m, _STEPS_UP_M) + _BEND_M * np.sin(turned) - aisle_m
    y = _BEND_M * (1.0 - np.cos(turned))
    return _KNEELS_AT_M + np.array([x, y]), np.pi + turned


def _striding(gone_m: float, stride: float) -> dict[str, FloatArray]:
    """Upright, seen from himself; `stride` is 0 for standing, 1 for his usual steps."""
    phase = np.pi * gone_m / _STEP_M
    seen = {name: np.array(at) for name, at in _STANDS.items()}
    seen["hips"][2] += 0.015 * stride * np.cos(2.0 * phase)
    for name, sign in (("lead", 1.0), ("trail", -1.0)):
        swing = sign * stride * np.sin(phase)
        lift_m = 0.09 * stride * max(0.0, sign * np.cos(phase))
        seen[f"{name}_ankle"] += [0.34 * swing, 0.0, lift_m]
        seen[f"{name}_hand"] += [-0.24 * swing, 0.0, 0.05 * abs(swing)]
    return seen


def _placed(seen: dict[str, FloatArray], place: FloatArray, heading: float) -> Pose:
    """A figure seen from himself, put into the bay."""
    cos, sin = np.cos(heading), np.sin(heading)
    turned = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    at = np.array([*place, 0.0])
    joints = {name: turned @ spot + at for name, spot in seen.items() if name not in {"hips", "up"}}
    return _posed(turned @ seen["hips"] + at, turned @ seen["up"], turned[:, 0], joints)


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
