"""The stick that stays says whether the line still holds, within its error."""

from __future__ import annotations

import numpy as np
import pytest

from calibration.camera import project_points
from calibration.errors import CalibrationError
from calibration.linecheck import LineVerdict, check_line
from calibration.projection import FloatArray
from tests.calibration.test_points import CAMERAS, bay, covariance_of_turns
from tests.helpers.made_bays import FACE_ON


def marked(turn_deg: float, offset_m: float = 0.6) -> FloatArray:
    """A stick's ends in the face-on view."""
    turn = np.radians(turn_deg)
    along = 0.61 * np.array([np.cos(turn), np.sin(turn), 0.0])
    middle = np.array([0.0, offset_m, 0.004])
    return project_points(CAMERAS[0], np.stack([middle - along, middle + along]))


def test_a_parallel_stick_holds() -> None:
    found = check_line(bay(), FACE_ON, marked(0.0), offset_m=0.6)

    assert found.verdict is LineVerdict.HOLDS
    assert found.turn_deg == pytest.approx(0.0, abs=1e-6)
    assert found.offset_off_m == pytest.approx(0.0, abs=1e-6)
    assert found.length_m == pytest.approx(1.22, abs=1e-6)


@pytest.mark.parametrize("turn_deg", [-4.0, 4.0])
def test_a_stick_that_was_kicked_is_told_with_its_direction(turn_deg: float) -> None:
    found = check_line(bay(), FACE_ON, marked(turn_deg), offset_m=0.6)

    assert found.verdict is LineVerdict.TURNED
    assert found.turn_deg == pytest.approx(turn_deg, abs=1e-6)


def test_where_the_cameras_place_is_poorly_known_nothing_is_said() -> None:
    found = check_line(bay(covariance_of_turns(0.03)), FACE_ON, marked(1.5), offset_m=0.6)

    assert found.verdict is LineVerdict.UNSURE
    assert found.u_turn_deg > 0.5


def test_marks_off_the_mat_are_refused() -> None:
    sky = np.array([[640.0, -800.0], [700.0, -800.0]])

    with pytest.raises(CalibrationError, match="don't lie on the mat"):
        check_line(bay(), FACE_ON, sky, offset_m=0.6)
    with pytest.raises(CalibrationError, match="not numbers"):
        check_line(bay(), FACE_ON, np.full((2, 2), np.nan), offset_m=0.6)
