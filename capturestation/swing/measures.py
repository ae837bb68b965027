"""What is measured: each measure's name, where it is taken, and its arithmetic on points in space.

Owns the definitions and their signs. Refuses errors and pictures; `measuring` adds the errors.
Axes are a figure's: x to the target, y from the ball to the golfer, z up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from capturestation.records import FloatArray, Moment
from capturestation.swing.figure import BALL, GRIP, HEAD
from capturestation.swing.tracks import Joint

At: TypeAlias = Mapping[str, FloatArray]
"""Every point at one instant, (3,) each."""
DEG, LENGTH, RATIO = "deg", "length", "ratio"
"""A length is said in cm where metres are known, else in % of the golfer's height."""
_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One thing that is measured.

    Args:
        name: In words of the trade; closed, open and so on are said with the value.
        unit: Degrees, a length or a ratio.
        moments: Where it is taken.
        value: From the points at the moment and those at set.
        needs: What must have been seen, in words, for the reason why it is missing.
        more: What a larger value means, in a word or two.
        less: What a smaller one means.
        turns: Whether it is an angle that may pass a half circle.
        sides: What a value above zero and one below are called by themselves; None where the
            number says it all.
        within: Lines whose turn has to be one that a golfer can have there, or sides were taken
            for one another.
    """

    name: str
    unit: str
    moments: tuple[Moment, ...]
    value: Callable[[At, At], float]
    needs: str
    more: str
    less: str
    turns: bool = False
    sides: tuple[str, str] | None = None
    within: tuple[Joint, ...] = ()


def _middle(at: At, joint: Joint) -> FloatArray:
    return 0.5 * (at[joint] + at[joint.other])


def _turn(at: At, lead: Joint) -> float:
    """Turn about the vertical, closed positive."""
    side = at[lead] - at[lead.other]
    return float(np.degrees(np.arctan2(-side[1], side[0])))


TURNS_DEG: Mapping[Moment, tuple[float, float]] = {
    Moment.SET: (-70.0, 70.0),
    Moment.TAKEAWAY: (-60.0, 90.0),
    Moment.LEAD_ARM_LEVEL_BACK: (-30.0, 130.0),
    Moment.TOP: (-30.0, 150.0),
    Moment.LEAD_ARM_LEVEL_DOWN: (-60.0, 130.0),
    Moment.SHAFT_LEVEL_DOWN: (-90.0, 100.0),
    Moment.IMPACT: (-110.0, 70.0),
    Moment.FINISH: (-190.0, 10.0),
}
"""How far hips or shoulders can be turned at a moment, with room for the error of seeing it. Where
a golfer's front was taken for his back a turn is half a circle off and falls outside. At the top
golfers turn 30 to 75 and 65 to 115 degrees: McTeigue et al., Science and Golf II, 1994; the rest is
common practice in the trade."""


def is_turn_possible(measure: Measure, moment: Moment, at: At) -> bool:
    """Whether all lines that a measure is taken from can be turned so."""
    low, high = TURNS_DEG.get(moment, (-360.0, 360.0))
    middle = 0.5 * (low + high)
    for lead in measure.within:
        beside = (_turn(at, lead) - middle + 180.0) % 360.0 - 180.0
        if not abs(beside) <= 0.5 * (high - low):
            return False
    return True


def pelvis_turn(at: At, _: At) -> float:
    """Of the line through the hips."""
    return _turn(at, Joint.LEAD_HIP)


def chest_turn(at: At, _: At) -> float:
    """Of the line through the shoulders."""
    return _turn(at, Joint.LEAD_SHOULDER)


def separation(at: At, _: At) -> float:
    """How much further the chest is turned than the pelvis."""
    apart = _turn(at, Joint.LEAD_SHOULDER) - _turn(at, Joint.LEAD_HIP)
    return (apart + 180.0) % 360.0 - 180.0


def _shift(joint: Joint, axis: int, sign: float) -> Callable[[At, At], float]:
    def moved(at: At, at_set: At) -> float:
        return sign * float((_middle(at, joint) - _middle(at_set, joint))[axis])

    return moved


def _spine(at: At) -> FloatArray:
    return _middle(at, Joint.LEAD_SHOULDER) - _middle(at, Joint.LEAD_HIP)


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


def _bend(hinge: Joint, near: Joint, far: Joint) -> Callable[[At, At], float]:
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


def stance_width(at: At, _: At) -> float:
    """Between the ankles along the target line, over the shoulders' width in space."""
    ankles = at[Joint.LEAD_ANKLE] - at[Joint.TRAIL_ANKLE]
    shoulders = at[Joint.LEAD_SHOULDER] - at[Joint.TRAIL_SHOULDER]
    wide = shoulders[:2] if np.isfinite(shoulders[1]) else shoulders[:1]
    return float(ankles[0] / np.linalg.norm(wide))


def feet_line(at: At, _: At) -> float:
    """Of the line through the ankles to the target line, closed positive."""
    return _turn(at, Joint.LEAD_ANKLE)


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
    return float(at[BALL][0] - _middle(at, Joint.LEAD_ANKLE)[0])


def ball_distance(at: At, _: At) -> float:
    """How far the ball lies from the toes' line, square to the target line."""
    return float(_middle(at, Joint.LEAD_TOE)[1] - at[BALL][1])


_M = Moment
_ALL_WAY = (_M.TAKEAWAY, _M.LEAD_ARM_LEVEL_BACK, _M.TOP, _M.LEAD_ARM_LEVEL_DOWN,
            _M.SHAFT_LEVEL_DOWN, _M.IMPACT)  # fmt: skip
_WITH_SET = (_M.SET, *_ALL_WAY)
_BODY, _BOTH, _CLUB = "the body", "the body in both views", "the club"
_BALL = "the ball pointed out in both views"
_HIPS, _SHOULDERS = (Joint.LEAD_HIP,), (Joint.LEAD_SHOULDER,)
_TURNED = ("closed", "open")
_TO_TARGET = ("nearer the target", "farther from it")
_TO_BALL = ("nearer the ball", "farther from it")
_UP_DOWN = ("up", "down")

MEASURES = (
    Measure(name="pelvis turn", unit=DEG, moments=(*_WITH_SET, _M.FINISH), value=pelvis_turn,
            needs=_BOTH, more="more closed", less="more open", turns=True, sides=_TURNED,
            within=_HIPS),
    Measure(name="chest turn", unit=DEG, moments=(*_WITH_SET, _M.FINISH), value=chest_turn,
            needs=_BOTH, more="more closed", less="more open", turns=True, sides=_TURNED,
            within=_SHOULDERS),
    Measure(name="chest less pelvis", unit=DEG, moments=(_M.TOP, _M.LEAD_ARM_LEVEL_DOWN),
            value=separation, needs=_BOTH, more="more apart", less="less apart", turns=True,
            within=(*_HIPS, *_SHOULDERS)),
    Measure(name="pelvis to the target", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_HIP, 0, 1.0), needs="the body face-on",
            more="nearer the target", less="farther from the target", sides=_TO_TARGET),
    Measure(name="pelvis to the ball", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_HIP, 1, -1.0), needs="the body down the line",
            more="nearer the ball", less="farther from the ball", sides=_TO_BALL),
    Measure(name="pelvis up", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_HIP, 2, 1.0), needs=_BODY, more="higher", less="lower",
            sides=_UP_DOWN),
    Measure(name="head to the target", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_EAR, 0, 1.0), needs="the body face-on",
            more="nearer the target", less="farther from the target", sides=_TO_TARGET),
    Measure(name="head to the ball", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_EAR, 1, -1.0), needs="the body down the line",
            more="nearer the ball", less="farther from the ball", sides=_TO_BALL),
    Measure(name="head up", unit=LENGTH, moments=_ALL_WAY,
            value=_shift(Joint.LEAD_EAR, 2, 1.0), needs=_BODY, more="higher", less="lower",
            sides=_UP_DOWN),
    Measure(name="forward bend", unit=DEG, moments=_WITH_SET, value=forward_bend,
            needs="the body down the line", more="more bent", less="more upright"),
    Measure(name="forward bend since set", unit=DEG, moments=(_M.TOP, _M.IMPACT),
            value=bend_change, needs="the body down the line", more="more bent",
            less="more upright", sides=("more", "less")),
    Measure(name="side tilt", unit=DEG, moments=_WITH_SET, value=side_tilt,
            needs="the body face-on", more="more away from the target",
            less="more to the target", sides=("away from the target", "to the target")),
    Measure(name="lead knee bend", unit=DEG, moments=_WITH_SET,
            value=_bend(Joint.LEAD_KNEE, Joint.LEAD_HIP, Joint.LEAD_ANKLE), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="trail knee bend", unit=DEG, moments=_WITH_SET,
            value=_bend(Joint.TRAIL_KNEE, Joint.TRAIL_HIP, Joint.TRAIL_ANKLE), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="lead elbow bend", unit=DEG, moments=(_M.SET, _M.TOP, _M.IMPACT),
            value=_bend(Joint.LEAD_ELBOW, Joint.LEAD_SHOULDER, Joint.LEAD_WRIST), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="lead arm to level", unit=DEG, moments=(_M.TAKEAWAY, _M.TOP, _M.SHAFT_LEVEL_DOWN),
            value=lead_arm_to_level, needs=_BOTH, more="higher", less="lower",
            sides=("above level", "below level")),
    Measure(name="lead arm to shaft", unit=DEG,
            moments=(_M.LEAD_ARM_LEVEL_BACK, _M.TOP, _M.LEAD_ARM_LEVEL_DOWN, _M.SHAFT_LEVEL_DOWN),
            value=arm_to_shaft, needs=_CLUB, more="more angle", less="less angle"),
    Measure(name="shaft off the plane", unit=DEG,
            moments=(_M.TAKEAWAY, _M.LEAD_ARM_LEVEL_BACK, _M.LEAD_ARM_LEVEL_DOWN,
                     _M.SHAFT_LEVEL_DOWN),
            value=off_plane, needs=_BALL, more="more outside", less="more inside",
            sides=("outside", "inside")),
    Measure(name="shaft lean", unit=DEG, moments=(_M.SET, _M.IMPACT), value=shaft_lean,
            needs="the club face-on", more="hands more ahead", less="hands less ahead",
            sides=("hands ahead", "hands behind")),
    Measure(name="shaft to level down the line", unit=DEG, moments=(_M.SET,), value=shaft_lie,
            needs="the club down the line", more="steeper", less="flatter"),
    Measure(name="stance width to shoulders", unit=RATIO, moments=(_M.SET,), value=stance_width,
            needs="the body face-on", more="wider", less="narrower"),
    Measure(name="feet line", unit=DEG, moments=(_M.SET,), value=feet_line, needs=_BOTH,
            more="more closed", less="more open", turns=True, sides=_TURNED),
    Measure(name="trail foot roll", unit=DEG, moments=(_M.IMPACT, _M.FINISH),
            value=trail_foot_roll, needs=_BODY, more="more rolled up", less="flatter"),
    Measure(name="trail hip past lead hip", unit=LENGTH, moments=(_M.FINISH,), value=hips_in_line,
            needs="the body face-on", more="farther past", less="less far past",
            sides=("past it", "short of it")),
    Measure(name="ball position", unit=LENGTH, moments=(_M.SET,), value=ball_position,
            needs=_BALL, more="farther forward", less="farther back", sides=("forward", "back")),
    Measure(name="distance to the ball", unit=LENGTH, moments=(_M.SET,), value=ball_distance,
            needs=_BALL, more="farther", less="nearer"),
)  # fmt: skip
"""All of them, in the order in which a coach would look."""


def full_name(measure: Measure, moment: Moment) -> str:
    """A measure's name with its moment, by which two swings are compared.

    Example:
        >>> full_name(MEASURES[0], Moment.IMPACT)
        'pelvis turn, impact'
    """
    return f"{measure.name}, {moment}"


def sides_of(name: str) -> tuple[str, str] | None:
    """What a value above zero and one below are called, by a measure's full name.

    Example:
        >>> sides_of("pelvis turn, impact"), sides_of("lead knee bend, top")
        (('closed', 'open'), None)
    """
    return next((m.sides for m in MEASURES if name.startswith(f"{m.name}, ")), None)


def ways_of(name: str) -> tuple[str, str] | None:
    """What a larger and a smaller value of a measure are called; None for another's name.

    Example:
        >>> ways_of("pelvis turn, impact")
        ('more closed', 'more open')
    """
    for measure in MEASURES:
        if name in {full_name(measure, moment) for moment in measure.moments}:
            return measure.more, measure.less
    return None
