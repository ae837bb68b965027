"""Redraws an earlier recording as seen from where the camera stands today.

Points of one upright plane through the golfer fall exactly where today's camera would have seen
them; what stands off the plane is off by an amount that is stated. Cameras are tied to the bay, so
ball, target line and mat corner fall together; feet are never used, because they would hide a real
change of stance. Without a calibration, ball and mat corner marked in both pictures have to do.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.camera import Camera
from calibration.errors import CalibrationError
from calibration.meeting import camera_slopes
from calibration.poses import camera_pose
from calibration.projection import FloatArray, bend, check_finite, unbend
from calibration.standing import PlacedCamera

GOLFER_WIDTH_M, GOLFER_HEIGHT_M = 1.8, 2.1
"""What of the plane counts when its errors are told: the golfer with club at set and finish."""
OFF_PLANE_M = 0.3
REACH_M = 0.75
"""From ball to the middle of the stance with a middle iron."""
_GRID = 9
_LEAST_FACING = 0.2
_LEAST_MARKS_PX = 40.0


class MapKind(StrEnum):
    """What a map stands on."""

    PLANE = "plane"
    MARKS = "ball and mat corner"
    AS_FILMED = "as filmed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """A plane in the bay: a point of it and its unit normal, metres."""

    point_m: FloatArray
    normal: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneWay:
    """From an earlier pixel over the plane to today's.

    Args:
        then: The camera as it stood.
        now: The camera as it stands.
        plane: The plane, where the golfer was then.
        moved_m: By how much the earlier bay is shifted, as from its ball to today's.
    """

    then: PlacedCamera
    now: PlacedCamera
    plane: Plane
    moved_m: FloatArray

    def on_plane(self, pixels: FloatArray) -> FloatArray:
        """Where earlier pixels' rays meet the plane, shape (n, 3); NaN where they don't."""
        return meet_plane(self.then.camera, pixels, self.plane)

    def map(self, pixels: FloatArray) -> FloatArray:
        """Earlier pixels to today's, shape (n, 2)."""
        return _draw(self.now.camera, self.on_plane(pixels) + self.moved_m)

    def error_px2(self, pixels: FloatArray, *, u_depth_m: float) -> FloatArray:
        """Covariance of today's pixels of points that stand this far off the plane, (n, 2, 2)."""
        points = self.on_plane(pixels)
        _, by_point, by_then = camera_slopes(self.then.camera, points)
        _, by_now_point, by_now = camera_slopes(self.now.camera, points + self.moved_m)
        rows = np.concatenate(
            [by_point, np.broadcast_to(self.plane.normal, (len(points), 1, 3))], axis=1
        )
        held = np.linalg.inv(rows)
        slid = -by_now_point @ held[:, :, :2] @ by_then
        # A point off the plane keeps its earlier pixel and is elsewhere along that ray.
        along = (by_now_point @ held[:, :, 2:])[..., 0]
        off = u_depth_m**2 * along[:, :, None] * along[:, None, :]
        if np.array_equal(self.then.covariance, self.now.covariance) and (
            self.then.camera == self.now.camera
        ):
            both = slid + by_now
            calibrated = both @ self.now.covariance @ both.transpose(0, 2, 1)
        else:
            calibrated = slid @ self.then.covariance @ slid.transpose(0, 2, 1)
            calibrated = calibrated + by_now @ self.now.covariance @ by_now.transpose(0, 2, 1)
        total: FloatArray = calibrated + off
        return total


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneMap:
    """A map from an earlier recording's pixels to today's.

    Args:
        kind: What it stands on.
        matrix: 3 x 3, earlier pixel to today's, fitted over the golfer.
        fit_px: How far the matrix alone is off, both lenses' bend being what it can't follow.
        u_px: Standard error of points on the plane, of one coordinate; NaN where not known.
        off_plane_px: How far a joint 0.3 m off the plane is off; NaN where not known.
        way: The exact way; None for one by marks.
    """

    kind: MapKind
    matrix: FloatArray
    fit_px: float
    u_px: float
    off_plane_px: float
    way: PlaneWay | None = None

    def map(self, pixels: FloatArray) -> FloatArray:
        """Earlier pixels to today's, shape (n, 2): the exact way where there is one."""
        points = np.asarray(pixels, dtype=np.float64)
        return by_matrix(self.matrix, points) if self.way is None else self.way.map(points)


AS_FILMED = PlaneMap(
    kind=MapKind.AS_FILMED, matrix=np.eye(3), fit_px=0.0, u_px=float("nan"),
    off_plane_px=float("nan"),
)  # fmt: skip
"""The earlier picture as it was filmed."""


def golfer_plane(
    camera: Camera, ball_m: FloatArray, *, side: int = 1, reach_m: float = REACH_M
) -> Plane:
    """The upright plane through the middle of the stance that faces a camera.

    Args:
        camera: The camera that looks at it.
        ball_m: Where the ball lay, shape (3,).
        side: +1 where the golfer stands left of the line (right-handed), -1 right of it.
        reach_m: From ball to the middle of the stance.
    """
    middle = np.asarray(ball_m, dtype=np.float64) * (1, 1, 0) + (0.0, side * reach_m, 0.0)
    towards = (middle - camera.lens_m) * (1, 1, 0)
    return Plane(point_m=middle, normal=towards / np.linalg.norm(towards))


def plane_map(
    then: PlacedCamera,
    now: PlacedCamera,
    plane: Plane,
    *,
    moved_m: tuple[float, float] = (0.0, 0.0),
) -> PlaneMap:
    """The map that a plane gives between where a camera stood and where it stands.

    Args:
        then: The camera when the earlier swing was struck.
        now: The camera today.
        plane: The plane through the golfer.
        moved_m: Today's ball less the earlier one, along and across the line.

    Raises:
        CalibrationError: If a camera looks along the plane or is on another side of it.
    """
    way = PlaneWay(then=then, now=now, plane=plane, moved_m=np.array([*moved_m, 0.0]))
    _check_facing(way)
    points = _golfer(plane)
    before = _draw(then.camera, points)
    after = _draw(now.camera, points + way.moved_m)
    fair = np.isfinite(before).all(axis=1) & np.isfinite(after).all(axis=1)
    fair &= _inside(then.camera, before) | _inside(now.camera, after)
    if fair.sum() < _GRID:
        raise CalibrationError(
            "The earlier recording shows nothing of where today's camera looks.",
            try_next="Lay it over as filmed, or by ball and mat corner.",
        )
    before, after = before[fair], after[fair]
    matrix = fitted_matrix(before, after)
    off = by_matrix(matrix, before) - after
    errors = way.error_px2(before, u_depth_m=0.0)
    aside = points[fair] + OFF_PLANE_M * plane.normal
    slipped = way.map(_draw(then.camera, aside)) - _draw(now.camera, aside + way.moved_m)
    return PlaneMap(
        kind=MapKind.PLANE,
        matrix=matrix,
        fit_px=float(np.sqrt((off**2).sum(axis=1).mean())),
        u_px=float(np.sqrt(np.einsum("nii->n", errors).mean() / 2)),
        off_plane_px=float(np.sqrt(np.nanmean((slipped**2).sum(axis=1)))),
        way=way,
    )


def marks_map(then_px: FloatArray, now_px: FloatArray) -> PlaneMap:
    """The map that ball and mat corner give: shift, turn and size, nothing of the camera's place.

    Args:
        then_px: Ball and mat corner in the earlier picture, shape (2, 2).
        now_px: The same in today's.

    Raises:
        CalibrationError: If a mark is missing or both lie too close together.
    """
    before, after = (
        check_finite("Ball and mat corner", np.asarray(one, dtype=np.float64).reshape(2, 2))
        for one in (then_px, now_px)
    )
    spans = [one[1] - one[0] for one in (before, after)]
    if min(float(np.linalg.norm(span)) for span in spans) < _LEAST_MARKS_PX:
        raise CalibrationError(
            f"Ball and mat corner are less than {_LEAST_MARKS_PX:.0f} px apart.",
            try_next="Mark a corner of the mat that is farther from the ball.",
        )
    first, second = (complex(*span) for span in spans)
    turn = second / first
    matrix = np.array([[turn.real, -turn.imag, 0.0], [turn.imag, turn.real, 0.0], [0.0, 0.0, 1.0]])
    matrix[:2, 2] = after[0] - matrix[:2, :2] @ before[0]
    nan = float("nan")
    return PlaneMap(kind=MapKind.MARKS, matrix=matrix, fit_px=0.0, u_px=nan, off_plane_px=nan)


def by_matrix(matrix: FloatArray, pixels: FloatArray) -> FloatArray:
    """Pixels through a 3 x 3 map, shape (n, 2)."""
    mapped = np.column_stack([pixels, np.ones(len(pixels))]) @ matrix.T
    points: FloatArray = mapped[:, :2] / mapped[:, 2:]
    return points


def fitted_matrix(before: FloatArray, after: FloatArray) -> FloatArray:
    """The 3 x 3 map that fits pairs of pixels best, scaled so that its last entry is 1.

    Args:
        before: Shape (n, 2), at least four, not on one line.
        after: Shape (n, 2).
    """
    scales = [_centred(points) for points in (before, after)]
    (x, y), (u, v) = (by_matrix(s, p).T for s, p in zip(scales, (before, after), strict=True))
    nought, one = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate([
        np.column_stack([x, y, one, nought, nought, nought, -u * x, -u * y, -u]),
        np.column_stack([nought, nought, nought, x, y, one, -v * x, -v * y, -v]),
    ])  # fmt: skip
    matrix = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(scales[1]) @ matrix @ scales[0]
    scaled: FloatArray = matrix / matrix[2, 2]
    return scaled


def _centred(points: FloatArray) -> FloatArray:
    middle, size = points.mean(axis=0), float(points.std()) or 1.0
    return np.array([[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]])


def meet_plane(camera: Camera, pixels: FloatArray, plane: Plane) -> FloatArray:
    """Where pixels' rays meet a plane ahead of the camera, shape (n, 3); else NaN."""
    turn, lens_m = camera_pose(camera)
    flat = unbend(camera.lens_numbers, np.asarray(pixels, dtype=np.float64))
    rays = np.column_stack([flat, np.ones(len(flat))]) @ turn
    with np.errstate(divide="ignore", invalid="ignore"):
        far = ((plane.point_m - lens_m) @ plane.normal) / (rays @ plane.normal)
    met: FloatArray = lens_m + np.where(far > 0, far, np.nan)[:, None] * rays
    return met


def _draw(camera: Camera, points_m: FloatArray) -> FloatArray:
    turn, lens_m = camera_pose(camera)
    local = (points_m - lens_m) @ turn.T
    ahead = np.where(local[:, 2:] > 0, local, np.nan)
    return bend(camera.lens_numbers, ahead[:, :2] / ahead[:, 2:])


def _golfer(plane: Plane) -> FloatArray:
    """Points of the plane all over a golfer."""
    across = np.cross(plane.normal, [0.0, 0.0, 1.0])
    across = across / np.linalg.norm(across)
    wide = np.linspace(-0.5, 0.5, _GRID) * GOLFER_WIDTH_M
    high = np.linspace(0.0, 1.0, _GRID) * GOLFER_HEIGHT_M
    a, b = (one.ravel()[:, None] for one in np.meshgrid(wide, high))
    points: FloatArray = plane.point_m + a * across + b * np.array([0.0, 0.0, 1.0])
    return points


def _inside(camera: Camera, pixels: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    return np.asarray(((pixels >= 0) & (pixels < np.asarray(camera.size_px))).all(axis=1))


def _check_facing(way: PlaneWay) -> None:
    sides = []
    for placed in (way.then, way.now):
        turn, lens_m = camera_pose(placed.camera)
        if abs(float(turn[2] @ way.plane.normal)) < _LEAST_FACING:
            raise CalibrationError(
                f"{placed.camera.name} looks along the plane through the golfer.",
                try_next="Take the plane that faces this camera.",
            )
        sides.append(np.sign((way.plane.point_m - lens_m) @ way.plane.normal))
    if sides[0] != sides[1]:
        raise CalibrationError(
            "The camera stood on the other side of the golfer then.",
            try_next="Compare recordings of the same view.",
        )
