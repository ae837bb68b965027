"""A camera's calibration as the library keeps it: from when it holds, how well, and its proof."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class CalibrationKind(StrEnum):
    """What may be asked of a calibration."""

    FULL = "full"
    ANGLES = "picture angles only"
    LENS = "lens"


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationRow:
    """A camera's calibration: a versioned JSON text that the library does not read.

    Args:
        id: Its own.
        camera: The camera's name, as recordings carry it.
        valid_from: Since when it holds, until a later one of the same camera.
        document: Where the camera stands and how its lens draws.
        bay: What the cameras share that were measured together; empty for one alone.
        kind: Full, good for angles in the picture only, or how the lens draws and not where it is.
        u_place_mm: Standard uncertainty of the lens's place; None where nobody measured it.
        u_turn_deg: Likewise of its direction.
        reference: The empty bay as this camera saw it then, a JPEG in base64; empty for none.
        withdrawn_at: Since when it isn't used any more, for no swing; None while it is.
    """

    id: str
    camera: str
    valid_from: datetime
    document: str
    bay: str = ""
    kind: CalibrationKind = CalibrationKind.FULL
    u_place_mm: float | None = None
    u_turn_deg: float | None = None
    reference: str = ""
    withdrawn_at: datetime | None = None
