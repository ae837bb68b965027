"""A golfer in space: joints, club and ball of both views brought together at one instant.

Owns the axes that measures are taken in: x to the target, y from the ball to the golfer's side, z
up, for either hand; so that "closed" and "toward the ball" have one sign. Two ways lead here:
triangulated points where the cameras' places are known (metres), else both pictures taken as square
to one another (shares of the golfer's height). Refuses pictures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, Hand, IntArray, View
from capturestation.swing.body import LONGEST_GAP_NS, points_at, tall_px
from capturestation.swing.tracks import JOINTS, BodyTrack, ClubTrack, Joint

GRIP, HEAD, BALL = "grip", "club head", "ball"
POINTS = (*(str(joint) for joint in JOINTS), GRIP, HEAD, BALL)
"""What a figure holds, in this order."""
_STANDING = 0.45
# Of the pictures from set on, in which feet and height are taken: later the golfer turns and rises.


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What the points of a figure can be off by, in steps of one standard uncertainty.

    Args:
        own: (n, 24, 3, 3) of each point by itself, by its pixels: a step a column.
        by_bay: (n, 24, 3, k) of all points together, by where the cameras stand.
        by_phase: (n, 24, 3) of all points together, by the views' clocks against each other.
        head_open_m: (n,) how far the club head is off by those clocks.
    """

    own: FloatArray
    by_bay: FloatArray
    by_phase: FloatArray
    head_open_m: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """Points in space over time.

    Args:
        times_ns: (n,) swing clock, the same instants for all points.
        points: (n, 24, 3) in the order of `POINTS`; NaN where a coordinate is not known.
        metres: How many metres one unit is; None where a unit is the golfer's height from nose to
            ankles as he stands.
        spread: How well the points are known; None where they were not triangulated.
    """

    times_ns: IntArray
    points: FloatArray
    metres: float | None = None
    spread: Spread | None = None

    @property
    def is_in_space(self) -> bool:
        """Whether the points were triangulated."""
        return self.spread is not None

    def __post_init__(self) -> None:
        if self.points.shape != (len(self.times_ns), len(POINTS), 3):
            msg = f"points (n, {len(POINTS)}, 3), got {self.points.shape}"
            raise ValueError(msg)

    def at(self, time_ns: int) -> dict[str, FloatArray]:
        """All points at a time, (3,) each; NaN outside and where nothing is known near by."""
        near = self.times_ns.searchsorted([time_ns - LONGEST_GAP_NS, time_ns + LONGEST_GAP_NS + 1])
        part = slice(int(near[0]), int(near[1]))
        found = _between(self.times_ns[part], self.points[part], time_ns)
        return dict(zip(POINTS, found, strict=True))


def _between(stamps_ns: IntArray, points: FloatArray, time_ns: int) -> FloatArray:
    """Each coordinate on the straight line from when it was last known to when it is next."""
    if len(stamps_ns) == 0:
        return np.full(points.shape[1:], np.nan)
    known = np.isfinite(points)
    until = (known & (stamps_ns <= time_ns)[:, None, None])[::-1]
    since = known & (stamps_ns >= time_ns)[:, None, None]
    before, after = len(stamps_ns) - 1 - until.argmax(axis=0), since.argmax(axis=0)
    gap_ns = stamps_ns[after] - stamps_ns[before]
    share = (time_ns - stamps_ns[before]) / np.maximum(gap_ns, 1)
    first, last = (np.take_along_axis(points, at[None], 0)[0] for at in (before, after))
    there = until.any(axis=0) & since.any(axis=0) & (gap_ns <= LONGEST_GAP_NS)
    return np.where(there, first + share * (last - first), np.nan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictured:
    """What one view gives to a figure.

    Args:
        body: Cleaned, on the swing's clock.
        club: On the swing's clock; None where nobody looked for it.
        ball_px: (2,) the ball as it lies; None where it is not known.
    """

    body: BodyTrack
    club: ClubTrack | None = None
    ball_px: FloatArray | None = None


def upright(
    views: Mapping[View, Pictured], *, hand: Hand, set_ns: int, times_ns: IntArray
) -> Figure:
    """A figure from pictures taken as square to one another, in heights of the golfer.

    Face-on gives x and z, down the line y and z; of one view alone the third stays unknown. How far
    off something is changes how large it looks; that is left in, and is part of the stated errors.

    Args:
        views: By view; the extra one is left out.
        hand: Of the golfer.
        set_ns: When he stands still at set.
        times_ns: The instants.
    """
    points = np.full((len(times_ns), len(POINTS), 3), np.nan)
    flat = {view: _standing(one, set_ns, times_ns) for view, one in views.items()
            if view is not View.EXTRA}  # fmt: skip
    mirror = 1.0 if hand is Hand.RIGHT else -1.0
    if View.FACE_ON in flat:
        points[..., 0] = mirror * flat[View.FACE_ON][..., 0]
    if View.DOWN_THE_LINE in flat:
        points[..., 1] = -mirror * flat[View.DOWN_THE_LINE][..., 0]
    ups = np.stack([-one[..., 1] for one in flat.values()])
    known = np.isfinite(ups)
    count = known.sum(axis=0)
    mean = np.where(known, ups, 0.0).sum(axis=0) / np.maximum(count, 1)
    points[..., 2] = np.where(count > 0, mean, np.nan)
    return Figure(times_ns=times_ns, points=points)


def _standing(one: Pictured, set_ns: int, times_ns: IntArray) -> FloatArray:
    """Points of a view from the middle of the ankles at set, in heights, (n, 24, 2)."""
    raw = pixels_at(one, times_ns)
    foot, tall = standing(one.body, set_ns)
    return (raw - foot) / tall


def standing(body: BodyTrack, set_ns: int) -> tuple[FloatArray, float]:
    """Middle of the ankles at set, (2,), and the height from nose to ankles there, pixels."""
    near = np.abs(body.times_ns - set_ns) <= _STANDING * NS_PER_S
    part = near & (body.times_ns <= set_ns + 0.1 * NS_PER_S)
    ankles = body.middle(Joint.LEAD_ANKLE)
    nose = body.at(Joint.NOSE)
    known = part & np.isfinite(ankles).all(axis=1) & np.isfinite(nose).all(axis=1)
    if not known.any():
        whole = np.nanmedian(ankles, axis=0) if np.isfinite(ankles).any() else np.full(2, np.nan)
        return whole, tall_px(body)
    foot = np.median(ankles[known], axis=0)
    return foot, float(foot[1] - np.median(nose[known, 1]))


def pixels_at(
    one: Pictured, times_ns: IntArray, *, read_out_ns: int = 0, height_px: int = 1
) -> FloatArray:
    """All points of a view at the instants, (n, 24, 2), each row at its own time.

    Args:
        one: The view; its stamps are those of the middle row.
        times_ns: The instants.
        read_out_ns: From the first row to the last; 0 for a camera that takes all rows at once.
        height_px: Rows of the picture.
    """
    body, club = one.body, one.club

    def there(stamps_ns: IntArray, at_px: FloatArray) -> FloatArray:
        late = read_out_ns * (np.nan_to_num(at_px[:, 1]) / height_px - 0.5)
        return points_at(stamps_ns + np.round(late).astype(np.int64), at_px, times_ns)

    columns = [there(body.times_ns, body.joints_px[:, joint.place]) for joint in JOINTS]
    unknown = np.full((len(times_ns), 2), np.nan)
    if club is None:
        columns += [unknown, unknown]
    else:
        columns += [there(club.times_ns, at) for at in (club.grip_px, club.head_px)]
    ball = unknown if one.ball_px is None else np.broadcast_to(one.ball_px, (len(times_ns), 2))
    return np.stack([*columns, ball], axis=1)
