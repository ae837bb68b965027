"""The invented body: its sizes, and where trunk and legs are for given turns.

Sizes are the usual shares of a person's height. Owns hips to head and feet; refuses arms and club,
which depend on the ball and live in `golfer`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray
from sample_sessions.ages import ADULTS, Proportions
from sample_sessions.courses import Courses, Ends
from sample_sessions.curves import across, bend, cross3, folded_span, rows, turn_about, unit
from sample_sessions.parameters import SwingParameters

PELVIS_LEAN_DEG = 12.0
GIRDLE_DROP_DEG = 2.0
# The trail hand is lower on the grip, so the trail shoulder hangs a little.
KNEE_LIMIT_SHARE = 0.9985
_SOFT_M = 0.006


@dataclass(frozen=True, slots=True)
class Body:
    """Lengths in metres as shares of the height, by age.

    Args:
        height_m: From the ground to the crown.
        shares: What the age makes of an adult's proportions.
        girth: Thickness as a share of a slim adult's.
    """

    height_m: float
    shares: Proportions = ADULTS
    girth: float = 1.0

    @property
    def head_share(self) -> float:
        """Size of the head as a share of an adult's of that height."""
        return self.shares.head

    @property
    def thigh_m(self) -> float:
        """Hip to knee."""
        return 0.245 * self.height_m * self.shares.legs

    @property
    def shank_m(self) -> float:
        """Knee to ankle."""
        return 0.246 * self.height_m * self.shares.legs

    @property
    def ankle_up_m(self) -> float:
        """Ankle above the sole, shoe included."""
        return 0.050 * self.height_m

    @property
    def ankle_behind_m(self) -> float:
        """From the ankle forward to the ball of the foot, where the foot rolls."""
        return 0.075 * self.height_m

    @property
    def hip_half_m(self) -> float:
        """Half the distance of the hip joints."""
        return 0.050 * self.height_m

    @property
    def trunk_m(self) -> float:
        """Middle of the hips to middle of the shoulders."""
        return 0.280 * self.height_m * self.shares.trunk

    @property
    def shoulder_half_m(self) -> float:
        """Half the distance of the shoulder joints."""
        return 0.101 * self.height_m * self.shares.shoulders

    @property
    def upper_arm_m(self) -> float:
        """Shoulder to elbow."""
        return 0.186 * self.height_m * self.shares.arms

    @property
    def forearm_m(self) -> float:
        """Elbow to wrist."""
        return 0.146 * self.height_m * self.shares.arms

    @property
    def hand_m(self) -> float:
        """Wrist to the middle of the grip in the hand."""
        return 0.052 * self.height_m

    @property
    def hand_gap_m(self) -> float:
        """From the lead hand's middle down the shaft to the trail hand's."""
        return 0.033 * self.height_m

    @property
    def arm_m(self) -> float:
        """Shoulder to grip of a straight arm."""
        return self.upper_arm_m + self.forearm_m + self.hand_m

    def arm_span(self, elbow_deg: FloatArray) -> FloatArray:
        """Shoulder to grip with that elbow angle; shape (n,)."""
        return folded_span((self.upper_arm_m, self.forearm_m), elbow_deg) + self.hand_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Trunk:
    """Hips to head; positions in metres, axes of length 1, shape (n, 3) each."""

    pelvis: FloatArray
    pelvis_side: FloatArray
    lead_hip: FloatArray
    trail_hip: FloatArray
    chest: FloatArray
    chest_side: FloatArray
    chest_ahead: FloatArray
    spine_up: FloatArray
    lead_shoulder: FloatArray
    trail_shoulder: FloatArray
    head: FloatArray
    head_up: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class _Feet:
    """Ankle, ball of the foot, toe tip, heel and the way the foot points, shape (n, 3) each."""

    ankle: FloatArray
    toe: FloatArray
    heel: FloatArray
    ahead: FloatArray


def trunk(
    now: Courses, body: Body, swing: SwingParameters, ends: Ends, stand_off_m: float
) -> Trunk:
    """Place hips, spine, shoulders and head, standing `stand_off_m` from the ball's line."""
    side = turn_about(
        rows(1.0, 0.0, 0.0),
        _leaning(PELVIS_LEAN_DEG, np.zeros_like(now.lean_deg)),
        -now.pelvis_turn_deg,
    )
    pelvis = _pelvis(now, body, swing, side, (stand_off_m, ends.sink_set_m))
    spine_up = _leaning(now.lean_deg, now.side_bend_deg)
    level = across(rows(1.0, 0.0, 0.0), spine_up)
    # The trail shoulder hangs a little, whatever the turn.
    drop = np.tan(np.radians(GIRDLE_DROP_DEG)) * spine_up
    chest_side = unit(turn_about(level, spine_up, -now.chest_turn_deg) + drop)
    chest = pelvis + body.trunk_m * spine_up
    # Seen from above, ahead is a quarter turn clockwise from the lead side.
    chest_ahead = unit(cross3(chest_side, spine_up))
    stoop = np.tan(np.radians(body.shares.stoop_deg))
    head_up = unit(spine_up + stoop * chest_ahead + np.array([0.0, -0.10, 0.25]))
    return Trunk(
        pelvis=pelvis,
        pelvis_side=side,
        lead_hip=pelvis + body.hip_half_m * side,
        trail_hip=pelvis - body.hip_half_m * side,
        chest=chest,
        chest_side=chest_side,
        chest_ahead=chest_ahead,
        spine_up=spine_up,
        lead_shoulder=chest + body.shoulder_half_m * chest_side,
        trail_shoulder=chest - body.shoulder_half_m * chest_side,
        head=chest + 0.122 * body.height_m * head_up,
        head_up=head_up,
    )


def lower_body(
    now: Courses, body: Body, swing: SwingParameters, upper: Trunk, stand_off_m: float
) -> dict[str, FloatArray]:
    """Hips, knees, ankles, toes and heels by their names in the pose."""
    lead, trail = _feet(now, body, swing, stand_off_m)
    bones = (body.thigh_m, body.shank_m)
    belt_ahead = unit(cross3(upper.pelvis_side, rows(0.0, 0.0, 1.0)))
    return {
        "lead_hip": upper.lead_hip,
        "trail_hip": upper.trail_hip,
        "lead_knee": bend(upper.lead_hip, lead.ankle, bones, 1.6 * lead.ahead + belt_ahead),
        "trail_knee": bend(upper.trail_hip, trail.ankle, bones, 1.2 * trail.ahead + belt_ahead),
        "lead_ankle": lead.ankle,
        "trail_ankle": trail.ankle,
        "lead_toe": lead.toe,
        "trail_toe": trail.toe,
        "lead_heel": lead.heel,
        "trail_heel": trail.heel,
    }


def _leaning(lean_deg: FloatArray | float, bend_deg: FloatArray) -> FloatArray:
    """Up, leaning to the ball (−y) and bent away from the target (−x); shape (n, 3)."""
    lean, aside = np.radians(lean_deg), np.radians(bend_deg)
    return unit(rows(-np.tan(aside), -np.tan(lean), 1.0))


def _pelvis(
    now: Courses,
    body: Body,
    swing: SwingParameters,
    side: FloatArray,
    stand_m: tuple[float, float],
) -> FloatArray:
    """The middle of the hips, low enough for both legs to reach their feet."""
    stand_off_m, sink_m = stand_m
    lead, trail = _feet(now, body, swing, stand_off_m)
    half = stance_half_m(swing, body)
    hips_behind = 0.075 * body.height_m / 1.78
    x = -swing.club.ball_back_m + now.pelvis_x_m
    y = stand_off_m + hips_behind + now.pelvis_y_m
    span = float(folded_span((body.thigh_m, body.shank_m), np.array([swing.knee_deg]))[0])
    drop = np.sqrt(span**2 - (half - body.hip_half_m) ** 2 - hips_behind**2)
    height = body.ankle_up_m + drop - sink_m + now.pelvis_z_m
    longest = KNEE_LIMIT_SHARE * (body.thigh_m + body.shank_m)
    for foot, sign in ((lead, 1.0), (trail, -1.0)):
        hip = rows(x, y, 0.0) + sign * body.hip_half_m * side
        flat = (hip[:, :2] - foot.ankle[:, :2]) ** 2
        most = foot.ankle[:, 2] + np.sqrt(longest**2 - flat.sum(axis=1)) - hip[:, 2]
        gap = height - most
        height = 0.5 * (height + most - np.sqrt(gap**2 + _SOFT_M**2))
    return rows(x, y, height)


def stance_half_m(swing: SwingParameters, body: Body) -> float:
    """Half the distance of the ankles at set; a pitch stands narrower."""
    share = swing.stance_share * swing.by_kind(1.0, 0.9, 0.75)
    return share * body.shoulder_half_m


def _feet(
    now: Courses, body: Body, swing: SwingParameters, stand_off_m: float
) -> tuple[_Feet, _Feet]:
    half = stance_half_m(swing, body)
    middle = np.array([-swing.club.ball_back_m, stand_off_m, body.ankle_up_m])
    still = np.zeros_like(now.heel_roll_deg)
    lead = _foot(body, middle + np.array([half, 0.0, 0.0]), still + 20.0, still)
    trail = _foot(
        body,
        middle - np.array([half, 0.0, 0.0]),
        -8.0 + now.foot_yaw_deg,
        now.heel_roll_deg,
        set_yaw_deg=-8.0,
    )
    return lead, trail


def _foot(
    body: Body,
    ankle_at_set: FloatArray,
    yaw_deg: FloatArray,
    roll_deg: FloatArray,
    *,
    set_yaw_deg: float | None = None,
) -> _Feet:
    """A foot that turns and rolls about its ball; yaw is positive to the target."""
    first = float(yaw_deg[0]) if set_yaw_deg is None else set_yaw_deg
    first_ahead = np.array([np.sin(np.radians(first)), -np.cos(np.radians(first)), 0.0])
    pivot = ankle_at_set + body.ankle_behind_m * first_ahead
    pivot = pivot - np.array([0.0, 0.0, body.ankle_up_m])
    yaw, roll = np.radians(yaw_deg), np.radians(roll_deg)
    flat = rows(np.sin(yaw), -np.cos(yaw), 0.0)
    up = rows(0.0, 0.0, 1.0)
    ahead = np.cos(roll)[:, None] * flat - np.sin(roll)[:, None] * up
    normal = np.cos(roll)[:, None] * up + np.sin(roll)[:, None] * flat
    return _Feet(
        ankle=pivot - body.ankle_behind_m * ahead + body.ankle_up_m * normal,
        # The toe tip stays flat on the ground while the heel rises.
        toe=pivot + 0.040 * body.height_m * unit(flat + 0.35 * ahead) * np.array([1.0, 1.0, 0.0]),
        heel=pivot - 0.105 * body.height_m * ahead,
        ahead=flat,
    )
