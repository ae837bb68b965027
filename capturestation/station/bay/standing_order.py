"""Whether cameras stand where cameras of their kind stand.

A face-on camera looks across the target line, one down the line looks along it to the target. Where
neither is so, two cameras were exchanged, or the target was entered on the wrong side: nothing in
pixels would tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

import numpy as np

from calibration.standing import BayCalibration
from capturestation.records import View


class Odd(StrEnum):
    """What can't be."""

    EXCHANGED = "exchanged"
    BACKWARDS = "backwards"


_ACROSS_SHARE = 0.7071
# Of its way: a camera that looks more along the line than across it is none from face-on.


def odd_order(bay: BayCalibration, cameras: Mapping[View, str]) -> Odd | None:
    """What can't be in how the cameras stand.

    Args:
        bay: Where they were found to stand.
        cameras: Their names.

    Returns:
        The reason, or None where all is as it should be, or can't be told.
    """
    ahead = {camera.name: np.asarray(camera.world_from_camera)[:2, 2] for camera in bay.cameras}
    along = {
        view: float(ahead[name][0] / max(np.linalg.norm(ahead[name]), 1e-9))
        for view, name in cameras.items()
        if name in ahead
    }
    face_on, behind = along.get(View.FACE_ON), along.get(View.DOWN_THE_LINE)
    if face_on is not None and abs(face_on) > _ACROSS_SHARE:
        return Odd.EXCHANGED
    if behind is None:
        return None
    if abs(behind) < _ACROSS_SHARE:
        return Odd.EXCHANGED
    return Odd.BACKWARDS if behind < 0 else None
