"""Live advice while a board is held before a camera.

Says what is still missing, and whether a picture adds something to those taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.corners import Corners
from calibration.projection import FloatArray

ROWS, COLUMNS = 4, 6
ENOUGH_VIEWS, LEAST_SHARE, ENOUGH_TILT_DEG, CLOSE_SHARE = 12, 0.7, 20.0, 0.35
"""Views, share of the picture's fields that held a corner, tilt each way, and how much of the
picture's width the board fills once: from less, the held-out error rises in rendered lenses."""
_NEW_SHARE, _NEW_TILT_DEG = 0.06, 8.0
_USUAL_FOCAL = 0.85
# Focal length in picture widths (61 degrees), for tilts before the lens is known.

CountArray: TypeAlias = NDArray[np.int64]


class Missing(StrEnum):
    """What is still to be shown to the camera."""

    MORE = "more"
    LEFT = "left"
    RIGHT = "right"
    TOP = "top"
    BOTTOM = "bottom"
    TILT_SIDEWAYS = "tilt sideways"
    TILT_UP_DOWN = "tilt up or down"
    CLOSER = "closer"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coverage:
    """What the pictures so far show of the lens.

    Args:
        cells: Corners seen in each field of the picture, shape (4, 6), from the upper left.
        share: Share of the fields that held a corner.
        views: How many pictures.
        tilt_deg: Largest tilt of the board sideways, and up or down.
        width_share: How much of the picture's width the board filled at most.
        missing: What is still to be shown, the most needed first; empty when it is enough.
    """

    cells: CountArray
    share: float
    views: int
    tilt_deg: tuple[float, float]
    width_share: float
    missing: tuple[Missing, ...]


def lens_coverage(seen: Sequence[Corners]) -> Coverage:
    """What pictures of a board show of the lens, and what is still missing."""
    cells = np.zeros((ROWS, COLUMNS), dtype=np.int64)
    tilts, widths = [(0.0, 0.0)], [0.0]
    for one in seen:
        np.add.at(cells, _fields(one), 1)
        tilts.append(board_tilt_deg(one))
        widths.append(float(np.ptp(one.pixels[:, 0])) / one.size_px[0])
    tilt = np.abs(np.array(tilts)).max(axis=0)
    share, width = float((cells > 0).mean()), max(widths)
    wanting = {
        Missing.TILT_SIDEWAYS: tilt[0] < ENOUGH_TILT_DEG,
        Missing.TILT_UP_DOWN: tilt[1] < ENOUGH_TILT_DEG,
        Missing.LEFT: not cells[:, 0].any(),
        Missing.RIGHT: not cells[:, -1].any(),
        Missing.TOP: not cells[0].any(),
        Missing.BOTTOM: not cells[-1].any(),
        Missing.CLOSER: width < CLOSE_SHARE,
        Missing.MORE: len(seen) < ENOUGH_VIEWS or share < LEAST_SHARE,
    }
    return Coverage(
        cells=cells,
        share=share,
        views=len(seen),
        tilt_deg=(float(tilt[0]), float(tilt[1])),
        width_share=width,
        missing=tuple(what for what, wants in wanting.items() if wants),
    )


def adds_something(seen: Sequence[Corners], corners: Corners) -> bool:
    """Whether a picture shows the board elsewhere, or tilted otherwise, than those taken."""
    return all(_differs(one, corners) for one in seen)


def _differs(one: Corners, other: Corners) -> bool:
    width = one.size_px[0]
    moved = np.linalg.norm(one.pixels.mean(axis=0) - other.pixels.mean(axis=0)) / width
    grown = abs(np.ptp(one.pixels[:, 0]) - np.ptp(other.pixels[:, 0])) / width
    turned = np.abs(np.subtract(board_tilt_deg(one), board_tilt_deg(other))).max()
    return bool(max(moved, grown) > _NEW_SHARE or turned > _NEW_TILT_DEG)


def board_tilt_deg(corners: Corners) -> tuple[float, float]:
    """Tilt of the board against the picture: sideways, and up or down; by a usual lens."""
    width, height = corners.size_px
    focal = _USUAL_FOCAL * max(width, height)
    matrix = np.array([[focal, 0, 0.5 * width], [0, focal, 0.5 * height], [0, 0, 1.0]])
    _, turn, _ = cv2.solvePnP(
        corners.on_board_m, corners.pixels, matrix, np.zeros(5), flags=cv2.SOLVEPNP_IPPE
    )
    towards: FloatArray = np.asarray(cv2.Rodrigues(turn)[0], dtype=np.float64)[:, 2]
    sideways = np.degrees(np.arctan2(towards[0], -towards[2]))
    return float(sideways), float(np.degrees(np.arcsin(np.clip(towards[1], -1, 1))))


def _fields(corners: Corners) -> tuple[CountArray, CountArray]:
    width, height = corners.size_px
    column = np.clip(corners.pixels[:, 0] * COLUMNS / width, 0, COLUMNS - 1).astype(np.int64)
    row = np.clip(corners.pixels[:, 1] * ROWS / height, 0, ROWS - 1).astype(np.int64)
    return row, column
