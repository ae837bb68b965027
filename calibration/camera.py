"""Where one camera stands in the bay and how its lens draws.

Owns the camera model, its projection and its versioned document. Refuses to find a calibration
from pictures; it holds one. Metres, the bay's frame (x to the target, y left of it, z up), pixels
with the centre of the top-left one at (0, 0).
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.projection import FloatArray, draw, unbend

DOCUMENT_FORMAT = "bay camera"
DOCUMENT_VERSION = 1
_ORTHONORMAL_TOLERANCE = 1e-6
# A rotation written with seven decimals is orthonormal to about 1e-7.
_KEYS = {
    "format": str,
    "version": int,
    "camera": str,
    "size_px": list,
    "focal_px": list,
    "centre_px": list,
    "distortion_k1_k2_p1_p2_k3": list,
    "world_from_camera_m": list,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """One calibrated camera.

    Args:
        name: The camera's name as the station knows it.
        size_px: Width and height of its pictures.
        focal_px: Focal length along x and y.
        centre_px: Principal point.
        distortion: Radial and tangential coefficients k1, k2, p1, p2, k3.
        world_from_camera: Rigid transform, rows of a 4 x 4 matrix, metres.
    """

    name: str
    size_px: tuple[int, int]
    focal_px: tuple[float, float]
    centre_px: tuple[float, float]
    distortion: tuple[float, ...] = (0.0,) * 5
    world_from_camera: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        _check_numbers(self)
        _check_pose(np.asarray(self.world_from_camera, dtype=np.float64))

    @property
    def matrix(self) -> FloatArray:
        """The pinhole matrix, shape (3, 3)."""
        (fx, fy), (cx, cy) = self.focal_px, self.centre_px
        return np.array([[fx, 0.0, cx], [0.0, fy, cy], [0.0, 0.0, 1.0]])

    @property
    def lens_numbers(self) -> FloatArray:
        """Focal lengths, principal point and distortion as one array, shape (9,)."""
        return np.array([*self.focal_px, *self.centre_px, *self.distortion])

    @property
    def lens_m(self) -> FloatArray:
        """Where the lens is in the bay, shape (3,)."""
        return np.asarray(self.world_from_camera, dtype=np.float64)[:3, 3]


def _check_numbers(camera: Camera) -> None:
    numbers = (*camera.size_px, *camera.focal_px, *camera.centre_px, *camera.distortion)
    if not all(math.isfinite(number) for number in numbers):
        raise CalibrationError(
            f"The calibration of {camera.name} holds a value that is not a number.",
            try_next="Calibrate it again; the calibration in use stays.",
        )
    if min(*camera.size_px, *camera.focal_px) <= 0 or len(camera.distortion) != 5:
        raise CalibrationError(
            f"The calibration of {camera.name} has a size or focal length that is not above zero, "
            f"or not five distortion terms.",
            try_next="Calibrate it again; the calibration in use stays.",
        )


def _check_pose(pose: FloatArray) -> None:
    if pose.shape != (4, 4):
        raise CalibrationError(
            f"A camera's place is a 4 x 4 matrix, got shape {pose.shape}.",
            try_next="Write its rows as four lists of four numbers.",
        )
    turn = pose[:3, :3]
    off = float(np.abs(turn @ turn.T - np.eye(3)).max())
    if not off < _ORTHONORMAL_TOLERANCE or np.linalg.det(turn) < 0:
        raise CalibrationError(
            "A camera's place holds no plain turn: it is scaled, mirrored or not a number.",
            try_next="Calibrate it again; switch a mirrored picture's mirror setting off.",
        )


def project_points(camera: Camera, points_m: FloatArray) -> FloatArray:
    """Draw points of the bay into the picture.

    Args:
        camera: The camera.
        points_m: Shape (n, 3), bay frame, metres.

    Returns:
        Shape (n, 2), pixels; NaN for points at or behind the lens.
    """
    pose = np.asarray(camera.world_from_camera, dtype=np.float64)
    local = (np.asarray(points_m, dtype=np.float64) - pose[:3, 3]) @ pose[:3, :3]
    return draw(camera.lens_numbers, local)


def ground_points(camera: Camera, pixels: FloatArray, *, height_m: float = 0.0) -> FloatArray:
    """Where the rays of pixels meet a level plane.

    Args:
        camera: The camera.
        pixels: Shape (n, 2).
        height_m: Height of the plane above the mat.

    Returns:
        Shape (n, 3), bay frame, metres; NaN where a ray never meets the plane in front of the lens.
    """
    flat = unbend(camera.lens_numbers, np.asarray(pixels, dtype=np.float64).reshape(-1, 2))
    pose = np.asarray(camera.world_from_camera, dtype=np.float64)
    rays = np.column_stack([flat, np.ones(len(flat))]) @ pose[:3, :3].T
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (height_m - pose[2, 3]) / rays[:, 2]
    far = np.where(np.isfinite(far) & (far > 0.0), far, np.nan)
    met: FloatArray = pose[:3, 3] + far[:, None] * rays
    return met


def camera_document(camera: Camera) -> str:
    """The camera as a versioned JSON text with units in its keys."""
    return json.dumps(
        {
            "format": DOCUMENT_FORMAT,
            "version": DOCUMENT_VERSION,
            "camera": camera.name,
            "size_px": camera.size_px,
            "focal_px": camera.focal_px,
            "centre_px": camera.centre_px,
            "distortion_k1_k2_p1_p2_k3": camera.distortion,
            "world_from_camera_m": camera.world_from_camera,
        },
        indent=2,
    )


def read_camera(document: str) -> Camera:
    """Read what `camera_document` wrote.

    Raises:
        CalibrationError: If it is no such document, is newer, or holds no usable camera.
    """
    try:
        found = json.loads(document)
    except json.JSONDecodeError as error:
        raise CalibrationError(
            f"The calibration is not JSON: {error.msg} in line {error.lineno}.",
            try_next="Choose the file that the calibration wrote.",
        ) from error
    if not isinstance(found, dict) or found.get("format") != DOCUMENT_FORMAT:
        raise CalibrationError(
            f"This is no calibration: its format is not '{DOCUMENT_FORMAT}'.",
            try_next="Choose the file that the calibration wrote.",
        )
    wrong = [key for key, kind in _KEYS.items() if not isinstance(found.get(key), kind)]
    if wrong or found["version"] > DOCUMENT_VERSION:
        raise CalibrationError(
            f"The calibration lacks {', '.join(wrong)}."
            if wrong
            else f"The calibration is of version {found['version']}, newer than this program.",
            try_next="Write it again with this version of the program.",
        )
    return _camera_of(found)


def _camera_of(found: dict[str, object]) -> Camera:
    try:
        pose = np.asarray(found["world_from_camera_m"], dtype=np.float64)
        pairs = np.asarray([found[k] for k in ("size_px", "focal_px", "centre_px")], dtype=float)
        bend = np.asarray(found["distortion_k1_k2_p1_p2_k3"], dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise CalibrationError(
            f"The calibration holds something that is not a number: {error}.",
            try_next="Choose the file that the calibration wrote.",
        ) from error
    if pairs.shape != (3, 2) or bend.ndim != 1 or pose.ndim != 2:
        raise CalibrationError(
            f"The calibration's lists have the wrong shape: {pairs.shape}, {bend.shape}.",
            try_next="Choose the file that the calibration wrote.",
        )
    return Camera(
        name=str(found["camera"]),
        size_px=(int(pairs[0, 0]), int(pairs[0, 1])),
        focal_px=(float(pairs[1, 0]), float(pairs[1, 1])),
        centre_px=(float(pairs[2, 0]), float(pairs[2, 1])),
        distortion=tuple(float(term) for term in bend),
        world_from_camera=tuple(tuple(float(v) for v in row) for row in pose),
    )
