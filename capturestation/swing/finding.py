"""The moments of a swing from all that was seen of it: motion, arms and club, both views together.

Owns all eleven moments, each as an interval, as "does not occur", or as not found. Refuses
pictures. Where nobody looked for the body only the moments that motion shows are found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import (
    NS_PER_S,
    FloatArray,
    Hand,
    Mark,
    MarkSource,
    Moment,
    View,
    no_such_moment,
)
from capturestation.swing.body import tall_px
from capturestation.swing.crossings import Height, When, crossing, highest, together
from capturestation.swing.moments import find_moments
from capturestation.swing.tracks import BodyTrack, ClubTrack, Joint, MotionTrack

METHOD = "seen 1"
_WIDE = 2.0
# An interval reaches two standard uncertainties to each side.
ARM = 0.33
# Shoulder to hand over the height from nose to ankles.
_ARM_U = {View.FACE_ON: (0.03, 0.04), View.DOWN_THE_LINE: (0.07, 0.10), View.EXTRA: (0.1, 0.2)}
_SHAFT_U = {View.FACE_ON: (0.05, 0.04), View.DOWN_THE_LINE: (0.15, 0.30), View.EXTRA: (0.1, 0.3)}
# Random and systematic, shares of the limb's length: 0.06 is 3.5 degrees.
SHOULDER_OVER = {
    (View.FACE_ON, Joint.LEAD_SHOULDER): 0.088,
    (View.FACE_ON, Joint.TRAIL_SHOULDER): 0.13,
}
# How much higher the network sees the shoulder than the joint's middle, in lengths of the arm: the
# mean of six rendered golfers, who differ by 0.02 to 0.03.
_SURELY = 2.5
# So many standard uncertainties under level, and it is never reached.
_SET_BEFORE_S, _SET_U_S = 0.25, 0.03
_TOP_CLUB_U_S, _TOP_CLUB_EARLY_S = 0.020, 0.009
# Face-on the shaft seems to turn round a little before it does, seen square to its plane.
_DIP_SHARE = 0.5
# The dip in the motion is known twice as well as it is wide, by rendered swings.
_THROUGH_S = 0.6
_FALLBACK = {Moment.TAKEAWAY: (0.5, 0.05), Moment.SHAFT_LEVEL_DOWN: (0.80, 0.05)}
# Without a club: its share of the way from club starts to top, or from top to impact, and the
# standard deviation. The first is the middle of published labels (McNally et al. 2019).


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """What was seen in one view, on the swing's clock.

    Args:
        view: Which.
        motion: How much moves.
        body: Joints, cleaned; None without a body model.
        club: The club; None where nobody looked for it.
    """

    view: View
    motion: MotionTrack
    body: BodyTrack | None = None
    club: ClubTrack | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """The times that all others lie between."""

    start: When
    top: When
    finish_s: float


def find_all(views: Sequence[Watched], *, hand: Hand, zero_u_ns: int) -> tuple[Mark, ...]:
    """Find every moment that can be seen.

    Args:
        views: What was seen, one for each view.
        hand: Of the golfer.
        zero_u_ns: Standard uncertainty of zero.

    Returns:
        Marks in the order of the moments; a moment without one was not found.
    """
    moving = {m.moment: m for m in find_moments([v.motion for v in views], zero_u_ns=zero_u_ns)}
    start, top = _when(moving.get(Moment.CLUB_STARTS)), _top(views, moving.get(Moment.TOP), hand)
    marks = [moving[m] for m in (Moment.IMPACT, Moment.FINISH) if m in moving]
    if start is None or top is None or start.at_s >= top.at_s:
        return _ordered([*marks, *_set_and_start(moving.get(Moment.CLUB_STARTS)),
                         *([] if top is None else [_mark(Moment.TOP, top)])])  # fmt: skip
    finish = _when(moving.get(Moment.FINISH))
    frame = _Frame(start=start, top=top, finish_s=_THROUGH_S if finish is None else finish.at_s)
    marks += [*_set_and_start(moving[Moment.CLUB_STARTS]), _mark(Moment.TOP, top)]
    marks += [*_arms(views, frame), *_shafts(views, frame)]
    return _in_order(marks)


def _ordered(marks: Sequence[Mark]) -> tuple[Mark, ...]:
    return tuple(sorted(marks, key=lambda mark: mark.moment.place))


def _in_order(marks: Sequence[Mark]) -> tuple[Mark, ...]:
    """The marks without those that contradict the order of the surer ones."""
    kept: list[Mark] = []
    for mark in sorted(marks, key=_width_ns):
        clash = any(
            mark.at_ns is not None
            and other.at_ns is not None
            and (mark.moment.place > other.moment.place) != (mark.at_ns > other.at_ns)
            for other in kept
        )
        if not clash:
            kept.append(mark)
    return _ordered(kept)


def _width_ns(mark: Mark) -> int:
    if mark.late_ns is None or mark.early_ns is None:
        return 0
    return mark.late_ns - mark.early_ns


def _when(mark: Mark | None) -> When | None:
    if mark is None or mark.at_ns is None:
        return None
    return When(at_s=mark.at_ns / NS_PER_S, u_s=_width_ns(mark) / NS_PER_S / (2 * _WIDE))


def _mark(moment: Moment, when: When, confidence: float = 0.95) -> Mark:
    at, half = (round(value * NS_PER_S) for value in (when.at_s, _WIDE * when.u_s))
    return Mark(
        moment=moment, at_ns=at, early_ns=at - half, late_ns=at + half, confidence=confidence,
        source=MarkSource.FOUND, method=METHOD,
    )  # fmt: skip


def _set_and_start(start: Mark | None) -> list[Mark]:
    """Set is the stillness a quarter of a second before the club starts: as sure as that is."""
    found = _when(start)
    if start is None or found is None:
        return []
    set_at = When(at_s=found.at_s - _SET_BEFORE_S, u_s=float(np.hypot(found.u_s, _SET_U_S)))
    return [start, _mark(Moment.SET, set_at, start.confidence)]


def _top(views: Sequence[Watched], moving: Mark | None, hand: Hand) -> When | None:
    """Where motion dips, and where the shaft in the picture turns round."""
    dip = _when(moving)
    if dip is not None:
        dip = When(at_s=dip.at_s, u_s=_DIP_SHARE * dip.u_s)
    turns = [_shaft_turns(v.club, hand, dip) for v in views
             if v.club is not None and v.view is View.FACE_ON]  # fmt: skip
    return together([one for one in (dip, *turns) if one is not None])


def _shaft_turns(club: ClubTrack, hand: Hand, dip: When | None) -> When | None:
    """When the shaft has swung furthest back, by a parabola through the angles about it."""
    middle_s = -0.28 if dip is None else dip.at_s
    at_s = club.times_ns / NS_PER_S
    near = (np.abs(at_s - middle_s) < 0.12) & np.isfinite(club.shaft_deg)
    if near.sum() < 6:
        return None
    at_s, confidence = at_s[near], np.maximum(club.confidence[near], 0.05)
    angle = np.degrees(np.unwrap(np.radians(club.shaft_deg[near])))
    # Going back the shaft turns clockwise in the picture of a right-handed golfer.
    back = angle * (1.0 if hand is Hand.RIGHT else -1.0)
    peak_s = float(at_s[int(np.argmax(back))])
    about = np.abs(at_s - peak_s) < 0.05
    if about.sum() < 4:
        return None
    a, b, _ = np.polyfit(at_s[about] - peak_s, back[about], 2, w=confidence[about])
    if a >= 0.0:
        return None
    turn_s = float(np.clip(-b / (2.0 * a), -0.03, 0.03))
    step_s = float(np.median(np.diff(at_s)))
    round_s = peak_s + turn_s + _TOP_CLUB_EARLY_S
    return When(at_s=round_s, u_s=float(np.hypot(_TOP_CLUB_U_S, step_s / 3)))


def _arms(views: Sequence[Watched], frame: _Frame) -> list[Mark]:
    lead = [(v.view, arm_height(v.body, v.view, Joint.LEAD_SHOULDER)) for v in views
            if v.body is not None]  # fmt: skip
    trail = [(v.view, arm_height(v.body, v.view, Joint.TRAIL_SHOULDER)) for v in views
             if v.body is not None]  # fmt: skip
    # Down the line the trail shoulder is behind the head by then.
    trail = [one for one in trail if one[0] is View.FACE_ON] or trail
    top_s, zero_s = frame.top.at_s, 0.0
    return [
        *_level(Moment.LEAD_ARM_LEVEL_BACK, lead, (frame.start.at_s, top_s + 0.1), rising=True),
        *_level(Moment.LEAD_ARM_LEVEL_DOWN, lead, (top_s - 0.1, zero_s), rising=False, last=True),
        *_level(Moment.TRAIL_ARM_LEVEL_THROUGH, trail, (zero_s, frame.finish_s), rising=True),
    ]


def _level(
    moment: Moment,
    heights: Sequence[tuple[View, Height]],
    span_s: tuple[float, float],
    *,
    rising: bool,
    last: bool = False,
) -> list[Mark]:
    """The mark of a level moment; face-on decides whether it occurs at all."""
    peaks = {view: highest(height, *span_s) for view, height in heights}
    for view, height in sorted(heights, key=lambda pair: list(View).index(pair[0])):
        peak = peaks[view]
        if peak is None:
            continue
        if peak < -_SURELY * height.u:
            return [no_such_moment(moment, source=MarkSource.FOUND)]
        break
    found = [crossing(height, *span_s, rising=rising, last=last) for _, height in heights]
    when = together([one for one in found if one is not None])
    return [] if when is None else [_mark(moment, when)]


def arm_height(body: BodyTrack, view: View, shoulder: Joint) -> Height:
    """How high the hands are over a shoulder, in lengths of the arm."""
    over = SHOULDER_OVER.get((view, shoulder), 0.0)
    return Height(
        at_s=body.times_ns / NS_PER_S,
        value=(body.at(shoulder)[:, 1] - hands(body)[:, 1]) / (ARM * tall_px(body)) + over,
        u_random=_ARM_U[view][0],
        u_systematic=_ARM_U[view][1],
    )


def hands(body: BodyTrack) -> FloatArray:
    """Where the hands hold the club, (n, 2): the middle of whatever is known of them."""
    joints = (Joint.LEAD_WRIST, Joint.TRAIL_WRIST, Joint.LEAD_HAND, Joint.TRAIL_HAND)
    points = np.stack([body.at(joint) for joint in joints])
    known = np.isfinite(points)
    count = known.sum(axis=0)
    total = np.where(known, points, 0.0).sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def shaft_height(club: ClubTrack, view: View) -> Height:
    """How high the head is over the hands, in lengths of the shaft in the picture."""
    return Height(
        at_s=club.times_ns / NS_PER_S,
        value=-np.sin(np.radians(club.shaft_deg)),
        u_random=_SHAFT_U[view][0],
        u_systematic=_SHAFT_U[view][1],
    )


def _shafts(views: Sequence[Watched], frame: _Frame) -> list[Mark]:
    clubs = [(v.view, shaft_height(v.club, v.view)) for v in views if v.club is not None]
    start_s, top_s = frame.start.at_s, frame.top.at_s
    if not clubs:
        return _without_club(frame)
    return [
        *_level(Moment.TAKEAWAY, clubs, (start_s, top_s), rising=True),
        *_level(Moment.SHAFT_LEVEL_DOWN, clubs, (top_s, 0.0), rising=False, last=True),
        *_level(Moment.SHAFT_LEVEL_THROUGH, clubs, (0.0, frame.finish_s), rising=True),
    ]


def _without_club(frame: _Frame) -> list[Mark]:
    """Where the shaft is level by rule of thumb, widely."""
    marks = []
    for moment, (share, u_share) in _FALLBACK.items():
        first, last = (frame.start.at_s, frame.top.at_s)
        if moment is Moment.SHAFT_LEVEL_DOWN:
            first, last = (frame.top.at_s, 0.0)
        when = When(at_s=first + share * (last - first), u_s=u_share * (last - first))
        marks.append(_mark(moment, when, 0.6))
    return marks
