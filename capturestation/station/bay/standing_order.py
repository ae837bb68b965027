"""Whether cameras stand where cameras of their kind stand.

A face-on camera looks across the target line, one down the line looks along it to the target. Where
neither is so, two cameras were exchanged, or the target was entered on the wrong side: nothing in
pixels would tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

import numpy as np

from calibration.camera import Camera
from calibration.standing import BayCalibration
from capturestation.records import View


class Odd(StrEnum):
    """What can't be."""

    EXCHANGED = "exchanged"
    BACKWARDS = "backwards"


_ACROSS_SHARE = 0.7071
# Of its way: a camera that looks more along the line than across it is none from face-on.


def along_line(camera: Camera) -> float:
    """How far a camera looks along the line to the target: 1 along it, 0 across it, -1 back."""
    ahead = np.asarray(camera.world_from_camera)[:2, 2]
    return float(ahead[0] / max(float(np.linalg.norm(ahead)), 1e-9))


def looks(camera: Camera) -> str:
    """Which way a camera looks, in words: whoever exchanged two of them sees it by these."""
    along = along_line(camera)
    if abs(along) < _ACROSS_SHARE:
        return "across the line"
    return f"along the line, {'to' if along > 0 else 'away from'} the target"


def odd_order(bay: BayCalibration, cameras: Mapping[View, str]) -> Odd | None:
    """What can't be in how the cameras stand.

    Args:
        bay: Where they were found to stand.
        cameras: Their names.

    Returns:
        The reason, or None where all is as it should be, or can't be told.
    """
    by_name = {camera.name: along_line(camera) for camera in bay.cameras}
    along = {view: by_name[name] for view, name in cameras.items() if name in by_name}
    face_on, behind = along.get(View.FACE_ON), along.get(View.DOWN_THE_LINE)
    if face_on is not None and abs(face_on) > _ACROSS_SHARE:
        return Odd.EXCHANGED
    if behind is None:
        return None
    if abs(behind) < _ACROSS_SHARE:
        return Odd.EXCHANGED
    return Odd.BACKWARDS if behind < 0 else None
