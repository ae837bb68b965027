"""What a calibration of the bay is: cameras with their places, and how well these are known.

Owns the frozen results that boards and sticks both give, and reads errors out of their covariance.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.camera import Camera
from calibration.errors import CalibrationError
from calibration.projection import FloatArray, check_finite

PER_CAMERA = 15
"""Turn (3, radians about the camera's axes), place (3, metres), the lens's nine numbers."""


METRES_GOOD_MM = 60.0
"""A camera placed worse than this moves a joint by more than the body's model does."""


class Kind(StrEnum):
    """What the bay was measured with."""

    BOARD = "board"
    STICKS = "sticks"


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseError:
    """Standard error of a camera's place and turn, over all directions together."""

    mm: float
    deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceFit:
    """How well one place of the board, or the sticks, fits in one camera."""

    name: str
    camera: str
    rms_px: float
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCheck:
    """A length measured by both cameras against what was entered.

    Args:
        name: What was measured.
        ratio: Measured over entered.
        u: Standard error of the ratio.
    """

    name: str
    ratio: float
    u: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedCamera:
    """One camera with the covariance of its place, turn and lens, shape (15, 15)."""

    camera: Camera
    covariance: FloatArray

    def __post_init__(self) -> None:
        if self.covariance.shape != (PER_CAMERA, PER_CAMERA):
            raise CalibrationError(
                f"A camera's errors are 15 x 15, got shape {self.covariance.shape}.",
                try_next="Take them from the calibration of the bay.",
            )

    @property
    def error(self) -> PoseError:
        """How well place and turn are known."""
        return pose_error(self.covariance)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BayCalibration:
    """Where the cameras stand in the bay.

    Args:
        cameras: Each with its lens as adjusted.
        covariance: Of all cameras, 15 rows each in their order; errors are shared between them.
        kind: Board or sticks.
        sigma_px: Of a corner or mark, of one coordinate.
        places: How each place of the board fits.
        bad: Places that were left out.
        line_u_deg: How far the laid target line may be off the true one; not in the covariance.
        metres_good: Whether points in metres may be shown; False: pictures laid over only.
        scale: A known length against its measure, if there was one.
    """

    cameras: tuple[Camera, ...]
    covariance: FloatArray
    kind: Kind
    sigma_px: float
    places: tuple[PlaceFit, ...]
    bad: tuple[str, ...]
    line_u_deg: float
    metres_good: bool
    scale: ScaleCheck | None = None

    def __post_init__(self) -> None:
        side = PER_CAMERA * len(self.cameras)
        if self.covariance.shape != (side, side):
            raise CalibrationError(
                f"{len(self.cameras)} cameras have errors of {side} x {side}, "
                f"got shape {self.covariance.shape}.",
                try_next="Calibrate the bay again.",
            )
        check_finite("The bay's errors", self.covariance)

    def number(self, name: str) -> int:
        """Which camera has this name.

        Raises:
            CalibrationError: If none has.
        """
        names = [camera.name for camera in self.cameras]
        if name not in names:
            raise CalibrationError(
                f"The bay was measured without a camera {name}; it knows {', '.join(names)}.",
                try_next="Measure the bay with this camera, or use one of those.",
            )
        return names.index(name)

    def placed(self, name: str) -> PlacedCamera:
        """One camera with its errors."""
        number = self.number(name)
        rows = slice(PER_CAMERA * number, PER_CAMERA * (number + 1))
        return PlacedCamera(camera=self.cameras[number], covariance=self.covariance[rows, rows])

    def error(self, name: str) -> PoseError:
        """How well one camera's place and turn are known."""
        return self.placed(name).error


def pose_error(covariance: FloatArray) -> PoseError:
    """Standard errors from one camera's covariance, shape (15, 15)."""
    spread = np.maximum(np.diagonal(covariance), 0.0)
    return PoseError(
        mm=1000.0 * float(np.sqrt(spread[3:6].sum())),
        deg=float(np.degrees(np.sqrt(spread[:3].sum()))),
    )
