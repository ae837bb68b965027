"""Sides told by both views together, where it is known how their pictures lie to each other.

Owns which limbs are exchanged where one view's labels don't fit the other's: rays to a joint meet.
The other view alone can't say in which of the two it is wrong, nor sees anything where both are:
how limbs move in time decides that, in both views at once. Where labels fit either way, or neither
way, nothing follows; where it can't be told which of the two is wrong, the limb is not known.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import NS_PER_S, BoolArray, FloatArray, Hand, IntArray, View
from capturestation.swing.body import (
    GROUPS,
    HIDDEN,
    cleaned,
    exchanged,
    exchanges,
    moves,
    pairs_of,
    resampled,
    tall_px,
    tidied,
    wrong_side,
)
from capturestation.swing.tracks import JOINTS, BodyTrack

JOINT_U_SHARE = {"nose": 0.013, "ear": 0.013, "shoulder": 0.023, "elbow": 0.026, "wrist": 0.014,
                 "hand": 0.016, "hip": 0.020, "knee": 0.014, "ankle": 0.013, "heel": 0.014,
                 "toe": 0.016}  # fmt: skip
"""How well a joint is found, of the golfer's height in the picture, one coordinate, by 25 rendered
golfers looked at from two places: so that rays to joints miss each other by one standard error in
the middle."""
_FITS = 2.0
# Standard errors by which rays to a limb's joints may miss each other, root mean square, and meet.
_CLEARLY = 12.0
# By how much the sum of squared misses of one labelling is under the other's before it speaks: of
# one swing's pictures one in two thousand would speak wrongly by chance.
_BELIEVED = 2.0
# The middle miss of all joints, labelled the better way: beyond it a camera was moved, and nothing
# follows from its labels. A camera nodded by a degree and a half is over it.
_SPEAKS = 0.05
# Of the golfer's height, what a limb costs in each picture whose labels fit exchanged only.
_TRUSTED = 0.003
# Likewise, what it costs to exchange a limb against its own movement where the network sees it for
# sure: one that is hardly seen is more likely to be taken for another.
_DECIDED = 0.05
# Likewise, by how much it is to be dearer that the other of the two views is wrong.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoViews:
    """How the pictures of two views lie to each other.

    Args:
        views: The first and the second.
        second_from_first: Fundamental matrix (3, 3): a place of the first's straight picture to its
            line in the second's.
        straight_px: Each track's joints (n, 21, 2) as a lens that bends nothing would draw them.
        u_ns: How well the two views' times are known to each other.
    """

    views: tuple[View, View]
    second_from_first: FloatArray
    straight_px: Mapping[View, FloatArray]
    u_ns: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """One view on the way.

    Args:
        view: Which.
        track: Mended by its own movement.
        wrong: What was exchanged for that, (groups, n).
        tall: The golfer's height, pixels.
    """

    view: View
    track: BodyTrack
    wrong: BoolArray
    tall: float


def cleaned_together(
    tracks: Mapping[View, BodyTrack], *, hand: Hand, two: TwoViews | None
) -> dict[View, BodyTrack]:
    """Put sides right with both views, drop outliers and hidden joints, smooth.

    Args:
        tracks: As the network says them, on one clock.
        hand: Of the golfer.
        two: How two of them lie to each other; None takes each view by itself.
    """
    found = {view: cleaned(track, view=view, hand=hand) for view, track in tracks.items()}
    if two is not None and all(len(tracks[view].times_ns) > 0 for view in two.views):
        by_both = mended_together(tracks, hand=hand, two=two)
        found |= {view: tidied(track) for view, track in by_both.items()}
    return found


def mended_together(
    tracks: Mapping[View, BodyTrack], *, hand: Hand, two: TwoViews
) -> dict[View, BodyTrack]:
    """Exchange lead and trail back where both views and movement say so.

    Args:
        tracks: As the network says them, on one clock; none of the two is empty.
        hand: Of the golfer.
        two: How they lie to each other.
    """
    sides = [_alone(tracks[view], view, hand) for view in two.views]
    if not all(np.isfinite(side.tall) for side in sides):
        return {side.view: side.track for side in sides}
    said = [_said(two, sides, here) for here in (0, 1)]
    turned, doubtful = _turned(sides, said, hand)
    return {
        side.view: _without(exchanged(side.track, turned[here]), doubtful[here])
        for here, side in enumerate(sides)
    }


def _alone(track: BodyTrack, view: View, hand: Hand) -> _Side:
    wrong = exchanges(track, view=view, hand=hand)
    mended = exchanged(track, wrong)
    return _Side(view=view, track=mended, wrong=wrong, tall=tall_px(mended))


def _said(two: TwoViews, sides: list[_Side], here: int) -> FloatArray:
    """What the other view says of each group in each picture, (groups, n): 1 exchange, -1 leave.

    0 where nothing follows.
    """
    straight = [_straight(two, side) for side in sides]
    own, other = straight[here], straight[1 - here]
    other_from_own = two.second_from_first if here == 0 else two.second_from_first.T
    u_px = [_u_px(track, side.tall, two.u_ns)
            for track, side in zip(straight, sides, strict=True)]  # fmt: skip
    near = np.clip(np.searchsorted(other.times_ns, own.times_ns), 0, len(other.times_ns) - 1)
    there_px, u_there = resampled(other, own.times_ns), u_px[1 - here][near]

    def miss2(a: int, b: int) -> FloatArray:
        ends = own.joints_px[:, a], there_px[:, b]
        off = missed(*ends, other_from_own, u_px=(u_px[here][:, a], u_there[:, b]))
        return np.square(off)

    said = np.zeros((len(GROUPS), len(own.times_ns)))
    nearest: list[FloatArray] = []
    for number, group in enumerate(GROUPS):
        pairs = pairs_of(group)
        as_is = np.stack([miss2(lead, lead) + miss2(trail, trail) for lead, trail in pairs])
        turned = np.stack([miss2(lead, trail) + miss2(trail, lead) for lead, trail in pairs])
        said[number] = _clearly(as_is, turned)
        nearest.append(np.minimum(as_is, turned).ravel() / 2.0)
    known = np.concatenate(nearest)
    known = known[np.isfinite(known)]
    is_believed = len(known) > 0 and float(np.median(known)) <= _BELIEVED**2
    return said if is_believed else np.zeros_like(said)


def _clearly(as_is: FloatArray, turned: FloatArray) -> FloatArray:
    """Which labelling of a group's pairs fits where the other doesn't, by squared misses, (n,)."""
    count = 2.0 * np.isfinite(as_is).sum(axis=0)
    sums = [np.nansum(miss2, axis=0) for miss2 in (as_is, turned)]
    fits = [whole <= count * _FITS**2 for whole in sums]
    for_it = fits[1] & (sums[0] - sums[1] >= _CLEARLY)
    against = fits[0] & (sums[1] - sums[0] >= _CLEARLY)
    said: FloatArray = for_it * 1.0 - against * 1.0
    return said


def _straight(two: TwoViews, side: _Side) -> BodyTrack:
    """What is seen of a view, its lens's bend taken out, by the sides that it has by itself."""
    track = replace(side.track, joints_px=two.straight_px[side.view])
    track = replace(exchanged(track, side.wrong), seen=side.track.seen)
    is_seen = (track.seen >= HIDDEN)[..., None]
    return replace(track, joints_px=np.where(is_seen, track.joints_px, np.nan))


def _u_px(track: BodyTrack, tall: float, u_ns: float) -> FloatArray:
    """How well each joint is known at a time of the other view, (n, 21) pixels."""
    shares = np.array([JOINT_U_SHARE[joint.split(" ")[-1]] for joint in JOINTS])
    if len(track.times_ns) < 2:
        return np.tile(shares * tall, (len(track.times_ns), 1))
    speed = np.gradient(track.joints_px, track.times_ns / NS_PER_S, axis=0)
    late = np.linalg.norm(np.nan_to_num(speed), axis=2) * u_ns / NS_PER_S
    u_px: FloatArray = np.hypot(shares * tall, late)
    return u_px


def missed(
    own_px: FloatArray,
    other_px: FloatArray,
    other_from_own: FloatArray,
    *,
    u_px: tuple[FloatArray, FloatArray],
) -> FloatArray:
    """How far two places are from being one point, in standard errors (first order), (n,).

    Args:
        own_px: (n, 2) in the one straight picture.
        other_px: (n, 2) in the other.
        other_from_own: Fundamental matrix (3, 3).
        u_px: How well each is known, one coordinate, (n,) of both.

    Source: P. D. Sampson, Fitting conic sections to very scattered data, 1982; with unit errors
        its square is what `cv2.sampsonDistance` has.
    """
    own, other = (np.column_stack([at, np.ones(len(at))]) for at in (own_px, other_px))
    there, here = own @ other_from_own.T, other @ other_from_own
    spread = (u_px[1] * np.hypot(there[:, 0], there[:, 1])) ** 2
    spread = spread + (u_px[0] * np.hypot(here[:, 0], here[:, 1])) ** 2
    off: FloatArray = np.abs((there * other).sum(axis=1)) / np.sqrt(spread)
    return off


def _turned(
    sides: list[_Side], said: list[FloatArray], hand: Hand
) -> tuple[list[BoolArray], list[BoolArray]]:
    """What to exchange beyond what each view says by itself, and what isn't known then.

    Both (groups, n) for both views.
    """
    order = _in_order([side.track.times_ns for side in sides])
    turned = [np.zeros_like(side.wrong) for side in sides]
    doubtful = [np.zeros_like(side.wrong) for side in sides]
    for number, group in enumerate(GROUPS):
        if not any((voice[number] > 0.0).any() for voice in said):
            continue
        pairs = pairs_of(group)
        costs: list[tuple[FloatArray, ...]] = []
        for side, voice in zip(sides, said, strict=True):
            sure = side.track.seen[:, np.ravel(pairs)].mean(axis=1)
            against = wrong_side(side.track, group, side.view, hand) - _TRUSTED * sure
            costs.append((*moves(side.track, pairs, side.tall), against, voice[number] * _SPEAKS))
        for here, (chosen, open_) in enumerate(_cheapest_of_both(order, costs)):
            turned[here][number], doubtful[here][number] = chosen, open_
    return turned, doubtful


def _in_order(times_ns: list[IntArray]) -> list[tuple[int, int]]:
    """Both views' pictures as they follow each other: which view, which of its pictures."""
    return [(here, k) for _, here, k in sorted(
        (int(at), here, k) for here, stamps in enumerate(times_ns) for k, at in enumerate(stamps)
    )]  # fmt: skip


def _cheapest_of_both(
    order: list[tuple[int, int]], costs: list[tuple[FloatArray, ...]]
) -> list[tuple[BoolArray, BoolArray]]:
    """Which pictures of both to exchange, by the cheapest way through all, and which are open.

    A state is what both views are: 2 for the first exchanged, 1 for the second. Open is where one
    of the two is wrong and it could as well be the other, and where the cheapest way goes against
    what the other view says.
    """
    whole = _through_each(order, costs)
    state = whole.argmin(axis=1)
    every = np.arange(len(order))
    differ = (state == 1) | (state == 2)
    is_even = whole[every, state ^ 3] - whole[every, state] < _DECIDED
    by_other = np.array([costs[here][3][k] for here, k in order])
    is_open = (differ & is_even) | (np.where(differ, -by_other, by_other) > 0.0)
    views = np.array([here for here, _ in order])
    return [((state[views == here] & (2 - here)) > 0, is_open[views == here]) for here in (0, 1)]


def _through_each(order: list[tuple[int, int]], costs: list[tuple[FloatArray, ...]]) -> FloatArray:
    """The cheapest way through all pictures by each state of each picture, (events, 4)."""
    by_view = [[one.tolist() for one in view] for view in costs]
    steps = []
    for here, k in order:
        stay, turn, against, by_other = (one[k] for one in by_view[here])
        bit = 2 - here
        own = [
            max(-against if s & bit else against, 0.0)
            + max(-by_other if s in (1, 2) else by_other, 0.0)
            for s in range(4)
        ]
        # Before its first picture a view is what it is there.
        steps.append((bit, stay, turn if k > 0 else np.inf, own))
    before, after = [], []
    total = [0.0] * 4
    for bit, stay, turn, own in steps:
        total = [min(total[s] + stay, total[s ^ bit] + turn) + own[s] for s in range(4)]
        before.append(total)
    total = [0.0] * 4
    for bit, stay, turn, own in reversed(steps):
        after.append(total)
        to_go = [total[s] + own[s] for s in range(4)]
        total = [min(to_go[s] + stay, to_go[s ^ bit] + turn) for s in range(4)]
    whole: FloatArray = np.array(before) + np.array(after[::-1])
    return whole


def _without(track: BodyTrack, doubtful: BoolArray) -> BodyTrack:
    """The track less the limbs of which isn't known whose they are."""
    joints, seen = track.joints_px.copy(), track.seen.copy()
    for when, group in zip(doubtful, GROUPS, strict=True):
        places = np.ix_(when, np.ravel(pairs_of(group)))
        joints[places] = np.nan
        seen[places] = 0.0
    return replace(track, joints_px=joints, seen=seen)
