"""What is shown to the cameras when a bay is measured: places of the board, a stick, the ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from calibration.corners import Corners
from calibration.projection import FloatArray

GROUND_U_MM = 1.5
"""How flat a mat is and how well a foot stands on it."""
LINE_U_DEG = 1.0
"""How far a board's foot is laid off the true line."""


class Stance(StrEnum):
    """How the board stands at a place."""

    STANDING = "standing"
    LYING = "lying"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One place of the board.

    Args:
        name: To name it if it doesn't fit.
        stance: On its foot, or on its back.
        sights: What each camera that saw it found.
        heading_deg: Of the place that gives the target line: which way the foot points from its
            reader's left to right, against the clock from the target's direction as seen from
            above. Its foot then passes the mat mark with its middle. None elsewhere.
    """

    name: str
    stance: Stance
    sights: Mapping[str, Corners]
    heading_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineStick:
    """A stick that gives the target line instead of a board's edge.

    Args:
        ends_px: Its ends in each camera, rear end first, then the one towards the target, (2, 2).
        length_m: Its length, as a check of the board's squares.
        offset_m: How far left of the target line it lies, looking at the target.
        mark_m: How far ahead of its rear end the mat mark is.
        u_px: How well its ends are marked.
    """

    ends_px: Mapping[str, FloatArray]
    length_m: float = 1.22
    offset_m: float = 0.0
    mark_m: float = 0.61
    u_px: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What else is known when a bay is measured.

    Args:
        stick: The stick that gives the line, if no board does, or checks the squares.
        line_u_deg: How far the line may have been laid off the true one.
        ground_u_mm: How flat the mat is and how well feet stand on it.
    """

    stick: LineStick | None = None
    line_u_deg: float = LINE_U_DEG
    ground_u_mm: float = GROUND_U_MM
