"""Two sticks place the cameras as well as they say, or the reason why they don't is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.camera import project_points
from calibration.errors import CalibrationError
from calibration.lens import lens_from_field_of_view
from calibration.standing import Kind
from calibration.sticks import MarkedSticks, calibrate_sticks
from tests.helpers.laid_sticks import marked_sticks
from tests.helpers.made_bays import DOWN_THE_LINE, FACE_ON, made_bay

MADE = made_bay(np.random.default_rng(45))
MARKED = marked_sticks(MADE.cameras, np.random.default_rng(2))


def test_without_errors_the_cameras_come_back() -> None:
    exact = MarkedSticks(ends_px={})
    laid = exact.laid_m.copy()
    laid[2:, 2] = 0.008
    marks = {c.name: project_points(c, laid) for c in MADE.cameras}
    lenses = {c.name: replace(MADE.lenses[c.name], numbers=c.lens_numbers) for c in MADE.cameras}

    found = calibrate_sticks(replace(exact, ends_px=marks), lenses)

    for ours, truth in zip(found.cameras, MADE.cameras, strict=True):
        assert np.linalg.norm(ours.lens_m - truth.lens_m) < 1e-3


def test_what_is_off_stays_within_the_errors_that_are_stated() -> None:
    found = calibrate_sticks(MARKED, MADE.lenses)

    for ours, truth in zip(found.cameras, MADE.cameras, strict=True):
        error = found.error(truth.name)
        assert 1000 * np.linalg.norm(ours.lens_m - truth.lens_m) < 2.5 * error.mm
        assert error.mm < 90
    assert found.kind is Kind.STICKS
    assert found.line_u_deg == 1.5


def test_a_field_of_view_alone_is_solved_by_both_cameras_and_metres_are_not_good() -> None:
    wide = {
        name: lens_from_field_of_view(lens.setting, 1.04 * lens.hfov_deg)
        for name, lens in MADE.lenses.items()
    }

    found = calibrate_sticks(MARKED, wide)

    for ours, truth in zip(found.cameras, MADE.cameras, strict=True):
        u_focal_px = float(np.sqrt(found.placed(truth.name).covariance[6, 6]))
        assert abs(ours.focal_px[0] - truth.focal_px[0]) < 2.5 * u_focal_px
        assert u_focal_px < wide[truth.name].u[0]
    assert not found.metres_good


def test_one_camera_alone_is_placed() -> None:
    alone = replace(MARKED, ends_px={FACE_ON: MARKED.ends_px[FACE_ON]})

    found = calibrate_sticks(alone, MADE.lenses)

    assert [camera.name for camera in found.cameras] == [FACE_ON]


def test_marks_of_a_mirrored_picture_are_refused() -> None:
    flipped = MARKED.ends_px[FACE_ON] * [-1, 1] + np.array([1279, 0])

    with pytest.raises(CalibrationError, match="from under the mat"):
        calibrate_sticks(replace(MARKED, ends_px={FACE_ON: flipped}), MADE.lenses)


def test_ends_that_are_swapped_in_one_view_are_refused() -> None:
    swapped = {**MARKED.ends_px, FACE_ON: MARKED.ends_px[FACE_ON][[1, 0, 2, 3]]}

    with pytest.raises(CalibrationError, match=r"under the mat|don't fit"):
        calibrate_sticks(replace(MARKED, ends_px=swapped), MADE.lenses)


@pytest.mark.parametrize(
    ("ends_px", "words"),
    [
        (np.full((4, 2), np.nan), "8 of 8 values are not numbers"),
        (np.zeros((3, 2)), "3 ends of sticks are marked"),
        (np.array([[100.0, 400], [1200, 420], [640, 300], [500, 301]]), "from under the mat"),
        (
            MARKED.ends_px[DOWN_THE_LINE] - [[0, 0], [0, 0], [0, 0], [90, 60]],
            "don't fit two sticks",
        ),
    ],
)
def test_marks_that_cannot_be_are_refused(ends_px: np.ndarray, words: str) -> None:
    marks = {**MARKED.ends_px, DOWN_THE_LINE: ends_px}

    with pytest.raises(CalibrationError, match=words):
        calibrate_sticks(replace(MARKED, ends_px=marks), MADE.lenses)


def test_a_camera_of_which_nothing_is_known_is_refused() -> None:
    with pytest.raises(CalibrationError, match="neither lens nor field of view"):
        calibrate_sticks(MARKED, {FACE_ON: MADE.lenses[FACE_ON]})
