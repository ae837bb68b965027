"""When the moments of an invented swing are, by geometric thresholds on its exact motion.

Owns the rules and the search. Refuses pictures; times are seconds of the swing's clock.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from capturestation.records import FloatArray, Moment
from sample_sessions.golfer import START_MM, Golfer

SET_BEFORE_START_S = 0.25
FINISH_SPEED_SHARE = 0.05
GRID_S = 0.002
_LAST_S = 2.0

RULES = {
    Moment.SET: f"{SET_BEFORE_START_S} s before the club starts, everything still",
    Moment.CLUB_STARTS: f"the middle of the face is {START_MM:.0f} mm from where it rested",
    Moment.TAKEAWAY: "the shaft is level for the first time",
    Moment.LEAD_ARM_LEVEL_BACK: "lead shoulder to lead hand is level for the first time",
    Moment.TOP: "the shaft turns round, seen square to the plane it stood in at set",
    Moment.LEAD_ARM_LEVEL_DOWN: "lead shoulder to lead hand is level for the last time before 0",
    Moment.SHAFT_LEVEL_DOWN: "the shaft is level for the last time before 0",
    Moment.IMPACT: "first contact, the zero of the clock",
    Moment.SHAFT_LEVEL_THROUGH: "the shaft is level for the first time after 0",
    Moment.TRAIL_ARM_LEVEL_THROUGH: "trail shoulder to trail hand is level first after 0",
    Moment.FINISH: f"the face stays under {FINISH_SPEED_SHARE:.0%} of its highest speed",
}


def rule_of(moment: Moment, golfer: Golfer) -> str:
    """What decides that moment in this golfer's swing."""
    if moment is Moment.IMPACT and not golfer.swing.strikes:
        return "the bottom of the arc, the zero of the clock: no ball is struck"
    return RULES[moment]


def find_moments(golfer: Golfer) -> dict[Moment, float | None]:
    """The eleven moments in s of the swing's clock; None for one that does not occur."""
    swing = golfer.swing
    nominal_start = -swing.downswing_s - swing.backswing_s
    rest = golfer.pose(np.array([nominal_start - 1.0])).club_face

    def moved(time_s: FloatArray) -> FloatArray:
        gap = golfer.pose(time_s).club_face - rest
        return np.asarray(np.linalg.norm(gap, axis=1) * 1000.0 - START_MM, dtype=np.float64)

    def shaft(time_s: FloatArray) -> FloatArray:
        pose = golfer.pose(time_s)
        return _rise(pose.club_butt, pose.club_hosel)

    def lead_arm(time_s: FloatArray) -> FloatArray:
        pose = golfer.pose(time_s)
        return _rise(pose.lead_shoulder, pose.lead_hand)

    def trail_arm(time_s: FloatArray) -> FloatArray:
        pose = golfer.pose(time_s)
        return _rise(pose.trail_shoulder, pose.trail_hand)

    start = _crossing(moved, nominal_start - 0.3, nominal_start + 0.3)
    assert start is not None
    top = _turn_round(golfer)
    return {
        Moment.SET: start - SET_BEFORE_START_S,
        Moment.CLUB_STARTS: start,
        Moment.TAKEAWAY: _crossing(shaft, start, top),
        Moment.LEAD_ARM_LEVEL_BACK: _crossing(lead_arm, start, top),
        Moment.TOP: top,
        Moment.LEAD_ARM_LEVEL_DOWN: _crossing(lead_arm, top, 0.0, last=True),
        Moment.SHAFT_LEVEL_DOWN: _crossing(shaft, top, 0.0, last=True),
        Moment.IMPACT: 0.0,
        Moment.SHAFT_LEVEL_THROUGH: _crossing(shaft, 0.0, _LAST_S),
        Moment.TRAIL_ARM_LEVEL_THROUGH: _crossing(trail_arm, 0.0, _LAST_S),
        Moment.FINISH: _come_to_rest(golfer),
    }


def _rise(start: FloatArray, end: FloatArray) -> FloatArray:
    """Sine of the angle to level, shape (n,)."""
    line = end - start
    return np.asarray(line[:, 2] / np.linalg.norm(line, axis=1), dtype=np.float64)


def _crossing(
    height: Callable[[FloatArray], FloatArray], start_s: float, end_s: float, *, last: bool = False
) -> float | None:
    """The first or last zero between two times, or None."""
    times = np.linspace(start_s, end_s, max(int((end_s - start_s) / GRID_S), 2))
    places = np.flatnonzero(np.diff(np.sign(height(times))) != 0)
    if len(places) == 0:
        return None
    place = int(places[-1 if last else 0])
    found = brentq(lambda t: float(height(np.array([t]))[0]), times[place], times[place + 1])
    return float(found)


def _turn_round(golfer: Golfer) -> float:
    """When the shaft has swung furthest round, seen square to the plane of set."""
    plane = np.radians(golfer.swing.club.plane_deg)
    side = float(np.sign(golfer.pose(np.zeros(1)).pelvis[0, 1]))
    up = np.array([0.0, side * np.cos(plane), np.sin(plane)])

    def swung(time_s: float) -> float:
        pose = golfer.pose(np.array([time_s]))
        shaft = (pose.club_face - pose.club_butt)[0]
        return -float(np.arctan2(-shaft[0], -(shaft @ up)) % (2.0 * np.pi))

    top_s = -golfer.swing.downswing_s
    found = minimize_scalar(
        swung, bounds=(top_s - 0.12, top_s + 0.08), method="bounded", options={"xatol": 1e-9}
    )
    return float(found.x)


def speed_m_s(golfer: Golfer, time_s: FloatArray, name: str) -> FloatArray:
    """Speed of a named point of the pose at times, shape (n,)."""
    step = 1e-5
    ahead: FloatArray = getattr(golfer.pose(time_s + step), name)
    behind: FloatArray = getattr(golfer.pose(time_s - step), name)
    return np.asarray(np.linalg.norm(ahead - behind, axis=1) / (2.0 * step), dtype=np.float64)


def _come_to_rest(golfer: Golfer) -> float | None:
    """When the face's speed falls under its share for good."""
    times = np.arange(0.0, _LAST_S, GRID_S)
    limit = FINISH_SPEED_SHARE * float(speed_m_s(golfer, times - 0.1, "club_face").max())

    def over(time_s: FloatArray) -> FloatArray:
        return speed_m_s(golfer, time_s, "club_face") - limit

    return _crossing(over, 0.0, _LAST_S, last=True)
