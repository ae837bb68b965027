"""The invented golfer and his club: where every joint is at any time of the swing's clock.

Owns the way from parameters to positions in metres in the bay's frame (origin the mat mark, +x to
the target, +z up, a right-handed golfer at +y). Everything is worked out right-handed and mirrored
for a left-handed golfer. Limbs, shaft and shoulder line keep their lengths because joints are found
by construction, not drawn. Refuses randomness.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.optimize import brentq

from capturestation.records import FloatArray, Hand
from sample_sessions.body import Body, Trunk, lower_body, trunk
from sample_sessions.courses import Courses, Ends, courses
from sample_sessions.curves import across, bend, dot, length, rows, smooth_step, unit
from sample_sessions.parameters import BALL_RADIUS_M, SwingParameters

START_MM = 10.0
# The club has started when its face is this far from rest.
REST_GAP_M = 0.012
# At set the face stands this far behind the ball.
PLANE_RISE_DEG = 3.0
# The hands come through a little higher than they stood.
HEEL_M = 0.030
# The shaft ends at the heel, this far from the middle of the face.
GRIP_ASIDE_M = 0.010
_GIVE_M = 0.006
# How softly the shoulder blade begins to follow.
_ALWAYS_S = -9.0
# A time when he surely still stands at set.


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
        self.body = Body(swing.height_m)
        self.ball_at = np.array([0.0, 0.0, swing.club.tee_m + BALL_RADIUS_M])
        self._stand_off_m = 0.0
        self._ends = Ends(
            lead_s=0.06,
            arm_set_deg=10.0,
            arm_impact_deg=3.0,
            plane_impact_deg=60.0,
            lean_impact_deg=swing.set_lean_deg,
        )
        self._meet_the_ball()
        self._start_on_time()

    def pose(self, time_s: FloatArray) -> Pose:
        """Place every joint.

        Args:
            time_s: Seconds of the swing's clock, shape (n,).

        Returns:
            Positions, shape (n, 3) each.
        """
        time_s = np.atleast_1d(np.asarray(time_s, dtype=np.float64))
        pose = self._right_handed(time_s)
        return pose.mirrored() if self.swing.hand is Hand.LEFT else pose

    def _right_handed(self, time_s: FloatArray) -> Pose:
        now = courses(time_s, self.swing, self._ends)
        upper = trunk(now, self.body, self.swing, self._stand_off_m)
        hands, shaft, toe = self._club(time_s, now, upper)
        trail_hand = hands + self.body.hand_gap_m * shaft
        lead_shoulder, lead_elbow, lead_wrist = self._arm(upper, hands, lead=True)
        trail_shoulder, trail_elbow, trail_wrist = self._arm(upper, trail_hand, lead=False)
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
        along, up = _plane_axes(now.plane_deg, np.zeros_like(time_s))
        offset = upper.lead_shoulder - self.ball_at
        reach = self.body.arm_span(now.lead_arm_deg)[:, None]
        out = np.cross(along, up)
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
        along, up = _plane_axes(now.plane_deg, now.plane_yaw_deg)
        out = np.cross(along, up)
        angle = np.radians(now.shaft_deg)[:, None]
        flat = -np.sin(angle) * along - np.cos(angle) * up
        off = np.radians(now.off_plane_deg)[:, None]
        shaft = np.cos(off) * flat + np.sin(off) * out
        # At set the toe lies level; the plane's normal leans up by what the plane is flat.
        roll = np.radians(now.face_roll_deg)[:, None]
        ahead = np.cross(out, shaft)
        level_toe = across(out - 0.55 * up, shaft)
        toe = unit(np.cos(roll) * level_toe + np.sin(roll) * ahead)
        return hands, shaft, toe

    def _arm(
        self, upper: Trunk, hand: FloatArray, *, lead: bool
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Shoulder, elbow and wrist; the shoulder blade follows where the arm alone is short."""
        side = 1.0 if lead else -1.0
        shoulder = upper.lead_shoulder if lead else upper.trail_shoulder
        slack = self.body.arm_m * 0.9995 - length(hand - shoulder)
        given = 0.5 * (np.sqrt(slack**2 + _GIVE_M**2) - slack)
        shoulder = shoulder + given * unit(hand - shoulder)
        down = rows(0.0, 0.0, -1.0)
        towards = 0.9 * down + 0.30 * side * upper.chest_side - 0.25 * upper.chest_ahead
        # A folded trail arm comes to the grip from below; a straight one from the shoulder.
        fold = np.clip(slack / 0.10, 0.0, 1.0) ** 2 * (0.0 if lead else 0.24)
        wrist = hand + self.body.hand_m * unit(shoulder + fold * unit(towards) - hand)
        bones = (self.body.upper_arm_m, self.body.forearm_m)
        over = np.maximum(length(wrist - shoulder) - sum(bones) * 0.9999, 0.0)
        shoulder = shoulder + over * unit(wrist - shoulder)
        return shoulder, bend(shoulder, wrist, bones, towards), wrist

    def _ball(self, time_s: FloatArray) -> FloatArray:
        """At rest until contact, then straight to the net and down in front of it."""
        club = self.swing.club
        return np.asarray(
            ball_flight(time_s, self.ball_at, club.launch_deg, self.ball_speed_m_s),
            dtype=np.float64,
        )

    @property
    def ball_speed_m_s(self) -> float:
        """How fast the ball leaves; a pitch at half the speed of a full swing."""
        return self.swing.club.ball_speed_m_s * (1.0 if self.swing.is_full else 0.55)

    def _meet_the_ball(self) -> None:
        """Choose stand-off, set and impact so that the face meets the ball and arms fit."""
        ends, swing = self._ends, self.swing
        times = np.array([_ALWAYS_S, 0.0])
        now = courses(times, swing, ends)
        upper = trunk(now, self.body, swing, 0.0)
        reach = self.body.arm_span(now.lead_arm_deg)
        face_x = np.array([-BALL_RADIUS_M - REST_GAP_M, -BALL_RADIUS_M])
        hand_at_set = self._hand_for(face_x[0], now.shaft_deg[0], swing.club.plane_deg)
        gap = hand_at_set - upper.lead_shoulder[0]
        room = reach[0] ** 2 - gap[0] ** 2 - gap[2] ** 2
        if room < 0.0:
            msg = f"leaning {swing.set_lean_deg} degrees the arms don't reach the ball; lean more"
            raise ValueError(msg)
        self._stand_off_m = float(gap[1] + np.sqrt(room))
        shoulders = upper.lead_shoulder + np.array([0.0, self._stand_off_m, 0.0])

        plane_impact = swing.club.plane_deg + PLANE_RISE_DEG
        hand_at_impact = self._hand_for(face_x[1], now.shaft_deg[1], plane_impact)

        def too_far(lean_deg: float) -> float:
            leaning = replace(now, lean_deg=np.array([swing.set_lean_deg, lean_deg]))
            shoulders[1] = trunk(leaning, self.body, swing, self._stand_off_m).lead_shoulder[1]
            return float(np.linalg.norm(hand_at_impact - shoulders[1]) - reach[1])

        lean_impact = float(brentq(too_far, 5.0, 60.0))
        too_far(lean_impact)
        self._ends = replace(
            ends,
            arm_set_deg=self._arm_angle(hand_at_set, shoulders[0], swing.club.plane_deg),
            arm_impact_deg=self._arm_angle(hand_at_impact, shoulders[1], plane_impact),
            plane_impact_deg=plane_impact,
            lean_impact_deg=lean_impact,
        )

    def _hand_for(self, face_x_m: float, shaft_deg: float, plane_deg: float) -> FloatArray:
        """Where the lead hand is when the face is on the ball's line; shape (3,)."""
        along, up = _plane_axes(np.array([plane_deg]), np.zeros(1))
        angle = np.radians(shaft_deg)
        shaft = -np.sin(angle) * along[0] - np.cos(angle) * up[0]
        face = self.ball_at + np.array([face_x_m, 0.0, 0.0])
        return np.asarray(face - self.swing.club.grip_to_face_m * shaft, dtype=np.float64)

    def _arm_angle(self, hand: FloatArray, shoulder: FloatArray, plane_deg: float) -> float:
        along, up = _plane_axes(np.array([plane_deg]), np.zeros(1))
        arm = hand - shoulder
        return float(np.degrees(np.arctan2(-(arm @ along[0]), -(arm @ up[0]))))

    def _start_on_time(self) -> None:
        """Let the motion set in so early that the club's first 10 mm end at the nominal start."""
        start_s = -self.swing.downswing_s - self.swing.backswing_s

        def moved_mm(lead_s: float) -> float:
            self._ends = replace(self._ends, lead_s=lead_s)
            faces = self._right_handed(np.array([_ALWAYS_S, start_s])).club_face
            return float(np.linalg.norm(faces[1] - faces[0]) * 1000.0 - START_MM)

        moved_mm(float(brentq(moved_mm, 0.005, 0.4, xtol=1e-9)))


def _plane_axes(plane_deg: FloatArray, yaw_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Level axis to the target and the axis up the plane, shape (n, 3) each."""
    tilt, yaw = np.radians(plane_deg), np.radians(yaw_deg)
    along = rows(np.cos(yaw), np.sin(yaw), 0.0)
    up = rows(-np.sin(yaw) * np.cos(tilt), np.cos(yaw) * np.cos(tilt), np.sin(tilt))
    return along, up


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
