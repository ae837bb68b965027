"""Points in metres from what cameras see, with errors of their own and errors that all share.

A point's own error comes from its pixels and from when it was seen; the shared one from where the
cameras stand. A point is refused, never guessed, where rays run nearly alike, meet behind a camera
or don't meet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.errors import CalibrationError
from calibration.meeting import LEAST_DEPTH_M, Met, camera_slopes, meet, rays_of
from calibration.projection import FloatArray
from calibration.standing import PER_CAMERA, BayCalibration

LEAST_ANGLE_DEG = 8.0
"""Between rays: below it, half a pixel at 3.5 m is more than 25 mm along them."""
LARGEST_MISFIT = 5.0
"""In standard errors of all that is known: beyond it, it isn't the same point in both pictures."""
FARTHEST_GROUND_M = 100.0


class PointRefused(StrEnum):
    """Why a point has no place."""

    NOT_SEEN = "not seen by two cameras"
    BEHIND = "behind a camera"
    PARALLEL = "rays nearly parallel"
    DISAGREE = "rays don't meet"
    NO_GROUND = "ray doesn't meet the ground"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Points:
    """Points in the bay.

    Args:
        points_m: Shape (n, 3); NaN where refused.
        random_m2: Each point's own covariance, from pixels and timing, shape (n, 3, 3).
        shared_m2: Covariance from the calibration, shape (n, 3, 3).
        by_bay: Slopes by all numbers of the bay's calibration, shape (n, 3, 15 k): points of one
            bay move together, so what two of them differ by is known better than each.
        misfit: How far the rays miss each other, in their standard errors, shape (n,).
        refused: Why a point has no place, or None.
    """

    points_m: FloatArray
    random_m2: FloatArray
    shared_m2: FloatArray
    by_bay: FloatArray
    misfit: FloatArray
    refused: tuple[PointRefused | None, ...]

    @property
    def u_m(self) -> FloatArray:
        """Standard error along x, y and z, of both parts together, shape (n, 3)."""
        both = np.einsum("nii->ni", self.random_m2 + self.shared_m2)
        errors: FloatArray = np.sqrt(both)
        return errors


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """What one camera saw of n points.

    Args:
        pixels: Shape (n, 2); NaN where it didn't see one.
        u_px: How well they are found, of one coordinate: one number or one a point, shape (n,).
        speed_px_s: How fast they move through the picture, shape (n, 2); None if they stand.
        u_time_s: How well this camera's time is known on the other's clock.
    """

    pixels: FloatArray
    u_px: float | FloatArray = 0.5
    speed_px_s: FloatArray | None = None
    u_time_s: float = 0.0

    @property
    def covariance_px2(self) -> FloatArray:
        """Of each point's pixel, shape (n, 2, 2)."""
        size = np.broadcast_to(np.asarray(self.u_px, dtype=np.float64), (len(self.pixels),))
        spread = size[:, None, None] ** 2 * np.eye(2)
        if self.speed_px_s is not None:
            late = self.u_time_s * np.asarray(self.speed_px_s, dtype=np.float64)
            spread = spread + late[:, :, None] * late[:, None, :]
        return spread


def triangulate(bay: BayCalibration, seen: Mapping[str, Seen]) -> Points:
    """Place points that two or more cameras saw.

    Args:
        bay: Where the cameras stand.
        seen: What each saw, the same n points in the same order.

    Raises:
        CalibrationError: If cameras saw different numbers of points, or fewer than two saw any.
    """
    counts = {len(one.pixels) for one in seen.values()}
    if len(seen) < 2 or len(counts) != 1:
        raise CalibrationError(
            f"Points need two cameras that saw the same ones; {len(seen)} saw {sorted(counts)}.",
            try_next="Mark the same points in both views.",
        )
    numbers = [bay.number(name) for name in seen]
    columns = np.concatenate([np.arange(PER_CAMERA * n, PER_CAMERA * (n + 1)) for n in numbers])
    met = meet(
        [bay.cameras[number] for number in numbers],
        np.stack([np.asarray(one.pixels, dtype=np.float64) for one in seen.values()]),
        np.stack([one.covariance_px2 for one in seen.values()]),
        bay.covariance[np.ix_(columns, columns)],
    )
    by_bay = np.zeros((len(met.points_m), 3, len(bay.covariance)))
    by_bay[:, :, columns] = met.by_bay
    return _points(met.points_m, met.own_m2, by_bay, bay, (met.misfit, _refused(met)))


def _refused(met: Met) -> list[PointRefused | None]:
    refused: list[PointRefused | None] = []
    for point in range(len(met.points_m)):
        if met.cameras[point] < 2:
            refused.append(PointRefused.NOT_SEEN)
        elif met.angle_deg[point] < LEAST_ANGLE_DEG:
            refused.append(PointRefused.PARALLEL)
        elif not met.depth_m[point] > LEAST_DEPTH_M:
            refused.append(PointRefused.BEHIND)
        elif met.misfit[point] > LARGEST_MISFIT:
            refused.append(PointRefused.DISAGREE)
        else:
            refused.append(None)
    return refused


def _points(
    points_m: FloatArray,
    own_m2: FloatArray,
    by_bay: FloatArray,
    bay: BayCalibration,
    verdict: tuple[FloatArray, list[PointRefused | None]],
) -> Points:
    """Refused points are missing everywhere."""
    misfit, refused = verdict
    gone = np.array([why is not None for why in refused], dtype=bool)
    shared = by_bay @ bay.covariance @ by_bay.transpose(0, 2, 1)
    return Points(
        points_m=np.where(gone[:, None], np.nan, points_m),
        random_m2=np.where(gone[:, None, None], np.nan, own_m2),
        shared_m2=np.where(gone[:, None, None], np.nan, shared),
        by_bay=np.where(gone[:, None, None], np.nan, by_bay),
        misfit=misfit,
        refused=tuple(refused),
    )


def ground_points_with_error(
    bay: BayCalibration, name: str, seen: Seen, *, height_m: float = 0.0, u_height_m: float = 0.002
) -> Points:
    """Place points on the mat that one camera saw.

    Args:
        bay: Where the cameras stand.
        name: Which camera.
        seen: What it saw.
        height_m: How far above the mat they are, as half a ball is.
        u_height_m: How flat the mat is.
    """
    number = bay.number(name)
    camera = bay.cameras[number]
    pixels = np.asarray(seen.pixels, dtype=np.float64)
    rays = rays_of(camera, pixels)
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (height_m - camera.lens_m[2]) / rays[:, 2]
    fair = np.isfinite(far) & (far > LEAST_DEPTH_M) & (far < FARTHEST_GROUND_M)
    points = camera.lens_m + np.where(fair, far, np.nan)[:, None] * rays
    _, by_point, by_camera = (np.nan_to_num(part) for part in camera_slopes(camera, points))
    flat = np.linalg.inv(np.where(fair[:, None, None], by_point[..., :2], np.eye(2)))
    lift = np.concatenate([flat, np.zeros((len(pixels), 1, 2))], axis=1)
    rise = np.ones((len(pixels), 3, 1))
    rise[:, :2] = -flat @ by_point[..., 2:]
    own = lift @ seen.covariance_px2 @ lift.transpose(0, 2, 1)
    own = own + u_height_m**2 * rise @ rise.transpose(0, 2, 1)
    by_bay = np.zeros((len(pixels), 3, len(bay.covariance)))
    by_bay[..., PER_CAMERA * number : PER_CAMERA * (number + 1)] = -lift @ by_camera
    there = np.isfinite(pixels).min(axis=1).tolist()
    refused: list[PointRefused | None] = [
        None if ok else PointRefused.NO_GROUND if seen_ else PointRefused.NOT_SEEN
        for ok, seen_ in zip(fair.tolist(), there, strict=True)
    ]
    return _points(points, own, by_bay, bay, (np.zeros(len(pixels)), refused))


def measured_length(
    bay: BayCalibration, ends_px: Mapping[str, FloatArray], *, u_px: float
) -> tuple[float, float]:
    """How far apart two marked points are, and the standard error of it, metres.

    Raises:
        CalibrationError: If an end can't be placed.
    """
    seen = {name: Seen(pixels=ends, u_px=u_px) for name, ends in ends_px.items()}
    ends = triangulate(bay, seen)
    why = next((one for one in ends.refused if one is not None), None)
    if why is not None:
        raise CalibrationError(
            f"The marked ends can't be placed: {why}.",
            try_next="Mark the same ends in both views, in the same order.",
        )
    between = ends.points_m[1] - ends.points_m[0]
    length = float(np.linalg.norm(between))
    along = between / length
    own = along @ (ends.random_m2[0] + ends.random_m2[1]) @ along
    by_bay = along @ (ends.by_bay[1] - ends.by_bay[0])
    return length, float(np.sqrt(own + by_bay @ bay.covariance @ by_bay))
