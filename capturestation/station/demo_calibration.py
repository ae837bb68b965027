"""The invented bay's calibrations: where its cameras stand is known, since somebody made it up.

It is for looking around without a board, and nothing else. The errors are those of a bay that was
measured well, so that nobody takes an invented one for exact.
"""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from calibration.camera import Camera, camera_document
from capturestation.library import Library
from capturestation.records import CalibrationRow, Hand, new_id
from sample_sessions.cameras import cameras_for
from sample_sessions.session import SampleSession

U_PLACE_MM, U_TURN_DEG = 12.0, 0.2
"""As five places of the large board give, in cameras four metres away."""


def calibrate_invented(library: Library, session: SampleSession) -> tuple[CalibrationRow, ...]:
    """Keep where the invented cameras stand, from before the first ball on."""
    since = min(swing.struck_at for swing in session.swings) - timedelta(hours=1)
    return tuple(
        library.add_calibration(
            CalibrationRow(
                id=new_id(),
                camera=camera.name,
                valid_from=since,
                document=camera_document(camera),
                u_place_mm=U_PLACE_MM,
                u_turn_deg=U_TURN_DEG,
            )
        )
        for camera in _cameras(session.student.hand)
    )


def _cameras(hand: Hand) -> tuple[Camera, ...]:
    made = []
    for camera in cameras_for(hand):
        lens, pose = camera.lens, np.linalg.inv(camera.camera_from_world)
        made.append(
            Camera(
                name=camera.name,
                size_px=(lens.width_px, lens.height_px),
                focal_px=(lens.focal_px, lens.focal_px),
                centre_px=lens.centre_px,
                distortion=lens.bend,
                world_from_camera=tuple(tuple(float(v) for v in row) for row in pose),
            )
        )
    return tuple(made)
