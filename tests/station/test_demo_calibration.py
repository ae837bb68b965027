"""The invented bay's cameras are known to the library as the renderer has them."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from calibration.camera import project_points
from capturestation.library import Library
from capturestation.station.demo_calibration import calibrate_invented
from capturestation.station.standpoints import camera_in
from sample_sessions.cameras import cameras_for
from sample_sessions.session import load_session


def test_every_swing_of_the_session_is_filmed_by_a_known_camera(tmp_path: Path) -> None:
    session = load_session()
    points = np.array([[0.0, 0.0, 0.0], [0.4, 0.7, 1.5], [-0.3, 0.2, 0.6]])

    with Library.open(tmp_path / "library") as library:
        calibrate_invented(library, session)
        first = min(swing.struck_at for swing in session.swings)
        for camera in cameras_for(session.student.hand):
            row = library.calibration_at(camera.name, first)
            assert row is not None
            known = camera_in(row)
            assert project_points(known, points) == pytest.approx(camera.project(points), abs=1e-6)
            assert library.calibration_at(camera.name, first - timedelta(days=1)) is None
