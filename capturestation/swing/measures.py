"""What is measured: each measure's name, where it is taken, and its arithmetic on points in space.

Owns their names, words and moments; `formulas` holds the arithmetic, `measuring` adds the errors.
Axes are a figure's: x to the target, y from the ball to the golfer, z up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from capturestation.records import Moment
from capturestation.swing.formulas import (
    At,
    ankles_to_nose,
    arm_to_shaft,
    ball_distance,
    ball_position,
    bend_change,
    bend_of,
    chest_turn,
    chest_turn_about_spine,
    feet_line,
    forward_bend,
    hands_shift,
    hips_in_line,
    lead_arm_to_level,
    off_plane,
    pelvis_turn,
    separation,
    shaft_lean,
    shaft_lie,
    shaft_line_at_ground,
    shift_of,
    side_tilt,
    stance,
    stance_width,
    trail_foot_roll,
    turn_of,
)
from capturestation.swing.tracks import Joint

DEG, LENGTH, RATIO = "deg", "length", "ratio"
"""A length is said in cm where metres are known, else in % of the golfer's height."""


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
        only_in_space: Whether it has a meaning in metres alone.
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
    only_in_space: bool = False


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
        beside = (turn_of(at, lead) - middle + 180.0) % 360.0 - 180.0
        if not abs(beside) <= 0.5 * (high - low):
            return False
    return True


_SHORTEST = {Joint.LEAD_HIP: 0.06, Joint.LEAD_SHOULDER: 0.12}
# Of the height from ankles to nose: half of what hips and shoulders of golfers are apart, level.


def is_line_seen(measure: Measure, at: At) -> bool:
    """Whether all lines that a measure is taken from are seen about as long as they are.

    A golfer whose front the body model can't tell from his back it sees with hips or shoulders
    almost in one place; which way such a line points is chance. Where his height isn't known,
    nothing is said against it.
    """
    tall = ankles_to_nose(at, at) if measure.within else float("nan")
    for lead in measure.within:
        gap = at[lead] - at[lead.other]
        if math.hypot(gap[0], gap[1]) < _SHORTEST[lead] * tall:
            return False
    return True


_M = Moment
_ALL_WAY = (_M.TAKEAWAY, _M.LEAD_ARM_LEVEL_BACK, _M.TOP, _M.LEAD_ARM_LEVEL_DOWN,
            _M.SHAFT_LEVEL_DOWN, _M.IMPACT)  # fmt: skip
_WITH_SET = (_M.SET, *_ALL_WAY)
CLUB, BALL_TOO = "the club", "the ball pointed out in both views"
"""What a measure needs that takes club or ball from both views at once."""
_BODY, _BOTH = "the body", "the body in both views"
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
    Measure(name="chest turn about the spine", unit=DEG,
            moments=(_M.SET, _M.TOP, _M.LEAD_ARM_LEVEL_DOWN, _M.IMPACT),
            value=chest_turn_about_spine, needs=_BOTH, more="more closed", less="more open",
            turns=True, sides=_TURNED, within=_SHOULDERS),
    Measure(name="chest less pelvis", unit=DEG, moments=(_M.TOP, _M.LEAD_ARM_LEVEL_DOWN),
            value=separation, needs=_BOTH, more="more apart", less="less apart", turns=True,
            within=(*_HIPS, *_SHOULDERS)),
    Measure(name="pelvis to the target", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_HIP, 0, 1.0), needs="the body face-on",
            more="nearer the target", less="farther from the target", sides=_TO_TARGET),
    Measure(name="pelvis to the ball", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_HIP, 1, -1.0), needs="the body down the line",
            more="nearer the ball", less="farther from the ball", sides=_TO_BALL),
    Measure(name="pelvis up", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_HIP, 2, 1.0), needs=_BODY, more="higher", less="lower",
            sides=_UP_DOWN),
    Measure(name="head to the target", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_EAR, 0, 1.0), needs="the body face-on",
            more="nearer the target", less="farther from the target", sides=_TO_TARGET),
    Measure(name="head to the ball", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_EAR, 1, -1.0), needs="the body down the line",
            more="nearer the ball", less="farther from the ball", sides=_TO_BALL),
    Measure(name="head up", unit=LENGTH, moments=_ALL_WAY,
            value=shift_of(Joint.LEAD_EAR, 2, 1.0), needs=_BODY, more="higher", less="lower",
            sides=_UP_DOWN),
    Measure(name="hands to the target", unit=LENGTH, moments=_ALL_WAY,
            value=hands_shift(0, 1.0), needs="the body face-on",
            more="nearer the target", less="farther from the target", sides=_TO_TARGET),
    Measure(name="hands to the ball", unit=LENGTH, moments=_ALL_WAY,
            value=hands_shift(1, -1.0), needs="the body down the line",
            more="nearer the ball", less="farther from the ball", sides=_TO_BALL),
    Measure(name="hands up", unit=LENGTH, moments=_ALL_WAY,
            value=hands_shift(2, 1.0), needs=_BODY, more="higher", less="lower",
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
            value=bend_of(Joint.LEAD_KNEE, Joint.LEAD_HIP, Joint.LEAD_ANKLE), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="trail knee bend", unit=DEG, moments=_WITH_SET,
            value=bend_of(Joint.TRAIL_KNEE, Joint.TRAIL_HIP, Joint.TRAIL_ANKLE), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="lead elbow bend", unit=DEG, moments=(_M.SET, _M.TOP, _M.IMPACT),
            value=bend_of(Joint.LEAD_ELBOW, Joint.LEAD_SHOULDER, Joint.LEAD_WRIST), needs=_BOTH,
            more="more bent", less="straighter"),
    Measure(name="lead arm to level", unit=DEG, moments=(_M.TAKEAWAY, _M.TOP, _M.SHAFT_LEVEL_DOWN),
            value=lead_arm_to_level, needs=_BOTH, more="higher", less="lower",
            sides=("above level", "below level")),
    Measure(name="lead arm to shaft", unit=DEG,
            moments=(_M.LEAD_ARM_LEVEL_BACK, _M.TOP, _M.LEAD_ARM_LEVEL_DOWN, _M.SHAFT_LEVEL_DOWN),
            value=arm_to_shaft, needs=CLUB, more="more angle", less="less angle"),
    Measure(name="shaft off the plane", unit=DEG,
            moments=(_M.TAKEAWAY, _M.LEAD_ARM_LEVEL_BACK, _M.LEAD_ARM_LEVEL_DOWN,
                     _M.SHAFT_LEVEL_DOWN),
            value=off_plane, needs=BALL_TOO, more="more outside", less="more inside",
            sides=("outside", "inside")),
    Measure(name="shaft line at the ground", unit=LENGTH,
            moments=(_M.LEAD_ARM_LEVEL_BACK, _M.LEAD_ARM_LEVEL_DOWN), value=shaft_line_at_ground,
            needs=BALL_TOO, more="more outside", less="more inside", sides=("outside", "inside"),
            only_in_space=True),
    Measure(name="shaft lean", unit=DEG, moments=(_M.SET, _M.IMPACT), value=shaft_lean,
            needs="the club face-on", more="hands more ahead", less="hands less ahead",
            sides=("hands ahead", "hands behind")),
    Measure(name="shaft to level down the line", unit=DEG, moments=(_M.SET,), value=shaft_lie,
            needs="the club down the line", more="steeper", less="flatter"),
    Measure(name="stance width to shoulders", unit=RATIO, moments=(_M.SET,), value=stance_width,
            needs="the body face-on", more="wider", less="narrower"),
    Measure(name="stance width", unit=LENGTH, moments=(_M.SET,), value=stance,
            needs="the body face-on", more="wider", less="narrower", only_in_space=True),
    Measure(name="ankles to nose", unit=LENGTH, moments=(_M.SET,), value=ankles_to_nose,
            needs=_BOTH, more="higher", less="lower", only_in_space=True),
    Measure(name="feet line", unit=DEG, moments=(_M.SET,), value=feet_line, needs=_BOTH,
            more="more closed", less="more open", turns=True, sides=_TURNED),
    Measure(name="trail foot roll", unit=DEG, moments=(_M.IMPACT, _M.FINISH),
            value=trail_foot_roll, needs=_BODY, more="more rolled up", less="flatter"),
    Measure(name="trail hip past lead hip", unit=LENGTH, moments=(_M.FINISH,), value=hips_in_line,
            needs="the body face-on", more="farther past", less="less far past",
            sides=("past it", "short of it")),
    Measure(name="ball position", unit=LENGTH, moments=(_M.SET,), value=ball_position,
            needs=BALL_TOO, more="farther forward", less="farther back", sides=("forward", "back")),
    Measure(name="distance to the ball", unit=LENGTH, moments=(_M.SET,), value=ball_distance,
            needs=BALL_TOO, more="farther", less="nearer"),
)  # fmt: skip
"""All of them, in the order in which a coach would look."""
TALL = next(measure for measure in MEASURES if measure.name == "ankles to nose")
"""By which lengths in cm become shares of a golfer's height."""


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
