"""The invented golfer and his club: where every joint is at any time of the swing's clock.

Owns the way from parameters to positions in metres in the bay's frame (origin the mat mark, +x to
the target, +z up, a right-handed golfer at +y). Everything is worked out right-handed and mirrored
for a left-handed golfer. Limbs, shaft and shoulder line keep their lengths because joints are found
by construction, not drawn. Refuses randomness.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from capturestation.records import FloatArray, Hand
from sample_sessions.body import Body, Trunk, lower_body, trunk
from sample_sessions.clubs import BALL_RADIUS_M, FITTED_FOR_M
from sample_sessions.courses import Courses, courses
from sample_sessions.curves import across, bend, cross3, dot, length, rows, smooth_step, unit
from sample_sessions.meeting import ALWAYS_S, meet_the_ball, plane_axes
from sample_sessions.parameters import SwingParameters

START_MM = 10.0
# The club has started when its face is this far from rest.
HEEL_M = 0.030
# The shaft ends at the heel, this far from the middle of the face.
GRIP_ASIDE_M = 0.010
ASIDE_M = 0.12
# Where the ball lies beside the arc of a rehearsal.
_GIVE_M = 0.006
# How softly the shoulder blade begins to follow.
_STRAIGHT_M = 0.012
# How softly an arm becomes straight; a hinge that snaps would fling the elbow.
_BLADE_M = 0.065
# How far a shoulder blade glides for comfort alone.
_BLADE_BACK_M, _BLADE_DOWN_M = 0.030, 0.045
# How far the trail shoulder blade draws back and down at the top, for a golfer of 1.78 m.


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Positions in metres and directions of length 1, each of shape (n, 3)."""

    pelvis: FloatArray
    pelvis_side: FloatArray
    lead_hip: FloatArray
    trail_hip: FloatArray
    lead_knee: FloatArray
    trail_knee: FloatArray
    lead_ankle: FloatArray
    trail_ankle: FloatArray
    lead_toe: FloatArray
    trail_toe: FloatArray
    lead_heel: FloatArray
    trail_heel: FloatArray
    chest: FloatArray
    chest_side: FloatArray
    spine_up: FloatArray
    lead_shoulder: FloatArray
    trail_shoulder: FloatArray
    lead_elbow: FloatArray
    trail_elbow: FloatArray
    lead_wrist: FloatArray
    trail_wrist: FloatArray
    lead_hand: FloatArray
    trail_hand: FloatArray
    head: FloatArray
    head_up: FloatArray
    gaze: FloatArray
    club_butt: FloatArray
    club_face: FloatArray
    club_hosel: FloatArray
    club_toe: FloatArray
    ball: FloatArray

    def mirrored(self) -> Pose:
        """The same swing of the other hand."""
        flip = np.array([1.0, -1.0, 1.0])
        return replace(self, **{f.name: getattr(self, f.name) * flip for f in fields(self)})


class Golfer:
    """One swing: ask it for the pose at any times.

    Args:
        swing: What shapes it.
    """

    def __init__(self, swing: SwingParameters) -> None:
        self.swing = swing
        self.body = Body(swing.height_m, swing.proportions, swing.girth)
        self.ball_at = np.array([0.0, 0.0, swing.club.tee_m + BALL_RADIUS_M])
        self._ends, self._stand_off_m = meet_the_ball(swing, self.body, self.ball_at)
        self._zero_s = 0.0
        self._start_on_time()
        if not swing.strikes:
            self._zero_s = self._bottom_s()

    def pose(self, time_s: FloatArray) -> Pose:
        """Place every joint.

        Args:
            time_s: Seconds of the swing's clock, shape (n,).

        Returns:
            Positions, shape (n, 3) each.
        """
        time_s = np.atleast_1d(np.asarray(time_s, dtype=np.float64)) + self._zero_s
        pose = self._right_handed(time_s)
        return pose.mirrored() if self.swing.hand is Hand.LEFT else pose

    def _right_handed(self, time_s: FloatArray) -> Pose:
        now = courses(time_s, self.swing, self._ends)
        upper = trunk(now, self.body, self.swing, self._ends, self._stand_off_m)
        hands, shaft, toe = self._club(time_s, now, upper)
        trail_hand = hands + self.body.hand_gap_m * shaft
        lead_shoulder, lead_elbow, lead_wrist = self._arm(now, upper, hands, lead=True)
        trail_shoulder, trail_elbow, trail_wrist = self._arm(now, upper, trail_hand, lead=False)
        to_ball = unit(rows(0.05, 0.0, 0.0) - upper.head)
        share = now.gaze_share[:, None]
        return Pose(
            pelvis=upper.pelvis,
            pelvis_side=upper.pelvis_side,
            **lower_body(now, self.body, self.swing, upper, self._stand_off_m),
            chest=upper.chest,
            chest_side=upper.chest_side,
            spine_up=upper.spine_up,
            lead_shoulder=lead_shoulder,
            trail_shoulder=trail_shoulder,
            lead_elbow=lead_elbow,
            trail_elbow=trail_elbow,
            lead_wrist=lead_wrist,
            trail_wrist=trail_wrist,
            lead_hand=hands,
            trail_hand=trail_hand,
            head=upper.head,
            head_up=upper.head_up,
            gaze=unit((1.0 - share) * to_ball + share * np.array([1.0, 0.05, 0.02])),
            club_butt=hands - self.swing.club.butt_m * shaft - GRIP_ASIDE_M * toe,
            club_face=hands + self.swing.club.grip_to_face_m * shaft,
            club_hosel=hands + self.swing.club.grip_to_face_m * shaft - HEEL_M * toe,
            club_toe=toe,
            ball=self._ball(time_s),
        )

    def _club(
        self, time_s: FloatArray, now: Courses, upper: Trunk
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """The lead hand, the shaft's direction down to the head, and the toe's direction."""
        along, up = plane_axes(now.plane_deg, np.zeros_like(time_s))
        offset = upper.lead_shoulder - self.ball_at
        reach = (self.body.arm_span(now.lead_arm_deg) + now.lead_blade_m)[:, None]
        out = cross3(along, up)
        radius = np.sqrt(np.maximum(reach**2 - dot(offset, out) ** 2, 1e-4))
        arm = np.radians(now.arm_deg)[:, None]
        swung = (
            self.ball_at
            + along * (dot(offset, along) - radius * np.sin(arm))
            + up * (dot(offset, up) - radius * np.cos(arm))
        )
        seen = (
            upper.chest
            + now.hands_side_m[:, None] * upper.chest_side
            + now.hands_ahead_m[:, None] * upper.chest_ahead
            + now.hands_up_m[:, None] * upper.spine_up
        )
        share = smooth_step(time_s, 0.02, 0.24 * self.swing.finish_s)[:, None]
        hands = (1.0 - share) * swung + share * seen
        along, up = plane_axes(now.plane_deg, now.plane_yaw_deg)
        out = cross3(along, up)
        angle = np.radians(now.shaft_deg)[:, None]
        flat = -np.sin(angle) * along - np.cos(angle) * up
        off = np.radians(now.off_plane_deg)[:, None]
        shaft = np.cos(off) * flat + np.sin(off) * out
        # At set the toe lies level; the plane's normal leans up by what the plane is flat.
        roll = np.radians(now.face_roll_deg)[:, None]
        ahead = cross3(out, shaft)
        level_toe = across(out - 0.55 * up, shaft)
        toe = unit(np.cos(roll) * level_toe + np.sin(roll) * ahead)
        return hands, shaft, toe

    def _arm(
        self, now: Courses, upper: Trunk, hand: FloatArray, *, lead: bool
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Shoulder, elbow and wrist; the shoulder blade follows where the arm alone is short."""
        side = 1.0 if lead else -1.0
        shoulder = upper.lead_shoulder if lead else upper.trail_shoulder
        drawn = np.zeros((1, 1)) if lead else now.trail_blade_share[:, None]
        back = _BLADE_BACK_M * upper.chest_ahead + _BLADE_DOWN_M * upper.spine_up
        shoulder = shoulder - drawn * self.body.height_m / FITTED_FOR_M * back
        easy_m = self.body.arm_span(now.lead_arm_deg if lead else now.trail_arm_deg)[:, None]
        slack = easy_m - length(hand - shoulder)
        given = 0.5 * (np.sqrt(slack**2 + _GIVE_M**2) - slack)
        if not lead:
            given = _BLADE_M * np.tanh(given / _BLADE_M)
        shoulder = shoulder + given * unit(hand - shoulder)
        slack = self.body.arm_m * 0.9995 - length(hand - shoulder)
        down = rows(0.0, 0.0, -1.0)
        # With the blade drawn back the elbow points outwards too, not only down.
        towards = (0.9 - 0.3 * drawn) * down - 0.25 * (1.0 - drawn) * upper.chest_ahead
        towards = towards + (0.30 + 0.35 * drawn) * side * upper.chest_side
        # A folded trail arm comes to the grip from below; a straight one from the shoulder.
        fold = np.clip(slack / 0.10, 0.0, 1.0) ** 2 * (0.0 if lead else 0.24)
        wrist = hand + self.body.hand_m * unit(shoulder + fold * unit(towards) - hand)
        bones = (self.body.upper_arm_m, self.body.forearm_m)
        spare = sum(bones) * 0.9985 - length(wrist - shoulder)
        over = 0.5 * (np.sqrt(spare**2 + _STRAIGHT_M**2) - spare)
        shoulder = shoulder + over * unit(wrist - shoulder)
        return shoulder, bend(shoulder, wrist, bones, towards), wrist

    def _ball(self, time_s: FloatArray) -> FloatArray:
        """At rest until contact, then straight to the net and down in front of it."""
        club = self.swing.club
        if not self.swing.strikes:
            return np.tile(self.ball_at - np.array([0.0, ASIDE_M, 0.0]), (len(time_s), 1))
        return np.asarray(
            ball_flight(time_s, self.ball_at, club.launch_deg, self.ball_speed_m_s),
            dtype=np.float64,
        )

    @property
    def ball_speed_m_s(self) -> float:
        """How fast the ball leaves; a pitch at half a full swing's speed; 0 if none is struck."""
        share = self.swing.by_kind(1.0, 0.8, 0.55) if self.swing.strikes else 0.0
        return self.swing.club.ball_speed_m_s * share

    def _bottom_s(self) -> float:
        """When the face is lowest; near the time at which it would meet a ball."""

        def height_m(time_s: float) -> float:
            return float(self._right_handed(np.array([time_s])).club_face[0, 2])

        found = minimize_scalar(
            height_m, bounds=(-0.04, 0.04), method="bounded", options={"xatol": 1e-9}
        )
        return float(found.x)

    def _start_on_time(self) -> None:
        """Let the motion set in so early that the club's first 10 mm end at the nominal start."""
        start_s = -self.swing.downswing_s - self.swing.backswing_s

        def moved_mm(lead_s: float) -> float:
            self._ends = replace(self._ends, lead_s=lead_s)
            faces = self._right_handed(np.array([ALWAYS_S, start_s])).club_face
            return float(np.linalg.norm(faces[1] - faces[0]) * 1000.0 - START_MM)

        moved_mm(float(brentq(moved_mm, 0.005, 0.4, xtol=1e-9)))


NET_X_M = 3.0
_NET_DROP_X_M = 0.25
_G_M_S2 = 9.81


def ball_flight(
    time_s: FloatArray, at: FloatArray, launch_deg: float, speed_m_s: float
) -> FloatArray:
    """Rest, flight to the net, fall in front of it and rest again; shape (n, 3)."""
    launch = np.radians(launch_deg)
    speed_x, speed_z = speed_m_s * np.cos(launch), speed_m_s * np.sin(launch)
    flown = np.maximum(time_s, 0.0)
    at_net_s = (NET_X_M - at[0]) / speed_x
    after = np.maximum(flown - at_net_s, 0.0)
    before = np.minimum(flown, at_net_s)
    net_z = at[2] + speed_z * at_net_s - 0.5 * _G_M_S2 * at_net_s**2
    height = at[2] + speed_z * before - 0.5 * _G_M_S2 * before**2
    fallen = np.maximum(net_z - 0.5 * _G_M_S2 * after**2, BALL_RADIUS_M)
    x = at[0] + speed_x * before - _NET_DROP_X_M * np.minimum(after / 0.5, 1.0)
    return rows(x, at[1], np.where(after > 0.0, fallen, height))
