"""Turns and places: rotation vectors, small steps and what moves with them.

A camera's pose is `turn` (world axes to camera axes) and `lens_m` (place of the lens in the bay);
a step of it is six numbers: a turn in radians about the camera's own axes, then metres in the bay:
`local = exp(step) turn (point - lens_m)`. A board's pose is `world = turn point + place_m`, and its
step a turn about the bay's axes through the board's origin, then metres.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from calibration.camera import Camera
from calibration.projection import FloatArray


def turned_by(step_rad: FloatArray) -> FloatArray:
    """The rotation matrices of rotation vectors, (..., 3) to (..., 3, 3)."""
    matrix: FloatArray = Rotation.from_rotvec(step_rad).as_matrix()
    return matrix


def cross_matrix(vectors: FloatArray) -> FloatArray:
    """Matrices that take the cross product, (..., 3) to (..., 3, 3)."""
    crossed: FloatArray = np.zeros((*vectors.shape, 3))
    for row, column, axis in ((2, 1, 0), (0, 2, 1), (1, 0, 2)):
        crossed[..., row, column] = vectors[..., axis]
        crossed[..., column, row] = -vectors[..., axis]
    return crossed


def angle_deg(turn: FloatArray) -> float:
    """How far a rotation matrix turns, 0..180."""
    return float(np.degrees(Rotation.from_matrix(turn).magnitude()))


def camera_pose(camera: Camera) -> tuple[FloatArray, FloatArray]:
    """`turn` (world axes to camera axes) and `lens_m`."""
    pose = np.asarray(camera.world_from_camera, dtype=np.float64)
    return pose[:3, :3].T.copy(), pose[:3, 3].copy()


def pose_rows(turn: FloatArray, lens_m: FloatArray) -> tuple[tuple[float, ...], ...]:
    """`world_from_camera` as rows, for a `Camera`."""
    pose = np.eye(4)
    # Through the rotation vector: so the matrix is orthonormal to the last digit.
    pose[:3, :3] = Rotation.from_matrix(turn).as_matrix().T
    pose[:3, 3] = lens_m
    return tuple(tuple(float(v) for v in row) for row in pose)


def looking_at(at_m: FloatArray, target_m: FloatArray, *, roll_deg: float = 0.0) -> FloatArray:
    """The turn of a level camera at a place that looks at a point, shape (3, 3).

    Args:
        at_m: Place of the lens.
        target_m: The point in the middle of its picture; not straight above or below.
        roll_deg: Tilted to its right.
    """
    ahead = np.asarray(target_m, dtype=np.float64) - np.asarray(at_m, dtype=np.float64)
    ahead = ahead / np.linalg.norm(ahead)
    right = np.cross(ahead, np.array([0.0, 0.0, 1.0]))
    right = right / np.linalg.norm(right)
    down = np.cross(ahead, right)
    roll = np.radians(roll_deg)
    tilted = np.cos(roll) * right + np.sin(roll) * down
    return np.stack([tilted, np.cross(ahead, tilted), ahead])
