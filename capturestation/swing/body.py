"""What a body network says of one view, cleaned up: sides put right, smoothed, hidden left out.

Owns exchanged limbs (a network takes a golfer's front for his back, or crosses his arms), outliers
and the zero-lag smoothing. Refuses to invent: what was hidden stays NaN. Where both cameras' places
are known, `both_views` asks the other view too.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from capturestation.records import BoolArray, FloatArray, Hand, IntArray, View
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint

HIDDEN = 0.3
"""Seen less surely than this, a joint is not known."""
_LEGS = ("knee", "ankle", "heel", "toe")
GROUPS = (_LEGS, ("hip",), ("shoulder", "ear"), ("elbow", "wrist", "hand"))
"""What is exchanged together."""
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
_MOST_MOVED = 0.25
# Likewise, more than this a pair doesn't cost by moving.
_FAR_OUT = 6.0
# Standard deviations from the middle of its neighbours.
_NEAR_TALL = 0.012


def cleaned(track: BodyTrack, *, view: View, hand: Hand) -> BodyTrack:
    """Put sides right, drop outliers and hidden joints, smooth.

    Args:
        track: As the network says it.
        view: Whose.
        hand: Of the golfer.
    """
    return tidied(mended(track, view=view, hand=hand))


def tidied(track: BodyTrack) -> BodyTrack:
    """Drop outliers and hidden joints, and smooth, once sides are right."""
    if len(track.times_ns) == 0:
        return track
    kept = np.where(track.seen >= HIDDEN, track.seen, 0.0)
    joints = np.where(kept[..., None] > 0.0, track.joints_px, np.nan)
    return smoothed(without_outliers(replace(track, joints_px=joints, seen=kept)))


def tall_px(track: BodyTrack) -> float:
    """The golfer's height from nose to ankles, its middle over the track; NaN where unknown."""
    tall = track.middle(Joint.LEAD_ANKLE)[:, 1] - track.at(Joint.NOSE)[:, 1]
    known = tall[np.isfinite(tall)]
    return float(np.percentile(known, 75)) if len(known) else float("nan")


def mended(track: BodyTrack, *, view: View, hand: Hand) -> BodyTrack:
    """Exchange lead and trail back where the network has taken one for the other."""
    return exchanged(track, exchanges(track, view=view, hand=hand))


def exchanges(track: BodyTrack, *, view: View, hand: Hand) -> BoolArray:
    """In which pictures each group of joints is the other side's, (groups, n).

    For each group the cheapest way in time is sought: an exchange makes joints jump, and some
    joints can stand on one side only.
    """
    wrong = np.zeros((len(GROUPS), len(track.times_ns)), dtype=np.bool_)
    tall = tall_px(track)
    if not np.isfinite(tall):
        return wrong
    for number, group in enumerate(GROUPS):
        against = wrong_side(track, group, view, hand)
        if number > 0:
            against = against + _unlike(wrong[0])
        wrong[number] = _cheapest(*moves(track, pairs_of(group), tall), against)
    return wrong


def exchanged(track: BodyTrack, wrong: BoolArray) -> BodyTrack:
    """The track with those groups' sides the other way round, (groups, n)."""
    joints, seen = track.joints_px.copy(), track.seen.copy()
    for when, group in zip(wrong, GROUPS, strict=True):
        for lead, trail in pairs_of(group):
            for here, there in ((lead, trail), (trail, lead)):
                joints[when, here] = track.joints_px[when, there]
                seen[when, here] = track.seen[when, there]
    return replace(track, joints_px=joints, seen=seen)


def pairs_of(group: tuple[str, ...]) -> list[tuple[int, int]]:
    """A group's joints as rows of a track, lead and trail."""
    return [(joint.place, joint.other.place) for joint in JOINTS
            if joint.startswith("lead") and joint.endswith(group)]  # fmt: skip


def wrong_side(track: BodyTrack, group: tuple[str, ...], view: View, hand: Hand) -> FloatArray:
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


def _unlike(legs: BoolArray) -> FloatArray:
    """What being turned otherwise than the legs costs: a body is mostly taken as one."""
    return np.where(legs, _AS_LEGS, -_AS_LEGS)


def moves(
    track: BodyTrack, pairs: list[tuple[int, int]], tall: float
) -> tuple[FloatArray, FloatArray]:
    """How far pairs move from picture to picture if their sides stay, and if they are exchanged.

    Both (n,), shares of the height; 0 in the first picture and where one of a pair isn't known.
    """
    same, crossed = np.zeros(len(track.times_ns)), np.zeros(len(track.times_ns))
    for pair in pairs:
        now = track.joints_px[:, pair]
        last = np.stack([_last_known(now[:, side]) for side in (0, 1)], axis=1)
        stay, turn = (_apart(now, at).sum(axis=1) / tall for at in (last, last[:, ::-1]))
        known = np.isfinite(stay) & np.isfinite(turn)
        same[known] += np.minimum(stay[known], _MOST_MOVED)
        crossed[known] += np.minimum(turn[known], _MOST_MOVED)
    return same, crossed


def _last_known(at_px: FloatArray) -> FloatArray:
    """Where a joint was known before each picture, (n, 2); NaN before it ever was."""
    places = np.where(known_points(at_px), np.arange(len(at_px)), -1)
    latest = np.concatenate([[-1], np.maximum.accumulate(places)[:-1]])
    return np.where((latest >= 0)[:, None], at_px[latest], np.nan)


def _apart(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.hypot(one[..., 0] - other[..., 0], one[..., 1] - other[..., 1])


def _cheapest(same: FloatArray, crossed: FloatArray, wrong: FloatArray) -> BoolArray:
    """Which pictures to exchange, (n,), by the cheapest way through all of them."""
    n = len(wrong)
    stay, turn = same.tolist(), crossed.tolist()
    against = np.stack([np.maximum(wrong, 0.0), np.maximum(-wrong, 0.0)], axis=1).tolist()
    costs, came_from = [0.0, 0.0], np.zeros((n, 2), dtype=np.int64)
    for k in range(n):
        ways = [(costs[state] + stay[k], costs[1 - state] + turn[k]) for state in (0, 1)]
        came_from[k] = [s if ways[s][0] <= ways[s][1] else 1 - s for s in (0, 1)]
        costs = [min(ways[state]) + against[k][state] for state in (0, 1)]
    state = int(costs[1] < costs[0])
    chosen = np.zeros(n, dtype=np.bool_)
    for k in range(n - 1, -1, -1):
        chosen[k] = state == 1
        state = int(came_from[k, state])
    return chosen


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
