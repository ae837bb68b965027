"""What a body network says of one view, cleaned up: sides put right, smoothed, hidden left out.

Owns exchanged limbs (a network takes a golfer's front for his back, or crosses his arms), outliers
and the zero-lag smoothing. Refuses to invent: what was hidden stays NaN.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import BoolArray, FloatArray, Hand, IntArray, View
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint

HIDDEN = 0.3
"""Seen less surely than this, a joint is not known."""
_LEGS = ("knee", "ankle", "heel", "toe")
_GROUPS = (_LEGS, ("hip",), ("shoulder", "ear"), ("elbow", "wrist", "hand"))
# What is exchanged together.
_SIGMA_S = {"nose": 0.035, "ear": 0.035, "shoulder": 0.025, "elbow": 0.014, "wrist": 0.010,
            "hand": 0.010, "hip": 0.030, "knee": 0.025, "ankle": 0.05, "heel": 0.05,
            "toe": 0.05}  # fmt: skip
# Half width of the smoothing: hands turn round in 50 ms, feet hardly move.
_FRAME_SIGMAS = 0.9
LONGEST_GAP_NS = 120_000_000
"""Over a longer one nothing is said of what lies between."""
_WRONG_SIDE = 0.05
# Of the golfer's height, what standing on the wrong side costs in each picture.
_AS_LEGS = 0.01
# Likewise, what being exchanged otherwise than the legs costs.
_EPIPOLAR = 1.0
# What a pixel off the other view's line costs, against a pixel of moving.
_FAR_OUT = 6.0
# Standard deviations from the middle of its neighbours.
_NEAR_TALL = 0.012


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondView:
    """The other camera's track, to tell lead from trail by.

    Args:
        track: On the same clock.
        other_from_this: Fundamental matrix (3, 3): a pixel here to its line over there.
    """

    track: BodyTrack
    other_from_this: FloatArray


def cleaned(
    track: BodyTrack, *, view: View, hand: Hand, second: SecondView | None = None
) -> BodyTrack:
    """Put sides right, drop outliers and hidden joints, smooth.

    Args:
        track: As the network says it.
        view: Whose.
        hand: Of the golfer.
        second: The other view where the cameras' places are known.
    """
    if len(track.times_ns) == 0:
        return track
    sided = mended(track, view=view, hand=hand, second=second)
    kept = np.where(sided.seen >= HIDDEN, sided.seen, 0.0)
    joints = np.where(kept[..., None] > 0.0, sided.joints_px, np.nan)
    known = replace(sided, joints_px=joints, seen=kept)
    return smoothed(without_outliers(known))


def tall_px(track: BodyTrack) -> float:
    """The golfer's height from nose to ankles, its middle over the track; NaN where unknown."""
    tall = track.middle(Joint.LEAD_ANKLE)[:, 1] - track.at(Joint.NOSE)[:, 1]
    known = tall[np.isfinite(tall)]
    return float(np.percentile(known, 75)) if len(known) else float("nan")


def mended(
    track: BodyTrack, *, view: View, hand: Hand, second: SecondView | None = None
) -> BodyTrack:
    """Exchange lead and trail back where the network has taken one for the other.

    For each group of joints the cheapest way in time is sought: an exchange makes joints jump, and
    some joints can stand on one side only.
    """
    tall = tall_px(track)
    if not np.isfinite(tall):
        return track
    joints, seen = track.joints_px.copy(), track.seen.copy()
    legs = np.zeros(len(track.times_ns), dtype=np.bool_)
    for group in _GROUPS:
        pairs = [(joint.place, joint.other.place) for joint in JOINTS
                 if joint.startswith("lead") and joint.endswith(group)]  # fmt: skip
        wrong = (_wrong_side(track, group, view, hand) + _unlike(legs, group)) * tall
        wrong = wrong + _off_line(track, pairs, second)
        exchanged = _cheapest(track, pairs, wrong, tall)
        legs = exchanged if group is _LEGS else legs
        for here, there in pairs + [(trail, lead) for lead, trail in pairs]:
            joints[exchanged, here] = track.joints_px[exchanged, there]
            seen[exchanged, here] = track.seen[exchanged, there]
    return replace(track, joints_px=joints, seen=seen)


def _wrong_side(track: BodyTrack, group: tuple[str, ...], view: View, hand: Hand) -> FloatArray:
    """What not exchanging costs in each picture more than exchanging, shares of the height."""
    none = np.zeros(len(track.times_ns))
    if group is _LEGS:
        gap = track.at(Joint.LEAD_ANKLE) - track.at(Joint.TRAIL_ANKLE)
    elif group == ("hip",) and view is View.FACE_ON:
        gap = track.at(Joint.LEAD_HIP) - track.at(Joint.TRAIL_HIP)
    else:
        return none
    if view is View.FACE_ON:
        ahead = gap[:, 0] * (1.0 if hand is Hand.RIGHT else -1.0)
    elif view is View.DOWN_THE_LINE:
        # The lead foot is further off, so it stands higher in the picture.
        ahead = -gap[:, 1]
    else:
        return none
    side = np.sign(np.nan_to_num(ahead))
    return -_WRONG_SIDE * side


def _unlike(legs: BoolArray, group: tuple[str, ...]) -> FloatArray:
    """What being turned otherwise than the legs costs: a body is mostly taken as one."""
    if group is _LEGS:
        return np.zeros(len(legs))
    return np.where(legs, _AS_LEGS, -_AS_LEGS)


def _off_line(
    track: BodyTrack, pairs: list[tuple[int, int]], second: SecondView | None
) -> FloatArray:
    """What the other view has against leaving each picture as it is, pixels."""
    none = np.zeros(len(track.times_ns))
    if second is None:
        return none
    other = resampled(second.track, track.times_ns)
    cost = none
    for lead, trail in pairs:
        as_is = _from_line(track, other, (lead, lead), second) + _from_line(
            track, other, (trail, trail), second
        )
        turned = _from_line(track, other, (trail, lead), second) + _from_line(
            track, other, (lead, trail), second
        )
        cost = cost + np.nan_to_num(as_is - turned) * _EPIPOLAR
    return cost


def _from_line(
    track: BodyTrack, other: FloatArray, which: tuple[int, int], second: SecondView
) -> FloatArray:
    """How far a joint of the other view lies from the line of one here, pixels."""
    here, there = which
    flat = np.column_stack([track.joints_px[:, here], np.ones(len(track.times_ns))])
    line = flat @ second.other_from_this.T
    at = np.column_stack([other[:, there], np.ones(len(flat))])
    off: FloatArray = np.abs((line * at).sum(axis=1)) / np.linalg.norm(line[:, :2], axis=1)
    return off


def _cheapest(
    track: BodyTrack, pairs: list[tuple[int, int]], wrong: FloatArray, tall: float
) -> BoolArray:
    """Which pictures to exchange, (n,), by the cheapest way through all of them."""
    n, most = len(track.times_ns), 0.25 * tall
    costs = np.zeros((n, 2))
    came_from = np.zeros((n, 2), dtype=np.int64)
    costs[0] = (max(wrong[0], 0.0), max(-wrong[0], 0.0))
    last = [np.full(2, np.nan) for _ in range(2 * len(pairs))]
    for k in range(1, n):
        now = [track.joints_px[k, place] for pair in pairs for place in pair]
        before = [track.joints_px[k - 1, place] for pair in pairs for place in pair]
        last = [b if np.isfinite(b).all() else o for b, o in zip(before, last, strict=True)]
        same, crossed = _moves(now, last, most)
        for state, against in ((0, max(wrong[k], 0.0)), (1, max(-wrong[k], 0.0))):
            ways = (costs[k - 1, state] + same, costs[k - 1, 1 - state] + crossed)
            came_from[k, state] = state if ways[0] <= ways[1] else 1 - state
            costs[k, state] = min(ways) + against
    state = int(costs[-1, 1] < costs[-1, 0])
    chosen = np.zeros(n, dtype=np.bool_)
    for k in range(n - 1, -1, -1):
        chosen[k] = state == 1
        state = int(came_from[k, state])
    return chosen


def _moves(now: list[FloatArray], last: list[FloatArray], most: float) -> tuple[float, float]:
    """How far pairs move if their sides stay, and if they are exchanged."""
    same = crossed = 0.0
    for lead in range(0, len(now), 2):
        stay = _apart(now[lead], last[lead]) + _apart(now[lead + 1], last[lead + 1])
        turn = _apart(now[lead], last[lead + 1]) + _apart(now[lead + 1], last[lead])
        if np.isfinite(stay) and np.isfinite(turn):
            same += min(stay, most)
            crossed += min(turn, most)
    return same, crossed


def _apart(one: FloatArray, other: FloatArray) -> float:
    return float(np.hypot(one[0] - other[0], one[1] - other[1]))


def without_outliers(track: BodyTrack) -> BodyTrack:
    """A joint that leaps away from its neighbours in time for a picture or two is not known."""
    n, reach = len(track.times_ns), 3
    if n < 2 * reach + 1:
        return track
    padded = np.pad(track.joints_px, ((reach, reach), (0, 0), (0, 0)), constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=0)
    with np.errstate(all="ignore"):
        middle = _nanmedian(windows)
        spread = 1.4826 * _nanmedian(np.abs(windows - middle[..., None]))
    near = _NEAR_TALL * tall_px(track)
    far = np.abs(track.joints_px - middle) > _FAR_OUT * np.maximum(spread, near)
    gone = np.asarray(far.any(axis=2), dtype=np.bool_)
    return replace(
        track,
        joints_px=np.where(gone[..., None], np.nan, track.joints_px),
        seen=np.where(gone, 0.0, track.seen),
    )


def _nanmedian(windows: FloatArray) -> FloatArray:
    """The median of what is known along the last axis; NaN where nothing is."""
    known = np.isfinite(windows)
    ordered = np.sort(np.where(known, windows, np.inf), axis=-1)
    count = known.sum(axis=-1)
    low = np.take_along_axis(ordered, np.maximum((count - 1) // 2, 0)[..., None], -1)[..., 0]
    high = np.take_along_axis(ordered, np.maximum(count // 2, 0)[..., None], -1)[..., 0]
    return np.where(count > 0, 0.5 * (low + high), np.nan)


def smoothed(track: BodyTrack) -> BodyTrack:
    """Each joint by a parabola through its neighbours in time, weighted by how well it was seen."""
    at_s = (track.times_ns - track.times_ns[0]) / 1e9
    step_s = float(np.median(np.diff(at_s))) if len(at_s) > 1 else 1.0
    joints = track.joints_px.copy()
    for joint in JOINTS:
        sigma_s = max(_SIGMA_S[joint.split(" ")[-1]], _FRAME_SIGMAS * step_s)
        place = joint.place
        points, seen = track.joints_px[:, place], track.seen[:, place]
        joints[:, place] = _parabolas(at_s, points, seen, sigma_s)
    return replace(track, joints_px=joints)


def _parabolas(at_s: FloatArray, at_px: FloatArray, seen: FloatArray, sigma_s: float) -> FloatArray:
    """Local parabolas, (n, 2); where a point is not known it stays so."""
    known = known_points(at_px)
    if known.sum() < 5:
        return at_px
    gaps = (at_s[None, known] - at_s[:, None]) / sigma_s
    weights = np.exp(-0.5 * gaps**2) * seen[known][None]
    moments = np.stack([(weights * gaps**p).sum(axis=1) for p in range(5)])
    normal = np.stack([moments[p : p + 3] for p in range(3)]).transpose(2, 0, 1)
    normal = normal + 1e-4 * moments[0][:, None, None] * np.eye(3)
    right = np.stack([(weights * gaps**p) @ at_px[known] for p in range(3)], axis=1)
    fitted: FloatArray = np.linalg.solve(normal + 1e-12 * np.eye(3), right)[:, 0]
    return np.where(known[:, None], fitted, np.nan)


def known_points(at_px: FloatArray) -> BoolArray:
    """Which points are known, (n,)."""
    return np.asarray(np.isfinite(at_px).all(axis=1), dtype=np.bool_)


def resampled(track: BodyTrack, times_ns: IntArray) -> FloatArray:
    """Joints at other times, (m, 21, 2); NaN outside and in gaps longer than 120 ms."""
    found = np.full((len(times_ns), len(JOINTS), 2), np.nan)
    for place in range(len(JOINTS)):
        found[:, place] = points_at(track.times_ns, track.joints_px[:, place], times_ns)
    return found


def points_at(known_ns: IntArray, at_px: FloatArray, times_ns: IntArray) -> FloatArray:
    """Points at other times by straight lines between known ones, (m, k)."""
    fine = known_points(at_px)
    found = np.full((len(times_ns), at_px.shape[1]), np.nan)
    if fine.sum() < 2:
        return found
    stamps = known_ns[fine]
    after = np.clip(np.searchsorted(stamps, times_ns), 1, len(stamps) - 1)
    gap = stamps[after] - stamps[after - 1]
    exact = (times_ns == stamps[after]) | (times_ns == stamps[after - 1])
    near = (gap <= LONGEST_GAP_NS) | exact
    good = (times_ns >= stamps[0]) & (times_ns <= stamps[-1]) & near
    for axis in range(at_px.shape[1]):
        found[good, axis] = np.interp(times_ns[good], stamps, at_px[fine, axis])
    return found
