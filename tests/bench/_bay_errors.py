"""What a kind of result is off by, against the errors that it states."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from calibration.camera import Camera, project_points
from calibration.poses import camera_pose
from calibration.projection import FloatArray
from calibration.standing import BayCalibration

WITHIN_U = 1.96
JOINT_PX = 0.5
LOW_M, HIGH_M = (-0.45, 0.25, 0.05), (0.45, 0.95, 1.75)
"""Where a golfer's joints are."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Off:
    """Results of one kind.

    Args:
        held: Whether each coordinate is within 1.96 of its stated standard error.
        size: How far each result is off, all coordinates of one unit together.
        u: What it states for that.
    """

    held: FloatArray
    size: FloatArray
    u: FloatArray

    @property
    def coverage_pct(self) -> float:
        """Share of coordinates that the stated errors hold."""
        return 100.0 * float(self.held.mean())

    @property
    def rms(self) -> float:
        """Root mean square of what results are off."""
        return float(np.sqrt((self.size**2).mean()))

    @property
    def sharpness(self) -> float:
        """Median stated error over what results are off."""
        return float(np.median(self.u)) / self.rms


def off_by(errors: FloatArray, covariance: FloatArray) -> Off:
    """One result: its errors and their stated covariance, coordinates of one unit."""
    u = np.sqrt(np.diagonal(covariance))
    return Off(
        held=(np.abs(errors) <= WITHIN_U * u).astype(np.float64),
        size=np.array([np.linalg.norm(errors)]),
        u=np.array([np.sqrt((u**2).sum())]),
    )


def together(parts: Iterable[Off]) -> Off:
    """Results of one kind in one."""
    every = list(parts)
    return Off(
        held=np.concatenate([one.held.ravel() for one in every]),
        size=np.concatenate([one.size for one in every]),
        u=np.concatenate([one.u for one in every]),
    )


def pose_off(found: BayCalibration, truth: Camera) -> tuple[Off, Off]:
    """One camera's place in millimetres and turn in degrees."""
    placed = found.placed(truth.name)
    turn, lens_m = camera_pose(truth)
    turn_found, lens_found = camera_pose(placed.camera)
    turned = np.degrees(Rotation.from_matrix(turn_found @ turn.T).as_rotvec())
    return (
        off_by(1000.0 * (lens_found - lens_m), 1e6 * placed.covariance[3:6, 3:6]),
        off_by(turned, np.degrees(np.degrees(placed.covariance[:3, :3]))),
    )


def joints_in_view(cameras: tuple[Camera, ...], rng: np.random.Generator, count: int) -> FloatArray:
    """Joints of a golfer that all cameras have in their pictures."""
    points = rng.uniform(LOW_M, HIGH_M, (20 * count, 3))
    fair = np.ones(len(points), dtype=bool)
    for camera in cameras:
        pixels = project_points(camera, points)
        with np.errstate(invalid="ignore"):
            fair &= ((pixels > 0) & (pixels < np.asarray(camera.size_px) - 1)).all(axis=1)
    return points[fair][:count]
