"""The arithmetic of each measure on points in space: from those at the moment and those at set.

Owns signs and angles. Axes are a figure's: x to the target, y from the ball to the golfer, z up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from capturestation.records import FloatArray
from capturestation.swing.figure import BALL, GRIP, HEAD
from capturestation.swing.tracks import Joint

At: TypeAlias = Mapping[str, FloatArray]
"""Every point at one instant, (3,) each."""
_TINY = 1e-9
_ALIKE = 0.5
# Toes stand wider than ankles and heels, but not twice as wide.
_NARROWEST_STANCE, _NARROWEST_SHOULDERS = 0.15, 0.12
# Of the height from ankles to nose: half of what the narrowest rendered golfer has.
_LEAST_STEEP = float(np.sin(np.radians(20.0)))


def middle_of(at: At, joint: Joint) -> FloatArray:
    """Half way between a joint and the same of the other side."""
    return 0.5 * (at[joint] + at[joint.other])


def turn_of(at: At, lead: Joint) -> float:
    """Turn about the vertical, closed positive."""
    side = at[lead] - at[lead.other]
    return float(np.degrees(np.arctan2(-side[1], side[0])))


def pelvis_turn(at: At, _: At) -> float:
    """Of the line through the hips."""
    return turn_of(at, Joint.LEAD_HIP)


def chest_turn(at: At, _: At) -> float:
    """Of the line through the shoulders."""
    return turn_of(at, Joint.LEAD_SHOULDER)


def chest_turn_about_spine(at: At, _: At) -> float:
    """Of the line through the shoulders, seen along the spine as it leans."""
    spine, side = _spine(at), at[Joint.LEAD_SHOULDER] - at[Joint.TRAIL_SHOULDER]
    long = float(np.linalg.norm(spine))
    if not (np.isfinite(long) and np.isfinite(side).all()) or long < _TINY:
        return float("nan")
    up = spine / long
    ahead = np.array([1.0, 0.0, 0.0]) - up[0] * up
    back = np.cross(up, ahead)
    return float(np.degrees(np.arctan2(-(side @ back), side @ ahead)))


def separation(at: At, _: At) -> float:
    """How much further the chest is turned than the pelvis."""
    apart = turn_of(at, Joint.LEAD_SHOULDER) - turn_of(at, Joint.LEAD_HIP)
    return (apart + 180.0) % 360.0 - 180.0


def shift_of(joint: Joint, axis: int, sign: float) -> Callable[[At, At], float]:
    """How far the middle of a pair has gone along an axis since set."""

    def moved(at: At, at_set: At) -> float:
        return sign * float((middle_of(at, joint) - middle_of(at_set, joint))[axis])

    return moved


def hands_shift(axis: int, sign: float) -> Callable[[At, At], float]:
    """How far the hands have gone along an axis since set."""

    def moved(at: At, at_set: At) -> float:
        return sign * (_hands(at)[axis] - _hands(at_set)[axis])

    return moved


def _hands(at: At) -> list[float]:
    """The middle of what is known of both hands, coordinate by coordinate: one hides the other."""
    joints = (Joint.LEAD_WRIST, Joint.TRAIL_WRIST, Joint.LEAD_HAND, Joint.TRAIL_HAND)
    places = np.stack([at[joint] for joint in joints])
    known = np.isfinite(places)
    count = known.sum(axis=0)
    total = np.where(known, places, 0.0).sum(axis=0)
    return [float(t / n) if n else float("nan") for t, n in zip(total, count, strict=True)]


def _spine(at: At) -> FloatArray:
    return middle_of(at, Joint.LEAD_SHOULDER) - middle_of(at, Joint.LEAD_HIP)


def forward_bend(at: At, _: At) -> float:
    """Of the spine to the ball, from the vertical."""
    spine = _spine(at)
    return float(np.degrees(np.arctan2(-spine[1], spine[2])))


def side_tilt(at: At, _: At) -> float:
    """Of the spine away from the target, from the vertical."""
    spine = _spine(at)
    return float(np.degrees(np.arctan2(-spine[0], spine[2])))


def bend_change(at: At, at_set: At) -> float:
    """How much more the spine is bent forward than at set."""
    return forward_bend(at, at_set) - forward_bend(at_set, at_set)


def angle_between(one: FloatArray, other: FloatArray) -> float:
    """Between two directions, degrees; what isn't known of one coordinate is left out of both."""
    known = np.isfinite(one) & np.isfinite(other)
    a, b = one[known], other[known]
    if len(a) < 2:
        return float("nan")
    length = float(np.linalg.norm(a) * np.linalg.norm(b))
    return float(np.degrees(np.arccos(np.clip(a @ b / max(length, 1e-12), -1.0, 1.0))))


def bend_of(hinge: Joint, near: Joint, far: Joint) -> Callable[[At, At], float]:
    """How far a hinge is from straight."""

    def flexed(at: At, _: At) -> float:
        upper, lower = at[near] - at[hinge], at[far] - at[hinge]
        whole = np.stack([upper, lower])
        return 180.0 - angle_between(upper, lower) if np.isfinite(whole).all() else float("nan")

    return flexed


def _lead_arm(at: At) -> FloatArray:
    hand = 0.5 * (at[Joint.LEAD_WRIST] + at[Joint.LEAD_HAND])
    return hand - at[Joint.LEAD_SHOULDER]


def lead_arm_to_level(at: At, _: At) -> float:
    """From shoulder to hand, above level positive."""
    arm = _lead_arm(at)
    return float(np.degrees(np.arctan2(arm[2], np.linalg.norm(arm[:2]))))


def arm_to_shaft(at: At, _: At) -> float:
    """Between lead arm and shaft; 0 is one straight line."""
    arm, shaft = _lead_arm(at), at[HEAD] - at[GRIP]
    both = np.stack([arm, shaft])
    return angle_between(arm, shaft) if np.isfinite(both).all() else float("nan")


def shaft_lean(at: At, _: At) -> float:
    """Of the shaft to the target, hands ahead positive."""
    shaft = at[GRIP] - at[HEAD]
    return float(np.degrees(np.arctan2(shaft[0], shaft[2])))


def shaft_lie(at: At, _: At) -> float:
    """Of the shaft to level, seen down the line."""
    shaft = at[GRIP] - at[HEAD]
    return float(np.degrees(np.arctan2(shaft[2], shaft[1])))


def lie_change(at: At, at_set: At) -> float:
    """How much steeper the shaft is than at set, seen down the line."""
    return shaft_lie(at, at_set) - shaft_lie(at_set, at_set)


def off_plane(at: At, _: At) -> float:
    """Of the shaft to the plane through the ball-to-target line and the hands; outside positive."""
    to_hands = at[GRIP] - at[BALL]
    normal = np.cross(np.array([1.0, 0.0, 0.0]), to_hands)
    length = float(np.linalg.norm(normal))
    shaft = at[HEAD] - at[GRIP]
    far = float(np.linalg.norm(shaft))
    if not (np.isfinite(length) and np.isfinite(far)) or length < 1e-9 or far < 1e-9:
        return float("nan")
    side = np.sign(to_hands[1]) * normal / length
    return float(np.degrees(np.arcsin(np.clip(shaft @ side / far, -1.0, 1.0))))


def _ankles(at: At) -> FloatArray:
    """From the trail ankle to the lead ankle; NaN where heels and toes say otherwise.

    A foot that was taken for the other one stands beside itself in some joints and not in others.
    """
    gaps = [at[joint] - at[joint.other]
            for joint in (Joint.LEAD_ANKLE, Joint.LEAD_HEEL, Joint.LEAD_TOE)]  # fmt: skip
    along = [float(gap[0]) for gap in gaps]
    alike = min(along) >= _ALIKE * max(along) > 0.0
    is_stance = alike and along[0] >= _NARROWEST_STANCE * ankles_to_nose(at, at)
    return gaps[0] if is_stance else np.full(3, np.nan)


def stance_width(at: At, _: At) -> float:
    """Between the ankles along the target line, over the shoulders' width in space."""
    ankles = _ankles(at)
    shoulders = at[Joint.LEAD_SHOULDER] - at[Joint.TRAIL_SHOULDER]
    wide = float(np.linalg.norm(shoulders[:2] if np.isfinite(shoulders[1]) else shoulders[:1]))
    # Shoulders that were seen one behind the other tell no width.
    is_told = wide >= _NARROWEST_SHOULDERS * ankles_to_nose(at, at)
    return float(ankles[0]) / wide if is_told and wide > _TINY else float("nan")


def stance(at: At, _: At) -> float:
    """Between the ankles along the target line."""
    return float(_ankles(at)[0])


def ankles_to_nose(at: At, _: At) -> float:
    """How high the nose is over the ankles."""
    return float(at[Joint.NOSE][2] - middle_of(at, Joint.LEAD_ANKLE)[2])


def shaft_line_at_ground(at: At, _: At) -> float:
    """Where the shaft's line meets the ball's level, beyond the ball-to-target line: outside.

    Not told within 20 degrees of level: there a degree moves it by 15 cm and more.
    """
    shaft = at[HEAD] - at[GRIP]
    steep = abs(shaft[2]) / max(float(np.linalg.norm(shaft)), 1e-9)
    if not steep >= _LEAST_STEEP:
        return float("nan")
    way = (at[BALL][2] - at[GRIP][2]) / shaft[2]
    return float(at[BALL][1] - (at[GRIP] + way * shaft)[1])


def feet_line(at: At, _: At) -> float:
    """Of the line through the ankles to the target line, closed positive."""
    side = _ankles(at)
    return float(np.degrees(np.arctan2(-side[1], side[0])))


def trail_foot_roll(at: At, _: At) -> float:
    """How far the trail heel has come up over the toe."""
    foot = at[Joint.TRAIL_HEEL] - at[Joint.TRAIL_TOE]
    known = foot[:2][np.isfinite(foot[:2])]
    return float(np.degrees(np.arctan2(foot[2], np.linalg.norm(known))))


def hips_in_line(at: At, _: At) -> float:
    """How much nearer to the target the trail hip is than the lead hip."""
    return float(at[Joint.TRAIL_HIP][0] - at[Joint.LEAD_HIP][0])


def ball_position(at: At, _: At) -> float:
    """How far the ball lies toward the target from the middle of the ankles."""
    return float(at[BALL][0] - middle_of(at, Joint.LEAD_ANKLE)[0])


def ball_distance(at: At, _: At) -> float:
    """How far the ball lies from the toes' line, square to the target line."""
    return float(middle_of(at, Joint.LEAD_TOE)[1] - at[BALL][1])
