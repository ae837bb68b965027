"""Whether the stick that stays on the mat still lies along the target line.

It lies parallel to the line, at the toes or outside the ball; nobody hits over one on the line.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.errors import CalibrationError
from calibration.points import Seen, ground_points_with_error
from calibration.projection import FloatArray, check_finite
from calibration.standing import BayCalibration

TURNED_DEG = 1.0
"""A stick is laid to 1 or 2 degrees: less isn't worth a word."""
STICK_RADIUS_M = 0.004
_LEAST_LENGTH_M = 0.3


class LineVerdict(StrEnum):
    """What the stick says of the line."""

    HOLDS = "holds"
    TURNED = "turned"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCheck:
    """The stick against the line of the calibration.

    Args:
        turn_deg: Against the clock as seen from above: its front end points left of the target.
        u_turn_deg: Standard error, without how well the stick was laid.
        offset_m: How far left of the line its middle lies.
        u_offset_m: Standard error.
        offset_off_m: That less the offset entered.
        length_m: As measured.
        verdict: Whether the line still holds.
    """

    turn_deg: float
    u_turn_deg: float
    offset_m: float
    u_offset_m: float
    offset_off_m: float
    length_m: float
    verdict: LineVerdict


def check_line(
    bay: BayCalibration, camera: str, ends_px: FloatArray, *, offset_m: float, u_px: float = 1.0
) -> LineCheck:
    """Measure the stick that stays.

    Args:
        bay: The calibration that is in use.
        camera: The camera whose picture was marked.
        ends_px: The stick's ends, rear first, shape (2, 2).
        offset_m: How far left of the target line it lies, as entered.
        u_px: How well its ends are marked.

    Raises:
        CalibrationError: If an end is missing or doesn't lie on the mat.
    """
    pixels = check_finite("The stick's ends", np.asarray(ends_px, dtype=np.float64).reshape(2, 2))
    ends = ground_points_with_error(
        bay, camera, Seen(pixels=pixels, u_px=u_px), height_m=STICK_RADIUS_M
    )
    along = ends.points_m[1] - ends.points_m[0]
    length = float(np.linalg.norm(along))
    if any(ends.refused) or length < _LEAST_LENGTH_M:
        raise CalibrationError(
            "The stick's ends don't lie on the mat, or too close together.",
            try_next="Mark both ends of the stick that stays, the rear one first.",
        )
    across = np.array([-along[1], along[0], 0.0]) / length
    slope = across / length
    u_turn = _error(bay, ends.random_m2.sum(axis=0), ends.by_bay[1] - ends.by_bay[0], slope)
    sideways = np.array([0.0, 0.5, 0.0])
    u_offset = _error(bay, ends.random_m2.sum(axis=0), ends.by_bay.sum(axis=0), sideways)
    turn = float(np.degrees(np.arctan2(along[1], along[0])))
    u_turn_deg = float(np.degrees(u_turn))
    offset = float(ends.points_m[:, 1].mean())
    return LineCheck(
        turn_deg=turn,
        u_turn_deg=u_turn_deg,
        offset_m=offset,
        u_offset_m=u_offset,
        offset_off_m=offset - offset_m,
        length_m=length,
        verdict=_verdict(turn, u_turn_deg),
    )


def _error(bay: BayCalibration, own_m2: FloatArray, by_bay: FloatArray, slope: FloatArray) -> float:
    moved = slope @ by_bay
    return float(np.sqrt(slope @ own_m2 @ slope + moved @ bay.covariance @ moved))


def _verdict(turn_deg: float, u_turn_deg: float) -> LineVerdict:
    if abs(turn_deg) > TURNED_DEG + 2 * u_turn_deg:
        return LineVerdict.TURNED
    if abs(turn_deg) + 2 * u_turn_deg <= 2 * TURNED_DEG:
        return LineVerdict.HOLDS
    return LineVerdict.UNSURE
