"""The golfer in metres: what both views saw of a swing, triangulated where the bay is measured.

Owns when that counts: both cameras of one measured bay, neither moved since, and rays that meet.
Says why not, so that measures are taken by pictures then. Tracks are brought to one instant, rows
to their own time where the camera's read-out is known, and every error is carried on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import hypot

import numpy as np

from calibration.errors import CalibrationError
from calibration.points import LARGEST_MISFIT, Points, Seen, triangulate
from calibration.standing import BayCalibration, Kind
from capturestation.records import NS_PER_S, FloatArray, IntArray, View
from capturestation.station.standpoints import Standpoint, Standpoints, bay_in
from capturestation.swing.both_views import JOINT_U_SHARE
from capturestation.swing.figure import (
    BALL,
    GRIP,
    HEAD,
    POINTS,
    Figure,
    Pictured,
    Spread,
    pixels_at,
    standing,
)
from capturestation.swing.space import without_quick_heads
from capturestation.swing.tracks import JOINTS

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)
_PICTURES = "Measured by pictures, not in space"
_U_SHARE = {**JOINT_U_SHARE, GRIP: 0.008, HEAD: 0.008, BALL: 0.004}
# Of the golfer's height in the picture, one coordinate.
READ_OUT_U_NS = 9_000_000
"""Rows are read within 0 to 32 ms and nobody says how fast: evenly spread, that is so much."""
_ROUND_M = 1.7
# About what the club head goes round.
_LEAST_STEP = 1e-3
# Of the bay's errors what moves points by less than a thousandth of the largest is left out.
_AT_REST_NS = 400_000_000
LARGEST_REST_MISFIT = 2.3
"""Rays to a golfer who stands at set miss each other by so many standard errors, the middle of all
his joints, and the calibration can't be true: rendered golfers reach half of it, and a camera that
was nodded by a degree and a half is over it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InSpace:
    """A golfer in metres, or why he can't be.

    Args:
        figure: In the axes that measures are taken in; None where there is none.
        why: Why there is none, a sentence.
    """

    figure: Figure | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """What is known of the views' times.

    Args:
        u_ns: Standard uncertainty of each view's place on the swing's clock.
        read_out_ns: From a picture's first row to its last, where known.
    """

    u_ns: Mapping[View, int]
    read_out_ns: Mapping[View, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filmed:
    """By what a swing was filmed.

    Args:
        bay: Where the cameras stand.
        names: Each view's camera there.
        clocks: What is known of the views' times.
    """

    bay: BayCalibration
    names: Mapping[View, str]
    clocks: Clocks

    def height_px(self, view: View) -> int:
        """Rows of a view's pictures."""
        return self.bay.cameras[self.bay.number(self.names[view])].size_px[1]


def in_space(
    views: Mapping[View, Pictured],
    where: Standpoints,
    clocks: Clocks,
    *,
    set_ns: int,
    times_ns: IntArray,
) -> InSpace:
    """Triangulate a golfer.

    Args:
        views: What was seen.
        where: From where it was filmed.
        clocks: What is known of the views' times.
        set_ns: When he stands at set.
        times_ns: The instants.
    """
    if not all(view in views for view in BOTH):
        return InSpace(why=f"{_PICTURES}: the golfer was seen in one view only.")
    bay = bay_of(where)
    if isinstance(bay, str):
        return InSpace(why=bay)
    names = {view: where.by_view[view].row.camera for view in BOTH}
    filmed = Filmed(bay=bay, names=names, clocks=clocks)
    found = triangulated(views, filmed, set_ns=set_ns, times_ns=times_ns)
    if where.side < 0 and found.figure is not None:
        return InSpace(figure=mirrored(found.figure))
    return found


def bay_of(where: Standpoints) -> BayCalibration | str:
    """Both cameras with the errors that they share, or why places in metres can't be asked."""
    points: list[Standpoint] = []
    for view in BOTH:
        if view not in where.by_view:
            why = where.missing.get(view, "It was not filmed.")
            return f"{_PICTURES}. The {view} view: {why}"
        if not where.by_view[view].is_full:
            return f"{_PICTURES}. The {view} view: its place is not known well enough for metres."
        points.append(where.by_view[view])
    try:
        first, second = (bay_in(point.row) for point in points)
    except CalibrationError as error:
        return f"{_PICTURES}: {error.what}"
    names = [point.row.camera for point in points]
    if points[0].row.document == points[1].row.document:
        return first
    return _side_by_side(first, second, names)


def _side_by_side(
    first: BayCalibration, second: BayCalibration, names: list[str]
) -> BayCalibration:
    """Two cameras that were measured apart: nothing is known to be shared."""
    placed = [bay.placed(name) for bay, name in zip((first, second), names, strict=True)]
    side = len(placed[0].covariance)
    covariance = np.zeros((2 * side, 2 * side))
    for number, one in enumerate(placed):
        part = slice(number * side, (number + 1) * side)
        covariance[part, part] = one.covariance
    return BayCalibration(
        cameras=tuple(one.camera for one in placed), covariance=covariance, kind=Kind.BOARD,
        sigma_px=max(first.sigma_px, second.sigma_px), places=(), bad=(),
        line_u_deg=max(first.line_u_deg, second.line_u_deg),
        metres_good=first.metres_good and second.metres_good,
    )  # fmt: skip


def triangulated(
    views: Mapping[View, Pictured], filmed: Filmed, *, set_ns: int, times_ns: IntArray
) -> InSpace:
    """Points in the bay's own axes, with all their errors.

    Args:
        views: What was seen.
        filmed: By what.
        set_ns: When he stands at set.
        times_ns: The instants.
    """
    pixels = {
        view: pixels_at(
            views[view], times_ns, read_out_ns=filmed.clocks.read_out_ns.get(view, 0),
            height_px=filmed.height_px(view),
        )
        for view in BOTH
    }  # fmt: skip
    u_px = {view: _u_px(views[view], set_ns) for view in BOTH}
    if not all(np.isfinite(u).all() for u in u_px.values()):
        return InSpace(why=f"{_PICTURES}: he was not seen standing at set.")
    base = _points(filmed, pixels, u_px)
    if _misfit_at_rest(base, set_ns, times_ns) > LARGEST_REST_MISFIT:
        return InSpace(
            why=f"{_PICTURES}: what both cameras see of him at set doesn't fit together, so one "
            f"of them may have been moved since the bay was measured."
        )
    open_s = _open_s(pixels, filmed)
    speed = _speeds(pixels[View.DOWN_THE_LINE], times_ns)
    late = {**pixels, View.DOWN_THE_LINE: pixels[View.DOWN_THE_LINE] + speed * open_s[..., None]}
    shifted = _points(filmed, late, u_px).points_m
    head_s = open_s[:, POINTS.index(HEAD)], _bow_s2(views, times_ns)
    figure = _figure((base, shifted), filmed.bay, head_s, times_ns)
    return InSpace(figure=figure)


def _points(
    filmed: Filmed, pixels: Mapping[View, FloatArray], u_px: Mapping[View, FloatArray]
) -> Points:
    seen = {
        filmed.names[view]: Seen(
            pixels=at.reshape(-1, 2), u_px=np.tile(u_px[view], len(at))
        )
        for view, at in pixels.items()
    }  # fmt: skip
    return triangulate(filmed.bay, seen)


def _u_px(one: Pictured, set_ns: int) -> FloatArray:
    """How well each point is found in a view, (24,) pixels."""
    _, tall_px = standing(one.body, set_ns)
    shares = [_U_SHARE[str(joint).split(" ")[-1]] for joint in JOINTS]
    return np.array([*shares, _U_SHARE[GRIP], _U_SHARE[HEAD], _U_SHARE[BALL]]) * tall_px


def _misfit_at_rest(points: Points, set_ns: int, times_ns: IntArray) -> float:
    """How far rays to the joints miss each other at set, over all joints; 0 where unseen.

    A joint that was mistaken for a moment, or all the time, is no camera that was moved: each one's
    middle over the time counts, and none of them for more than it takes to be refused by itself.
    """
    misfit = points.misfit.reshape(len(times_ns), len(POINTS))[:, : len(JOINTS)]
    at_rest = misfit[np.abs(times_ns - set_ns) <= _AT_REST_NS]
    known = [column[np.isfinite(column)] for column in at_rest.T]
    middles = np.array([np.median(one) for one in known if len(one)])
    held = np.minimum(middles, LARGEST_MISFIT)
    return float(np.sqrt(np.mean(held**2))) if len(held) else 0.0


def _open_s(pixels: Mapping[View, FloatArray], filmed: Filmed) -> FloatArray:
    """How well each point's times in the two views are known to each other, (n, 24) s.

    Of a camera whose read-out isn't known, rows count as read at once; that is off by how far
    apart the point's rows are in the two pictures.
    """
    clocks = filmed.clocks
    by_clock_ns = hypot(*(clocks.u_ns.get(view, 0) for view in BOTH))
    rows = [pixels[view][..., 1] / filmed.height_px(view) - 0.5 for view in BOTH]
    unknown = [0.0 if view in clocks.read_out_ns else READ_OUT_U_NS for view in BOTH]
    by_rows_ns = np.hypot(*(u * row for u, row in zip(unknown, rows, strict=True)))
    return np.hypot(by_clock_ns, by_rows_ns) / NS_PER_S


def _speeds(pixels: FloatArray, times_ns: IntArray) -> FloatArray:
    """Pixels a second, (n, 24, 2); 0 where not known."""
    if len(times_ns) < 2:
        return np.zeros_like(pixels)
    return np.nan_to_num(np.gradient(pixels, times_ns / NS_PER_S, axis=0))


def _bow_s2(views: Mapping[View, Pictured], times_ns: IntArray) -> FloatArray:
    """How far a path bows off the straight line between two pictures, an acceleration, (n,)."""
    most = np.zeros(len(times_ns))
    for view in BOTH:
        club = views[view].club
        if club is None or len(club.times_ns) < 2:
            continue
        after = np.clip(club.times_ns.searchsorted(times_ns), 1, len(club.times_ns) - 1)
        since, until = times_ns - club.times_ns[after - 1], club.times_ns[after] - times_ns
        bow = np.maximum(since, 0) * np.maximum(until, 0) / 2 / NS_PER_S**2
        most = np.maximum(most, bow)
    return most


def _figure(
    placed: tuple[Points, FloatArray],
    bay: BayCalibration,
    head: tuple[FloatArray, FloatArray],
    times_ns: IntArray,
) -> Figure:
    (base, shifted), (open_s, bow_s2) = placed, head
    shape = (len(times_ns), len(POINTS), 3)
    points = base.points_m.reshape(shape)
    by_phase = np.nan_to_num((shifted - base.points_m).reshape(shape))
    own = np.asarray(np.linalg.cholesky(_sound(base.random_m2)), dtype=np.float64)
    speed_m_s = np.linalg.norm(_speeds(points, times_ns)[:, POINTS.index(HEAD)], axis=1)
    # Between two pictures the head goes round while its track is taken as straight.
    bow_m = bow_s2 * speed_m_s**2 / _ROUND_M
    spread = Spread(
        own=own.reshape(*shape, 3),
        by_bay=_bay_steps(base.by_bay, bay.covariance).reshape(*shape, -1),
        by_phase=by_phase,
        head_open_m=np.hypot(np.nan_to_num(open_s) * speed_m_s, bow_m),
    )
    return without_quick_heads(Figure(times_ns=times_ns, points=points, metres=1.0, spread=spread))


def _sound(covariance_m2: FloatArray) -> FloatArray:
    known = np.isfinite(covariance_m2).all(axis=(1, 2), keepdims=True)
    return np.where(known, covariance_m2, 0.0) + 1e-14 * np.eye(3)


def _bay_steps(by_bay: FloatArray, covariance: FloatArray) -> FloatArray:
    """What the bay's errors move points by, (n, 3, k): steps of one standard error, large first."""
    size, ways = np.linalg.eigh(covariance)
    steps = np.nan_to_num(by_bay) @ (ways * np.sqrt(np.maximum(size, 0.0)))
    flat = steps.reshape(-1, steps.shape[-1])
    strength, turned = np.linalg.eigh(flat.T @ flat)
    kept = strength > _LEAST_STEP**2 * max(float(strength[-1]), 1e-30)
    return np.asarray(steps @ turned[:, kept][:, ::-1])


def mirrored(figure: Figure) -> Figure:
    """The same for a golfer who stands on the other side of the line, as a right-handed one."""
    turned, spread = np.array([1.0, -1.0, 1.0]), figure.spread
    assert spread is not None
    return Figure(
        times_ns=figure.times_ns,
        points=figure.points * turned,
        metres=figure.metres,
        spread=Spread(
            own=spread.own * turned[:, None],
            by_bay=spread.by_bay * turned[:, None],
            by_phase=spread.by_phase * turned,
            head_open_m=spread.head_open_m,
        ),
    )
