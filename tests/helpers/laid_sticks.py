"""Two sticks laid across each other by chance as well as a coach can, and marked in both views."""

from __future__ import annotations

import numpy as np

from calibration.camera import Camera, project_points
from calibration.projection import FloatArray
from calibration.sticks import LENGTH_U_M, OVER_M, OVER_U_M, MarkedSticks


def laid_ends_m(rng: np.random.Generator) -> FloatArray:
    """Where the four ends really lie."""
    asked = MarkedSticks(ends_px={})
    halves = 0.5 * (asked.length_m + rng.normal(0, LENGTH_U_M, 2))
    off_square = np.radians(rng.normal(0, asked.u_square_deg))
    middle = rng.normal(0, asked.u_middle_m, 2)
    along = halves[1] * np.array([-np.sin(off_square), np.cos(off_square)])
    ends = np.zeros((4, 3))
    ends[0, 0], ends[1, 0] = -halves[0], halves[0]
    ends[2, :2], ends[3, :2] = middle + along, middle - along
    ends[:2, 2] = 0.004 + rng.normal(0, 0.0015, 2)
    ends[2:, 2] = OVER_M + rng.normal(0, OVER_U_M, 2)
    return ends


def marked_sticks(
    cameras: tuple[Camera, ...], rng: np.random.Generator, u_px: float = 1.0
) -> MarkedSticks:
    """Their ends as marked in every view."""
    ends = laid_ends_m(rng)
    return MarkedSticks(
        ends_px={c.name: project_points(c, ends) + rng.normal(0, u_px, (4, 2)) for c in cameras},
        u_px=u_px,
    )
