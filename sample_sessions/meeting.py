"""Where golfer and ball must agree: how far he stands off, how set and impact meet the ball.

Owns the few numbers that follow from body, club and posture together. Refuses time in between;
`courses` runs through what is found here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from capturestation.records import FloatArray
from sample_sessions.body import Body, trunk
from sample_sessions.clubs import BALL_RADIUS_M
from sample_sessions.courses import Ends, courses
from sample_sessions.curves import rows
from sample_sessions.parameters import SwingParameters

REST_GAP_M = 0.012
# At set the face stands this far behind the ball.
PLANE_RISE_DEG = (1.5, 9.0)
# The hands come through a little higher than they stood; between these the arms' reach decides.
BLADE_IMPACT_M, BLADE_MOST_M = 0.030, 0.045
# How far the lead shoulder blade glides to the ball at impact, and the most that it can.
ALWAYS_S = -9.0
# A time when he surely still stands at set.
_ROOM_M = 0.06
# The hands hang at least so far ahead of the lead shoulder.
_DEEPEST_SET_M, _DEEPEST_M = 0.045, 0.11
# Nobody sinks further into his knees to reach a ball, at set and at impact.


def plane_axes(plane_deg: FloatArray, yaw_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Level axis to the target and the axis up the plane, shape (n, 3) each."""
    tilt, yaw = np.radians(plane_deg), np.radians(yaw_deg)
    along = rows(np.cos(yaw), np.sin(yaw), 0.0)
    up = rows(-np.sin(yaw) * np.cos(tilt), np.cos(yaw) * np.cos(tilt), np.sin(tilt))
    return along, up


def meet_the_ball(swing: SwingParameters, body: Body, ball_at: FloatArray) -> tuple[Ends, float]:
    """Choose stand-off, set and impact so that the face meets the ball and the arms fit.

    Args:
        swing: What was asked for.
        body: Its sizes.
        ball_at: The ball's middle, shape (3,).

    Returns:
        The ends of the curves, and how far the feet are from the ball's line in metres.

    Raises:
        ValueError: If the arms can't reach the ball in that posture.
    """
    return _Meeting(swing, body, ball_at).found()


class _Meeting:
    def __init__(self, swing: SwingParameters, body: Body, ball_at: FloatArray) -> None:
        self.swing, self.body, self.ball_at = swing, body, ball_at
        self.ends = Ends(
            lead_s=0.06, arm_set_deg=10.0, arm_impact_deg=3.0, plane_impact_deg=60.0,
            blade_impact_m=BLADE_IMPACT_M,
        )  # fmt: skip
        self.stand_off_m = 0.0

    def found(self) -> tuple[Ends, float]:
        plane_set = self.swing.club.plane_deg
        hand = self._hand_for(-BALL_RADIUS_M - REST_GAP_M, 0, plane_set)
        self._stand(hand)
        shoulder, _ = self._lead_shoulder(0)
        self.ends = replace(self.ends, arm_set_deg=self._arm_angle(hand, shoulder, plane_set))
        self._reach_at_impact()
        return self.ends, self.stand_off_m

    def _lead_shoulder(self, place: int) -> tuple[FloatArray, float]:
        """At set (0) or impact (1): the lead shoulder's place and its distance to the hand."""
        now = courses(np.array([ALWAYS_S, 0.0]), self.swing, self.ends)
        upper = trunk(now, self.body, self.swing, self.ends, self.stand_off_m)
        reach = self.body.arm_span(now.lead_arm_deg) + now.lead_blade_m
        return upper.lead_shoulder[place], float(reach[place])

    def _stand(self, hand: FloatArray) -> None:
        """Sink as far as the arms need, then stand where they hang to the club."""
        shoulder, reach = self._lead_shoulder(0)
        gap = hand - shoulder
        drop = np.sqrt(reach**2 - gap[0] ** 2 - _ROOM_M**2)
        sink_m = max(-float(gap[2]) - float(drop), 0.0)
        if sink_m > _DEEPEST_SET_M:
            msg = f"leaning {self.swing.set_lean_deg} degrees the arms don't reach the ball"
            raise ValueError(msg)
        self.ends = replace(self.ends, sink_set_m=sink_m)
        ahead = np.sqrt(reach**2 - gap[0] ** 2 - (gap[2] + sink_m) ** 2)
        self.stand_off_m = float(gap[1] + ahead)

    def _reach_at_impact(self) -> None:
        """Find the plane through the hands; where the arms are too short, the hips sink."""
        plane_deg, over_m = self._closest()
        if over_m > BLADE_MOST_M - BLADE_IMPACT_M:

            def left_over(sink_m: float) -> float:
                self.ends = replace(self.ends, sink_impact_m=sink_m)
                return self._closest()[1] - (BLADE_MOST_M - BLADE_IMPACT_M)

            if left_over(_DEEPEST_M) > 0.0:
                msg = "the arms don't reach the ball at impact; lean more or stand up less"
                raise ValueError(msg)
            left_over(float(brentq(left_over, 0.0, _DEEPEST_M, xtol=1e-6)))
            plane_deg, over_m = self._closest()
        shoulder, _ = self._lead_shoulder(1)
        hand = self._hand_for(-BALL_RADIUS_M, 1, plane_deg)
        self.ends = replace(
            self.ends,
            arm_impact_deg=self._arm_angle(hand, shoulder, plane_deg),
            plane_impact_deg=plane_deg,
            blade_impact_m=BLADE_IMPACT_M + over_m,
        )

    def _closest(self) -> tuple[float, float]:
        """The plane at impact that needs no more reach than is easy, or the least; and how much."""
        shoulder, reach = self._lead_shoulder(1)

        def over_m(plane_deg: float) -> float:
            hand = self._hand_for(-BALL_RADIUS_M, 1, plane_deg)
            return float(np.linalg.norm(hand - shoulder)) - reach

        low, high = (self.swing.club.plane_deg + rise for rise in PLANE_RISE_DEG)
        return _least(over_m, low, high)

    def _hand_for(self, face_x_m: float, place: int, plane_deg: float) -> FloatArray:
        """Where the lead hand is when the face is on the ball's line; shape (3,)."""
        now = courses(np.array([ALWAYS_S, 0.0]), self.swing, self.ends)
        along, up = plane_axes(np.array([plane_deg]), np.zeros(1))
        angle = np.radians(now.shaft_deg[place])
        shaft = -np.sin(angle) * along[0] - np.cos(angle) * up[0]
        face = self.ball_at + np.array([face_x_m, 0.0, 0.0])
        return np.asarray(face - self.swing.club.grip_to_face_m * shaft, dtype=np.float64)

    def _arm_angle(self, hand: FloatArray, shoulder: FloatArray, plane_deg: float) -> float:
        along, up = plane_axes(np.array([plane_deg]), np.zeros(1))
        arm = hand - shoulder
        return float(np.degrees(np.arctan2(-(arm @ along[0]), -(arm @ up[0]))))


def _least(over_m: Callable[[float], float], low: float, high: float) -> tuple[float, float]:
    """Where it first is 0 going up, or where it is least; and its value there."""
    if over_m(low) <= 0.0:
        return low, over_m(low)
    best = float(minimize_scalar(over_m, bounds=(low, high), method="bounded").x)
    if over_m(best) >= 0.0:
        return best, over_m(best)
    return float(brentq(over_m, low, best)), 0.0
